// Goal: what the hub holds depends on what came, not on which log id is the smaller or which log came first. Method: one small
// story told in every permutation of its log ids, all logs at once and one by one in every order.
#include "sync/gatekeeper.h"

#include <records.pb.h>

#include <catch2/catch.hpp>

#include <algorithm>

#include "base/wire.h"
#include "log/change_run.h"
#include "model/device.h"
#include "support/bare_replica.h"
#include "support/facility.h"

using namespace wrackline;

namespace {

constexpr PublicKey key_of_device(unsigned char n) {
  PublicKey key{};
  key[0] = n;
  return key;
}

const PublicKey kHubKey = key_of_device(1);
constexpr LogId kHubWrites{77};  // The log that the hub writes to meanwhile.
constexpr std::uint32_t kKindToCome = 63;

// Logs hub, a, b, c, d by the numbers 0 to 4, under ids that a test chooses.
class Story {
 public:
  explicit Story(std::vector<std::uint64_t> ids) : ids_(std::move(ids)) {}

  LogId log(std::size_t n) const { return LogId{ids_[n]}; }

  ChangeId tell(std::size_t log_number, std::uint64_t ms, RecordId author, std::uint32_t kind, RecordId record, const Bytes& fields) {
    Change change;
    change.stamp = Stamp::of(ms, static_cast<std::uint32_t>(log_number));
    change.author = author;
    change.kind = kind;
    change.record = record;
    change.fields = fields;
    std::vector<BareChange>& changes = world[log(log_number)];
    const unsigned char key = log_number == 0 ? 1 : static_cast<unsigned char>(10 + log_number);
    changes.push_back({{log(log_number), static_cast<Seq>(changes.size() + 1)}, key_of_device(key), write_change(change)});
    return changes.back().id;
  }
  ChangeId birth(std::size_t log_number, std::uint64_t ms, RecordId author, Kind kind, const Bytes& fields) {
    return tell(log_number, ms, author, static_cast<std::uint32_t>(kind), {}, fields);
  }
  ChangeId edit(std::size_t log_number, std::uint64_t ms, RecordId author, RecordId record, const Bytes& fields) {
    return tell(log_number, ms, author, 0, record, fields);
  }

  std::map<LogId, std::vector<BareChange>> world;

 private:
  std::vector<std::uint64_t> ids_;
};

Bytes person(std::vector<proto::Role> roles) {
  proto::Person out;
  for (const proto::Role role : roles) out.add_roles(role);
  return out.SerializeAsString();
}

Bytes field(std::uint32_t number, std::uint64_t value) {
  Bytes out;
  append_varint_field(out, number, value);
  return out;
}

// The hub, as far as holds go.
class HubInTest : public HoldWriter {
 public:
  explicit HubInTest(const std::string& folder) : replica_(folder, kHubKey), devices_(replica_.store()) {}

  void take(const Story& story, const std::vector<LogId>& logs) {
    Gatekeeper gatekeeper(replica_.store(), devices_);
    must(gatekeeper.begin());
    std::vector<BareReplica::Portion> portions;
    for (const LogId log : logs) {
      portions.emplace_back(log, 1000);
      gatekeeper.note({log, 1, static_cast<Seq>(story.world.at(log).size())});
    }
    replica_.take(story.world, portions, [&] { must(gatekeeper.conclude(*this)); });
  }
  std::set<ChangeId> held() { return replica_.held(); }
  BareReplica& replica() { return replica_; }
  // The cause told last for each change.
  std::map<ChangeId, HoldCause> causes;

  WallMs now() const override { return 1; }
  Status hold(const HeldChanges& changes, const Objection& objection) override {
    for (Seq seq = changes.first; seq <= changes.last; ++seq) causes[{changes.log, seq}] = objection.cause;
    Change change;
    change.kind = static_cast<std::uint32_t>(Kind::kHold);
    const Bytes fields = hold_fields(changes, objection.cause, objection.note, 1);
    change.fields = fields;
    return put(change);
  }
  Status note_former_role(RecordId, const HeldChanges& changes, WallMs) override {
    for (Seq seq = changes.first; seq <= changes.last; ++seq) former.insert({changes.log, seq});
    return {};
  }
  std::set<ChangeId> former;
  Status lift(RecordId hold, const std::string&) override {
    Change change;
    change.record = hold;
    const Bytes fields = field(kStandingField, kStruck);
    change.fields = fields;
    return put(change);
  }

