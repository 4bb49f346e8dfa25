// Goal: where the facility asks for proofs, no device causes a change of people, roles, PINs, devices, limits or rules by what it writes
// itself: whatever it writes, in whoever's name, proven or not, by whichever way it comes, with an officer's word for it or without.
// Method: a table of lies, written by the thief's own core with the device's good seal, and of ways to the hub; every one with every one,
// over TLS.
#include <call.pb.h>
#include <proving.pb.h>
#include <records.pb.h>

#include <catch2/catch.hpp>
#include <functional>

#include "base/built_in_fields.h"
#include "base/wire.h"
#include "model/device.h"
#include "model/hold.h"
#include "model/kinds.h"
#include "model/sign_in_rules.h"
#include "proving_world.h"
#include "replica/author.h"
#include "store/store.h"
#include "support/wire_field.h"

using namespace wrackline;

namespace {

// Writes like a core that asks nobody whether it may: as the hub's own hand does, in somebody's name.
Status write_edit(TestDevice& device, RecordId by, RecordId record, const Bytes& fields) {
  Edit edit;
  edit.record = record;
  edit.fields = fields;
  edit.reason = "a lie";
  edit.settle = true;
  edit.is_of_hub = true;
  const auto done = device.replica().author().edit(by, std::move(edit));
  return done ? Status() : Status(fail(done.error()));
}

// Births are written by the hub's own way and carry no author; an edit in the author's name goes with each.
Status write_birth(TestDevice& device, RecordId by, Kind kind, const Bytes& fields) {
  const auto done = device.replica().author().log_records(by, {{static_cast<std::uint32_t>(kind), fields, {}, {}}});
  if (done) return {};
  // This person's roles forbid it on an honest device; without an author the core writes it all the same.
  const auto unsigned_one = device.replica().log_unauthored({{static_cast<std::uint32_t>(kind), fields}});
  if (!unsigned_one) return fail(unsigned_one.error());
  Bytes touched;
  append_varint_field(touched, kStandingField, 1);
  return write_edit(device, by, unsigned_one->front(), touched);
}

Bytes person_of(const std::string& name, proto::Role role) {
  proto::Person person;
  person.set_name(name);
  person.add_roles(role);
  return person.SerializeAsString();
}
Bytes roles(std::vector<proto::Role> given) {
  proto::Person person;
  for (const proto::Role role : given) person.add_roles(role);
  return person.SerializeAsString();
}
Bytes device_of(const PublicKey& key) {
  DeviceFields fields;
  fields.name = "a second tablet";
  fields.key = key;
  return to_fields(fields);
}
Bytes limit() {
  proto::SiteLimit out;
  out.set_of_kind(static_cast<std::uint32_t>(Kind::kPortion));
  out.set_of_field(3);  // Given.
  out.set_high(1'000'000'000);
  return out.SerializeAsString();
}

struct Lie {
  const char* name;
  std::function<Status(ProvingWorld&, RecordId by)> write;
};

const std::vector<Lie>& lies() {
  static const std::vector<Lie> all = {
      {"another admin", [](ProvingWorld& w, RecordId by) { return write_birth(*w.thief, by, Kind::kPerson, person_of("Mallory", proto::ROLE_ADMIN)); }},
      {"the admin's role for Kim", [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.kim, roles({proto::ROLE_ADMIN})); }},
      {"every role for themselves",
       [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, by ? by : w.kim, roles({proto::ROLE_ADMIN, proto::ROLE_VET, proto::ROLE_OFFICER})); }},
      {"no role for Ada", [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.ada, roles({proto::ROLE_KEEPER})); }},
      {"Ada struck", [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.ada, number_field(kStandingField, kStruck)); }},
      {"Ada folded into Kim", [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.ada, reference_field(kSameAsField, w.kim)); }},
      {"Ada under another name", [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.ada, person_of("Eva", proto::ROLE_ADMIN)); }},
      {"Ada's PIN as another", [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.ada, number_field(kPinSetField, 1)); }},
      {"a code for Ada", [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.ada, number_field(kPinCodeField, 1)); }},
      {"the keeper's tablet struck", [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.device_of(*w.keeper), number_field(kStandingField, kStruck)); }},
      {"the keeper's tablet folded into the thief's",
       [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.device_of(*w.keeper), reference_field(kSameAsField, w.device_of(*w.thief))); }},
      {"another key for the keeper's tablet",
       [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.device_of(*w.keeper), device_of(w.thief->key().public_key())); }},
      {"proofs asked for no more", [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.home, number_field(5, 0)); }},
      {"proofs that last a fortnight", [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.home, number_field(6, 336)); }},
      {"the facility's record struck", [](ProvingWorld& w, RecordId by) { return write_edit(*w.thief, by, w.home, number_field(kStandingField, kStruck)); }},
      {"another facility's record",
       [](ProvingWorld& w, RecordId by) {
         proto::Facility other;
         other.set_name("Test Pier");
         other.set_time_zone("Etc/UTC");
         return write_birth(*w.thief, by, Kind::kFacility, other.SerializeAsString());
       }},
      {"a site limit", [](ProvingWorld& w, RecordId by) { return write_birth(*w.thief, by, Kind::kSiteLimit, limit()); }},
      {"an enrolled device of their own",
       [](ProvingWorld& w, RecordId) {
         Scratch scratch;
         const auto key = must(FileKeystore::create(scratch / "own.key"));
         const auto made = w.thief->replica().log_unauthored({{static_cast<std::uint32_t>(Kind::kDevice), device_of(key->public_key())}});
         return made ? Status() : Status(fail(made.error()));
       }},
      {"Ada's presence at the thief's tablet",
       [](ProvingWorld& w, RecordId) {
         proto::Presence forged;
         forged.mutable_person()->set_log(w.ada.log.value);
         forged.mutable_person()->set_seq(w.ada.seq);
         const RecordId device = w.device_of(*w.thief);
         forged.mutable_device()->set_log(device.log.value);
         forged.mutable_device()->set_seq(device.seq);
         forged.set_until_ms(~0ull >> 1);
         must(w.thief->replica().log_unauthored({{static_cast<std::uint32_t>(Kind::kPresence), forged.SerializeAsString()}}));
         return write_edit(*w.thief, w.ada, w.kim, roles({proto::ROLE_ADMIN}));
       }},
      {"a hold of what Ada is",
       [](ProvingWorld& w, RecordId) {
         const auto made = w.thief->replica().log_unauthored(
             {{static_cast<std::uint32_t>(Kind::kHold), hold_fields({w.ada.log, w.ada.seq, w.ada.seq}, HoldCause::kRole, "no admin", 1)}});
         return made ? Status() : Status(fail(made.error()));
       }},
  };
  return all;
}

