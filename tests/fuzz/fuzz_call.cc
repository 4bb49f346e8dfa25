// A call as an app makes it. Oracle: the reply can be read; where only reading is allowed nothing changes; a failure changes
// nothing; a success leaves a replica that verifies and is what a rebuild gives.
#include <call.pb.h>

#include "base/wire.h"
#include "call/dispatch.h"
#include "fuzz_oracles.h"
#include "support/shift.h"
#include "wire_mutator.h"

namespace wrackline::fuzz {
namespace {

void run(ByteView input) {
  World& world = World::get();
  Replica& north = world.use(Role::kNorth);
  proto::Reply reply;
  insist(reply.ParseFromString(dispatch(north, input, CallScope::kReadOnly)), "the reply to a reader's call can be read");
  insist_untouched(north, Role::kNorth, "a reader's call");
  insist(reply.ParseFromString(dispatch(north, input)), "the reply to a call can be read");
  proto::Call call;
  const bool is_call = call.ParseFromArray(input.data(), static_cast<int>(input.size()));
  // These calls leave behind what is not in the state that is compared: an exchange under way, sessions, wrong tries,
  // seals.
  switch (call.what_case()) {
    case proto::Call::kExchange:
    case proto::Call::kSignIn:
    case proto::Call::kSignOut:
    case proto::Call::kProve:
    case proto::Call::kBundleImport: world.spoil(Role::kNorth); break;
    default: break;
  }
  if (reply.has_failure()) {
    insist(reply.failure().code() != 0 && !reply.failure().message().empty(), "a failure has a code and a message");
    insist(standing_of(north) == world.standing(Role::kNorth), "a call failed and left something behind");
    return;
  }
  insist(is_call, "what is no call fails");
  if (standing_of(north) == world.standing(Role::kNorth)) return;
  world.spoil(Role::kNorth);
  insist_whole(north, world.standing(Role::kNorth), "a call");
}

Bytes mutate(ByteView input, Random& random) { return mutate_message(input, random); }

proto::Call by_keeper() {
  proto::Call call;
  *call.mutable_author() = ref_of(World::get().keeper());
  return call;
}

std::vector<Seed> seeds() {
  World& world = World::get();
  const auto day = static_cast<std::int32_t>(Facility::kStartMs / 86'400'000);
  std::vector<Seed> out;
  const auto add = [&](const char* name, const proto::Call& call) { out.push_back({name, call.SerializeAsString()}); };
  proto::Call call = by_keeper();
  proto::Meal meal;
  *meal.mutable_animal() = ref_of(world.animal());
  meal.set_day(day);
  meal.set_slot_min(600);
  meal.set_happened_ms(Facility::kStartMs);
  meal.set_utc_offset_min(0);
  proto::NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(static_cast<std::uint32_t>(Kind::kMeal));
  record.set_fields(meal.SerializeAsString());
  add("log", call);
  call = by_keeper();
  proto::Portion portion;
  portion.set_left_mg(1234);
  *call.mutable_edit()->mutable_record() = ref_of(world.portion());
  call.mutable_edit()->set_fields(portion.SerializeAsString());
  call.mutable_edit()->set_reason("weighed again");
  add("edit", call);
  call = by_keeper();
  *call.mutable_strike()->mutable_record() = ref_of(world.portion());
  call.mutable_strike()->set_reason("not so");
  add("strike", call);
  call = by_keeper();
  *call.mutable_get()->mutable_record() = ref_of(world.portion());
  add("get", call);
  call = by_keeper();
  *call.mutable_trail()->mutable_record() = ref_of(world.portion());
  add("trail", call);
  call = by_keeper();
  call.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kMeal));
  add("list", call);
  call = by_keeper();
  *call.mutable_intake()->mutable_animal() = ref_of(world.animal());
  call.mutable_intake()->set_first_day(day - 7);
  call.mutable_intake()->set_last_day(day);
  add("intake", call);
  call = by_keeper();
  call.mutable_day_close()->set_area("yard");
  call.mutable_day_close()->set_day(day);
  call.mutable_day_close()->add_zone();
  add("day_close", call);
  call = by_keeper();
  call.mutable_exchange();
  add("exchange", call);
  call = by_keeper();
  call.mutable_bundle_import()->set_bundle(world.bundles().front());
  add("bundle_import", call);
  // Every other call in its shortest form.
  for (std::uint32_t number = 2; number <= 39; ++number) {
    Bytes bytes = by_keeper().SerializeAsString();
    append_bytes_field(bytes, number, {});
    out.push_back({"empty", bytes});
  }
  return out;
}

}  // namespace

const Target kCallTarget{"call", run, mutate, seeds};

}  // namespace wrackline::fuzz
