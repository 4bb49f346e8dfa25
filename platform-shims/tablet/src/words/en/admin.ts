// Words of the admin's screens: people, devices, trail, proof.
export const admin = {
  menu: "Admin",
};
