// Attention to an animal's orders: doses that were too much or too soon, of which nobody knows, or that nobody wrote
// down.
#include "husbandry/attention_list.h"
#include "husbandry/dose_outcome.h"
#include "husbandry/plans.h"
#include "reading/countersigned.h"
#include "schedule/round_state.h"

namespace wrackline {
namespace {


using Order = Gathered<proto::TreatmentOrder>;
using Doses = std::vector<Gathered<proto::Administration>>;

bool may_be_in_animal(const proto::Administration& dose) {
  const DoseOutcome outcome = to_outcome(dose.outcome());
  return outcome == DoseOutcome::kGiven || outcome == DoseOutcome::kPart || outcome == DoseOutcome::kUnknown;
}

// The husbandry day it was given on; without a time the day it was due.
Day given_on(const proto::Administration& dose) {
  if (!dose.has_happened_ms()) return dose.due_day();
  const std::int64_t local_ms = static_cast<std::int64_t>(dose.happened_ms()) +
                                std::int64_t{dose.utc_offset_min()} * static_cast<std::int64_t>(kMinuteMs);
  return static_cast<Day>(std::max(local_ms, std::int64_t{0}) / static_cast<std::int64_t>(kDayMs));
}

WallMs time_of(const AttentionList& list, const proto::Administration& dose) {
  return dose.has_happened_ms() ? dose.happened_ms() : list.instant_of(dose.due_day(), dose.due_slot_min());
}

class OrderAttention {
 public:
  OrderAttention(AttentionList& list, const RosterAnimal& animal, const Order& order)
      : list_(list), animal_(animal), order_(order) {}

  Status run() {
    WRACKLINE_TRY_VALUE(doses,
                        gather<proto::Administration>(list_.replica, order_.place, Kind::kAdministration,
                                                      list_.lasting_from, list_.day));
    std::stable_sort(doses.begin(), doses.end(), [this](const auto& a, const auto& b) {
      return time_of(list_, a.message) < time_of(list_, b.message);
    });
    judge_given(doses);
    WRACKLINE_TRY(find_unconfirmed(doses));
    if (!list_.known_ms) return {};
    WRACKLINE_TRY_VALUE(entered, entered_ms(list_.replica, order_.place));
    if (order_.message.has_every_min()) {
      find_missed_elapsed(doses, entered);
    } else {
      find_missed_slots(doses, entered);
    }
    return {};
  }

 private:
  Status find_unconfirmed(const Doses& doses) {
    const bool is_over = order_.message.has_last_day() && order_.message.last_day() < list_.lasting_from;
    WRACKLINE_TRY_VALUE(of_order, word_of(list_.replica, order_.place));
    if (of_order == Word::kAsked && !is_over) add(proto::ATTENTION_RULE_ORDER_NOT_CONFIRMED, order_.id, order_.message.first_day());
    for (const Gathered<proto::Administration>& dose : doses) {
      if (dose.message.due_day() < list_.events_from || !dose.message.has_witness()) continue;
      WRACKLINE_TRY_VALUE(of_witness, word_of(list_.replica, dose.place));
      if (of_witness == Word::kAsked) add(proto::ATTENTION_RULE_WITNESS_NOT_CONFIRMED, dose.id, dose.message.due_day());
    }
    return {};
  }

  proto::AttentionItem& add(proto::AttentionRule rule, ChangeId record, Day on) {
    proto::AttentionItem& item = list_.add(rule, animal_.id, animal_.animal.name(), record, on);
    item.set_what(order_.message.preparation());
    return item;
  }

