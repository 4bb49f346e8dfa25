// Goal: keys are replaced, a device's and the hub's, and no record, seal or arrival suffers; what a thief of the old key
// writes afterwards is never believed. Method: real databases; thieves are copies of databases with the old key;
// everything that arrives is tried in random orders, and projections are made anew.
#include <exchange.pb.h>

#include <filesystem>

#include "base/wire.h"
#include "log/change.h"
#include "model/device.h"
#include "model/kinds.h"
#include "store/store.h"
#include "support/made_log.h"
#include "support/random.h"
#include "support/shift.h"
#include "support/sound.h"
#include "sync/exchange.h"

using namespace wrackline;

namespace {

struct World {
  Facility facility;
  Device& hub = facility.hub();
  Device& north = facility.add_device("north tablet");
  Device& south = facility.add_device("south tablet");
  RecordId animal;
  std::uint64_t next_seed = 7000;

  World() {
    facility.exchange_all();
    animal = Shift(north, facility.keeper()).animal("Nereid");
    facility.exchange_all();
  }
  std::unique_ptr<SeededKeystore> fresh_key() { return std::make_unique<SeededKeystore>(++next_seed); }

  // Gives a thief's copy: the database as it stands, and the key that goes with it.
  Device stolen(Device& device, std::uint64_t seed) {
    Device copy{"thief", device.path + ".stolen", std::make_unique<SeededKeystore>(seed), device.clock, nullptr};
    device.replica.reset();
    std::filesystem::copy_file(device.path, copy.path);
    device.reopen();
    copy.reopen();
    return copy;
  }
  void rekey(Device& device) {
    auto next = fresh_key();
    must(hub.replica->rekey_device(device.keystore->public_key(), next->public_key()));
    must(device.replica->change_key(*next));
    device.keystore = std::move(next);
  }
  std::uint32_t rekey_hub(Replica::OldKey old = Replica::OldKey::kSigns) {
    auto next = fresh_key();
    const std::uint32_t dropped = must(hub.replica->change_hub_key(*next, old, facility.keeper(), "by plan"));
    hub.keystore = std::move(next);
    return dropped;
  }
  bool is_in_account(Device& device, RecordId record) {
    must(device.replica->store().refresh());
    Store& store = device.replica->store();
    const auto state = must(store.records().load(store.logs().find_place(record)));
    return state && state->kind != 0;
  }
  void check_all_equal() {
    for (Device* device : {&hub, &north, &south}) {
      CAPTURE(device->name);
      CHECK(state_of(*device) == state_of(north));
      CHECK(Shift(*device, facility.keeper()).rebuild().same());
      CHECK(state_of(*device) == state_of(north));
      CHECK(device->replica->devices().hub().is_key(hub.keystore->public_key()));
    }
  }
};

const std::vector<RefusedLog>& refused_of(Device& device) { return device.replica->last_exchange()->refused(); }

// Keys of the hub in whose logs of arrivals a device finds a log told of.
std::set<PublicKey> tellers_of(Device& device, LogId id) {
  std::set<PublicKey> out;
  Store& store = device.replica->store();
  must(store.refresh());
  for (const ArrivalRow& row : must(store.records().arrivals().about(*store.logs().find(id), 0))) {
    const LogEntry* by = store.logs().find(store.logs().id_of(row.entry).log);
    REQUIRE(store.records().hub().speaks(*by, seq_of(row.entry)));
    out.insert(by->opening->device);
  }
  return out;
}

}  // namespace

TEST_CASE("a device goes on under another key, and what it wrote before stays good", "[keys]") {
  World world;
  Shift keeper(world.north, world.facility.keeper());
  const PublicKey key_before = world.north.keystore->public_key();
  const RecordId before = keeper.animal("Glaucus");
  must(world.facility.exchange(world.north));
  world.rekey(world.north);
  const RecordId after = keeper.animal("Doto");
  CHECK(after.log != before.log);
  world.facility.exchange_all();
  world.check_all_equal();
  for (Device* device : {&world.hub, &world.south}) {
    CHECK(world.is_in_account(*device, before));
    CHECK(world.is_in_account(*device, after));
    const auto now = must(device->replica->devices().find(world.north.keystore->public_key()));
    CHECK(now.standing == DeviceStanding::kEnrolled);
    CHECK(now.name == "north tablet");
    CHECK(now.continues == key_before);
    CHECK(must(device->replica->device_standing(key_before)) == DeviceStanding::kRevoked);
  }
  // After a restart the database asks for the new key, and refuses the old.
  world.north.reopen();
  CHECK(world.north.replica->author().log(LogClass::kRoster) == after.log);
  CHECK(must(Replica::key_of(world.north.path)) == world.north.keystore->public_key());
  SeededKeystore old_key(1001);
  REQUIRE(old_key.public_key() == key_before);
  world.north.replica.reset();
  CHECK(code_of(Replica::open({world.north.path, &old_key, [] { return Facility::kStartMs; }})) == ErrorCode::kKeystore);
}

