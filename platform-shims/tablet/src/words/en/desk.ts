// Words of the desk: roster, plans, review, day close, stock, import, reports.
export const desk = {
  menu: "Desk",
};
