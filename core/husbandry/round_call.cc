// This file says what is due on a day, for whom, and how it stands by what is known here.
#include <records.pb.h>

#include <map>
#include <tuple>

#include "husbandry/husbandry_calls.h"
#include "husbandry/plans.h"
#include "reading/record_view.h"
#include "reading/roster.h"
#include "reading/zone.h"
#include "schedule/elapsed.h"
#include "schedule/recency.h"
#include "schedule/round_state.h"

namespace wrackline {
namespace {

constexpr const char* kMakingRound = "making a round";
constexpr std::uint32_t kWindowDefaultMin = 60;
constexpr std::uint32_t kWindowMaxMin = 24 * 60;

proto::DueState to_proto(RoundState state) {
  switch (state) {
    case RoundState::kUpcoming: return proto::DUE_STATE_UPCOMING;
    case RoundState::kDue: return proto::DUE_STATE_DUE;
    case RoundState::kLate: return proto::DUE_STATE_LATE;
    case RoundState::kMissed: return proto::DUE_STATE_MISSED;
    case RoundState::kDone: return proto::DUE_STATE_DONE;
    case RoundState::kNotKnownHere: return proto::DUE_STATE_NOT_KNOWN;
  }
  return proto::DUE_STATE_UNSPECIFIED;
}

// The entry that did a due thing, if one is known here.
struct Done {
  ChangeId id;
  WallMs at_ms = 0;
};

class Round {
 public:
  Round(Replica& replica, const ZoneOffsets& zone, DaySpan span, const proto::RoundCall& call, proto::RoundReply& out)
      : replica_(replica), roster_(replica), zone_(zone), span_(span), day_(call.day()),
        window_min_(call.window_min() == 0 ? kWindowDefaultMin : std::min(call.window_min(), kWindowMaxMin)), out_(out) {}

  Status start() {
    WRACKLINE_TRY_VALUE(known, known_as_of(replica_));
    if (known != 0) known_ = known;
    out_.set_known_as_of_ms(known);
    now_ = replica_.now();
    out_.set_now_ms(now_);
    return {};
  }

  Status add_animal(const RosterAnimal& animal) {
    subject_ = {animal.id, animal.animal.name(), animal.pool_name, animal.area};
    WRACKLINE_TRY(add_meals(animal.place));
    WRACKLINE_TRY(add_doses(animal.place));
    WRACKLINE_TRY(add_enrichment(animal.place));
    return add_watches<proto::Measure>(animal.place, Kind::kMeasure);
  }

  Status add_pool(const Gathered<proto::Pool>& pool, const std::string& area) {
    subject_ = {pool.id, pool.message.name(), pool.message.name(), area};
    return add_watches<proto::WaterReading>(pool.place, Kind::kWaterReading);
  }

  Status add_enricher(const Gathered<proto::Enricher>& enricher) {
    if (!enricher.message.has_inspect_every_days() || enricher.message.inspect_every_days() == 0) return {};
    subject_ = {enricher.id, enricher.message.name(), {}, {}};
    const auto read = [&](Day first, Day until) {
      return gather<proto::Inspection>(replica_, enricher.place, Kind::kInspection, first, until);
    };
    const auto is_before = [&](const Gathered<proto::Inspection>& look) { return look.message.day() < day_; };
    WRACKLINE_TRY_VALUE(looks, gather_back(day_, day_, read, is_before));
    std::optional<Day> last;
    std::optional<Done> today;
    for (const Gathered<proto::Inspection>& look : looks) {
      if (look.message.day() == day_) today = Done{look.id, look.happened_ms};
      if (look.message.day() < day_) last = std::max(last.value_or(look.message.day()), look.message.day());
    }
    // One that nobody ever looked at is due at once.
    WRACKLINE_TRY_VALUE(due, recency_due(last, day_, enricher.message.inspect_every_days(), day_));
    if (due.overdue_days < 0 && !today) return {};
    add_any_time(proto::DUE_KIND_INSPECTION, enricher.id, today);
    return {};
  }

  void sort() {
    std::vector<proto::DueItem> items(out_.items().begin(), out_.items().end());
    std::stable_sort(items.begin(), items.end(), [this](const proto::DueItem& a, const proto::DueItem& b) {
      return key_of(a) < key_of(b);
    });
    out_.clear_items();
    for (proto::DueItem& item : items) *out_.add_items() = std::move(item);
  }

 private:
  struct Subject {
    ChangeId id;
    std::string name, pool_name, area;
  };

  std::tuple<std::uint64_t, std::string, std::string, std::string, int> key_of(const proto::DueItem& item) const {
    // An entry that may be done at any time comes after one that has a time.
    const std::uint64_t at = item.has_due_ms() ? item.due_ms() : span_.end_ms;
    return {at, item.area(), item.pool_name(), item.subject_name(), static_cast<int>(item.due_kind())};
  }