TEST_CASE("stamps of the log under the new key follow on those under the old, whatever the clock does", "[keys]") {
  World world;
  *world.north.clock += 3'600'000;
  const RecordId before = Shift(world.north, world.facility.keeper()).animal("Glaucus");
  must(world.facility.exchange(world.north));
  world.rekey(world.north);
  *world.north.clock -= 7'200'000;
  world.north.reopen();
  const RecordId after = Shift(world.north, world.facility.keeper()).animal("Doto");
  const auto stamp = [&](RecordId id) {
    Store& store = world.north.replica->store();
    const Bytes bytes(must(store.logs().bytes_of(store.logs().find_place(id))));
    return must(read_change(bytes)).stamp;
  };
  CHECK(stamp(before) < stamp(after));
}

TEST_CASE("what a device writes under another key is no fault before the hub has told it of that key", "[keys]") {
  World world;
  world.rekey(world.north);
  Shift(world.north, world.facility.keeper()).animal("Glaucus");
  CHECK(find_unsound(*world.north.replica) == "");
  world.facility.exchange_all();
  for (Device* device : {&world.hub, &world.north, &world.south}) CHECK(find_unsound(*device->replica) == "");
}

TEST_CASE("entries unsent at a change of key are sealed with the old key, and held if they come later",
          "[keys]") {
  World world;
  const RecordId unsent = Shift(world.north, world.facility.keeper()).animal("Glaucus");
  world.rekey(world.north);
  world.facility.exchange_all();
  CHECK_FALSE(world.is_in_account(world.hub, unsent));
  CHECK(world.is_in_account(world.hub, world.animal));
  Store& store = world.south.replica->store();
  CHECK_FALSE(must(store.logs().bytes_of(store.logs().find_place(unsent))).empty());
  world.check_all_equal();
}

TEST_CASE("work that reached the hub before its key was revoked reaches who lives on bundles alone", "[keys]") {
  World world;
  const RecordId before = Shift(world.north, world.facility.keeper()).animal("Glaucus");
  must(world.facility.exchange(world.north));
  world.rekey(world.north);
  const auto taken = must(world.south.replica->import_bundle(must(world.hub.replica->export_bundle({})).bytes, false));
  CHECK(taken.refused.empty());
  CHECK(world.is_in_account(world.south, before));
  // A later change is held, so the hub's word brings it as well, and out of account.
  Device thief = world.stolen(world.south, 1002);
  world.rekey(world.south);
  const RecordId late = Shift(thief, world.facility.keeper()).animal("Ghost");
  CHECK_FALSE(must(world.north.replica->import_bundle(must(world.hub.replica->export_bundle({})).bytes, false)).new_here == 0);
  const Bytes stolen = must(thief.replica->export_bundle({})).bytes;
  CHECK_FALSE(must(world.north.replica->import_bundle(stolen, false)).refused.empty());
  must(world.hub.replica->import_bundle(stolen, false));
  // A thief who leaves the hub's holds out of a bundle brings nothing into account with the rest of the hub's word.
  proto::ExchangeRequest empty;
  empty.set_protocol(kProtocol);
  empty.set_facility(Bytes(view(world.facility.membership("").facility)));
  proto::ExchangeReply all;
  REQUIRE(all.ParseFromString(must(world.hub.replica->answer_exchange(empty.SerializeAsString(), world.south.keystore->public_key()))));
  std::vector<proto::Segment> without_holds;
  for (const proto::Segment& segment : all.segments()) {
    if (segment.log() != world.hub.replica->author().log(LogClass::kRoster).value) without_holds.push_back(segment);
  }
  REQUIRE(without_holds.size() < static_cast<std::size_t>(all.segments_size()));
  const auto partly = must(world.north.replica->import_bundle(made_bundle(world.facility.membership("").facility, without_holds), false));
  CHECK_FALSE(partly.refused.empty());
  CHECK_FALSE(world.is_in_account(world.north, late));
  CHECK(must(world.north.replica->import_bundle(must(world.hub.replica->export_bundle({})).bytes, false)).refused.empty());
  CHECK_FALSE(world.is_in_account(world.north, late));
  CHECK(state_of(world.north) == state_of(world.hub));
}

