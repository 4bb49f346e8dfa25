#include "cli/reports/report_catalogue.h"

#include "cli/cautions.h"

namespace wrackline::cli {

const ReportCatalogue& report_headings() {
  static const ReportCatalogue words = {
      {"attention", "Needs attention"},
      {"intake", "Intake"},
      {"doses", "Doses"},
      {"seen", "What was seen"},
      {"to_settle", "To be settled"},
      {"close", "Closed"},
      {"animals", "Animals and groups"},
      {"days", "Intake against plan"},
      {"control", "Control chart of the intake"},
      {"measures", "Measures of the body"},
      {"doses_recorded", "Doses recorded"},
      {"moves", "Moves"},
      {"tags", "Tags"},
      {"refused", "Figures that could not be had"},
      {"overdue", "What is overdue now"},
      {"readings", "Readings"},
      {"derived", "What the readings tell together"},
      {"limits", "Limits"},
      {"counts", "By kind and animal"},
      {"kinds", "By kind of record"},
      {"by_animal", "By animal"},
  };
  return words;
}

const ReportCatalogue& report_titles() {
  static const ReportCatalogue words = {
      {"level", ""},
      {"subject", "WHOM"},
      {"rule", "WHAT"},
      {"what", "OF"},
      {"head_count", "HEADS"},
      {"plan_ppm", "OF PLAN"},
      {"body_mass_ppm", "OF BODY"},
      {"state", "HOW IT STANDS"},
      {"outcome", "WHAT CAME OF IT"},
      {"happened_ms", "AT"},
      {"days_recorded", "RECORDED"},
      {"days_complete", "COMPLETE"},
      {"eaten_mean_mg", "MEAN EATEN"},
      {"eaten_median_mg", "MEDIAN EATEN"},
      {"energy_mean_cal", "MEAN ENERGY"},
      {"days_with_plan", "WITH PLAN"},
      {"days_within_plan", "WITHIN PLAN"},
      {"mass_change_ppm", "MASS CHANGE"},
      {"doses_given", "DOSES GIVEN"},
      {"doses_otherwise", "OTHER"},
      {"doses_missed", "MISSED"},
      {"doses_not_known", "NOT KNOWN"},
      {"ewma_mg", "MOVING MEAN"},
      {"low_mg", "LOW LIMIT"},
      {"high_mg", "HIGH LIMIT"},
      {"signs", "MARKED"},
      {"judgement", "AGAINST THE LIMIT"},
      {"formula_number", "BY"},
      {"parameter", "PROPERTY"},
      {"low", "LOWEST"},
      {"high", "HIGHEST"},
      {"every_hours", "READ EVERY"},
      {"last_ms", "LAST READ"},
      {"pool", "POOL"},
      {"from_pool", "FROM"},
      {"to_pool", "TO"},
      {"tag_kind", "KIND"},
      {"applied_day", "APPLIED"},
      {"gone_day", "GONE"},
      {"entered_ms", "ENTERED"},
      {"reason", "WHY"},
      {"out_of_account", "OUT"},
      {"oldest_day", "OLDEST"},
      {"to_be_kept", "KEEP"},
      {"past_minimum", "PAST"},
      {"source", "SOURCE"},
  };
  return words;
}

const ReportCatalogue& report_notes() {
  static const ReportCatalogue words = {
      {"caution_attention", kAttentionCaution},
      {"caution_intake", kIntakeCaution},
      {"caution_dose", kDoseCaution},
      {"caution_water", kWaterCaution},
      {"caution_retention", kRetentionCaution},
      {"no_attention", "Nothing, by what is recorded; that does not say that all is well."},
      {"attention_of_all_areas", "Of all areas."},
      {"animals_recorded", "{0} of {1} animals and groups have a meal recorded."},
      {"part_weighed", "* of the portions whose leftover was weighed; of the others it is not known what was eaten."},
      {"days_recorded", "{0} of {1 day|days} recorded, {2} with every leftover weighed."},
      {"eaten_a_day", "Over the days with every leftover weighed: mean {0}, median {1} eaten a day."},
      {"energy_a_day", "Over the days whose energy is known: mean {0} a day."},
      {"body_mass_age", "Of body: by the last body mass weighed on or before the day, at most {0} old."},
      {"no_doses", "No dose was due and none is recorded."},
      {"names_not_proven", "Not proven: the name is the device's word alone."},
      {"nothing_seen", "Nothing is recorded; that is not the same as nothing seen."},
      {"nothing_to_settle", "Nothing of this day."},
      {"to_settle_elsewhere", "{0} of other days or of none; see `wrack review`."},
      {"day_not_closed", "The day is not closed, by what is known here."},
      {"no_day_closed", "No day of these was closed, by what is known here."},
      {"said", "{0}"},
      {"close_sum", "{0 record|records}, {1 change|changes}, digest {2}."},
      {"close_standing", "{0}; {1}."},
      {"open_when_closed", "Open when it was closed: {0}"},
      {"left_out", "{0 more is|more are} not shown here; see `wrack trail`."},
      {"month_intake", "Of {0 day|days}. Recorded: days with a meal in account. Complete: every leftover weighed; the mean is over these. With plan: complete "
                       "days whose plan states its tolerance; within plan: so many of them. Mass change: from the first to the last weighing "
                       "of the month."},
      {"month_doses", "Doses given, with another outcome (part, refused, held, lost, unknown), missed, and not known here."},
      {"no_orders", "No order is in force in these days by what is known here, and no dose is recorded."},
      {"order", "{0}."},
      {"order_struck", "The order is STRUCK; its doses are recorded all the same."},
      {"order_folded", "The order is the same as {0}."},
      {"order_unconfirmed", "The order was taken by telephone, and the vet has not confirmed it."},
      {"order_in_disagreement", "The order is in disagreement: {0}."},
      {"perhaps_twice_until_settled", "To be settled, {0}: a {1} may have been recorded twice; both count until the officer has spoken (`wrack review`)."},
      {"in_disagreement_until_settled",
       "To be settled, {0}: a {1} is in disagreement; one of its values is counted until the officer has spoken (`wrack review`)."},
      {"no_control_chart", "No control chart: the first half of the complete days must have eight of them."},
      {"control_baseline", "Baseline: the first half of the complete days, {0} a day, standard deviation {1}. Days with an alarm: {2}. An alarm "
                           "says that the appetite moved, not why: look at the animal, ask the vet."},
      {"judged_by_plan", "Judged by the plan: the chart shows what was eaten for each gram planned, as of a day with the usual plan of {0}; of a "
                         "day without a plan what was eaten."},
      {"see_treatments", "What was due and is not recorded stands in `wrack report treatments`."},
      {"no_readings", "No reading is recorded in these days."},
      {"days_read", "Read on {0} of {1 day|days}, {2 reading|readings}."},
      {"outside", "{0} OUTSIDE the limit."},
      {"none_outside", "None outside the limit."},
      {"not_all_judged", "No limit is known for some or all of them."},
      {"readings_disagree", "* in disagreement; one of its values is shown until the officer has spoken (`wrack review`)."},
      {"formula", "[{0}] {1}."},
      {"no_limits", "No limit is recorded for this pool."},
      {"own_limit_first", "A pool's own row stands before one of every pool."},
      {"retention_kept", "Keep: within the minimum, or its period has not begun. Past: older than the minimum, which is no leave to remove. None "
                         "named: the texts here say nothing of the kind; keep it, and ask what your local code says."},
      {"retention_out", "Out: of these, out of account, struck or folded. They are counted with the others: each is part of the trail and kept as "
                        "long. A record without a day of its own has the day it was entered."},
      {"retention_leaving", "After leaving: that an animal left is not recorded, so all of it is to be kept. From its end: an order without a last "
                            "day is in force. Which preparation is a controlled substance is not recorded: the two years are taken for every order "
                            "and dose."},
      {"retention_other_texts", "Kept longer by other texts, with no kind of record of their own here: necropsy reports of marine mammals three "
                                "years (9 CFR 3.110), records of a research facility three years (9 CFR 2.35)."},
  };
  return words;
}

const ReportCatalogue& report_codes() {
  static const ReportCatalogue words = {
      {"urgent", "URGENT"},
      {"hub", "the hub"},
      {"not_weighed", "unweighed"},
      {"beside_order", "no time of the order"},
      {"in_disagreement", "in disagreement: {0}"},
      {"no_limit", "no limit known"},
      {"unverified", "unverified limit"},
      {"outside_formula_range", "outside the formula's range"},
      {"never", "never read here"},
      {"not_sealed", "not sealed yet"},
      {"late", "LATE"},
      {"clock_suspect", "CLOCK SUSPECT"},
      {"new_record", "new record"},
      {"years", "{0 year|years}"},
      {"years_from_end", "{0 year|years} from its end"},
      {"years_after_leaving", "{0 year|years} after leaving"},
      {"of_no_animal", "of no one animal"},
      {"close", "{0} of {1}, closed {2} by {3} on {4}   {5}"},
  };
  return words;
}

}  // namespace wrackline::cli
