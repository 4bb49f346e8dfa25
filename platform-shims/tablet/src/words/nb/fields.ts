// What the fields of records are called, by their names in proto/; and the kinds.
import type { fields as englishFields, kindNames as englishKinds } from "../en/fields";

export const fields: typeof englishFields = {};

export const kindNames: typeof englishKinds = {};