TEST_CASE("the hub refuses a thief of a device's old key, and holds or refuses what they sealed", "[keys]") {
  World world;
  Device thief = world.stolen(world.north, 1001);
  world.rekey(world.north);
  world.facility.exchange_all();
  const RecordId forged = Shift(thief, world.facility.keeper()).animal("Ghost");
  const Bytes request = must(thief.replica->exchange({}));
  CHECK(code_of(world.hub.replica->answer_exchange(request, thief.keystore->public_key())) == ErrorCode::kRevokedDevice);
  const Bytes bundle = must(thief.replica->export_bundle({})).bytes;
  const TakenBundle taken = must(world.south.replica->import_bundle(bundle, false));
  REQUIRE(taken.refused.size() == 1);
  CHECK(taken.refused.front().error.code == ErrorCode::kRevokedDevice);
  must(world.hub.replica->import_bundle(bundle, false));
  CHECK_FALSE(world.is_in_account(world.hub, forged));
  world.facility.exchange_all();
  CHECK_FALSE(world.is_in_account(world.south, forged));
  world.check_all_equal();
}

TEST_CASE("a key under which anybody can sign is nobody's, by no call and by no record", "[keys]") {
  // The identity: S B = R holds for R = s B and S = s, whatever the text (RFC 8032, section 5.1.7, with A = 0).
  class NoKeystore : public Keystore {
   public:
    PublicKey public_key() const override { return {1}; }
    Result<Signature> sign(ByteView) override { return fail(ErrorCode::kKeystore, "it does not sign"); }
  } anybody;
  World world;
  Replica& hub = *world.hub.replica;
  const PublicKey key = anybody.public_key();
  const auto digest = state_of(world.hub);
  CHECK(code_of(hub.admit_device("anybody", key)) == ErrorCode::kInvalid);
  CHECK(code_of(hub.rekey_device(world.north.keystore->public_key(), key)) == ErrorCode::kInvalid);
  CHECK(code_of(hub.change_hub_key(anybody, Replica::OldKey::kSigns, {}, "no")) == ErrorCode::kInvalid);
  CHECK(code_of(world.south.replica->repin(key)) == ErrorCode::kInvalid);
  CHECK(state_of(world.hub) == digest);
  // An older hub may have written it down.
  for (const bool of_hub : {false, true}) {
    DeviceFields fields;
    fields.name = "anybody";
    fields.key = key;
    fields.of_hub = of_hub;
    must(hub.log_unauthored({{static_cast<std::uint32_t>(Kind::kDevice), to_fields(fields)}}));
  }
  world.facility.exchange_all();
  for (Device* device : {&world.hub, &world.south}) {
    CHECK(must(device->replica->device_standing(key)) == DeviceStanding::kUnknown);
    CHECK_FALSE(device->replica->devices().hub().is_key(key));
  }
}

TEST_CASE("a device's key is changed once, however often it is asked, and to a new key only", "[keys]") {
  World world;
  const PublicKey before = world.north.keystore->public_key();
  SeededKeystore next(7101), other(7102);
  must(world.hub.replica->rekey_device(before, next.public_key()));
  must(world.hub.replica->store().refresh());
  const Seq head = world.hub.replica->store().logs().find(world.hub.replica->author().log(LogClass::kRoster))->head.seq;
  must(world.hub.replica->rekey_device(before, next.public_key()));
  CHECK(world.hub.replica->store().logs().find(world.hub.replica->author().log(LogClass::kRoster))->head.seq == head);
  CHECK(code_of(world.hub.replica->rekey_device(before, other.public_key())) == ErrorCode::kRevokedDevice);
  CHECK(code_of(world.hub.replica->rekey_device(other.public_key(), SeededKeystore(7103).public_key())) == ErrorCode::kUnknownDevice);
  const PublicKey south = world.south.keystore->public_key(), hub = world.hub.keystore->public_key();
  for (const PublicKey& taken : {before, next.public_key(), hub, south}) {
    CHECK(code_of(world.hub.replica->rekey_device(south, taken)) == ErrorCode::kInvalid);
  }
  CHECK(code_of(world.hub.replica->rekey_device(hub, other.public_key())) == ErrorCode::kInvalid);
  CHECK(code_of(world.hub.replica->change_key(other)) == ErrorCode::kInvalid);
  CHECK(code_of(world.south.replica->change_hub_key(other, Replica::OldKey::kSigns, {}, "no")) == ErrorCode::kInvalid);
  CHECK(world.hub.replica->store().logs().find(world.hub.replica->author().log(LogClass::kRoster))->head.seq == head);
}

