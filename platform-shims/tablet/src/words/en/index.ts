import { admin } from "./admin";
import { base } from "./base";
import { desk } from "./desk";
import { enumWords, fields, kindNames, typing, units } from "./fields";
import { help } from "./help";
import { keeper } from "./keeper";
import { pictures } from "./pictures";

export const en = {
  ...base,
  keeper,
  desk,
  pictures,
  admin,
  help,
  fields,
  kindNames,
  enumWords,
  typing,
  units,
};
