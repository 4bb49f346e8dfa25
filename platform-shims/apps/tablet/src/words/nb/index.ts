import type { Words } from "../words";
import { admin } from "./admin";
import { base } from "./base";
import { desk } from "./desk";
import { device } from "./device";
import { enumWords, fields, kindNames, typing, units } from "./fields";
import { files } from "./files";
import { help } from "./help";
import { keeper } from "./keeper";
import { pictures } from "./pictures";
import { problems } from "./problems";
import { reports } from "./reports";

const ofFields = { fields, kindNames, enumWords, typing, units, problems };

export const nb: Words = {
  ...base,
  keeper,
  desk,
  device,
  pictures,
  reports,
  admin,
  help,
  files,
  ...ofFields,
};
