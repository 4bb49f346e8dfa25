#include "husbandry.h"

#include <call.pb.h>
#include <records.pb.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <vector>

#include "call/dispatch.h"
#include "model/kinds.h"
#include "must.h"
#include "replica/author.h"
#include "replica/replica.h"
#include "support/seeded_keystore.h"

namespace wrackline::bench {
namespace {

constexpr int kAnimals = 60;
constexpr int kMealsPerDay = 4;
constexpr Day kFirstDay = 20'000;

void put(RecordId id, proto::RecordRef& out) {
  out.set_log(id.log.value);
  out.set_seq(id.seq);
}

NewRecord record_of(Kind kind, const google::protobuf::MessageLite& message) {
  return {static_cast<std::uint32_t>(kind), message.SerializeAsString(), {}, {}};
}

class Centre {
 public:
  Centre(const std::string& path, int days) : keystore_(1), days_(days) {
    clock_ = static_cast<WallMs>(kFirstDay) * kDayMs;
    const Membership membership{{7, 7, 7}, keystore_.public_key(), "bench"};
    replica_ = must(Replica::create({path, &keystore_, [this] { return clock_ += 100; }}, membership));
    set_up();
    for (Day day = kFirstDay; day < kFirstDay + days_; ++day) log_day(day);
  }

  Replica& replica() { return *replica_; }
  const std::vector<RecordId>& animals() const { return animals_; }
  Day last_day() const { return kFirstDay + days_ - 1; }
  std::uint64_t records() const { return records_; }

 private:
  RecordId log_one(Kind kind, const google::protobuf::MessageLite& message) {
    ++records_;
    return must(replica_->author().log_records(person_, {record_of(kind, message)})).front();
  }

  void set_up() {
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
    for (int i = 0; i < kAnimals; ++i) {
      proto::Pool pool;
      pool.set_name("pool " + std::to_string(i / 4));
      pool.set_area(i % 2 == 0 ? "yard" : "hall");
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

  static std::uint32_t slot(int meal) { return 480 + 180 * static_cast<std::uint32_t>(meal); }

  std::uint32_t random(std::uint32_t n) {
    state_ = state_ * 6364136223846793005ull + 1442695040888963407ull;
    return static_cast<std::uint32_t>((state_ >> 33) % n);
  }

  // Everything of one day in one call, in the order of the day.
  void log_day(Day day) {
    clock_ = std::max(clock_, static_cast<WallMs>(day) * kDayMs + 8 * 3'600'000);
    std::vector<NewRecord> batch;
    for (int meal = 0; meal < kMealsPerDay; ++meal) {
      for (RecordId animal : animals_) {
        proto::Meal event;
        put(animal, *event.mutable_animal());
        event.set_day(day);
        event.set_slot_min(slot(meal));
        event.set_happened_ms(static_cast<WallMs>(day) * kDayMs + slot(meal) * 60'000ull);
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

  SeededKeystore keystore_;
  int days_;
  WallMs clock_ = 0;
  std::unique_ptr<Replica> replica_;
  RecordId person_, pool_;
  std::vector<RecordId> foods_, animals_;
  std::uint64_t state_ = 11;
  std::uint64_t records_ = 0;
};

// Median of some runs, milliseconds; the first, which finds caches cold, is told beside it.
void time_call(const char* what, Replica& replica, const proto::Call& call, double target_ms) {
  const Bytes bytes = call.SerializeAsString();
  std::vector<double> times;
  std::size_t size = 0;
  for (int i = 0; i < 9; ++i) {
    const auto from = std::chrono::steady_clock::now();
    const Bytes answer = dispatch(replica, bytes);
    times.push_back(std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - from).count());
    proto::Reply reply;
    if (!reply.ParseFromString(answer) || reply.has_failure()) {
      std::fprintf(stderr, "bench: %s: %s\n", what, reply.failure().message().c_str());
      std::exit(1);
    }
    size = answer.size();
  }
  const double first = times.front();
  std::sort(times.begin(), times.end());
  const double median = times[times.size() / 2];
  std::printf("%-44s %9.2f ms  first %9.2f ms  %8zu B  target %.0f ms  %s\n", what, median, first, size, target_ms,
              median <= target_ms ? "met" : "MISSED");
  std::fflush(stdout);
}

}  // namespace

void husbandry(const std::string& folder, bool quick) {
  // 60 animals, four meals of five foods: 1440 records a day, and a weighing a week.
  Centre centre(folder + "/centre.db", quick ? 60 : 730);
  std::printf("\nQuestions over %llu records of %d animals in %d days.\n",
              static_cast<unsigned long long>(centre.records()), kAnimals, quick ? 60 : 730);
  Replica& replica = centre.replica();
  const Day last = centre.last_day();
  proto::Call call;
  put(centre.animals()[17], *call.mutable_intake()->mutable_animal());
  call.mutable_intake()->set_first_day(kFirstDay);
  call.mutable_intake()->set_last_day(last);
  time_call("intake of one animal, two years", replica, call, 10);
  put(centre.animals()[17], *call.mutable_intake_trend()->mutable_animal());
  call.mutable_intake_trend()->set_first_day(kFirstDay);
  call.mutable_intake_trend()->set_last_day(last);
  time_call("intake over time of one animal, two years", replica, call, 300);
  call.mutable_collection_day()->set_day(last);
  time_call("the whole collection's day", replica, call, 50);
  call.mutable_round()->set_day(last);
  call.mutable_round()->add_zone()->set_from_ms(0);
  time_call("the round of 60 animals", replica, call, 20);
  call.mutable_prep()->set_day(last);
  time_call("the prep sheet of 60 animals", replica, call, 50);
}

}  // namespace wrackline::bench
