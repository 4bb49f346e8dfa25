#include "demo_roster.h"

#include "nutrition/foods_sr28.h"

namespace wrackline::demo {
namespace {

using namespace proto;  // NOLINT(google-build-using-namespace): this file writes its messages on every line

constexpr std::uint32_t kMonThu = 0b0001001, kMonWedFri = 0b0010101, kTueFri = 0b0010010;
constexpr std::uint32_t kNotSunday = 0b0111111;

std::uint64_t mg(std::int64_t grams) { return static_cast<std::uint64_t>(grams) * 1000; }

template <typename Message>
Message named(const char* name) {
  Message m;
  m.set_name(name);
  return m;
}

// Logs what was gathered under names, and keeps the ids under them.
class Naming {
 public:
  Naming(Device& desk, const RecordRef& author) : desk_(desk), author_(author) {}
  void add(Kind kind, const std::string& name, const google::protobuf::MessageLite& message) {
    batch_.add(kind, message);
    names_.push_back(name);
  }
  Status log_into(std::map<std::string, RecordRef>& out) {
    WRACKLINE_TRY_VALUE(refs, desk_.log(author_, std::move(batch_)));
    for (std::size_t i = 0; i < refs.size(); ++i) out[names_[i]] = refs[i];
    batch_ = Batch();
    names_.clear();
    return {};
  }

