#include "simulation/small_worlds_acts.h"

#include <records.pb.h>

#include <algorithm>

#include "base/wire.h"
#include "log/change.h"
#include "model/kinds.h"
#include "simulation/world.h"
#include "store/store.h"

namespace wrackline {
namespace {

constexpr std::uint64_t kKeeper = 1, kOfficer = 4;
constexpr Day kDay = static_cast<Day>(World::kStartMs / kDayMs);

// People are told of these, and nothing is to be changed by them. All else is a finding.
bool is_refusal(ErrorCode code) {
  return code == ErrorCode::kUnauthorized || code == ErrorCode::kNotFound || code == ErrorCode::kDisagreement || code == ErrorCode::kInvalid;
}

template <typename T>
bool done_or_refused(const Result<T>& result, const std::string& doing) {
  if (result) return true;
  if (is_refusal(result.error().code)) return false;
  throw Finding{doing + ": " + error_word(result.error().code) + ": " + result.error().message};
}

// An acknowledged change stands in the log that is the device's at that time.
void expect_in_own_log(Site& site, ChangeId change) {
  Store& store = site.replica->store();
  need(store.refresh(), site.name + " is looked at");
  (void)site.key_of(change);
  const auto own = need(store.own_logs(), site.name + " says which logs are its own");
  expect(std::any_of(own.begin(), own.end(), [&](const auto& each) { return each.second == change.log; }),
         site.name + " acknowledged change " + to_text(change) + ", which stands in a log that is no longer its own");
}

Result<ChangeId> enter(Stage& stage, Desk desk, Replica& replica) {
  proto::Meal meal;
  meal.mutable_animal()->set_log(stage.animal().log.value);
  meal.mutable_animal()->set_seq(stage.animal().seq);
  meal.set_day(kDay);
  meal.set_slot_min(510);
  meal.set_happened_ms(stage.at(desk).clock);
  meal.set_utc_offset_min(0);
  WRACKLINE_TRY_VALUE(ids, replica.author().log_records(stage.officer(), {{static_cast<std::uint32_t>(Kind::kMeal), meal.SerializeAsString(), {}, {}}}));
  return ids.front();
}

bool write(Stage& stage, Desk desk, const std::string& doing, const std::function<Result<ChangeId>(Replica&)>& act) {
  stage.let_time_pass(desk);
  Site& site = stage.at(desk);
  const Result<ChangeId> change = act(*site.replica);
  if (!done_or_refused(change, site.name + ", " + doing)) return false;
  expect_in_own_log(site, *change);
  return true;
}

bool make_entry(Stage& stage, Desk desk) {
  return write(stage, desk, "entering a meal", [&](Replica& replica) { return enter(stage, desk, replica); });
}

// The record of a kind that was born last, by its stamp, which is the same everywhere.
std::optional<RecordId> latest(Site& site, Kind kind, const std::function<bool(Place)>& counts) {
  Store& store = site.replica->store();
  need(store.refresh(), site.name + " is looked at");
  std::optional<std::pair<Stamp, RecordId>> best;
  for (const Place place : need(store.records().find(0, kind, 0, 0), site.name + " lists records")) {
    if (!counts(place)) continue;
    const Bytes bytes(need(store.logs().content_of(place), site.name + " reads a record"));
    const std::pair<Stamp, RecordId> found{need(read_change(bytes), site.name + " reads a record").stamp, store.logs().id_of(place)};
    if (!best || best->first < found.first || (best->first == found.first && best->second < found.second)) best = found;
  }
  return best ? std::optional<RecordId>(best->second) : std::nullopt;
}

bool edit_animal(Stage& stage, Desk desk) {
  const auto animal = latest(stage.at(desk), Kind::kAnimal, [](Place) { return true; });
  if (!animal) return false;
  Edit edit;
  edit.record = *animal;
  append_bytes_field(edit.fields, 1, std::string(Stage::name_of(desk)) + " " + std::to_string(stage.state(desk).written));
  edit.reason = "read the tag";
  edit.settle = true;
  return write(stage, desk, "editing an animal", [&](Replica& replica) { return replica.author().edit(stage.officer(), edit); });
}

bool strike_hold(Stage& stage, Desk desk, RecordId by) {
  HoldTable const& holds = stage.at(desk).replica->store().records().holds();
  const auto hold = latest(stage.at(desk), Kind::kHold, [&](Place place) { return holds.find(place) != nullptr; });
  if (!hold) return false;
  Edit edit;
  edit.record = *hold;
  append_varint_field(edit.fields, kStandingField, kStruck);
  edit.reason = "asked the keeper";
  edit.settle = true;
  return write(stage, desk, "taking in what is held", [&](Replica& replica) { return replica.author().edit(by, edit); });
}

bool change_roles(Stage& stage) {
  Site& hub = stage.at(kHub);
  Store& store = hub.replica->store();
  const auto person = need(store.records().load(store.logs().find_place(stage.officer())), "looking at a person");
  expect(person.has_value(), "the hub has lost a person");
  Edit edit;
  edit.record = stage.officer();
  append_varint_field(edit.fields, 2, kKeeper);
  if ((roles_of_person(person->fields) & (Roles{1} << kOfficer)) == 0) append_varint_field(edit.fields, 2, kOfficer);
  edit.reason = "another contract";
  edit.settle = true;
  return write(stage, kHub, "changing roles", [&](Replica& replica) { return replica.author().edit(stage.admin(), edit); });
}

bool carry_bundle(Stage& stage, Desk from, Desk to) {
  const auto bundle = need(stage.at(from).replica->export_bundle({}), stage.at(from).name + " writes a bundle");
  need(stage.at(to).replica->import_bundle(bundle.bytes, false), stage.at(to).name + " reads a bundle");
  return true;
}

// The reply arrives, and what would have followed does not.
bool exchange_cut_off(Stage& stage, Desk desk) {
  Site& site = stage.at(desk);
  const Bytes request = need(site.replica->exchange({}), site.name + " begins an exchange");
  auto answer = stage.at(kHub).replica->answer_exchange(request, site.keystore->public_key());
  if (!answer && (answer.error().code == ErrorCode::kRevokedDevice || answer.error().code == ErrorCode::kUnknownDevice)) return true;
  need(site.replica->exchange(need(std::move(answer), "the hub answers")), site.name + " reads a reply");
  return true;
}

bool revoke(Stage& stage, Desk desk) {
  const auto device = need(stage.at(kHub).replica->devices().find(stage.keystore(desk, 0)->public_key()), "looking for a device");
  if (device.standing != DeviceStanding::kEnrolled) return false;
  Edit strike;
  strike.record = device.record;
  append_varint_field(strike.fields, kStandingField, kStruck);
  strike.reason = "stolen";
  return write(stage, kHub, "revoking a device", [&](Replica& replica) { return replica.author().edit(stage.admin(), strike); });
}

std::unique_ptr<Replica> open_beside(Site& site) { return need(Replica::open(site.options()), "a second process opens " + site.name); }

bool change_log_beside(Stage& stage, Desk desk) {
  stage.let_time_pass(desk);
  Site& site = stage.at(desk);
  const auto other = open_beside(site);
  need(other->author().leave_logs(), "a second process opens a log");
  const auto change = enter(stage, desk, *site.replica);
  if (done_or_refused(change, site.name + " writes beside a second process")) expect_in_own_log(site, *change);
  return true;
}

bool write_beside(Stage& stage, Desk desk) {
  stage.let_time_pass(desk);
  Site& site = stage.at(desk);
  const auto other = open_beside(site);
  const auto theirs = enter(stage, desk, *other);
  if (!done_or_refused(theirs, "a second process writes on " + site.name)) return false;
  const auto change = enter(stage, desk, *site.replica);
  if (done_or_refused(change, site.name + " writes beside a second process")) expect_in_own_log(site, *change);
  expect_in_own_log(site, *theirs);
  return true;
}

// A second process does it; the first, which knows of nothing, writes then.
bool change_key(Stage& stage, Desk desk) {
  Site& site = stage.at(desk);
  const std::uint32_t next = stage.state(desk).keys;
  const auto keystore = stage.keystore(desk, next);
  const Status known = stage.at(kHub).replica->rekey_device(site.keystore->public_key(), keystore->public_key());
  if (!known && (known.error().code == ErrorCode::kRevokedDevice || known.error().code == ErrorCode::kUnknownDevice)) return false;
  need(known, "the hub is told of another key");
  stage.let_time_pass(desk);
  auto other = open_beside(site);
  need(other->change_key(*keystore), site.name + " goes on under another key");
  const auto change = enter(stage, desk, *site.replica);
  const bool is_told = !change && change.error().code == ErrorCode::kKeystore;
  if (!is_told && done_or_refused(change, site.name + " writes beside a second process")) expect_in_own_log(site, *change);
  other.reset();
  site.replica.reset();
  stage.take_key(desk, next);
  site.replica = need(Replica::open(site.options()), site.name + " opens under another key");
  return true;
}

}  // namespace

Opening open_small_world(Stage& stage) {
  Opening out;
  const auto all_exchange = [&] {
    for (int round = 0; round < 2; ++round) {
      for (const Desk desk : kDevices) expect(exchange_whole(stage, desk), "a device is refused before anything has happened");
    }
  };
  // East has not heard that the officer is none any more, so its edit is held.
  expect(change_roles(stage), "a role cannot be taken away");
  expect(edit_animal(stage, kEast), "an officer cannot edit an animal");
  all_exchange();
  expect(change_roles(stage), "a role cannot be given back");
  all_exchange();
  expect(make_entry(stage, kNorth), "a meal cannot be entered");
  out.north_backup = stage.keep(kNorth);
  out.hub_snapshot = stage.keep(kHub);
  expect(make_entry(stage, kNorth), "a meal cannot be entered");
  all_exchange();
  // Her own animal, south's alone so far.
  Bytes animal;
  append_bytes_field(animal, 1, "Thetis");
  expect(write(stage, kSouth, "logging an animal", [&](Replica& replica) -> Result<ChangeId> {
    WRACKLINE_TRY_VALUE(ids, replica.author().log_records(stage.officer(), {{static_cast<std::uint32_t>(Kind::kAnimal), animal, {}, {}}}));
    return ids.front();
  }), "an animal cannot be logged");
  for (std::size_t i = 0; i < kDesks; ++i) {
    out.states[i] = stage.keep(static_cast<Desk>(i));
    stage.put_away(static_cast<Desk>(i));
  }
  return out;
}

std::vector<SmallAct> small_world_acts(const Opening& opening) {
  std::vector<SmallAct> acts;
  const auto add = [&](std::string words, std::vector<Desk> touches, std::function<bool(Stage&)> play) -> SmallAct& {
    acts.push_back({std::move(words), std::move(touches), std::move(play)});
    return acts.back();
  };
  for (const Desk desk : kDevices) {
    add(std::string(Stage::name_of(desk)) + " exchanges", {desk, kHub}, [desk](Stage& s) { return exchange_whole(s, desk), true; }).is_exchange = true;
  }
  for (const Desk desk : {kNorth, kSouth}) {
    add(std::string("a meal is entered at ") + Stage::name_of(desk), {desk}, [desk](Stage& s) { return make_entry(s, desk); });
  }
  for (const Desk desk : {kNorth, kEast}) {
    add(std::string("an animal is edited at ") + Stage::name_of(desk), {desk}, [desk](Stage& s) { return edit_animal(s, desk); });
  }
  add("the officer's role is taken or given back at the hub", {kHub}, change_roles);
  add("the officer takes in what is held at south", {kSouth}, [](Stage& s) { return strike_hold(s, kSouth, s.officer()); });
  add("the admin takes in what is held at the hub", {kHub}, [](Stage& s) { return strike_hold(s, kHub, s.admin()); });
  add("north's exchange is cut off behind the first reply", {kNorth, kHub}, [](Stage& s) { return exchange_cut_off(s, kNorth); });
  add("a bundle goes from south to north", {kSouth, kNorth}, [](Stage& s) { return carry_bundle(s, kSouth, kNorth); });
  add("a bundle goes from north to east", {kNorth, kEast}, [](Stage& s) { return carry_bundle(s, kNorth, kEast); });
  add("a bundle goes from south to the hub", {kSouth, kHub}, [](Stage& s) { return carry_bundle(s, kSouth, kHub); });
  add("north's database is put back", {kNorth}, [&opening](Stage& s) { return s.put_back_disk(kNorth, opening.north_backup), true; }).loses_disk = true;
  add("the hub's database is put back, and the hub is told so", {kHub}, [&opening](Stage& s) {
    s.put_back_disk(kHub, opening.hub_snapshot);
    need(s.at(kHub).replica->author().leave_logs(), "a restored hub opens a log");
    return true;
  }).loses_disk = true;
  if (kHubTellsThatItWasPutBack) {
    add("the hub's database is put back, and nobody tells it so", {kHub}, [&opening](Stage& s) { return s.put_back_disk(kHub, opening.hub_snapshot), true; })
        .loses_disk = true;
  }
  add("a second process at north opens another log, then the first writes", {kNorth}, [](Stage& s) { return change_log_beside(s, kNorth); });
  add("a second process at north writes, then the first", {kNorth}, [](Stage& s) { return write_beside(s, kNorth); });
  add("a second process gives north another key, then the first writes", {kNorth, kHub}, [](Stage& s) { return change_key(s, kNorth); });
  add("south's device is revoked", {kHub}, [](Stage& s) { return revoke(s, kSouth); });
  add("north seals", {kNorth}, [](Stage& s) { return need(s.at(kNorth).replica->author().seal(), "north seals"), true; });
  return acts;
}

}  // namespace wrackline
