// What the fields of records are called, by their names in proto/; and the kinds.
export const fields = {};

export const kindNames = {};