 private:
  Device& desk_;
  RecordRef author_;
  Batch batch_;
  std::vector<std::string> names_;
};

Status record_foods(Naming& naming, Roster& roster) {
  const std::map<std::uint32_t, std::string> used = {
      {15039, "herring"}, {15046, "mackerel"}, {15099, "smelt"}, {15175, "squid"}, {15149, "shrimp"}};
  for (const TableFood& row : kFoodsSr28) {
    const auto name = used.find(row.ndb_number);
    if (name == used.end()) continue;
    Food food = named<Food>(row.name);
    food.set_source(std::string(kSr28Source) + ", NDB " + std::to_string(row.ndb_number));
    food.set_energy_cal_per_g(row.energy_cal_per_g);
    food.set_water_ppm(row.proximates.water_ppm.value_or(0));
    food.set_protein_ppm(row.proximates.protein_ppm.value_or(0));
    food.set_fat_ppm(row.proximates.fat_ppm.value_or(0));
    food.set_calcium_ug_per_g(row.calcium_ppm.value_or(0));
    food.set_phosphorus_ug_per_g(row.phosphorus_ppm.value_or(0));
    naming.add(Kind::kFood, name->second, food);
  }
  naming.add(Kind::kFood, "crab",
             named<Food>("Shore crab, whole"));  // Composition not known, and not guessed.
  return naming.log_into(roster.foods);
}

Status record_busy_things(Naming& naming, Roster& roster) {
  struct Thing {
    const char *name, *goal, *caution;
    std::uint32_t inspect_days, gap_days;
  };
  for (const Thing& t : {Thing{"Screw jar", "opens things", "chipped edges", 14, 2},
                         Thing{"Ice block with fish", "forages", "no ice below 5 cm", 30, 3},
                         Thing{"Floating ring", "plays", "loose rope ends", 30, 2},
                         Thing{"Kelp curtain", "hides and explores", "", 60, 1},
                         Thing{"Bubble pipe", "chases", "cable and water", 30, 4}}) {
    Enricher e = named<Enricher>(t.name);
    e.set_goal(t.goal);
    e.set_caution(t.caution);
    e.set_inspect_every_days(t.inspect_days);
    e.set_gap_days(t.gap_days);
    naming.add(Kind::kEnricher, t.name, e);
  }
  WRACKLINE_TRY(naming.log_into(roster.enrichers));
  struct Signal {
    const char *name, *signal, *criterion;
  };
  for (const Signal& s : {Signal{"Station", "flat hand", "stays at the mark for 10 s"},
                          Signal{"Target", "ball on a pole", "touches the ball within 5 s"},
                          Signal{"Crate", "two taps on the crate", "goes in whole, door open"}}) {
    Cue cue = named<Cue>(s.name);
    cue.set_signal(s.signal);
    cue.set_criterion(s.criterion);
    naming.add(Kind::kCue, s.name, cue);
  }
  return naming.log_into(roster.cues);
}

void add_lists_and_limits(Batch& batch, const Roster& roster, Day first_day) {
  const auto code = [&](Topic topic, const char* word, const char* meaning) {
    Code c;
    c.set_topic(topic);
    c.set_code(word);
    c.set_meaning(meaning);
    batch.add(Kind::kCode, c);
  };
  code(TOPIC_BEHAVIOUR, "rest", "Lies or floats still, eyes closed or half closed, for the whole moment.");
  code(TOPIC_BEHAVIOUR, "swim", "Moves through the water by its own strokes.");
  code(TOPIC_BEHAVIOUR, "explore", "Touches or follows an object, wall or jet.");
  code(TOPIC_BEHAVIOUR, "hide", "More than half of the body in den, tube or kelp.");
  code(TOPIC_APPETITE, "slow", "Takes the food, but later than a minute after it is offered.");
  code(TOPIC_APPETITE, "refuses", "Takes nothing for five minutes.");
  code(TOPIC_WOUND, "small", "Shorter than 2 cm, skin only; write where.");

  const auto limit = [&](Parameter parameter, std::int64_t low, std::int64_t high,
                         std::uint32_t every_hours) {
    WaterLimit l;
    l.set_parameter(parameter);
    l.set_low(low);
    l.set_high(high);
    if (every_hours) l.set_every_hours(every_hours);
    l.set_source("invented for this demonstration; no source");
    l.set_unverified(true);
    batch.add(Kind::kWaterLimit, l);
  };
  limit(PARAMETER_TEMPERATURE, 2'000, 20'000, 24);
  limit(PARAMETER_PH, 7'700, 8'400, 168);
  limit(PARAMETER_AMMONIA, 0, 100, 168);
  SiteLimit portion;
  portion.set_of_kind(static_cast<std::uint32_t>(Kind::kPortion));
  portion.set_of_field(Portion::kOfferedMgFieldNumber);
  portion.set_high(static_cast<std::int64_t>(mg(9'000)));
  portion.set_note("more than this in one portion is a slip of the scale");
  batch.add(Kind::kSiteLimit, portion);

  for (const AnimalSpec& a : animals()) {
    if (a.body_g == 0 || a.arrives > 0) continue;
    WatchPlan watch;
    *watch.mutable_subject() = roster.animals.at(a.name);
    watch.set_first_day(first_day);
    watch.set_quantity(QUANTITY_MASS);
    watch.set_every_days(static_cast<std::uint32_t>(a.weighed_every_days));
    batch.add(Kind::kWatchPlan, watch);
  }
  for (const PoolSpec& p : pools()) {
    WatchPlan watch;
    *watch.mutable_subject() = roster.pools.at(p.name);
    watch.set_first_day(first_day);
    watch.set_parameter(PARAMETER_TEMPERATURE);
    watch.set_every_days(1);
    batch.add(Kind::kWatchPlan, watch);
  }
}

void add_plans(Batch& batch, const Roster& roster, Day first_day) {
  for (const AnimalSpec& a : animals())
    if (a.arrives == 0) batch.add(Kind::kDietPlan, diet_plan(a, roster, first_day, 1000));
  const auto enrichment = [&](const char* animal, std::uint32_t times, std::vector<const char*> things) {
    EnrichmentPlan plan;
    *plan.mutable_animal() = roster.animals.at(animal);
    plan.set_first_day(first_day);
    plan.set_times_per_week(times);
    plan.set_gap_days(2);
    for (const char* thing : things) *plan.add_enrichers() = roster.enrichers.at(thing);
    *plan.mutable_approved_by() = roster.people.at("tove");
    batch.add(Kind::kEnrichmentPlan, plan);
  };
  enrichment("Blekk", 4, {"Screw jar", "Kelp curtain"});
  enrichment("Sila", 3, {"Ice block with fish", "Floating ring", "Bubble pipe"});
  enrichment("Odd", 3, {"Ice block with fish", "Floating ring"});
}

}  // namespace

const std::vector<AnimalSpec>& animals() {
  static const std::vector<AnimalSpec> kAll = {
      {"Sila",
       "grey seal",
       "Seal pool 1",
       1,
       true,
       84'000,
       7,
       0,
       "scar on left fore flipper",
       {{"herring", 510, 0, 1'800, "whole, thawed", "by hand"},
        {"herring", 990, kNotSunday, 1'500, "whole, thawed"},
        {"squid", 990, kMonThu, 300}}},
      {"Kobb",
       "harbour seal",
       "Seal pool 2",
       1,
       true,
       61'500,
       7,
       0,
       "tag scar, right hind flipper",
       {{"herring", 510, 0, 1'300, "whole, thawed"}, {"mackerel", 990, 0, 900, "halved"}}},
      {"Brenn",
       "harbour seal",
       "Seal pool 2",
       1,
       true,
       72'000,
       7,
       0,
       "dark face",
       {{"herring", 510, 0, 1'400, "whole, thawed"},
        {"mackerel", 990, 0, 1'100, "halved"},
        {"squid", 990, kTueFri, 250}}},
      {"Tare",
       "grey seal",
       "Seal pool 1",
       1,
       true,
       121'000,
       14,
       0,
       "old bull, worn teeth",
       {{"herring", 510, 0, 2'400, "filleted"}, {"herring", 990, 0, 2'200, "filleted"}}},
      {"Vipp",
       "grey seal",
       "Quarantine",
       1,
       true,
       23'000,
       3,
       430,
       "stranded pup, white patches",
       {{"herring", 480, 0, 600, "small, whole"},
        {"herring", 780, 0, 600, "small, whole"},
        {"herring", 1080, 0, 700, "small, whole"}}},
      {"Odd",
       "Eurasian otter",
       "Otter holt",
       1,
       true,
       9'100,
       14,
       0,
       "nick in right ear",
       {{"smelt", 540, 0, 500, "whole"},
        {"crab", 960, kMonWedFri, 250},
        {"smelt", 960, 0, 400, "whole", "scattered"}}},
      {"Penguin colony",
       "Humboldt penguin",
       "Penguin shore",
       24,
       false,
       0,
       0,
       0,
       "",
       {{"smelt", 540, 0, 5'800, "whole", "by hand"}, {"herring", 960, 0, 5'200, "small, whole", "by hand"}}},
      {"Eiders",
       "common eider",
       "Penguin shore",
       5,
       false,
       0,
       0,
       0,
       "",
       {{"shrimp", 600, 0, 600, "thawed", "scattered"}}},
      {"Rays",
       "thornback ray",
       "Ray lagoon",
       6,
       false,
       0,
       0,
       0,
       "",
       {{"shrimp", 600, kNotSunday, 900, "thawed"}, {"squid", 870, kMonWedFri, 500, "strips"}}},
      {"Skates",
       "blonde ray",
       "Ray lagoon",
       2,
       false,
       0,
       0,
       0,
       "",
       {{"mackerel", 870, kMonWedFri, 700, "strips"}}},
      {"Blekk",
       "common octopus",
       "Den tank",
       1,
       false,
       2'900,
       30,
       0,
       "",
       {{"crab", 900, kMonWedFri, 80}, {"shrimp", 900, kTueFri, 60, "", "in a screw jar"}}},
      {"Cod shoal",
       "Atlantic cod",
       "Cold gallery",
       40,
       false,
       0,
       0,
       0,
       "",
       {{"herring", 630, kMonWedFri, 2'600, "chopped"}}},
      {"Stein",
       "Atlantic wolffish",
       "Cold gallery",
       1,
       false,
       6'300,
       60,
       0,
       "broken left canine",
       {{"crab", 640, kTueFri, 320, "", "on the tongs"}}},
      {"Lumpfish", "lumpfish", "Cold gallery", 12, false, 0, 0, 0, "", {{"shrimp", 650, 0, 240, "chopped"}}},
      {"Flyndra",
       "turbot",
       "Ray lagoon",
       1,
       false,
       7'800,
       60,
       0,
       "",
       {{"smelt", 610, kMonWedFri, 300, "whole"}}},
  };
  return kAll;
}

const std::vector<PoolSpec>& pools() {
  static const std::vector<PoolSpec> kAll = {
      {"Seal pool 1", "yard", 40'000, 9'500, 33'600},     {"Seal pool 2", "yard", 25'000, 9'500, 33'600},
      {"Quarantine", "yard", 6'000, 12'000, 33'200},      {"Otter holt", "yard", 9'000, 10'000, 0},
      {"Penguin shore", "east", 110'000, 11'000, 33'500}, {"Ray lagoon", "hall", 60'000, 11'500, 33'800},
      {"Den tank", "hall", 2'000, 12'500, 34'000},        {"Cold gallery", "hall", 80'000, 7'500, 34'100},
  };
  return kAll;
}

const std::vector<const char*>& areas() {
  static const std::vector<const char*> kAll = {"yard", "east", "hall"};
  return kAll;
}

proto::DietPlan diet_plan(const AnimalSpec& animal, const Roster& roster, Day first_day,
                          std::int64_t permille) {
  DietPlan plan;
  *plan.mutable_animal() = roster.animals.at(animal.name);
  plan.set_first_day(first_day);
  *plan.mutable_approved_by() = roster.people.at("mara");
  for (const LineSpec& spec : animal.lines) {
    DietLine& line = *plan.add_lines();
    *line.mutable_food() = roster.foods.at(spec.food);
    line.set_slot_min(spec.slot_min);
    line.set_weekdays(spec.weekdays);
    const std::int64_t grams = spec.mass_g * permille / 1000 / 10 * 10;
    line.set_mass_mg(mg(grams));
    line.set_tolerance_mg(mg(grams / 20 + 1));
    line.set_preparation(spec.preparation);
    line.set_presentation(spec.presentation);
  }
  return plan;
}

Result<Roster> record_roster(Device& desk, const proto::RecordRef& admin, Day first_day) {
  Roster roster;
  Naming by_admin(desk, admin);
  const auto person = [&](const char* key, const char* name, std::vector<Role> roles) {
    Person p = named<Person>(name);
    for (Role role : roles) p.add_roles(role);
    by_admin.add(Kind::kPerson, key, p);
  };
  person("tove", "Tove Holm", {ROLE_OFFICER, ROLE_CURATOR});
  person("ines", "Ines Vik", {ROLE_KEEPER});
  person("jonas", "Jonas Berg", {ROLE_KEEPER});
  person("ivar", "Ivar Moe", {ROLE_KEEPER});
  person("mara", "Dr. Mara Lund", {ROLE_VET});
  WRACKLINE_TRY(by_admin.log_into(roster.people));

  Naming naming(desk, roster.people.at("tove"));
  for (const char* area : areas()) naming.add(Kind::kArea, area, named<Area>(area));
  WRACKLINE_TRY(naming.log_into(roster.areas));
  for (const PoolSpec& p : pools()) {
    Pool pool = named<Pool>(p.name);
    *pool.mutable_in_area() = roster.areas.at(p.area);
    pool.set_volume_l(p.volume_l);
    naming.add(Kind::kPool, p.name, pool);
  }
  WRACKLINE_TRY(naming.log_into(roster.pools));
  for (const AnimalSpec& a : animals()) {
    if (a.arrives > 0) continue;
    Animal animal = named<Animal>(a.name);
    animal.set_taxon(a.taxon);
    *animal.mutable_pool() = roster.pools.at(a.pool);
    if (a.heads > 1) animal.set_head_count(a.heads);
    animal.set_marks(a.marks);
    naming.add(Kind::kAnimal, a.name, animal);
  }
  WRACKLINE_TRY(naming.log_into(roster.animals));
  WRACKLINE_TRY(record_foods(naming, roster));
  WRACKLINE_TRY(record_busy_things(naming, roster));

  Batch batch;
  add_lists_and_limits(batch, roster, first_day);
  std::int64_t number = 1001;
  for (const AnimalSpec& a : animals()) {
    if (a.heads > 1 || a.arrives > 0 || !a.on_north) continue;
    Tag tag;
    *tag.mutable_animal() = roster.animals.at(a.name);
    tag.set_tag_kind(TAG_KIND_PIT);
    tag.set_code("99900000000" + std::to_string(number++));  // 999: for trials, by ISO 11784 (from memory).
    tag.set_place("left side of the neck");
    tag.set_applied_day(first_day - 40);
    batch.add(Kind::kTag, tag);
  }
  WRACKLINE_TRY(desk.log(roster.people.at("tove"), std::move(batch)));
  Batch plans;
  add_plans(plans, roster, first_day);
  WRACKLINE_TRY(desk.log(roster.people.at("mara"), std::move(plans)));
  return roster;
}

}  // namespace wrackline::demo
