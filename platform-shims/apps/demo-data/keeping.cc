// The work at the pools and at the desk: what a keeper writes down on a shift, and the officer in the
// evening.
#include <algorithm>

#include "story.h"

namespace wrackline::demo {

using namespace proto;  // NOLINT(google-build-using-namespace): this file writes its messages on every line

namespace {

constexpr std::uint32_t kNoon = 12 * 60;
constexpr std::uint64_t kTareMg = 350'000;

std::uint64_t unsigned_mg(std::int64_t mg) {
  return static_cast<std::uint64_t>(std::max<std::int64_t>(mg, 0));
}
std::int64_t to_5_g(std::int64_t mg) { return (mg + 2'500) / 5'000 * 5'000; }

}  // namespace

// ---- Food -----------------------------------------------------------------------------------------------

Story::Fed Story::fed_at(int t, std::size_t animal, std::uint32_t slot_min) {
  const AnimalSpec& spec = animals()[animal];
  Fed fed;
  *fed.meal.mutable_animal() = animal_ref(animal);
  fed.meal.set_slot_min(slot_min);
  set_time(fed.meal, t, slot_min + static_cast<std::uint32_t>(dice_.below(18)));
  const std::int64_t appetite = appetite_permille(t, animal);
  // Follows the plan in force: the pup's grows, the seals' and penguins' goes with the season.
  const std::int64_t growth = animal == kVipp             ? 1000 + (t - spec.arrives) / 45 * 45 * 5
                              : animal <= kLastSeasonal ? plan_permille_
                                                          : 1000;
  for (const LineSpec& line : spec.lines) {
    if (line.slot_min != slot_min || !is_due(line, weekday(t))) continue;
    const std::int64_t planned = line.mass_g * 1000 * growth / 1000;
    const std::int64_t offered = to_5_g(planned + dice_.about_zero(planned / 40 + 1));
    std::int64_t left = to_5_g(offered * (1000 - appetite) / 1000 + dice_.about_zero(offered / 60 + 1));
    left = std::clamp<std::int64_t>(left < 10'000 ? 0 : left, 0, offered);
    Portion portion;
    *portion.mutable_food() = roster_.foods.at(line.food);
    if (spec.heads > 8) {
      portion.set_gross_mg(unsigned_mg(offered) + kTareMg);
      portion.set_tare_mg(kTareMg);
    } else {
      portion.set_offered_mg(unsigned_mg(offered));
    }
    // Nobody weighs food that sank in the kelp, or that gulls fetched.
    if (!dice_.once_in(22)) portion.set_left_mg(unsigned_mg(left));
    if (const auto store = stores_.find(line.food); store != stores_.end()) {
      *portion.mutable_lot() = store->second.lot;
      store->second.used_mg += offered;
      if (store->second.batch.seq() != 0) *portion.mutable_thaw_batch() = store->second.batch;
    }
    fed.portions.push_back(portion);
  }
  return fed;
}

void Story::add_fed(Batch& batch, const Fed& fed, const std::string& reason) {
  const std::uint32_t meal = batch.add(Kind::kMeal, fed.meal, reason);
  for (const Portion& portion : fed.portions) {
    const std::uint32_t at = batch.add(Kind::kPortion, portion, reason);
    batch.link(Portion::kMealFieldNumber, meal);
    if (portion.left_mg() > 100'000) weighed_.emplace_back(at, portion);
  }
}

void Story::feed(Batch& batch, int t, std::size_t animal, bool morning) {
  const AnimalSpec& spec = animals()[animal];
  if (dice_.once_in(140)) return;  // Fed or not, nobody wrote it down.
  std::vector<std::uint32_t> slots;
  for (const LineSpec& line : spec.lines)
    if (is_due(line, weekday(t)) && (line.slot_min < kNoon) == morning &&
        std::find(slots.begin(), slots.end(), line.slot_min) == slots.end())
      slots.push_back(line.slot_min);
  for (const std::uint32_t slot : slots) {
    const Fed fed = fed_at(t, animal, slot);
    if (dice_.once_in(70) && t + 2 < days_) {
      late_.push_back({t + 1 + static_cast<int>(dice_.below(2)), spec.on_north, fed});
      continue;
    }
    if (animal == kSila && morning)
      sila_meal_at_ = static_cast<std::uint32_t>(batch.call().log().records_size());
    add_fed(batch, fed);
  }
}

// ---- Health ---------------------------------------------------------------------------------------------

void Story::treat(Batch& batch, int t, std::size_t animal, bool morning) {
  const std::uint32_t slot = morning ? 510 : 990;
  if (animal == kSila && morning && t > 0 && !dice_.once_in(60)) {
    Administration a;
    *a.mutable_order() = vitamins_;
    a.set_due_day(day(t));
    a.set_due_slot_min(slot);
    set_instant(a, t, slot + 2);
    a.set_outcome(OUTCOME_GIVEN);
    a.set_given_ug(45'000 + 2'500 * static_cast<std::uint64_t>(dice_.below(3)));
    a.set_reckoned_from_mg(1'800'000);
    batch.add(Kind::kAdministration, a);
  }
  const Illness* i = illness(t, animal);
  if (!i || i->order.seq() == 0 || t < i->from + 2 || t > i->from + i->days - 4 || dice_.once_in(25)) return;
  Administration a;
  *a.mutable_order() = i->order;
  a.set_due_day(day(t));
  a.set_due_slot_min(slot);
  set_instant(a, t, slot + static_cast<std::uint32_t>(dice_.below(25)));
  const std::int64_t fate = dice_.below(20);
  a.set_outcome(fate == 0   ? OUTCOME_REFUSED
                : fate == 1 ? OUTCOME_PART
                : fate == 2 ? OUTCOME_UNKNOWN
                            : OUTCOME_GIVEN);
  if (a.outcome() == OUTCOME_UNKNOWN) a.set_note("spat out something, not found again");
  if (a.outcome() == OUTCOME_GIVEN) {
    const std::uint64_t body = unsigned_mg(body_mg(t, animal));
    // To the tenth of a millilitre that the syringe shows, of 50 mg each millilitre.
    a.set_given_ug(i->per_kg ? (i->dose_ug * body / 1'000'000 + 2'500) / 5'000 * 5'000 : i->dose_ug);
    if (i->per_kg) a.set_reckoned_from_mg(body);
  }
  batch.add(Kind::kAdministration, a);
}

void Story::look(Batch& batch, int t, std::size_t animal) {
  const auto seen = [&](Topic topic, const char* code, const char* text, std::uint32_t minute) {
    Observation o;
    *o.mutable_animal() = animal_ref(animal);
    set_time(o, t, minute);
    o.set_topic(topic);
    o.set_code(code);
    o.set_text(text);
    batch.add(Kind::kObservation, o);
  };
  if (const Illness* i = illness(t, animal)) {
    const int gone = t - i->from;
    if (gone == 0) seen(TOPIC_APPETITE, "slow", "Took the last pieces late.", 995);
    if (gone == 2) seen(TOPIC_APPETITE, "refuses", "Turned away after a few pieces. Told the vet.", 520);
    if (gone == 5) seen(TOPIC_BREATHING, "", "Breath is quiet again at rest.", 1000);
    if (gone == i->days - 1) seen(TOPIC_APPETITE, "", "Ate as before the illness.", 995);
    if (gone % 3 == 1 && animals()[animal].body_g > 20'000) {
      Measure m;
      *m.mutable_animal() = animal_ref(animal);
      set_time(m, t, 1005);
      m.set_quantity(QUANTITY_BODY_TEMPERATURE);
      m.set_value(
          static_cast<std::uint64_t>(36'800 + (gone < i->days / 2 ? 1'600 : 300) + dice_.about_zero(200)));
      m.set_method("rectal probe");
      batch.add(Kind::kMeasure, m);
    }
  } else if (dice_.once_in(120)) {
    static const std::vector<const char*> kTexts = {"Played with the hose jet.", "Shed hair on the haul-out.",
                                                    "Small scratch, dry, by the rail.",
                                                    "Watched visitors at the glass."};
    seen(TOPIC_BEHAVIOUR, "explore", dice_.pick(kTexts), 1010);
  }
}

void Story::weigh(Batch& batch, int t, std::size_t animal) {
  const AnimalSpec& spec = animals()[animal];
  if (spec.body_g == 0 || (t - spec.arrives) % spec.weighed_every_days != 0 || dice_.once_in(15)) return;
  Measure m;
  *m.mutable_animal() = animal_ref(animal);
  set_time(m, t, 7 * 60 + 40);
  m.set_quantity(QUANTITY_MASS);
  const std::int64_t body = body_mg(t, animal);
  const std::int64_t step = body > 20'000'000 ? 100'000 : 10'000;
  m.set_value(unsigned_mg((body + dice_.about_zero(body / 250)) / step * step));
  m.set_method(body > 20'000'000 ? "platform scale" : "in a tub");
  if (animal == kSila) sila_mass_at_ = static_cast<std::uint32_t>(batch.call().log().records_size());
  batch.add(Kind::kMeasure, m);
  if (!spec.on_north || t % 28 >= 7) return;
  m.set_quantity(QUANTITY_CONDITION_SCORE);
  m.set_value(static_cast<std::uint64_t>(3'000 - (illness(t, animal) ? 500 : 0)));
  m.set_method("five steps, seen from above");
  batch.add(Kind::kMeasure, m);
  if (spec.body_g < 20'000) return;
  m.set_quantity(QUANTITY_GIRTH);
  // Grows by about a third of what the mass does.
  m.set_value(
      static_cast<std::uint64_t>(980'000 + (body - spec.body_g * 1000) / 3'000 * 10 + spec.body_g * 2) /
      5'000 * 5'000);
  m.set_method("tape behind the fore flippers");
  batch.add(Kind::kMeasure, m);
}

// ---- Busy and watched animals ---------------------------------------------------------------------------

void Story::busy(Batch& batch, int t, bool on_north) {
  struct Habit {
    const char* animal;
    bool on_north;
    std::vector<const char*> things;
    int every;
  };
  static const std::vector<Habit> kHabits = {
      {"Blekk", false, {"Screw jar", "Kelp curtain"}, 2},
      {"Sila", true, {"Ice block with fish", "Floating ring", "Bubble pipe"}, 2},
      {"Odd", true, {"Ice block with fish", "Floating ring"}, 3},
      {"Penguin colony", false, {"Bubble pipe"}, 9},
  };
  for (const Habit& habit : kHabits) {
    if (habit.on_north != on_north || t % habit.every != 0 || dice_.once_in(8)) continue;
    EnrichmentUse use;
    *use.mutable_animal() = roster_.animals.at(habit.animal);
    set_time(use, t, 13 * 60 + static_cast<std::uint32_t>(dice_.below(60)));
    *use.mutable_enricher() = roster_.enrichers.at(dice_.pick(habit.things));
    if (!dice_.once_in(6)) use.set_response(static_cast<std::uint32_t>(1 + dice_.below(4)));
    use.set_minutes(static_cast<std::uint32_t>(5 + dice_.below(40)));
    batch.add(Kind::kEnrichmentUse, use);
  }
  if (!on_north || t % 15 != 3) return;
  for (const auto& [name, ref] : roster_.enrichers) {
    Inspection look;
    *look.mutable_enricher() = ref;
    set_time(look, t, 13 * 60 + 30);
    look.set_safe(!dice_.once_in(25));
    if (!look.safe()) look.set_findings("crack at the rim, taken away");
    batch.add(Kind::kInspection, look);
  }
}

void Story::train(Batch& batch, int t) {
  if (weekday(t) != 1 && weekday(t) != 4) return;
  static const std::vector<const char*> kCues = {"Station", "Target", "Crate"};
  for (const char* name : {"Sila", "Kobb", "Brenn"}) {
    TrainingSession session;
    *session.mutable_animal() = roster_.animals.at(name);
    set_time(session, t, 14 * 60 + static_cast<std::uint32_t>(dice_.below(40)));
    *session.mutable_cue() = roster_.cues.at(kCues[static_cast<std::size_t>(t / 7 % 3)]);
    const std::int64_t trials = 6 + dice_.below(7);
    // Two years make the animals better at it: from half of the trials to nine in ten.
    std::int64_t successes = 0;
    for (std::int64_t i = 0; i < trials; ++i) successes += dice_.below(1000) < 500 + 400 * t / days_;
    session.set_trials(static_cast<std::uint32_t>(trials));
    session.set_successes(static_cast<std::uint32_t>(successes));
    session.set_minutes(static_cast<std::uint32_t>(6 + dice_.below(6)));
    const std::uint32_t at = batch.add(Kind::kTrainingSession, session);
    Meal meal;
    *meal.mutable_animal() = roster_.animals.at(name);
    set_time(meal, t, 14 * 60 + 45);
    meal.set_slot_min(14 * 60);
    meal.set_purpose(PURPOSE_TRAINING);
    const std::uint32_t meal_at = batch.add(Kind::kMeal, meal);
    batch.link(Meal::kSessionFieldNumber, at);
    Portion portion;
    *portion.mutable_food() = roster_.foods.at("smelt");
    portion.set_offered_mg(unsigned_mg(successes * 30'000 + 60'000));
    portion.set_left_mg(0);
    stores_["smelt"].used_mg += static_cast<std::int64_t>(portion.offered_mg());
    *portion.mutable_lot() = stores_["smelt"].lot;
    batch.add(Kind::kPortion, portion);
    batch.link(Portion::kMealFieldNumber, meal_at);
  }
}

void Story::watch(Batch& batch, int t) {
  if (weekday(t) != 2) return;
  Scan scan;
  *scan.mutable_animal() = roster_.animals.at("Blekk");
  set_time(scan, t, 15 * 60);
  scan.set_every_s(60);
  std::uint32_t moments = 30;
  for (const char* code : {"rest", "hide", "explore", "swim"}) {
    const auto n = static_cast<std::uint32_t>(dice_.below(static_cast<std::int64_t>(moments) / 2 + 1));
    moments -= n;
    if (n == 0) continue;
    ScanCount& count = *scan.add_counts();
    count.set_code(code);
    count.set_scans(n);
  }
  scan.set_not_visible(moments);
  batch.add(Kind::kScan, scan);
}

// ---- Water and places -----------------------------------------------------------------------------------

void Story::read_water(Batch& batch, int t, bool on_north) {
  for (const PoolSpec& pool : pools()) {
    if ((std::string(pool.area) == "yard") != on_north || dice_.once_in(60)) continue;
    const auto read = [&](Parameter parameter, std::int64_t value, const char* instrument,
                          const char* method = "") {
      WaterReading r;
      *r.mutable_pool() = roster_.pools.at(pool.name);
      set_time(r, t, 7 * 60 + 15);
      r.set_parameter(parameter);
      r.set_value(value);
      r.set_instrument(instrument);
      r.set_method(method);
      batch.add(Kind::kWaterReading, r);
    };
    const std::int64_t temperature = pool.temperature_mc + season(t) * 4 + dice_.about_zero(400);
    read(PARAMETER_TEMPERATURE, temperature / 100 * 100, "probe 2");
    if (weekday(t) != 0 || pool.salinity == 0) continue;
    read(PARAMETER_SALINITY, (pool.salinity + dice_.about_zero(500)) / 100 * 100, "probe 2");
    read(PARAMETER_PH, (8'050 + dice_.about_zero(120)) / 10 * 10, "probe 2", "NBS scale");
    read(PARAMETER_OXYGEN, (9'400 - temperature / 10 + dice_.about_zero(400)) / 100 * 100, "optode");
    const std::int64_t bloom = dice_.once_in(40) ? 140 : 0;  // Above the limit once in a while.
    read(PARAMETER_AMMONIA, (25 + bloom + dice_.about_zero(20)) / 5 * 5, "photometer");
    if (on_north)
      read(PARAMETER_COLIFORM, (150 + dice_.about_zero(140)) / 10 * 10, "laboratory", "five tubes each");
  }
}

void Story::check_places(Batch& batch, int t, bool on_north) {
  const std::vector<const char*> areas =
      on_north ? std::vector<const char*>{"yard"} : std::vector<const char*>{"east", "hall"};
  for (const char* area : areas) {
    for (const char* task : {"foot baths changed", "fish kitchen: surfaces and knives"}) {
      HygieneCheck check;
      *check.mutable_in_area() = roster_.areas.at(area);
      set_time(check, t, 17 * 60 + 20);
      check.set_task(task);
      check.set_passed(!dice_.once_in(90));
      if (!check.passed()) check.set_note("done again in the evening");
      batch.add(Kind::kHygieneCheck, check);
    }
  }
}

// ---- The desk in the evening ----------------------------------------------------------------------------

Status Story::close_day(int t) {
  Batch batch;
  for (auto& [food, store] : stores_) {
    if (store.used_mg == 0) continue;
    StockMovement used;
    *used.mutable_lot() = store.lot;
    set_time(used, t, 18 * 60);
    used.set_cause(MOVEMENT_CAUSE_USED);
    used.set_change_mg(-store.used_mg);
    if (store.batch.seq() != 0) *used.mutable_thaw_batch() = store.batch;
    batch.add(Kind::kStockMovement, used);
    // Food that was thawed and not fed is thrown away; now and then nobody does.
    const std::int64_t over_mg = store.batch_mg - store.used_mg;
    if (store.batch.seq() != 0 && over_mg > 0 && !dice_.once_in(60)) {
      StockMovement out = used;
      out.set_cause(MOVEMENT_CAUSE_DISCARDED);
      out.set_change_mg(-over_mg);
      out.set_note("thawed and not fed");
      batch.add(Kind::kStockMovement, out);
      store.book_mg -= over_mg;
    }
    store.batch.Clear();
    store.batch_mg = 0;
    // Tomorrow's food is taken out tonight; about as much as today.
    if (t + 1 < days_ && (t + 1) % 21 != 0) store.thaw_mg = store.used_mg;
    store.book_mg -= store.used_mg;
    store.used_mg = 0;
    if (t % 21 != 14) continue;
    StockMovement count;
    *count.mutable_lot() = store.lot;
    set_time(count, t, 18 * 60 + 30);
    count.set_cause(MOVEMENT_CAUSE_COUNTED);
    const std::int64_t found =
        std::max<std::int64_t>((store.book_mg + dice_.about_zero(3'000'000)) / 100'000 * 100'000, 0);
    count.set_counted_mg(unsigned_mg(found));
    count.set_change_mg(found - store.book_mg);
    store.book_mg = found;
    batch.add(Kind::kStockMovement, count);
  }
  for (const char* area : areas()) {
    if (dice_.once_in(30)) continue;
    DayClose close;
    *close.mutable_in_area() = roster_.areas.at(area);
    set_time(close, t, 19 * 60 + 15);
    batch.add(Kind::kDayClose, close);
  }
  devices_.desk->set_clock(at(t, 19 * 60 + 20));
  WRACKLINE_TRY(devices_.desk->log(roster_.people.at("tove"), std::move(batch)));
  return {};
}

}  // namespace wrackline::demo