  // Each dose against those before it: the later of two that are too close is the one to look at.
  void judge_given(const Doses& doses) {
    DoseLimits limits;
    if (order_.message.has_interval_min()) limits.interval_min = order_.message.interval_min();
    if (order_.message.has_daily_max()) limits.daily_max = order_.message.daily_max();
    std::vector<KnownDose> earlier;
    for (const Gathered<proto::Administration>& dose : doses) {
      const proto::Administration& message = dose.message;
      if (!may_be_in_animal(message)) continue;
      const bool amount_known = message.has_given_ug() || message.has_given_ul() || message.has_given_units();
      NewDose given;
      given.due_day = message.due_day();
      given.due_slot_min = message.due_slot_min();
      given.at_ms = time_of(list_, message);
      given.at_day = given_on(message);
      if (message.due_day() >= list_.events_from) {
        bool outside = false;
        for (const DoseRemark& remark : judge_dose(limits, earlier, given)) {
          outside =
              outside || remark.finding == DoseFinding::kTooSoon || remark.finding == DoseFinding::kDailyMax;
        }
        if (outside) add(proto::ATTENTION_RULE_DOSE_OUTSIDE_ORDER, dose.id, given.at_day);
        // Part of a dose, nobody knows how much, is as little known.
        const DoseOutcome outcome = to_outcome(message.outcome());
        if (outcome == DoseOutcome::kUnknown || (outcome == DoseOutcome::kPart && !amount_known)) {
          add(proto::ATTENTION_RULE_DOSE_UNKNOWN, dose.id, given.at_day);
        }
      }
      earlier.push_back({given.due_day, given.due_slot_min, given.at_ms, given.at_day,
                         to_outcome(message.outcome()), amount_known});
    }
  }

  void find_missed_slots(const Doses& doses, WallMs entered) {
    std::vector<std::uint32_t> slots(order_.message.slots_min().begin(), order_.message.slots_min().end());
    std::sort(slots.begin(), slots.end());
    for (Day on = std::max(list_.events_from, order_.message.first_day()); on <= list_.day; ++on) {
      if (!holds_on(order_.message, on)) break;
      for (std::size_t i = 0; i < slots.size(); ++i) {
        DueThing thing;
        thing.due_ms = list_.instant_of(on, slots[i]);
        thing.ends_ms =
            i + 1 < slots.size() ? list_.instant_of(on, slots[i + 1]) : list_.instant_of(on + 1, 0);
        thing.recorded = std::any_of(doses.begin(), doses.end(), [&](const auto& dose) {
          return dose.message.due_day() == on && dose.message.due_slot_min() == slots[i];
        });
        // One that was due before the order was written down could not be given.
        if (thing.due_ms < entered) continue;
        if (round_standing(thing, list_.known_ms, *list_.known_ms).state != RoundState::kMissed) continue;
        add(proto::ATTENTION_RULE_DOSE_MISSED, order_.id, on).set_since_ms(thing.due_ms);
      }
    }
  }

  // Where hours are counted from the last dose, the next dose (or the first of all) is missed when the next
  // one's time has come too.
  void find_missed_elapsed(const Doses& doses, WallMs entered) {
    if (!holds_on(order_.message, list_.day)) return;
    const WallMs every_ms = order_.message.every_min() * kMinuteMs;
    WallMs due_ms = std::max(entered, list_.instant_of(order_.message.first_day(), 0));
    for (const Gathered<proto::Administration>& dose : doses) {
      // One that was refused or held was looked after; the vet decides when the next is due.
      due_ms = std::max(due_ms, time_of(list_, dose.message) + every_ms);
    }
    if (due_ms + every_ms > *list_.known_ms) return;
    add(proto::ATTENTION_RULE_DOSE_MISSED, order_.id, list_.day).set_since_ms(due_ms);
  }

  AttentionList& list_;
  const RosterAnimal& animal_;
  const Order& order_;
};

}  // namespace

Status attend_doses(AttentionList& list, const RosterAnimal& animal) {
  WRACKLINE_TRY_VALUE(orders,
                      gather<proto::TreatmentOrder>(list.replica, animal.place, Kind::kTreatmentOrder));
  for (const Order& order : orders) WRACKLINE_TRY(OrderAttention(list, animal, order).run());
  return {};
}

}  // namespace wrackline
