// This file says what to weigh for a day, which lots to take it from, what is thawing, and what is reckoned from the food.
#include <records.pb.h>

#include <limits>
#include <map>
#include <tuple>

#include "base/rounding.h"
#include "husbandry/dose_food.h"
#include "husbandry/husbandry_calls.h"
#include "husbandry/plans.h"
#include "husbandry/stock_input.h"
#include "reading/countersigned.h"
#include "reading/record_view.h"
#include "reading/roster.h"
#include "schedule/thaw.h"

namespace wrackline {
namespace {

// A batch that nobody says to be used up or discarded is shown for a day after its time, and for a week when nobody
// says that it is thawed.
constexpr Day kThawDays = 7;
constexpr WallMs kPastShownMs = 24 * 3'600'000;
constexpr Int128 kMgPerKg = 1'000'000;
constexpr std::uint32_t kAnyTime = 24 * 60;  // Sorts behind every slot.

using Diet = Gathered<proto::DietPlan>;

std::uint32_t slot_of(const proto::DietLine& line) { return line.has_slot_min() ? line.slot_min() : kAnyTime; }

struct Total {
  Int128 mass_mg = 0;
  bool incomplete = false;
};

// A sheet is put together from these.
class Sheet {
 public:
  Sheet(Replica& replica, Day day, proto::PrepReply& out) : replica_(replica), roster_(replica), day_(day), out_(out) {}

  Status put_animals(const std::string& area) {
    WRACKLINE_TRY_VALUE(animals, roster_.animals(area));
    for (const RosterAnimal& animal : animals) {
      WRACKLINE_TRY_VALUE(diets, gather<proto::DietPlan>(replica_, animal.place, Kind::kDietPlan));
      const Diet* diet = plan_in_force(diets, day_);
      if (diet != nullptr) WRACKLINE_TRY(put_lines(animal, *diet));
      WRACKLINE_TRY(put_doses(animal, diet));
    }
    return {};
  }
  Status put_totals();
  Status put_thaws();

 private:
  Status put_lines(const RosterAnimal& animal, const Diet& diet);
  Status put_doses(const RosterAnimal& animal, const Diet* diet);
  Status put_dose(const RosterAnimal& animal, const Gathered<proto::TreatmentOrder>& order, const Diet* diet,
                  std::optional<std::uint32_t> slot_min);