TEST_CASE("a hub that hands over to another key is followed by every device by itself", "[keys]") {
  World world;
  const PublicKey first = world.hub.keystore->public_key();
  const LogId north_log = world.north.replica->author().log(LogClass::kRoster);
  world.rekey_hub();
  const PublicKey second = world.hub.keystore->public_key();
  CHECK(world.hub.replica->is_hub());
  Shift(world.north, world.facility.keeper()).animal("Glaucus");
  Device& east = world.facility.add_device("east tablet");  // Pinned at the second key, and written about by it.
  Shift(world.south, world.facility.keeper()).animal("Doto");
  world.facility.exchange_all();
  const RecordId of_east = Shift(east, world.facility.keeper()).animal("Tethys");
  world.facility.exchange_all();
  for (Device* device : {&world.north, &world.south, &east}) CHECK(refused_of(*device).empty());
  world.check_all_equal();
  CHECK(state_of(east) == state_of(world.north));
  CHECK(world.is_in_account(world.north, of_east));
  for (Device* device : {&world.north, &east}) {
    CHECK(device->replica->devices().hub().is_former(first));
    CHECK_FALSE(device->replica->devices().hub().is_former(second));
    CHECK(must(device->replica->device_standing(first)) == DeviceStanding::kRevoked);
    CHECK(tellers_of(*device, north_log) == std::set<PublicKey>{first, second});
  }
  // The same once more, from either; after a restart of all.
  world.rekey_hub();
  world.hub.reopen();
  for (auto& device : world.facility.devices()) device->reopen();
  Shift(east, world.facility.keeper()).animal("Nereus");
  world.facility.exchange_all();
  for (Device* device : {&world.north, &world.south, &east}) CHECK(refused_of(*device).empty());
  world.check_all_equal();
  CHECK(state_of(east) == state_of(world.hub));
  CHECK(east.replica->devices().hub().keys().size() == 3);
}

TEST_CASE("a hand-over arrives by bundle too, from a device that has met the hub since", "[keys]") {
  World world;
  world.rekey_hub();
  Device& east = world.facility.add_device("east tablet");
  must(world.facility.exchange(east));
  Shift(east, world.facility.keeper()).animal("Glaucus");
  const Bytes bundle = must(east.replica->export_bundle({})).bytes;
  must(world.south.replica->import_bundle(bundle, false));
  CHECK(world.south.replica->devices().hub().is_key(world.hub.keystore->public_key()));
  CHECK(state_of(world.south) == state_of(east));
  // The other way: one that is pinned at the second key and has nothing yet takes the first key's log from anybody.
  Device& west = world.facility.add_device("west tablet");
  must(world.facility.exchange(east));
  must(west.replica->import_bundle(must(east.replica->export_bundle({})).bytes, false));
  CHECK(state_of(west) == state_of(east));
  world.facility.exchange_all();
  world.check_all_equal();
}