// In all holds, by whichever edit takes one in: an officer who is proven at the thief's tablet.
void take_in_all(ProvingWorld& world) {
  must(world.thief->exchange());
  must(world.thief->exchange());
  Store& store = world.thief->replica().store();
  must(store.refresh());
  for (const Place place : must(store.records().find(0, Kind::kHold, 0, 0))) {
    const RecordId hold = store.logs().id_of(place);
    must(write_edit(*world.thief, world.otto, hold, number_field(kStandingField, kStruck)));
    must(write_edit(*world.thief, world.otto, hold, number_field(2, 1)));  // Another first change.
    must(write_edit(*world.thief, world.otto, hold, reference_field(kSameAsField, world.kim)));
  }
}

}  // namespace

TEST_CASE("no lie of a device about privileges counts, in nobody's name", "[attack]") {
  ProvingWorld world;
  for (const RecordId by : {world.ada, world.otto, world.kim, RecordId{}}) {
    for (const Lie& lie : lies()) {
      CAPTURE(lie.name, to_text(by));
      must(lie.write(world, by));
    }
    CHECK(tried(world.is_unchanged()));
  }
}

TEST_CASE("each lie of somebody who is proven there counts for nothing, and no officer takes it in", "[attack]") {
  ProvingWorld world;
  for (const RecordId by : {world.otto, world.vera, world.kim}) must(world.prove(*world.thief, by, ProvingWorld::kKnownPin));
  must(world.thief->exchange());
  for (const Lie& lie : lies()) {
    for (const RecordId by : {world.otto, world.vera, world.kim}) {
      CAPTURE(lie.name, to_text(by));
      must(lie.write(world, by));
      CHECK(tried(world.is_unchanged()));
    }
  }
  take_in_all(world);
  CHECK(tried(world.is_unchanged()));
  take_in_all(world);  // The second time takes in what was held the first time.
  CHECK(tried(world.is_unchanged()));
}

