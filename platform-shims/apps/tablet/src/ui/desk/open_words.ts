// This file puts into words what can be open of a day.
import { OpenRule } from "../../proto/proof_pb";
import { words } from "../../words/words";

const { open } = words.desk.close;
const text: Partial<Record<number, string>> = {
  [OpenRule.UNWEIGHED]: open.unweighed,
  [OpenRule.NOT_DONE]: open.notDone,
  [OpenRule.REVIEW]: open.review,
  [OpenRule.HELD]: open.held,
  [OpenRule.NOT_HEARD]: open.notHeard,
};
export function openText(rule: number): string {
  return text[rule] ?? open.other;
}