 private:
  Status put(Change change) {
    Store& store = replica_.store();
    LogEntry& log = *must(store.logs().intern(kHubWrites));
    change.stamp = Stamp::of(10'000 + log.head.seq, 0);
    const Bytes bytes = write_change(change);
    append_bare(store, kHubWrites, kHubKey, {bytes});
    return store.records().apply(place_of(log.no, log.head.seq), must(read_change(bytes)));
  }

  BareReplica replica_;
  DeviceRegistry devices_;
};

struct Told {
  Story story;
  std::map<ChangeId, HoldCause> expected;
};

// Logs a, b and c; the hub knows of all devices and of an admin, a vet, a keeper and another keeper.
Told tell(std::vector<std::uint64_t> ids) {
  Told out{Story(std::move(ids)), {}};
  Story& s = out.story;
  for (unsigned char n = 11; n <= 14; ++n) {
    DeviceFields device;
    device.name = "tablet " + std::to_string(n);
    device.key = key_of_device(n);
    s.birth(0, 1, {}, Kind::kDevice, to_fields(device));
  }
  const RecordId admin = s.birth(0, 1, {}, Kind::kPerson, person({proto::ROLE_ADMIN}));
  const RecordId vet = s.birth(0, 1, {}, Kind::kPerson, person({proto::ROLE_VET}));
  const RecordId keeper = s.birth(0, 1, {}, Kind::kPerson, person({proto::ROLE_KEEPER}));
  const RecordId other = s.birth(0, 1, {}, Kind::kPerson, person({proto::ROLE_KEEPER}));
  const auto is_held = [&](ChangeId id, HoldCause cause) { out.expected[id] = cause; };

  // The admin makes the keeper a vet in one log, and the keeper orders in another: before it, and after it.
  s.edit(1, 100, admin, keeper, person({proto::ROLE_VET}));
  is_held(s.birth(2, 50, keeper, Kind::kTreatmentOrder, {}), HoldCause::kRole);
  s.birth(2, 200, keeper, Kind::kTreatmentOrder, {});
  // A plan in one log, edited in others by somebody who may and somebody who may not.
  const RecordId plan = s.birth(1, 110, vet, Kind::kDietPlan, field(3, 1));
  is_held(s.edit(3, 120, other, plan, field(3, 2)), HoldCause::kRole);
  s.edit(2, 130, vet, plan, field(3, 3));
  // Somebody makes themselves an admin, and with that somebody else a person, who then writes.
  is_held(s.edit(3, 90, other, other, person({proto::ROLE_ADMIN})), HoldCause::kRole);
  const RecordId nobody = s.birth(3, 91, other, Kind::kPerson, person({proto::ROLE_KEEPER}));
  is_held(nobody, HoldCause::kRole);
  is_held(s.birth(2, 140, nobody, Kind::kAnimal, {}), HoldCause::kAuthor);
  // Somebody whom the admin makes a person, by a clock that is behind what the person writes by.
  const RecordId late = s.birth(1, 300, admin, Kind::kPerson, person({proto::ROLE_CURATOR}));
  s.birth(3, 150, late, Kind::kAnimal, {});
  // A kind to come, and an edit of it.
  const RecordId strange = s.tell(1, 160, admin, kKindToCome, {}, field(1, 1));
  is_held(strange, HoldCause::kKind);
  is_held(s.edit(3, 170, vet, strange, field(1, 2)), HoldCause::kKind);
  return out;
}

std::set<ChangeId> keys_of(const std::map<ChangeId, HoldCause>& causes) {
  std::set<ChangeId> out;
  for (const auto& [id, cause] : causes) out.insert(id);
  return out;
}

}  // namespace

TEST_CASE("what the hub holds is the same whatever ids the logs have, all at once or one by one", "[hold][laws]") {
  std::vector<std::uint64_t> ids = {1, 2, 3, 4};
  do {
    std::vector<std::size_t> order = {1, 2, 3};
    do {
      for (const bool at_once : {true, false}) {
        if (at_once && !std::is_sorted(order.begin(), order.end())) continue;
        CAPTURE(ids, order, at_once);
        const Told told = tell(ids);
        ScratchFolder folder;
        HubInTest hub(folder / "hub.db");
        std::vector<LogId> logs;
        for (const std::size_t n : order) logs.push_back(told.story.log(n));
        if (at_once) logs.insert(logs.begin(), told.story.log(0));
        if (at_once) {
          hub.take(told.story, logs);
        } else {
          hub.take(told.story, {told.story.log(0)});
          for (const LogId log : logs) hub.take(told.story, {log});
        }
        REQUIRE(hub.held() == keys_of(told.expected));
        CHECK(hub.former.empty());  // Nobody in it loses a role for what counts.
        for (const auto& [id, cause] : told.expected) {
          if (at_once) CHECK(hub.causes.at(id) == cause);
        }
        CHECK(hub.replica().is_as_rebuilt());
        CHECK(hub.held() == keys_of(told.expected));
      }
    } while (std::next_permutation(order.begin(), order.end()));
  } while (std::next_permutation(ids.begin(), ids.end()));
}

TEST_CASE("a device struck in the same exchange brings nothing that counts; a held strike bars nobody",
          "[hold]") {
  std::vector<std::uint64_t> ids = {1, 2, 3, 4, 5};
  do {
    CAPTURE(ids);
    Story s(ids);
    std::vector<RecordId> devices;
    for (unsigned char n = 11; n <= 14; ++n) {
      DeviceFields device;
      device.key = key_of_device(n);
      devices.push_back(s.birth(0, 1, {}, Kind::kDevice, to_fields(device)));
    }
    const RecordId admin = s.birth(0, 1, {}, Kind::kPerson, person({proto::ROLE_ADMIN, proto::ROLE_KEEPER}));
    const RecordId keeper = s.birth(0, 1, {}, Kind::kPerson, person({proto::ROLE_KEEPER}));
    s.edit(1, 100, admin, devices[3], field(kStandingField, kStruck));
    const ChangeId of_the_struck = s.birth(4, 50, keeper, Kind::kObservation, {});
    const ChangeId not_allowed = s.edit(2, 100, keeper, devices[2], field(kStandingField, kStruck));
    const ChangeId from_the_struck = s.edit(4, 60, admin, keeper, person({proto::ROLE_VET}));
    s.birth(3, 110, keeper, Kind::kObservation, {});
    const ChangeId needs_it = s.birth(3, 120, keeper, Kind::kTreatmentOrder, {});
    ScratchFolder folder;
    HubInTest hub(folder / "hub.db");
    hub.take(s, {s.log(0)});
    hub.take(s, {s.log(4), s.log(2), s.log(3), s.log(1)});
    CHECK(hub.held() == std::set<ChangeId>{of_the_struck, not_allowed, from_the_struck, needs_it});
    CHECK(hub.causes[of_the_struck] == HoldCause::kRevoked);
    CHECK(hub.causes[needs_it] == HoldCause::kRole);
  } while (std::next_permutation(ids.begin(), ids.end()));
}

// The hub's next id is no secret, and what it writes itself does not come in: nobody would judge what waits for it.
TEST_CASE("nobody ends a hold before it is written, and an early edit counts once its record comes", "[hold]") {
  Story s({1, 2, 3, 4, 5});
  for (unsigned char n = 11; n <= 14; ++n) {
    DeviceFields device;
    device.key = key_of_device(n);
    s.birth(0, 1, {}, Kind::kDevice, to_fields(device));
  }
  const RecordId officer = s.birth(0, 1, {}, Kind::kPerson, person({proto::ROLE_OFFICER}));
  const RecordId admin = s.birth(0, 1, {}, Kind::kPerson, person({proto::ROLE_ADMIN}));
  const RecordId keeper = s.birth(0, 1, {}, Kind::kPerson, person({proto::ROLE_KEEPER}));
  const ChangeId first = s.birth(1, 10, keeper, Kind::kTreatmentOrder, {});
  const ChangeId second = s.birth(2, 20, keeper, Kind::kTreatmentOrder, {});
  const ChangeId strike = s.edit(2, 30, officer, {kHubWrites, 2}, field(kStandingField, kStruck));
  const RecordId to_come{s.log(0), static_cast<Seq>(s.world.at(s.log(0)).size() + 1)};
  const ChangeId by_admin = s.edit(3, 40, admin, to_come, person({proto::ROLE_VET}));
  const ChangeId by_keeper = s.edit(3, 50, keeper, to_come, person({proto::ROLE_ADMIN}));
  // The hold of those two, which the hub writes fourth. Whoever took it in would have them count when the hub writes the record.
  const ChangeId lets_in = s.edit(4, 60, officer, {kHubWrites, 4}, field(kStandingField, kStruck));
  ScratchFolder folder;
  HubInTest hub(folder / "hub.db");
  hub.take(s, {s.log(0)});
  hub.take(s, {s.log(1)});
  hub.take(s, {s.log(2)});
  CHECK(hub.held() == std::set<ChangeId>{first, second, strike});
  CHECK(hub.causes[strike] == HoldCause::kEarly);
  hub.take(s, {s.log(3)});
  CHECK(hub.held() == std::set<ChangeId>{first, second, strike, by_admin, by_keeper});
  hub.take(s, {s.log(4)});
  CHECK(hub.held() == std::set<ChangeId>{first, second, strike, by_admin, by_keeper, lets_in});
  // A hub that was restored gets back what it had written, from devices that had seen it.
  CHECK(s.birth(0, 2, {}, Kind::kPerson, person({proto::ROLE_KEEPER})) == to_come);
  hub.take(s, {s.log(0)});
  CHECK(hub.held() == std::set<ChangeId>{first, second, strike, by_keeper, lets_in});
  CHECK(hub.causes[by_keeper] == HoldCause::kRole);
  CHECK(hub.replica().is_as_rebuilt());
}

TEST_CASE("a change that waits for a rule is judged by new rules, unless an officer has decided", "[hold]") {
  Story s({1, 2, 3, 4});
  const RecordId admin = s.birth(0, 1, {}, Kind::kPerson, person({proto::ROLE_ADMIN}));
  const RecordId keeper = s.birth(0, 1, {}, Kind::kPerson, person({proto::ROLE_KEEPER}));
  const ChangeId animal = s.birth(1, 10, keeper, Kind::kAnimal, {});
  const ChangeId pool = s.birth(1, 11, keeper, Kind::kPool, {});
  const ChangeId food = s.birth(2, 12, keeper, Kind::kMeal, {});
  s.edit(3, 5, admin, keeper, person({proto::ROLE_CURATOR}));
  ScratchFolder folder;
  HubInTest hub(folder / "hub.db");
  hub.take(s, {s.log(0)});
  hub.take(s, {s.log(1)});
  CHECK(hub.held() == std::set<ChangeId>{animal, pool});
  // An older release had no rule for meals: so its hold says.
  Store& store = hub.replica().store();
  {
    auto write = must(store.begin_write());
    must(hub.hold({food.log, food.seq, food.seq}, {HoldCause::kKind, "made up"}));
    must(store.set_meta("judged_by", "another release"));
    must(write.commit());
  }
  hub.take(s, {s.log(2)});
  CHECK(hub.held() == std::set<ChangeId>{animal, pool});
  // An officer leaves one of the two out for good, before the word comes that its author was a curator.
  const std::vector<Place> holds = must(store.records().find(0, Kind::kHold, 0, 0));
  RecordId decided;
  for (const Place place : holds) {
    const HeldRange* range = store.records().holds().find(place);
    if (range != nullptr && range->has(store.logs().find_place(pool))) decided = store.logs().id_of(place);
  }
  {
    Story officer({1, 2, 3, 9});
    officer.edit(3, 400, admin, decided, field(kAcceptedField, 0));
    hub.replica().take(officer.world, {{officer.log(3), 9}});
  }
  hub.take(s, {s.log(3)});
  CHECK(hub.held() == std::set<ChangeId>{pool});
}
