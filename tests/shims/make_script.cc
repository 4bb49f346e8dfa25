// Records, a key, and a script of calls with the answers that the core itself gives: what every shim has to answer too.
//
//   wrackline_shim_script DIR     writes records.db, key, calls, answers
#include <call.pb.h>
#include <records.pb.h>

#include <cstdio>
#include <filesystem>
#include <fstream>

#include "call/core.h"
#include "crypto/sha256.h"
#include "model/kinds.h"
#include "support/seeded_keystore.h"

using namespace wrackline;

namespace {

constexpr std::uint64_t kDeviceSeed = 9;

template <typename T>
T must(Result<T> result) {
  if (result) return std::move(*result);
  std::fprintf(stderr, "shim script: %s\n", result.error().message.c_str());
  std::exit(1);
}

void write_file(const std::string& path, ByteView bytes) { std::ofstream(path, std::ios::binary) << bytes; }

class Script {
 public:
  Script(Core& core, RecordId author) : core_(core), author_(author) {}

  proto::Call in_name() const {
    proto::Call call;
    call.mutable_author()->set_log(author_.log.value);
    call.mutable_author()->set_seq(author_.seq);
    return call;
  }

  proto::Reply say(const proto::Call& call) {
    const Bytes asked = call.SerializeAsString(), answered = core_.call(asked);
    append(asked, calls);
    append(answered, answers);
    proto::Reply reply;
    if (!reply.ParseFromString(answered)) std::exit(1);
    return reply;
  }

  proto::RecordRef log(Kind kind, const google::protobuf::MessageLite& message) {
    proto::Call call = in_name();
    proto::NewRecord& record = *call.mutable_log()->add_records();
    record.set_kind(static_cast<std::uint32_t>(kind));
    record.set_fields(message.SerializeAsString());
    const proto::Reply reply = say(call);
    if (reply.log().records_size() != 1) {
      std::fprintf(stderr, "shim script: %s\n", reply.failure().message().c_str());
      std::exit(1);
    }
    return reply.log().records(0);
  }

  Bytes calls, answers;

 private:
  static void append(const Bytes& message, Bytes& out) {
    append_le(out, message.size(), 4);
    out += message;
  }
  Core& core_;
  RecordId author_;
};

void a_morning(Script& script) {
  proto::Call call;
  call.mutable_status();
  script.say(call);

  proto::Food food;
  food.set_name("herring");
  food.set_energy_cal_per_g(1580);
  const proto::RecordRef herring = script.log(Kind::kFood, food);
  proto::Animal animal;
  animal.set_name("Nereid");
  const proto::RecordRef nereid = script.log(Kind::kAnimal, animal);
  proto::Meal meal;
  *meal.mutable_animal() = nereid;
  meal.set_day(20'717);
  meal.set_slot_min(480);
  meal.set_happened_ms(1'789'978'800'000);
  meal.set_utc_offset_min(120);
  const proto::RecordRef breakfast = script.log(Kind::kMeal, meal);
  proto::Portion portion;
  *portion.mutable_meal() = breakfast;
  *portion.mutable_food() = herring;
  portion.set_gross_mg(1'250'000);
  portion.set_tare_mg(250'000);
  portion.set_left_mg(40'000);
  const proto::RecordRef fish = script.log(Kind::kPortion, portion);
  proto::Measure mass;
  *mass.mutable_animal() = nereid;
  mass.set_day(20'717);
  mass.set_quantity(proto::QUANTITY_MASS);
  mass.set_value(84'300'000);
  script.log(Kind::kMeasure, mass);

  // An edit without a reason is refused, with one it is taken; a value that disagrees with nothing shows in the trail.
  proto::Portion again;
  again.set_left_mg(90'000);
  call = script.in_name();
  *call.mutable_edit()->mutable_record() = fish;
  call.mutable_edit()->set_fields(again.SerializeAsString());
  script.say(call);
  call.mutable_edit()->set_reason("weighed again");
  script.say(call);

  call.Clear();
  *call.mutable_trail()->mutable_record() = fish;
  script.say(call);
  call.Clear();
  *call.mutable_intake()->mutable_animal() = nereid;
  call.mutable_intake()->set_first_day(20'711);
  call.mutable_intake()->set_last_day(20'717);
  script.say(call);
  call.Clear();
  call.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kAnimal));
  script.say(call);
  call.Clear();
  call.mutable_review();
  script.say(call);
  // Nobody is signed in.
  call.Clear();
  *call.mutable_strike()->mutable_record() = fish;
  call.mutable_strike()->set_reason("another animal's");
  script.say(call);
  call.Clear();
  call.mutable_exchange();  // The first request to the hub: all that was logged, sealed.
  script.say(call);
  call.Clear();
  call.mutable_digest();
  script.say(call);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  const std::string folder = argv[1], records = folder + "/records.db", copy = folder + "/script.db";
  std::filesystem::create_directories(folder);
  SeededKeystore hub(1), device(kDeviceSeed);
  Bytes seed;
  append_le(seed, kDeviceSeed, 8);
  write_file(folder + "/key", view(sha256("test key", seed)));  // The key that SeededKeystore makes.
  WallMs now = 1'790'000'000'000;
  const auto clock = [&now] { return now += 1000; };
  RecordId keeper;
  {
    const Membership membership{{1, 2, 3}, hub.public_key(), "tablet of the script"};
    auto replica = must(Replica::create({records, &device, [] { return WallMs{1'789'999'000'000}; }}, membership));
    proto::Person person;
    person.set_name("Ines Valdor");
    person.add_roles(proto::ROLE_KEEPER);
    person.add_roles(proto::ROLE_CURATOR);
    keeper = must(replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kPerson), person.SerializeAsString()}})).front();
    // One record in each log that the script writes into: ids of logs and seeds of salts are random, and every program of the test
    // begins with the same.
    proto::Animal animal;
    animal.set_name("Thetis");
    const RecordId thetis = must(replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kAnimal), animal.SerializeAsString()}})).front();
    proto::Meal meal;
    meal.mutable_animal()->set_log(thetis.log.value);
    meal.mutable_animal()->set_seq(thetis.seq);
    meal.set_day(20'716);
    meal.set_slot_min(480);
    meal.set_happened_ms(1'789'892'400'000);
    meal.set_utc_offset_min(120);
    proto::Measure mass;
    *mass.mutable_animal() = meal.animal();
    mass.set_day(20'716);
    mass.set_quantity(proto::QUANTITY_MASS);
    mass.set_value(71'000'000);
    must(replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kMeal), meal.SerializeAsString()}}));
    must(replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kMeasure), mass.SerializeAsString()}}));
  }
  std::filesystem::copy_file(records, copy, std::filesystem::copy_options::overwrite_existing);
  auto core = must(Core::open({copy, &device, clock}));
  Script script(*core, keeper);
  a_morning(script);
  write_file(folder + "/calls", script.calls);
  write_file(folder + "/answers", script.answers);
  return 0;
}
