// Words of the pictures and their tables.
export const pictures = {
  menu: "Pictures",
};