TEST_CASE("a thief of the hub's old key can let nobody in once the hand-over is known", "[keys]") {
  World world;
  Device thief = world.stolen(world.hub, 1);
  world.rekey_hub();
  world.facility.exchange_all();
  SeededKeystore accomplice(7201);
  must(thief.replica->admit_device("accomplice", accomplice.public_key()));
  SeededKeystore usurper(7202);
  must(thief.replica->change_hub_key(usurper, Replica::OldKey::kSigns, {}, "mine now"));
  const Bytes bundle = must(thief.replica->export_bundle({})).bytes;
  const std::string before = state_of(world.south);
  CHECK_FALSE(must(world.south.replica->import_bundle(bundle, false)).refused.empty());
  CHECK(state_of(world.south) == before);
  CHECK_FALSE(must(world.hub.replica->import_bundle(bundle, false)).refused.empty());
  // The request holds only the thief's log, as far as it goes without the usurper's.
  proto::ExchangeRequest request;
  REQUIRE(request.ParseFromString(must(world.south.replica->exchange({}))));
  proto::ExchangeReply stolen;
  proto::ExchangeRequest empty;
  empty.set_protocol(kProtocol);
  empty.set_facility(request.facility());
  REQUIRE(stolen.ParseFromString(must(thief.replica->answer_exchange(empty.SerializeAsString(), world.south.keystore->public_key()))));
  *request.mutable_segments() = stolen.segments();
  must(world.hub.replica->answer_exchange(request.SerializeAsString(), world.south.keystore->public_key()));
  for (int round = 0; round < 2; ++round) world.facility.exchange_all();
  for (Device* device : {&world.hub, &world.north, &world.south}) {
    CAPTURE(device->name);
    CHECK(must(device->replica->device_standing(accomplice.public_key())) == DeviceStanding::kUnknown);
    CHECK_FALSE(device->replica->devices().hub().is_key(usurper.public_key()));
    CHECK(device->replica->devices().hub().is_key(world.hub.keystore->public_key()));
  }
  world.check_all_equal();
}

TEST_CASE("after a lost hub key devices say so, and go on when a person has pinned the new one", "[keys]") {
  World world;
  const PublicKey first = world.hub.keystore->public_key();
  must(world.hub.replica->admit_device("let in just before", SeededKeystore(7301).public_key()));
  Bytes pool;
  append_bytes_field(pool, 1, "Never sealed");
  must(world.hub.replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kPool), pool}}));
  const std::string own_before = to_text(world.north.replica->author().log(LogClass::kRoster));
  CHECK(world.rekey_hub(Replica::OldKey::kLost) == 1);
  CHECK(must(world.hub.replica->device_standing(SeededKeystore(7301).public_key())) == DeviceStanding::kEnrolled);
  const RecordId entry = Shift(world.north, world.facility.keeper()).animal("Glaucus");
  must(world.facility.exchange(world.north));
  REQUIRE_FALSE(refused_of(world.north).empty());
  const std::string hex = to_hex(view(world.hub.keystore->public_key()));
  const auto& refused = refused_of(world.north);
  CHECK(std::any_of(refused.begin(), refused.end(), [&](const RefusedLog& r) { return r.error.message.find(hex) != std::string::npos; }));
  // An app gets the key itself, and need not look for it in a sentence.
  CHECK(world.north.replica->last_exchange()->unknown_hub_key() == world.hub.keystore->public_key());
  CHECK(world.is_in_account(world.hub, entry));  // Its changes are taken: its own key is known as ever.
  for (Device* device : {&world.north, &world.south}) {
    must(device->replica->repin(world.hub.keystore->public_key()));
    CHECK(device->replica->membership().hub_key == world.hub.keystore->public_key());
  }
  world.facility.exchange_all();
  CHECK(to_text(world.north.replica->author().log(LogClass::kRoster)) == own_before);
  for (Device* device : {&world.north, &world.south}) {
    CHECK(refused_of(*device).empty());
    CHECK_FALSE(device->replica->last_exchange()->unknown_hub_key());
    CHECK(device->replica->devices().hub().is_former(first));
    CHECK(tellers_of(*device, world.north.replica->author().log(LogClass::kRoster)).count(first) == 1);
  }
  world.check_all_equal();
  world.north.reopen();
  CHECK(world.north.replica->membership().hub_key == world.hub.keystore->public_key());
}

TEST_CASE("a key that is lost right after it came into force takes nothing of the one before with it", "[keys]") {
  World world;
  world.rekey_hub();
  CHECK(world.rekey_hub(Replica::OldKey::kLost) == 0);
  CHECK(world.hub.replica->devices().hub().keys().size() == 3);
  CHECK(must(world.hub.replica->device_standing(world.north.keystore->public_key())) == DeviceStanding::kEnrolled);
  for (Device* device : {&world.north, &world.south}) must(device->replica->repin(world.hub.keystore->public_key()));
  world.facility.exchange_all();
  for (Device* device : {&world.north, &world.south}) CHECK(refused_of(*device).empty());
  world.check_all_equal();
}

