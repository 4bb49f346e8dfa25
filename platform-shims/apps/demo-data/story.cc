#include "story.h"

#include <algorithm>

namespace wrackline::demo {

using namespace proto;  // NOLINT(google-build-using-namespace): this file writes its messages on every line

namespace {

constexpr std::uint32_t kMorningWritten = 12 * 60 + 10, kEveningWritten = 18 * 60 + 45;
constexpr int kStorm = 211;       // The tablet of the yard lay in the rain that day.
constexpr int kOutage = 498;      // Nobody wrote at all.

bool is_set(const RecordRef& ref) { return ref.seq() != 0; }

}  // namespace

Story::Story(Dice dice, const text::Zone& zone, Devices& devices, HubSide& hub, Roster roster, Day first_day,
             int days)
    : dice_(dice),
      zone_(zone),
      devices_(devices),
      hub_(hub),
      roster_(std::move(roster)),
      first_day_(first_day),
      days_(days),
      illnesses_(animals().size()) {
  plan_illnesses();
}

// ---- Time, bodies, appetites ----------------------------------------------------------------------------

WallMs Story::at(int t, std::uint32_t minute) const {
  const auto two = [](std::uint32_t n) { return (n < 10 ? "0" : "") + std::to_string(n); };
  // No event is written in the hour that a change of the clocks skips or repeats.
  auto instant = zone_.parse(text::print_day(day(t)) + " " + two(minute / 60) + ":" + two(minute % 60), 0);
  return instant ? *instant : 0;
}

std::int64_t Story::season(int t) const {
  const std::int64_t in_year = (day(t) - 45 + 365'000) % 365;  // 0 in the middle of February.
  return in_year < 183 ? in_year * 2000 / 183 - 1000 : (365 - in_year) * 2000 / 183 - 1000;
}

const Story::Illness* Story::illness(int t, std::size_t animal) const {
  for (const Illness& i : illnesses_[animal])
    if (t >= i.from && t < i.from + i.days) return &i;
  return nullptr;
}

void Story::plan_illnesses() {
  for (std::size_t a = 0; a < animals().size(); ++a) {
    if (animals()[a].heads > 1) continue;
    const int first = std::max(animals()[a].arrives + 20, 25);
    for (int from = first + static_cast<int>(dice_.below(200)); from + 30 < days_;
         from += 260 + static_cast<int>(dice_.below(240))) {
      Illness i;
      i.from = from;
      i.days = 12 + static_cast<int>(dice_.below(9));
      i.per_kg = dice_.once_in(2);
      illnesses_[a].push_back(i);
    }
  }
}

std::int64_t Story::appetite_permille(int t, std::size_t animal) {
  std::int64_t usual = 978 + dice_.about_zero(35) - season(t) / 60 - (weekday(t) == 0 ? 12 : 0);
  if (const Illness* i = illness(t, animal)) {
    const int gone = t - i->from;
    static constexpr std::int64_t kFalling[] = {800, 560, 400, 330, 330};
    const std::int64_t ill = gone < 5 ? kFalling[gone] : 330 + (usual - 330) * (gone - 4) / (i->days - 4);
    usual = ill + dice_.about_zero(60);
  }
  return std::clamp<std::int64_t>(usual, 0, 1000);
}

std::int64_t Story::body_mg(int t, std::size_t animal) const {
  const AnimalSpec& spec = animals()[animal];
  std::int64_t grams = spec.body_g * (1000 - season(t) / 25) / 1000;
  if (animal == kVipp) grams = spec.body_g + 85 * (t - spec.arrives);  // A pup grows.
  for (const Illness& i : illnesses_[animal]) {
    // Down by 7 % until the middle of the illness, and made good in the month after it.
    const int gone = t - i.from, lowest = i.days / 2, back = i.days + 30;
    if (gone < 0 || gone >= back) continue;
    const std::int64_t lost = gone < lowest ? 70 * gone / lowest : 70 * (back - gone) / (back - lowest);
    grams = grams * (1000 - lost) / 1000;
  }
  return grams * 1000;
}

const RecordRef& Story::keeper(int t, bool on_north) const {
  static constexpr const char* kShifts[] = {"ines", "jonas", "ivar"};
  return roster_.people.at(kShifts[static_cast<std::size_t>((t / 4 + (on_north ? 0 : 1)) % 3)]);
}

Status Story::exchange_all(Day on, std::uint32_t minute) {
  const int t = on - first_day_;
  // Twice: what the last device brings, the first has then too.
  for (int round = 0; round < 2; ++round) {
    for (Device* device : {devices_.north.get(), devices_.south.get(), devices_.desk.get()}) {
      device->set_clock(at(t, minute++));
      WRACKLINE_TRY(device->exchange(hub_));
    }
  }
  shared_mass_ = last_mass_;
  return {};
}

// ---- The plot -------------------------------------------------------------------------------------------

Status Story::tell() {
  for (int t = 0; t < days_; ++t) {
    const bool exchanges_early = t == 0 || t == animals()[kVipp].arrives;
    WRACKLINE_TRY(arrive(t));
    WRACKLINE_TRY(change_plans(t));
    WRACKLINE_TRY(receive_food(t));
    WRACKLINE_TRY(find_thawed(t));
    WRACKLINE_TRY(order_treatments(t));
    if (exchanges_early) WRACKLINE_TRY(exchange_all(day(t), 7 * 60 + 30));
    if (t != kOutage) {
      for (const bool morning : {true, false})
        for (const bool on_north : {true, false})
          if (!on_north || t != kStorm) WRACKLINE_TRY(keep(t, on_north, morning));
      WRACKLINE_TRY(correct(t));
      WRACKLINE_TRY(disagree(t));
      WRACKLINE_TRY(close_day(t));
    }
    if (weekday(t) == 6) {
      WRACKLINE_TRY(exchange_all(day(t), 20 * 60));
      WRACKLINE_TRY(settle(t));
    }
  }
  return exchange_all(day(days_ - 1), 21 * 60);
}

Status Story::arrive(int t) {
  const AnimalSpec& vipp = animals()[kVipp];
  if (t == vipp.arrives) {
    devices_.desk->set_clock(at(t, 7 * 60));
    Animal pup;
    pup.set_name(vipp.name);
    pup.set_taxon(vipp.taxon);
    *pup.mutable_pool() = roster_.pools.at(vipp.pool);
    pup.set_marks(vipp.marks);
    Batch batch;
    batch.add(Kind::kAnimal, pup);
    WRACKLINE_TRY_VALUE(refs, devices_.desk->log(roster_.people.at("tove"), std::move(batch)));
    roster_.animals[vipp.name] = refs[0];
  }
  if (t >= vipp.arrives && (t - vipp.arrives) % 45 == 0) {
    Batch batch;
    batch.add(Kind::kDietPlan, diet_plan(vipp, roster_, day(t), 1000 + (t - vipp.arrives) * 5));
    WRACKLINE_TRY(devices_.desk->log(roster_.people.at("mara"), std::move(batch)));
  }
  if (t == vipp.arrives + 60) {
    devices_.desk->set_clock(at(t, 11 * 60));
    Move move;
    *move.mutable_animal() = roster_.animals.at(vipp.name);
    set_time(move, t, 10 * 60 + 40);
    *move.mutable_from_pool() = roster_.pools.at("Quarantine");
    *move.mutable_to_pool() = roster_.pools.at("Seal pool 1");
    move.set_reason("quarantine over");
    Batch batch;
    batch.add(Kind::kMove, move);
    WRACKLINE_TRY(devices_.desk->log(roster_.people.at("tove"), std::move(batch)));
    Animal moved;
    *moved.mutable_pool() = roster_.pools.at("Seal pool 1");
    WRACKLINE_TRY(
        devices_.desk->edit(roster_.people.at("tove"), roster_.animals.at(vipp.name), moved, "moved"));
  }
  return {};
}

// The seals and penguins get more from October on, and less again in April.
Status Story::change_plans(int t) {
  const int to_winter = 274, to_summer = 91;
  const int in_year = static_cast<int>((day(t) + 365'000) % 365);
  if (t < 30 || (in_year != to_winter && in_year != to_summer)) return {};
  devices_.desk->set_clock(at(t, 6 * 60 + 45));
  Batch batch;
  plan_permille_ = in_year == to_winter ? 1080 : 1000;
  for (std::size_t a = 0; a <= kLastSeasonal; ++a)
    if (a != kVipp) batch.add(Kind::kDietPlan, diet_plan(animals()[a], roster_, day(t), plan_permille_));
  WRACKLINE_TRY(devices_.desk->log(roster_.people.at("mara"), std::move(batch)));
  return {};
}

Status Story::order_treatments(int t) {
  constexpr char kInvented[] = "Invented for a demonstration; not a dose to follow.";
  Batch batch;
  std::vector<Illness*> waiting;
  if (t == 0) {
    TreatmentOrder vitamins;
    *vitamins.mutable_animal() = animal_ref(kSila);
    vitamins.set_preparation("Vitamin tablet 250 mg");
    vitamins.set_dose_ug_per_kg_food(25'000);
    vitamins.set_strength_ug_per_unit(250'000);
    vitamins.set_unit_parts(4);
    vitamins.set_route("in fish");
    vitamins.set_vehicle("the first herring");
    vitamins.add_slots_min(510);
    vitamins.set_first_day(day(0));
    *vitamins.mutable_ordered_by() = roster_.people.at("mara");
    vitamins.set_instructions(kInvented);
    batch.add(Kind::kTreatmentOrder, vitamins);
  }
  for (std::size_t a = 0; a < animals().size(); ++a) {
    for (Illness& i : illnesses_[a]) {
      if (t != i.from + 2 || animals()[a].body_g < 20'000) continue;
      TreatmentOrder order;
      *order.mutable_animal() = animal_ref(a);
      order.set_preparation(i.per_kg ? "Antibiotic suspension 50 mg/mL" : "Antibiotic tablet 250 mg");
      i.dose_ug = i.per_kg ? 5'000 : 250'000;
      if (i.per_kg) {
        order.set_dose_ug_per_kg(i.dose_ug);
        order.set_strength_ug_per_ml(50'000);
        order.set_step_ul(100);
      } else {
        order.set_dose_ug(i.dose_ug);
      }
      order.set_route("by mouth, in fish");
      order.add_slots_min(510);
      order.add_slots_min(990);
      order.set_interval_min(7 * 60);
      order.set_daily_max(2);
      order.set_first_day(day(t));
      order.set_last_day(day(i.from + i.days - 4));
      *order.mutable_ordered_by() = roster_.people.at("mara");
      order.set_instructions(kInvented);
      batch.add(Kind::kTreatmentOrder, order);
      waiting.push_back(&i);
    }
  }
  if (batch.empty()) return {};
  devices_.desk->set_clock(at(t, 7 * 60 + 10));
  WRACKLINE_TRY_VALUE(refs, devices_.desk->log(roster_.people.at("mara"), std::move(batch)));
  std::size_t next = 0;
  if (t == 0) vitamins_ = refs[next++];
  for (Illness* i : waiting) i->order = refs[next++];
  return exchange_all(day(t), 7 * 60 + 30);
}

Status Story::receive_food(int t) {
  if (t % 21 != 0) return {};
  Batch batch;
  std::map<std::string, std::pair<std::uint32_t, Lot>> lots;
  for (const char* food : {"herring", "mackerel", "smelt", "squid", "shrimp"}) {
    Store& store = stores_[food];
    // Small remains of the last delivery make room for the new one.
    if (is_set(store.lot) && store.book_mg > 0) {
      StockMovement out;
      *out.mutable_lot() = store.lot;
      set_time(out, t, 6 * 60 + 15);
      out.set_cause(MOVEMENT_CAUSE_DISCARDED);
      out.set_change_mg(-store.book_mg);
      out.set_note("left when the next delivery came");
      batch.add(Kind::kStockMovement, out);
    }
    Lot lot;
    *lot.mutable_food() = roster_.foods.at(food);
    std::string code(food, 2);
    for (char& c : code) c = static_cast<char>(c - 32);
    lot.set_code(code + "-" + std::to_string(++store.lots));
    lot.set_received_day(day(t));
    lot.set_use_by_day(day(t) + 180);
    lot.set_store(std::string(food) == "shrimp" ? "freezer 2" : "freezer 1");
    lots[food] = {batch.add(Kind::kLot, lot), lot};
    StockMovement in;
    set_time(in, t, 6 * 60 + 30);
    in.set_cause(MOVEMENT_CAUSE_RECEIVED);
    // Enough for three weeks of the animals' plans, and a little more, rounded up to boxes of 10 kg.
    std::int64_t need_g = 0;
    for (std::size_t a = 0; a < animals().size(); ++a)
      for (const LineSpec& line : animals()[a].lines)
        for (int ahead = 0; is_here(t, a) && ahead < 21; ++ahead)
          if (std::string(food) == line.food && is_due(line, weekday(t + ahead)))
            need_g += line.mass_g * 12 / 10;
    in.set_change_mg((need_g + 9'999) / 10'000 * 10'000'000);
    store.book_mg = in.change_mg();
    batch.add(Kind::kStockMovement, in);
    batch.link(StockMovement::kLotFieldNumber, lots[food].first);
  }
  devices_.desk->set_clock(at(t, 6 * 60 + 50));
  WRACKLINE_TRY_VALUE(refs, devices_.desk->log(roster_.people.at("tove"), std::move(batch)));
  for (const auto& [food, lot] : lots) stores_[food].lot = refs[lot.first];
  return exchange_all(day(t), 7 * 60);
}

// Food taken out the evening before is written down when it is found thawed.
Status Story::find_thawed(int t) {
  if (t == kOutage) {
    for (auto& [food, store] : stores_) store.thaw_mg = 0;
    return {};
  }
  Batch batch;
  std::vector<Store*> stores;
  for (auto& [food, store] : stores_) {
    if (store.thaw_mg == 0) continue;
    ThawBatch thaw;
    *thaw.mutable_lot() = store.lot;
    set_time(thaw, t - 1, 18 * 60 + 10);
    thaw.set_mass_mg(static_cast<std::uint64_t>(store.thaw_mg));
    thaw.set_method(THAW_METHOD_REFRIGERATOR);
    thaw.set_thawed_ms(at(t, 6 * 60 + 10));
    batch.add(Kind::kThawBatch, thaw);
    stores.push_back(&store);
  }
  if (batch.empty()) return {};
  devices_.desk->set_clock(at(t, 6 * 60 + 55));
  WRACKLINE_TRY_VALUE(refs, devices_.desk->log(roster_.people.at("tove"), std::move(batch)));
  for (std::size_t i = 0; i < stores.size(); ++i) {
    stores[i]->batch = refs[i];
    stores[i]->batch_mg = stores[i]->thaw_mg;
    stores[i]->thaw_mg = 0;
  }
  return {};
}

// ---- Two devices that do not know of each other ---------------------------------------------------------

// Now and then the other tablet logs a meal again, or a mass is read in two ways.
Status Story::disagree(int t) {
  if (t % 97 == 40 && is_set(sila_meal_) && !is_set(meal_again_)) {
    devices_.south->set_clock(at(t, 19 * 60));
    Fed again = fed_at(t, kSila, 510);
    again.meal.set_note("helped at the seal pool");
    Batch batch;
    add_fed(batch, again);
    WRACKLINE_TRY_VALUE(refs, devices_.south->log(keeper(t, false), std::move(batch)));
    meal_again_ = refs[0];
    meal_first_ = sila_meal_;
  }
  if (t % 131 == 60 && is_set(shared_mass_) && !is_set(disputed_)) {
    Measure as_read;
    devices_.north->set_clock(at(t, 19 * 60 + 5));
    as_read.set_value(static_cast<std::uint64_t>(body_mg(t, kSila) + 700'000));
    WRACKLINE_TRY(devices_.north->edit(keeper(t, true), shared_mass_, as_read, "read again from the photo"));
    devices_.desk->set_clock(at(t, 19 * 60 + 8));
    as_read.set_value(static_cast<std::uint64_t>(body_mg(t, kSila) - 400'000));
    WRACKLINE_TRY(devices_.desk->edit(roster_.people.at("tove"), shared_mass_, as_read,
                                      "the crate was not subtracted"));
    disputed_ = shared_mass_;
  }
  return {};
}

// The officer's work on Sunday evening; the last ones are left for whoever looks at the demonstration.
Status Story::settle(int t) {
  if (t + 120 > days_) return {};
  const RecordRef& tove = roster_.people.at("tove");
  devices_.desk->set_clock(at(t, 20 * 60 + 30));
  if (is_set(meal_again_)) {
    WRACKLINE_TRY(devices_.desk->fold(tove, meal_again_, meal_first_, "one meal, both wrote it down"));
    meal_again_.Clear();
  }
  if (is_set(disputed_)) {
    Measure as_settled;
    as_settled.set_value(static_cast<std::uint64_t>(body_mg(t, kSila) - 400'000));
    WRACKLINE_TRY(devices_.desk->edit(tove, disputed_, as_settled, "weighed once more to be sure", true));
    disputed_.Clear();
  }
  return {};
}

Status Story::correct(int t) {
  for (const Correction& c : corrections_) {
    if (c.day != t) continue;
    tablet(c.on_north).set_clock(at(t, kEveningWritten + 10));
    Portion fields;
    fields.set_left_mg(c.left_mg);
    WRACKLINE_TRY(
        tablet(c.on_north).edit(keeper(t, c.on_north), c.portion, fields, "left was weighed with the dish"));
  }
  corrections_.erase(std::remove_if(corrections_.begin(), corrections_.end(),
                                    [t](const Correction& c) { return c.day <= t; }),
                     corrections_.end());
  return {};
}

Status Story::keep(int t, bool on_north, bool morning) {
  Batch batch;
  weighed_.clear();
  sila_meal_at_.reset();
  sila_mass_at_.reset();
  for (std::size_t a = 0; a < animals().size(); ++a) {
    if (animals()[a].on_north != on_north || !is_here(t, a)) continue;
    feed(batch, t, a, morning);
    treat(batch, t, a, morning);
    if (!morning) look(batch, t, a);
    if (morning) weigh(batch, t, a);
  }
  if (!morning) {
    busy(batch, t, on_north);
    if (on_north) train(batch, t);
    if (!on_north) watch(batch, t);
    check_places(batch, t, on_north);
    for (const Late& late : late_)
      if (late.day == t && late.on_north == on_north)
        add_fed(batch, late.fed, "written down later, from the whiteboard");
    late_.erase(std::remove_if(late_.begin(), late_.end(),
                               [&](const Late& l) { return l.day <= t && l.on_north == on_north; }),
                late_.end());
  } else {
    read_water(batch, t, on_north);
  }
  tablet(on_north).set_clock(at(t, morning ? kMorningWritten : kEveningWritten));
  WRACKLINE_TRY_VALUE(refs, tablet(on_north).log(keeper(t, on_north), std::move(batch)));
  for (const auto& [index, portion] : weighed_)
    if (dice_.once_in(110))
      corrections_.push_back({t + 1, on_north, refs[index], portion.left_mg() / 2 / 5'000 * 5'000});
  if (on_north && morning) {
    sila_meal_ = sila_meal_at_ ? refs[*sila_meal_at_] : RecordRef();
    if (sila_mass_at_) last_mass_ = refs[*sila_mass_at_];
  }
  return {};
}

}  // namespace wrackline::demo
