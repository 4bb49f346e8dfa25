// This file puts into words what needs attention.
import { AttentionRule } from "../../proto/husbandry_pb";
import { words } from "../../words/words";

const { attention } = words.desk;
const text: Record<AttentionRule, string> = {
  [AttentionRule.UNSPECIFIED]: "",
  [AttentionRule.NOT_EATING]: attention.notEating,
  [AttentionRule.NOT_FED]: attention.notFed,
  [AttentionRule.DOSE_OUTSIDE_ORDER]: attention.doseOutsideOrder,
  [AttentionRule.DOSE_UNKNOWN]: attention.doseUnknown,
  [AttentionRule.DOSE_MISSED]: attention.doseMissed,
  [AttentionRule.WATER_OUTSIDE]: attention.waterOutside,
  [AttentionRule.WATER_OVERDUE]: attention.waterOverdue,
  [AttentionRule.LEFT_ABOVE_OFFERED]: attention.leftAboveOffered,
  [AttentionRule.OF_STRUCK_ANIMAL]: attention.ofStruckAnimal,
  [AttentionRule.THAW_PAST]: attention.thawPast,
  [AttentionRule.LOT_PAST]: attention.lotPast,
  [AttentionRule.PLAN_NOT_APPROVED]: attention.planNotApproved,
  [AttentionRule.MASS_OVERDUE]: attention.massOverdue,
  [AttentionRule.AMENDED_AFTER_CLOSE]: attention.amendedAfterClose,
  [AttentionRule.HYGIENE_FAILED]: attention.hygieneFailed,
  [AttentionRule.ENRICHER_UNSAFE]: attention.enricherUnsafe,
  [AttentionRule.DEVICE_LET_IN]: attention.deviceLetIn,
  [AttentionRule.PRIVILEGE_CHANGED]: attention.privilegeChanged,
  [AttentionRule.WRONG_PINS]: attention.wrongPins,
  [AttentionRule.FORMER_ROLE]: attention.formerRole,
  [AttentionRule.ORDER_NOT_CONFIRMED]: attention.orderNotConfirmed,
  [AttentionRule.WITNESS_NOT_CONFIRMED]: attention.witnessNotConfirmed,
};
export function attentionWord(rule: AttentionRule): string {
  return (text as Record<number, string | undefined>)[rule] ?? attention.other;
}