  Replica& replica_;
  Roster roster_;
  Day day_;
  proto::PrepReply& out_;
  std::map<ChangeId, Total> totals_;
};

Status Sheet::put_lines(const RosterAnimal& animal, const Diet& diet) {
  WRACKLINE_TRY_VALUE(meals, gather<proto::Meal>(replica_, animal.place, Kind::kMeal, day_, day_));
  std::vector<const proto::DietLine*> lines;
  for (const proto::DietLine& line : diet.message.lines()) {
    if (is_on_weekday(day_, line.weekdays())) lines.push_back(&line);
  }
  std::stable_sort(lines.begin(), lines.end(), [](const proto::DietLine* a, const proto::DietLine* b) {
    return slot_of(*a) < slot_of(*b);
  });
  for (const proto::DietLine* line : lines) {
    proto::PrepLine& out = *out_.add_lines();
    put_id(animal.id, *out.mutable_animal());
    out.set_animal_name(animal.animal.name());
    out.set_pool_name(animal.pool_name);
    out.set_area(animal.area);
    if (line->has_slot_min()) out.set_slot_min(line->slot_min());
    const ChangeId food = id_of(line->food());
    put_id(food, *out.mutable_food());
    WRACKLINE_TRY_VALUE(food_name, roster_.name_of(food));
    out.set_food_name(food_name);
    Total& total = totals_[food];
    if (line->has_mass_mg()) {
      out.set_mass_mg(line->mass_mg());
      total.mass_mg += line->mass_mg();
    } else {
      total.incomplete = true;
    }
    if (line->has_tolerance_mg()) out.set_tolerance_mg(line->tolerance_mg());
    out.set_preparation(line->preparation());
    out.set_presentation(line->presentation());
    put_id(diet.id, *out.mutable_plan());
    WRACKLINE_TRY_VALUE(word, word_of(replica_, diet.place));
    out.set_approved(word == Word::kTheirs);
    out.set_given(std::any_of(meals.begin(), meals.end(), [&](const Gathered<proto::Meal>& meal) {
      const std::uint32_t slot_min = meal.message.has_slot_min() ? meal.message.slot_min() : kAnyTime;
      return slot_min == slot_of(*line);
    }));
  }
  return {};
}

Status Sheet::put_doses(const RosterAnimal& animal, const Diet* diet) {
  WRACKLINE_TRY_VALUE(orders, gather<proto::TreatmentOrder>(replica_, animal.place, Kind::kTreatmentOrder));
  for (const Gathered<proto::TreatmentOrder>& order : orders) {
    const proto::TreatmentOrder& message = order.message;
    if (!is_reckoned_from_food(message) || !holds_on(message, day_)) continue;
    std::vector<std::uint32_t> slots_min(message.slots_min().begin(), message.slots_min().end());
    std::sort(slots_min.begin(), slots_min.end());
    if (slots_min.empty()) WRACKLINE_TRY(put_dose(animal, order, diet, std::nullopt));
    for (const std::uint32_t slot_min : slots_min) WRACKLINE_TRY(put_dose(animal, order, diet, slot_min));
  }
  return {};
}

Status Sheet::put_dose(const RosterAnimal& animal, const Gathered<proto::TreatmentOrder>& order, const Diet* diet,
                       std::optional<std::uint32_t> slot_min) {
  const proto::TreatmentOrder& message = order.message;
  proto::PrepDose& out = *out_.add_doses();
  put_id(order.id, *out.mutable_order());
  put_id(animal.id, *out.mutable_animal());
  out.set_animal_name(animal.animal.name());
  out.set_preparation(message.preparation());
  if (slot_min) out.set_slot_min(*slot_min);
  out.set_substance(message.substance());
  WRACKLINE_TRY_VALUE(ordered_by, roster_.name_of(id_of(message.ordered_by())));
  out.set_ordered_by(ordered_by);
  const auto food_mg = diet == nullptr ? std::nullopt : dose_food_mg(message, diet->message, day_, slot_min);
  if (!food_mg) return {};
  out.set_food_mg(*food_mg);
  const auto reckoned = [&](std::uint64_t per_kg) {
    return fit<std::uint64_t>(divide_rounded(Int128(*food_mg) * per_kg, kMgPerKg));
  };
  if (message.has_dose_ug_per_kg_food()) {
    if (const auto dose_ug = reckoned(message.dose_ug_per_kg_food())) out.set_dose_ug(*dose_ug);
  } else if (const auto dose_units = reckoned(message.dose_units_per_kg_food())) {
    out.set_dose_units(*dose_units);
  }
  return {};
}

Status Sheet::put_totals() {
  FoodNumbers foods;
  WRACKLINE_TRY_VALUE(lots, gather_lots(replica_, foods));
  const std::vector<LotOnHand> on_hand = lots_on_hand(lots.lots, lots.changes, day_);
  std::vector<std::tuple<std::string, ChangeId, const Total*>> by_name;
  for (const auto& [food, total] : totals_) {
    WRACKLINE_TRY_VALUE(name, roster_.name_of(food));
    by_name.emplace_back(name, food, &total);
  }
  std::sort(by_name.begin(), by_name.end());
  for (const auto& [name, food, total] : by_name) {
    proto::PrepTotal& out = *out_.add_totals();
    put_id(food, *out.mutable_food());
    out.set_food_name(name);
    const auto mass_mg = fit<std::uint64_t>(total->mass_mg);
    if (mass_mg) out.set_mass_mg(*mass_mg);
    out.set_incomplete(total->incomplete || !mass_mg);
    const std::size_t number = foods.of(food);
    for (const LotOnHand& lot : on_hand) {
      // One that is empty by the book, or overdrawn, is nothing to take from.
      if (lots.lots[lot.lot].food == number && lot.on_hand_mg > 0) put_lot_view(lots, lot, *out.add_lots());
    }
  }
  return {};
}

// Says how a batch stands now. A tablet whose clock was ahead must not hide the sheet, so a batch is never from
// the future.
ThawStanding standing_of(const proto::ThawBatch& message, WallMs now_ms) {
  ThawBatch batch;
  batch.out_of_freezer_ms = message.happened_ms();
  if (message.method() == proto::THAW_METHOD_REFRIGERATOR) batch.method = ThawMethod::kRefrigeration;
  if (message.has_thawed_ms()) batch.thawed_ms = message.thawed_ms();
  now_ms = std::max({now_ms, message.happened_ms(), message.thawed_ms()});
  if (auto standing = thaw_standing(batch, {}, now_ms)) return *standing;
  // Thawed before it left the freezer, it says: the clock that needs no such word.
  return *thaw_standing({ThawMethod::kColdWater, message.happened_ms(), std::nullopt}, {}, now_ms);
}

Status Sheet::put_thaws() {
  const WallMs now_ms = replica_.now();
  WRACKLINE_TRY_VALUE(batches, gather_all<proto::ThawBatch>(replica_, Kind::kThawBatch, day_ - kThawDays, day_));
  WRACKLINE_TRY_VALUE(gone, used_up(replica_, batches, day_));
  std::vector<std::pair<ThawStanding, const Gathered<proto::ThawBatch>*>> by_end;
  for (std::size_t i = 0; i < batches.size(); ++i) {
    const Gathered<proto::ThawBatch>& batch = batches[i];
    if (batch.message.has_discarded_ms() || gone[i]) continue;
    const ThawStanding standing = standing_of(batch.message, now_ms);
    const bool is_old = standing.state == ThawState::kPastLimit && now_ms - *standing.usable_until_ms > kPastShownMs;
    if (!is_old) by_end.emplace_back(standing, &batch);
  }
  // Those whose clock does not run yet come last.
  const auto end_of = [](const ThawStanding& standing) {
    return standing.usable_until_ms.value_or(std::numeric_limits<WallMs>::max());
  };
  std::stable_sort(by_end.begin(), by_end.end(),
                   [&](const auto& a, const auto& b) { return end_of(a.first) < end_of(b.first); });
  for (const auto& [standing, batch] : by_end) {
    proto::ThawView& out = *out_.add_thaws();
    put_id(batch->id, *out.mutable_batch());
    const Place lot_place = replica_.store().logs().find_place(id_of(batch->message.lot()));
    // A struck lot was thawed all the same.
    WRACKLINE_TRY_VALUE(lot, read_record<proto::Lot>(replica_, lot_place, true));
    if (lot) {
      out.set_lot_code(lot->message.code());
      WRACKLINE_TRY_VALUE(food_name, roster_.name_of(id_of(lot->message.food())));
      out.set_food_name(food_name);
    }
    if (batch->message.has_mass_mg()) out.set_mass_mg(batch->message.mass_mg());
    out.set_method(batch->message.method());
    out.set_out_ms(batch->message.happened_ms());
    out.set_thawed_ms(batch->message.thawed_ms());
    out.set_use_until_ms(standing.usable_until_ms.value_or(0));
    out.set_past(standing.state == ThawState::kPastLimit);
  }
  return {};
}

}  // namespace

Status handle_prep(Replica& replica, const proto::PrepCall& call, proto::PrepReply& out) {
  Sheet sheet(replica, call.day(), out);
  WRACKLINE_TRY(sheet.put_animals(call.area()));
  WRACKLINE_TRY(sheet.put_totals());
  WRACKLINE_TRY(sheet.put_thaws());
  WRACKLINE_TRY_VALUE(known, known_as_of(replica));
  out.set_known_as_of_ms(known);
  return {};
}

}  // namespace wrackline
