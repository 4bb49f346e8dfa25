// Words of the keeper's screens that base.ts has not.
export const keeper = {
  menu: "At the pool",
};
