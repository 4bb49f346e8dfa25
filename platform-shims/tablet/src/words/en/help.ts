// Words of the first walk and the help.
export const help = {
  menu: "Help",
};
