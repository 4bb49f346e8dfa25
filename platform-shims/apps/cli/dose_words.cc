#include "cli/dose_words.h"

#include "records.pb.h"
#include "text/message_schema.h"
#include "text/quantity.h"

namespace wrackline::cli {

std::string finding_text(const DoseFinding& f, Client& client, Names& names) {
  const std::string by = is_set(f.record()) ? " (" + names.short_id(f.record()) + ", at " +
                                                  client.zone().print(f.happened_ms()) +
                                                  (f.author_name().empty() ? "" : " by " + f.author_name()) + ")"
                                            : "";
  const std::string minutes = print_quantity(Unit::kDurationMin, f.minutes());
  switch (f.rule()) {
    case DOSE_RULE_SAME_SLOT:
      return "this dose already has an entry" + by;
    case DOSE_RULE_TOO_SOON:
      return "too soon: " + minutes + " are missing to the order's least time between doses" + by;
    case DOSE_RULE_DAILY_MAX:
      return "the day has as many doses as the order allows" + by;
    case DOSE_RULE_EARLY:
      return "early: " + minutes + " before its time";
    case DOSE_RULE_LATE:
      return "late: " + minutes + " after its time";
    case DOSE_RULE_MASS_OLD:
      return "the body mass is older than the order allows: weigh anew, or ask the vet";
    case DOSE_RULE_MASS_MISSING:
      return "there is no body mass to reckon the dose from: weigh the animal, or ask the vet";
    case DOSE_RULE_OUTSIDE_ORDER:
      return "the order has no dose at that day and time";
    case DOSE_RULE_UNKNOWN_AMOUNT:
      return "of an earlier dose nobody knows how much went in" + by;
    case DOSE_RULE_NOT_IN_ACCOUNT:
      return "the order or the animal is struck";
    case DOSE_RULE_WITNESS:
      return "the order asks for a witness";
    case DOSE_RULE_UNCONFIRMED:
      return "the order was taken by telephone and the vet has not confirmed it: read it back, and give it only if you are sure";
    case DOSE_RULE_UNCONFIRMED_AGAIN:
      return "the order was taken by telephone, was given as often as it may be, and the vet has not confirmed it: ask the vet first";
    case DOSE_RULE_AMOUNT:
      return "much more than the order comes to: read the order again; in doubt, hold and ask the vet";
    default:
      return "a finding of a newer release";
  }
}

}  // namespace wrackline::cli
