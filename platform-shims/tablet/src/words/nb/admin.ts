// Words of the admin's screens: people, devices, trail, proof.
import type { admin as english } from "../en/admin";

export const admin: typeof english = {
  menu: "Administrasjon",
};