TEST_CASE("an officer who shows the hub their PIN takes in no lie about privileges either", "[attack]") {
  ProvingWorld world;
  must(world.prove(*world.thief, world.otto, ProvingWorld::kKnownPin));
  must(world.thief->exchange());
  for (const Lie& lie : lies()) must(lie.write(world, world.otto));
  take_in_all(world);
  must(world.thief->exchange());
  must(world.keeper->exchange());
  Store& store = world.keeper->replica().store();
  must(store.refresh());
  int asked = 0;
  for (const Place place : must(store.records().find(0, Kind::kHold, 0, 0))) {
    const RecordId hold = store.logs().id_of(place);
    const auto refuse = [&](proto::Call& call) {
      const auto answer = world.act(*world.thief, world.otto, ProvingWorld::kKnownPin, call.SerializeAsString());
      proto::ActReply reply;
      proto::Reply of_core;
      return !answer || (reply.ParseFromString(*answer) && of_core.ParseFromString(reply.reply()) && of_core.has_failure());
    };
    proto::Call strike;
    strike.mutable_strike()->mutable_record()->set_log(hold.log.value);
    strike.mutable_strike()->mutable_record()->set_seq(hold.seq);
    strike.mutable_strike()->set_reason("take it in");
    CHECK(tried(refuse(strike)));
    proto::Call edit;
    *edit.mutable_edit()->mutable_record() = strike.strike().record();
    edit.mutable_edit()->set_fields(number_field(2, 1));
    edit.mutable_edit()->set_reason("move it");
    CHECK(tried(refuse(edit)));
    proto::Call fold;
    *fold.mutable_fold()->mutable_record() = strike.strike().record();
    *fold.mutable_fold()->mutable_into() = strike.strike().record();
    fold.mutable_fold()->set_reason("fold it away");
    CHECK(tried(refuse(fold)));
    if (++asked == 4) break;
  }
  CHECK(asked == 4);
  CHECK(tried(world.is_unchanged()));
}

TEST_CASE("lies that another device carries to the hub in a bundle count for nothing either", "[attack]") {
  ProvingWorld world;
  must(world.prove(*world.thief, world.otto, ProvingWorld::kKnownPin));
  must(world.thief->exchange());
  for (const Lie& lie : lies()) {
    CAPTURE(lie.name);
    must(lie.write(world, world.otto));
    must(world.keeper->replica().import_bundle(must(world.thief->replica().export_bundle({})).bytes, false));
    CHECK(tried(world.is_unchanged()));
  }
  take_in_all(world);
  CHECK(tried(world.is_unchanged()));
}

TEST_CASE("lies with a stamp of last month, or of next year, count for nothing", "[attack]") {
  ProvingWorld world;
  for (const std::int64_t days : {-25, -3, 400}) {
    TestDevice liar(world.hub, "liar " + std::to_string(days), days * 86'400'000);
    world.thief = std::make_unique<TestDevice>(world.hub, "thief " + std::to_string(days), days * 86'400'000);
    must(world.keeper->exchange());
    const auto before = ProvingWorld::authority_in(world.keeper->replica());
    for (const RecordId by : {world.ada, world.otto}) {
      for (const Lie& lie : lies()) must(lie.write(world, by));
    }
    (void)world.thief->exchange();
    must(world.keeper->exchange());
    CHECK(tried(ProvingWorld::authority_in(world.keeper->replica()) == before));
  }
}

TEST_CASE("a revoked tablet comes back by nobody's word but the hub's", "[attack]") {
  ProvingWorld world;
  const RecordId third = [&] {
    TestDevice lost(world.hub, "lost");
    must(world.keeper->exchange());
    return must(world.keeper->replica().devices().find(lost.key().public_key())).record;
  }();
  proto::Call strike;
  strike.mutable_strike()->mutable_record()->set_log(third.log.value);
  strike.mutable_strike()->mutable_record()->set_seq(third.seq);
  strike.mutable_strike()->set_reason("lost at the north pier");
  must(world.act(*world.keeper, world.ada, ProvingWorld::kPin, strike.SerializeAsString()));
  must(world.keeper->exchange());
  must(world.prove(*world.thief, world.otto, ProvingWorld::kKnownPin));
  must(world.thief->exchange());
  const auto before = ProvingWorld::authority_in(world.keeper->replica());
  for (const RecordId by : {world.ada, world.otto}) must(write_edit(*world.thief, by, third, number_field(kStandingField, 1)));
  take_in_all(world);
  must(world.thief->exchange());
  must(world.keeper->exchange());
  CHECK(tried(ProvingWorld::authority_in(world.keeper->replica()) == before));
}