TEST_CASE("what the hub holds stays held through a change of its key, planned or not", "[keys]") {
  for (const Replica::OldKey old : {Replica::OldKey::kSigns, Replica::OldKey::kLost}) {
    World world;
    // No author: held by the hub.
    const RecordId held = must(world.south.replica->author().log_records({}, {{static_cast<std::uint32_t>(Kind::kAnimal), "\x0a\x05Ghost", {}, {}}})).front();
    world.facility.exchange_all();
    REQUIRE_FALSE(world.is_in_account(world.north, held));
    world.rekey_hub(old);
    if (old == Replica::OldKey::kLost) {
      for (Device* device : {&world.north, &world.south}) must(device->replica->repin(world.hub.keystore->public_key()));
    }
    world.facility.exchange_all();
    for (Device* device : {&world.hub, &world.north, &world.south}) CHECK_FALSE(world.is_in_account(*device, held));
    world.check_all_equal();
    // An officer decides as ever.
    Shift officer(world.north, world.facility.keeper());
    const auto review = officer.review();
    REQUIRE(review.items_size() == 1);
    officer.strike({LogId{review.items(0).records(0).log()}, review.items(0).records(0).seq()}, "seen by many");
    world.facility.exchange_all();
    for (Device* device : {&world.hub, &world.north, &world.south}) CHECK(world.is_in_account(*device, held));
    world.check_all_equal();
  }
}

TEST_CASE("the hub's keys and the records come out the same in whatever order segments arrive", "[keys]") {
  World world;
  Random random = test_random("hand-overs in any order");
  const Membership pinned_first = world.facility.membership("late");
  const auto work = [&](const char* name) {
    Shift(world.north, world.facility.keeper()).animal(name);
    must(world.south.replica->author().log_records({}, {{static_cast<std::uint32_t>(Kind::kAnimal), "\x0a\x05Ghost", {}, {}}}));
    world.facility.exchange_all();
  };
  work("Glaucus");
  world.rekey_hub();
  world.facility.add_device("east tablet");
  work("Doto");
  world.rekey(world.north);
  world.rekey_hub();
  work("Tethys");
  world.facility.exchange_all();
  const Membership pinned_last = world.facility.membership("late");
  REQUIRE_FALSE(pinned_first.hub_key == pinned_last.hub_key);
  const std::string wanted = state_of(world.hub);

  for (int round = 0; round < 6; ++round) {
    const Membership& membership = round % 2 == 0 ? pinned_first : pinned_last;
    const std::string path = world.hub.path + ".late" + std::to_string(round);
    SeededKeystore keystore(8000 + static_cast<std::uint64_t>(round));
    must(world.hub.replica->admit_device("late", keystore.public_key()));
    auto replica = must(Replica::create({path, &keystore, [] { return Facility::kStartMs; }}, membership));
    proto::ExchangeReply whole;
    REQUIRE(whole.ParseFromString(must(world.hub.replica->answer_exchange(must(replica->exchange({})), keystore.public_key()))));
    std::vector<proto::Segment> segments(whole.segments().begin(), whole.segments().end());
    const std::string target = state_of(world.hub);
    const auto state = [&] { return to_hex(view(must(replica->store().records().state_digest()).sha256)); };
    for (int pass = 0; pass < 200 && state() != target; ++pass) {
      random.shuffle(segments);
      for (std::size_t at = 0; at < segments.size();) {
        proto::ExchangeReply part = whole;
        part.clear_segments();
        for (std::uint64_t n = 1 + random.below(4); n > 0 && at < segments.size(); --n) *part.add_segments() = segments[at++];
        must(replica->exchange({}));
        must(replica->exchange(part.SerializeAsString()));
      }
    }
    CHECK(replica->devices().hub().keys().size() == 3);
    for (const PublicKey& key : world.hub.replica->devices().hub().keys()) {
      CHECK(replica->devices().hub().is_key(key));
      CHECK(replica->devices().hub().is_former(key) == world.hub.replica->devices().hub().is_former(key));
    }
    CHECK(state() == target);
    const Hash tables = must(replica->store().records().table_digest());
    auto write = must(replica->store().begin_write());
    must(replica->store().records().rebuild());
    CHECK(must(replica->store().records().table_digest()) == tables);
  }
  CHECK(wanted != state_of(world.hub));  // The late devices' own records have come.
}
