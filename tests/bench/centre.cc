#include "centre.h"

#include <algorithm>

#include "must_or_exit.h"

namespace wrackline::bench {
namespace {

std::uint32_t slot(int meal) { return 480 + 180 * static_cast<std::uint32_t>(meal); }

}  // namespace

void put(RecordId id, proto::RecordRef& out) {
  out.set_log(id.log.value);
  out.set_seq(id.seq);
}

NewRecord record_of(Kind kind, const google::protobuf::MessageLite& message) {
  return {static_cast<std::uint32_t>(kind), message.SerializeAsString(), {}, {}};
}

Centre::Centre(const std::string& path, int animals) : path_(path), keystore_(1) {
  replica_ = must(Replica::create(options(), membership("hub")));
  set_up(animals);
}

Replica::Options Centre::options() {
  return {path_, &keystore_, [this] { return now(); }};
}

Membership Centre::membership(const std::string& device) const { return {{7, 7, 7}, keystore_.public_key(), device}; }

void Centre::open() { replica_ = must(Replica::open(options())); }

RecordId Centre::log_one(Kind kind, const google::protobuf::MessageLite& message) {
  ++records_;
  return must(replica_->author().log_records(person_, {record_of(kind, message)})).front();
}

std::uint32_t Centre::random(std::uint32_t n) {
  state_ = state_ * 6364136223846793005ull + 1442695040888963407ull;
  return static_cast<std::uint32_t>((state_ >> 33) % n);
}

void Centre::set_up(int animals) {
  (void)must(replica_->admit_device("hub", keystore_.public_key()));
  proto::Person keeper;
  keeper.add_roles(proto::ROLE_KEEPER);
  keeper.add_roles(proto::ROLE_CURATOR);
  keeper.set_name("Ines Valdor");
  person_ = must(replica_->log_unauthored({{static_cast<std::uint32_t>(Kind::kPerson), keeper.SerializeAsString()}})).front();
  for (const char* name : {"herring", "squid", "smelt", "shrimp", "mackerel"}) {
    proto::Food food;
    food.set_name(name);
    food.set_energy_cal_per_g(1580);
    food.set_water_ppm(720'500);
    food.set_calcium_ug_per_g(570);
    food.set_phosphorus_ug_per_g(2360);
    foods_.push_back(log_one(Kind::kFood, food));
  }
  RecordId areas[2];
  for (int i = 0; i < 2; ++i) {
    proto::Area area;
    area.set_name(i == 0 ? "yard" : "hall");
    areas[i] = log_one(Kind::kArea, area);
  }
  for (int i = 0; i < animals; ++i) {
    proto::Pool pool;
    pool.set_name("pool " + std::to_string(i / 4));
    put(areas[i % 2], *pool.mutable_in_area());
    if (i % 4 == 0) pool_ = log_one(Kind::kPool, pool);
    proto::Animal animal;
    animal.set_name("animal " + std::to_string(i));
    put(pool_, *animal.mutable_pool());
    animals_.push_back(log_one(Kind::kAnimal, animal));
    proto::DietPlan plan;
    put(animals_.back(), *plan.mutable_animal());
    plan.set_first_day(kFirstDay);
    for (int meal = 0; meal < kMealsPerDay; ++meal) {
      for (RecordId food : foods_) {
        proto::DietLine& line = *plan.add_lines();
        put(food, *line.mutable_food());
        line.set_slot_min(slot(meal));
        line.set_mass_mg(300'000);
        line.set_tolerance_mg(30'000);
      }
    }
    log_one(Kind::kDietPlan, plan);
  }
}

// Everything of one day in one call, in the order of the day.
void Centre::log_day() {
  const Day day = next_day_++;
  clock_ = std::max(clock_, static_cast<WallMs>(day) * kDayMs + 8 * kHourMs);
  std::vector<NewRecord> batch;
  for (int meal = 0; meal < kMealsPerDay; ++meal) {
    for (RecordId animal : animals_) {
      proto::Meal event;
      put(animal, *event.mutable_animal());
      event.set_day(day);
      event.set_slot_min(slot(meal));
      event.set_happened_ms(static_cast<WallMs>(day) * kDayMs + slot(meal) * kMinuteMs);
      event.set_utc_offset_min(0);
      const std::size_t index = batch.size();
      batch.push_back(record_of(Kind::kMeal, event));
      for (RecordId food : foods_) {
        proto::Portion portion;
        put(food, *portion.mutable_food());
        portion.set_offered_mg(250'000 + 1000 * random(100));
        portion.set_left_mg(1000 * random(60));
        NewRecord record = record_of(Kind::kPortion, portion);
        record.links.push_back({1, index});
        batch.push_back(std::move(record));
      }
    }
  }
  if (day % 7 == 0) {
    for (RecordId animal : animals_) {
      proto::Measure mass;
      put(animal, *mass.mutable_animal());
      mass.set_day(day);
      mass.set_quantity(proto::QUANTITY_MASS);
      mass.set_value(80'000'000 + 10'000 * random(500));
      batch.push_back(record_of(Kind::kMeasure, mass));
    }
  }
  records_ += batch.size();
  (void)must(replica_->author().log_records(person_, batch));
}

}  // namespace wrackline::bench
