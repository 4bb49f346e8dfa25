#include "cli/reports/attention_words.h"

namespace wrackline::cli {

AttentionWords attention_words(AttentionRule rule) {
  switch (rule) {
    case ATTENTION_RULE_NOT_EATING:
      return {"not_eating", "ate nothing for over 24 h although food was offered"};
    case ATTENTION_RULE_NOT_FED:
      return {"not_fed", "no meal is recorded for over 24 h although one was planned"};
    case ATTENTION_RULE_DOSE_OUTSIDE_ORDER:
      return {"dose_outside_order", "a dose was too soon or above the order's daily maximum"};
    case ATTENTION_RULE_DOSE_UNKNOWN:
      return {"dose_unknown", "nobody knows whether, or how much of, a dose went in"};
    case ATTENTION_RULE_DOSE_MISSED:
      return {"dose_missed", "a dose is not recorded, and the next one's time has come"};
    case ATTENTION_RULE_WATER_OUTSIDE:
      return {"water_outside", "outside its limit at the last reading"};
    case ATTENTION_RULE_WATER_OVERDUE:
      return {"water_overdue", "is overdue to be read"};
    case ATTENTION_RULE_LEFT_ABOVE_OFFERED:
      return {"left_above_offered", "more came back of a portion than was offered"};
    case ATTENTION_RULE_OF_STRUCK_ANIMAL:
      return {"of_struck_animal", "is out of account, its entries are not"};
    case ATTENTION_RULE_THAW_PAST:
      return {"thaw_past", "a thawed batch is past its time and not discarded"};
    case ATTENTION_RULE_LOT_PAST:
      return {"lot_past", "a lot is past its use-by day and in stock"};
    case ATTENTION_RULE_PLAN_NOT_APPROVED:
      return {"plan_not_approved", "a plan is approved by nobody"};
    case ATTENTION_RULE_MASS_OVERDUE:
      return {"mass_overdue", "is overdue to be weighed"};
    case ATTENTION_RULE_AMENDED_AFTER_CLOSE:
      return {"amended_after_close", "an entry was written or changed after its day was closed"};
    case ATTENTION_RULE_HYGIENE_FAILED:
      return {"hygiene_failed", "a check did not pass"};
    case ATTENTION_RULE_ENRICHER_UNSAFE:
      return {"enricher_unsafe", "was found unsafe; leave it out"};
    case ATTENTION_RULE_ORDER_NOT_CONFIRMED:
      return {"order_not_confirmed", "an order was taken by telephone, and the vet has not confirmed it"};
    case ATTENTION_RULE_DEVICE_LET_IN:
      return {"device_let_in", "was let in as a device"};
    case ATTENTION_RULE_PRIVILEGE_CHANGED:
      return {"privilege_changed", "was changed at the hub: people, roles, devices, limits or rules"};
    case ATTENTION_RULE_WRONG_PINS:
      return {"wrong_pins", "the hub was shown so many wrong PINs in this name, in a row; ask whether that was them"};
    case ATTENTION_RULE_FORMER_ROLE:
      return {"former_role", "had the role for this when it says it was written, and no more when it came to the hub; look whether it is theirs"};
    case ATTENTION_RULE_WITNESS_NOT_CONFIRMED:
      return {"witness_not_confirmed", "somebody is named as witness of a dose, and has not said so"};
    default:
      return {"unknown", "a rule of a newer release"};
  }
}

}  // namespace wrackline::cli