  // Appends an item; `due_ms` 0 = at any time of the day. `ends_ms`: when the next one begins, or the day ends.
  proto::DueItem& add(proto::DueKind kind, ChangeId plan, WallMs due_ms, WallMs ends_ms, const std::optional<Done>& done) {
    proto::DueItem& item = *out_.add_items();
    item.set_due_kind(kind);
    put_id(subject_.id, *item.mutable_subject());
    item.set_subject_name(subject_.name);
    item.set_pool_name(subject_.pool_name);
    item.set_area(subject_.area);
    put_id(plan, *item.mutable_plan());
    DueThing thing;
    thing.before_min = thing.after_min = window_min_;
    thing.due_ms = due_ms;
    thing.ends_ms = ends_ms;
    thing.recorded = done.has_value();
    if (due_ms == 0) {
      // Due from the first minute of the day to the last, and missed at its end.
      thing.due_ms = span_.end_ms - 1;
      thing.before_min = static_cast<std::uint32_t>((span_.end_ms - span_.begin_ms) / 60'000);
      thing.after_min = 0;
    } else {
      item.set_due_ms(due_ms);
    }
    item.set_state(to_proto(round_standing(thing, known_, now_).state));
    if (done) {
      put_id(done->id, *item.mutable_done_by());
      item.set_done_ms(done->at_ms);
    }
    return item;
  }
  proto::DueItem& add_any_time(proto::DueKind kind, ChangeId plan, const std::optional<Done>& done) {
    return add(kind, plan, 0, span_.end_ms, done);
  }

  // Slots of the day in order, each with its instant and the end of its time.
  struct Slot {
    std::uint32_t min = 0;
    WallMs at_ms = 0;
    WallMs ends_ms = 0;
  };
  template <typename Minutes>
  Result<std::vector<Slot>> slots_of(const Minutes& minutes) {
    std::vector<Slot> slots;
    for (std::uint32_t minute : minutes) {
      WRACKLINE_TRY_VALUE(instant, zone_.instant(day_, minute));
      slots.push_back({minute, instant.at_ms, span_.end_ms});
    }
    std::sort(slots.begin(), slots.end(), [](const Slot& a, const Slot& b) { return a.at_ms < b.at_ms; });
    for (std::size_t i = 0; i + 1 < slots.size(); ++i) slots[i].ends_ms = slots[i + 1].at_ms;
    return slots;
  }

  Status add_meals(Place animal) {
    WRACKLINE_TRY_VALUE(plans, gather<proto::DietPlan>(replica_, animal, Kind::kDietPlan));
    const Gathered<proto::DietPlan>* plan = plan_in_force(plans, day_);
    if (plan == nullptr) return {};
    struct Meal {
      std::string foods;
      std::uint64_t mass_mg = 0;
      bool has_mass = true;
    };
    std::map<std::uint32_t, Meal> meals;  // The key is the slot.
    std::optional<Meal> any_time;
    for (const proto::DietLine& line : plan->message.lines()) {
      if (!is_on_weekday(day_, line.weekdays())) continue;
      if (!line.has_slot_min() && !any_time) any_time.emplace();
      Meal& meal = line.has_slot_min() ? meals[line.slot_min()] : *any_time;
      WRACKLINE_TRY_VALUE(food, roster_.name_of(id_of(line.food())));
      meal.foods += (meal.foods.empty() ? "" : ", ") + food;
      meal.has_mass = meal.has_mass && line.has_mass_mg();
      meal.mass_mg += line.mass_mg();
    }
    WRACKLINE_TRY_VALUE(given, gather_brief<proto::Meal>(replica_, animal, Kind::kMeal, day_, day_));
    const auto put = [](const Meal& meal, proto::DueItem& item) {
      item.set_what(meal.foods);
      if (meal.has_mass) item.set_planned_mg(meal.mass_mg);
    };
    std::vector<std::uint32_t> minutes;
    for (const auto& [minute, meal] : meals) minutes.push_back(minute);
    WRACKLINE_TRY_VALUE(slots, slots_of(minutes));
    for (const Slot& slot : slots) {
      std::optional<Done> done;
      for (const Gathered<proto::Meal>& meal : given) {
        if (meal.message.has_slot_min() && meal.message.slot_min() == slot.min && !done) done = Done{meal.id, meal.happened_ms};
      }
      proto::DueItem& item = add(proto::DUE_KIND_MEAL, plan->id, slot.at_ms, slot.ends_ms, done);
      item.set_slot_min(slot.min);
      put(meals[slot.min], item);
    }
    if (any_time) {
      std::optional<Done> done;
      for (const Gathered<proto::Meal>& meal : given) {
        const bool is_ordinary = meal.message.purpose() == proto::PURPOSE_UNSPECIFIED;
        if (!meal.message.has_slot_min() && is_ordinary && !done) done = Done{meal.id, meal.happened_ms};
      }
      put(*any_time, add_any_time(proto::DUE_KIND_MEAL, plan->id, done));
    }
    return {};
  }

  Status add_doses(Place animal) {
    WRACKLINE_TRY_VALUE(orders, gather<proto::TreatmentOrder>(replica_, animal, Kind::kTreatmentOrder));
    for (const Gathered<proto::TreatmentOrder>& order : orders) {
      if (!holds_on(order.message, day_)) continue;
      if (order.message.has_every_min()) {
        WRACKLINE_TRY(add_elapsed_doses(order));
        continue;
      }
      WRACKLINE_TRY_VALUE(entries, gather_brief<proto::Administration>(replica_, order.place, Kind::kAdministration, day_, day_));
      WRACKLINE_TRY_VALUE(slots, slots_of(order.message.slots_min()));
      for (const Slot& slot : slots) {
        const Gathered<proto::Administration>* entry = nullptr;
        for (const Gathered<proto::Administration>& candidate : entries) {
          if (candidate.message.due_slot_min() == slot.min && entry == nullptr) entry = &candidate;
        }
        add_dose(order, slot.at_ms, slot.ends_ms, entry).set_slot_min(slot.min);
      }
    }
    return {};
  }

  proto::DueItem& add_dose(const Gathered<proto::TreatmentOrder>& order, WallMs at_ms, WallMs ends_ms,
                           const Gathered<proto::Administration>* entry) {
    std::optional<Done> done;
    if (entry != nullptr) done = Done{entry->id, entry->happened_ms};
    proto::DueItem& item = add(proto::DUE_KIND_DOSE, order.id, at_ms, ends_ms, done);
    item.set_what(order.message.preparation());
    if (entry != nullptr) item.set_outcome(entry->message.outcome());
    return item;
  }

  // An order by elapsed hours: what was given today is done, and the next is counted from the last that went in.
  Status add_elapsed_doses(const Gathered<proto::TreatmentOrder>& order) {
    WRACKLINE_TRY_VALUE(entries, gather_brief<proto::Administration>(replica_, order.place, Kind::kAdministration,
                                                                     order.message.first_day(), day_ + 1));
    std::vector<WallMs> given_ms;
    for (const Gathered<proto::Administration>& entry : entries) {
      const bool is_today = entry.happened_ms >= span_.begin_ms && entry.happened_ms < span_.end_ms;
      if (is_today) add_dose(order, entry.happened_ms, span_.end_ms, &entry);
      const proto::Outcome outcome = entry.message.outcome();
      // One of which nobody knows counts as given: too late is safer than twice.
      if (outcome == proto::OUTCOME_GIVEN || outcome == proto::OUTCOME_PART || outcome == proto::OUTCOME_UNKNOWN) {
        given_ms.push_back(entry.happened_ms);
      }
    }
    ElapsedPlan plan;
    plan.interval_min = order.message.every_min();
    plan.start_ms = span_.begin_ms;
    WRACKLINE_TRY_VALUE(due, elapsed_due(plan, given_ms, span_.begin_ms, span_.end_ms));
    for (std::size_t i = 0; i < due.size(); ++i) {
      add_dose(order, due[i], i + 1 < due.size() ? due[i + 1] : span_.end_ms, nullptr);
    }
    return {};
  }

  Status add_enrichment(Place animal) {
    WRACKLINE_TRY_VALUE(plans, gather<proto::EnrichmentPlan>(replica_, animal, Kind::kEnrichmentPlan));
    const Gathered<proto::EnrichmentPlan>* plan = plan_in_force(plans, day_);
    if (plan == nullptr) return {};
    const std::int64_t since_monday = iso_weekday(day_) - 1;
    const Day monday = static_cast<Day>(day_ - since_monday);
    WRACKLINE_TRY_VALUE(uses, gather_brief<proto::EnrichmentUse>(replica_, animal, Kind::kEnrichmentUse, monday, day_));
    std::optional<Done> done;
    std::int64_t before = 0;
    for (const Gathered<proto::EnrichmentUse>& use : uses) {
      if (use.message.day() < day_) ++before;
      if (use.message.day() == day_ && !done) done = Done{use.id, use.happened_ms};
    }
    // Spread over the week: due today when the days that are left would not do without it.
    const std::int64_t missing = std::int64_t{plan->message.times_per_week()} - before;
    if (!done && missing < 7 - since_monday) return {};
    add_any_time(proto::DUE_KIND_ENRICHMENT, plan->id, done).set_what(plan->message.goal());
    return {};
  }

  static int measured(const proto::Measure& m) { return m.quantity(); }
  static int measured(const proto::WaterReading& m) { return m.parameter(); }

  // A subject's watch plans ask for these: measures of an animal, readings of a pool.
  template <typename Event>
  Status add_watches(Place subject, Kind kind) {
    WRACKLINE_TRY_VALUE(plans, gather<proto::WatchPlan>(replica_, subject, Kind::kWatchPlan));
    const auto read = [&](Day first, Day until) { return gather_brief<Event>(replica_, subject, kind, first, until); };
    for (const Gathered<proto::WatchPlan>& plan : plans) {
      if (!holds_on(plan.message, day_) || plan.message.every_days() == 0) continue;
      const bool is_water = plan.message.has_parameter();
      const int wanted = is_water ? static_cast<int>(plan.message.parameter()) : static_cast<int>(plan.message.quantity());
      const auto is_before = [&](const Gathered<Event>& event) {
        return measured(event.message) == wanted && event.message.day() < day_;
      };
      WRACKLINE_TRY_VALUE(events, gather_back(day_, day_, read, is_before));
      std::optional<Day> last;
      std::vector<Done> today;
      for (const Gathered<Event>& event : events) {
        if (measured(event.message) != wanted) continue;
        if (event.message.day() == day_) today.push_back({event.id, event.happened_ms});
        if (event.message.day() < day_) last = std::max(last.value_or(event.message.day()), event.message.day());
      }
      WRACKLINE_TRY_VALUE(due, recency_due(last, plan.message.first_day(), plan.message.every_days(), day_));
      if (due.overdue_days < 0 && today.empty()) continue;
      const auto put = [&](proto::DueItem& item) {
        item.set_quantity(plan.message.quantity());
        item.set_parameter(plan.message.parameter());
        item.set_what(plan.message.note());
      };
      const proto::DueKind due_kind = is_water ? proto::DUE_KIND_WATER : proto::DUE_KIND_MEASURE;
      WRACKLINE_TRY_VALUE(slots, slots_of(plan.message.slots_min()));
      for (std::size_t i = 0; i < slots.size(); ++i) {
        // The first reading of the day is the first slot's, and so on: readings have no slots of their own.
        const std::optional<Done> done = i < today.size() ? std::optional<Done>(today[i]) : std::nullopt;
        proto::DueItem& item = add(due_kind, plan.id, slots[i].at_ms, slots[i].ends_ms, done);
        item.set_slot_min(slots[i].min);
        put(item);
      }
      if (slots.empty()) put(add_any_time(due_kind, plan.id, today.empty() ? std::nullopt : std::optional<Done>(today.front())));
    }
    return {};
  }

  Replica& replica_;
  Roster roster_;
  const ZoneOffsets& zone_;
  const DaySpan span_;
  const Day day_;
  const std::uint32_t window_min_;
  proto::RoundReply& out_;
  std::optional<WallMs> known_;
  WallMs now_ = 0;
  Subject subject_;
};

bool is_asked_for(const proto::RoundCall& call, ChangeId animal) {
  return call.animals().empty() || std::any_of(call.animals().begin(), call.animals().end(),
                                               [&](const proto::RecordRef& ref) { return id_of(ref) == animal; });
}

}  // namespace

Status handle_round(Replica& replica, const proto::RoundCall& call, proto::RoundReply& out) {
  WRACKLINE_TRY_VALUE(zone, zone_of(call.zone(), call.day(), kMakingRound));
  WRACKLINE_TRY_VALUE(span, day_span(zone, call.day()));
  Round round(replica, zone, span, call, out);
  WRACKLINE_TRY(round.start());
  Roster roster(replica);
  WRACKLINE_TRY_VALUE(animals, roster.animals(call.area()));
  for (const RosterAnimal& animal : animals) {
    if (is_asked_for(call, animal.id)) WRACKLINE_TRY(round.add_animal(animal));
  }
  if (call.animals().empty()) {
    WRACKLINE_TRY_VALUE(pools, gather<proto::Pool>(replica, 0, Kind::kPool));
    for (const Gathered<proto::Pool>& pool : pools) {
      WRACKLINE_TRY_VALUE(area, roster.areas().name_for(pool.message));
      if (call.area().empty() || area == call.area()) WRACKLINE_TRY(round.add_pool(pool, area));
    }
    // Enrichers have no place; they are in the round of the whole facility.
    if (call.area().empty()) {
      WRACKLINE_TRY_VALUE(enrichers, gather<proto::Enricher>(replica, 0, Kind::kEnricher));
      for (const Gathered<proto::Enricher>& enricher : enrichers) WRACKLINE_TRY(round.add_enricher(enricher));
    }
  }
  round.sort();
  return {};
}

}  // namespace wrackline
