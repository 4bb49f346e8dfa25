import { admin } from "./admin";
import { base } from "./base";
import { desk } from "./desk";
import { device } from "./device";
import { fields, kindNames } from "./fields";
import { help } from "./help";
import { keeper } from "./keeper";
import { pictures } from "./pictures";

export const en = { ...base, keeper, desk, device, pictures, admin, help, fields, kindNames };
