#include "simulation/small_worlds_stage.h"

#include <proof.pb.h>

#include <algorithm>

#include "base/wire.h"
#include "log/compression.h"
#include "model/kinds.h"
#include "simulation/oracles.h"
#include "simulation/world.h"
#include "store/sqlite.h"
#include "store/store.h"

namespace wrackline {
namespace {

constexpr std::size_t kDatabaseBytesMax = 64u << 20;
constexpr const char* kFile = "records.db";

// North's clock runs three hours ahead, south's two: further than anybody follows. So what they write is later than a change of
// roles they have not heard of.
constexpr std::array<WallMs, kDesks> kAheadMs = {0, 3 * kHourMs, 2 * kHourMs, 0};

void append_text(Bytes& out, ByteView text) {
  append_le(out, text.size(), 8);
  out += text;
}

// All columns of all rows, as they stand.
void append_rows(Bytes& out, Database& database, const std::string& sql, int columns) {
  Statement rows(database, sql);
  while (need(rows.step(), "looking at a database")) {
    for (int i = 0; i < columns; ++i) append_text(out, rows.is_null(i) ? "null" : rows.blob(i));
  }
}

Bytes digest_of(ByteView text) { return Bytes(view(sha256(text))); }

}  // namespace

const char* Stage::name_of(Desk desk) {
  static constexpr const char* kNames[kDesks] = {"the hub", "north", "south", "east"};
  return kNames[desk];
}

Stage::Stage(std::uint64_t seed) : seed_(seed) {
  seed_sqlite(seed);
  Membership membership;
  for (std::size_t i = 0; i < membership.facility.size(); ++i) membership.facility[i] = static_cast<unsigned char>(seed >> (i % 8 * 8));
  for (std::size_t i = 0; i < kDesks; ++i) {
    const Desk desk = static_cast<Desk>(i);
    sites_[i] = std::make_unique<Site>(std::string("small ") + name_of(desk), keystore(desk, 0), Random(seed * 97 + i), false);
    sites_[i]->clock = World::kStartMs + kAheadMs[i];
  }
  looked_at_ = std::make_unique<Site>("small copy", keystore(kHub, 0), Random(seed), false);
  membership.hub_key = hub_key();
  const auto create = [&](Desk desk) {
    membership.device_name = name_of(desk);
    at(desk).replica = need(Replica::create(at(desk).options(), membership), "making a replica");
  };
  create(kHub);
  Replica& hub = *at(kHub).replica;
  need(hub.admit_device("hub", membership.hub_key), "admitting the hub");
  Bytes admin, officer, animal;
  append_bytes_field(admin, 1, "Ines Valdor");
  for (std::uint64_t role = 1; role <= 5; ++role) append_varint_field(admin, 2, role);
  append_bytes_field(officer, 1, "Tove Holm");
  for (const std::uint64_t role : {1, 4}) append_varint_field(officer, 2, role);
  append_bytes_field(animal, 1, "Nereid");
  const auto first = need(hub.log_unauthored({{static_cast<std::uint32_t>(Kind::kPerson), admin},
                                              {static_cast<std::uint32_t>(Kind::kPerson), officer},
                                              {static_cast<std::uint32_t>(Kind::kAnimal), animal}}), "the first records");
  admin_ = first[0], officer_ = first[1], animal_ = first[2];
  for (const Desk desk : kDevices) need(hub.admit_device(name_of(desk), keystore(desk, 0)->public_key()), "admitting a device");
  for (const Desk desk : kDevices) {
    create(desk);
    expect(exchange_whole(*this, desk), "a device that was just admitted is refused");
  }
}

std::shared_ptr<SeededKeystore> Stage::keystore(Desk desk, std::uint32_t key) {
  auto& all = keystores_[desk];
  while (all.size() <= key) all.push_back(std::make_shared<SeededKeystore>(seed_ * 1000 + desk * 100 + all.size()));
  return all[key];
}

void Stage::set_out(Desk desk, const SiteState& state) {
  states_[desk] = state;
  Site& site = at(desk);
  site.random = state.random;
  site.clock = World::kStartMs + kAheadMs[desk] + state.written * kMinuteMs;
  put_back_disk(desk, state);
}

void Stage::put_back_disk(Desk desk, const SiteState& earlier) {
  Site& site = at(desk);
  site.replica.reset();
  states_[desk].key = earlier.key;
  site.keystore = keystore(desk, earlier.key);
  site.disk.put_back({{kFile, need(decompress(earlier.database, kDatabaseBytesMax), "setting out a machine")}});
  site.replica = need(Replica::open(site.options()), site.name + " is switched on");
}

void Stage::put_away(Desk desk) { at(desk).replica.reset(); }

void Stage::take_key(Desk desk, std::uint32_t key) {
  states_[desk].key = key;
  states_[desk].keys = std::max(states_[desk].keys, key + 1);
  at(desk).keystore = keystore(desk, key);
}

void Stage::let_time_pass(Desk desk) {
  ++states_[desk].written;
  at(desk).clock += kMinuteMs;
}

SiteState Stage::keep(Desk desk) {
  SiteState out = states_[desk];
  out.random = at(desk).random;
  out.database = compress(at(desk).copy().at(kFile));
  return out;
}

Bytes Stage::key_of(Desk desk) {
  const SiteState& state = states_[desk];
  Bytes text;
  Random next = at(desk).random;
  for (const std::uint64_t number : {next.next(), std::uint64_t{state.written}, std::uint64_t{state.key}, std::uint64_t{state.keys}}) {
    append_le(text, number, 8);
  }
  const auto database = need(Database::open(at(desk).disk.path(kFile), Database::Mode::kOpen), "looking at a database");
  append_rows(text, *database, "SELECT CAST(key AS BLOB),value FROM meta ORDER BY key", 2);
  Statement logs(*database, "SELECT no,id FROM log ORDER BY id");
  while (need(logs.step(), "looking at a database")) {
    // A log of which nothing but the name has come says nothing.
    const std::string no = std::to_string(logs.integer(0));
    append_rows(text, *database,
                "SELECT CAST(id AS BLOB),opening,start,seal,CAST(branch_root AS BLOB),CAST(branch_of AS BLOB),branch_first FROM log WHERE no=" + no +
                    " AND opening IS NOT NULL", 7);
    append_rows(text, *database,
                "SELECT CAST(first&16777215 AS BLOB),CAST(count AS BLOB),CAST(codec AS BLOB),tree FROM segment WHERE first>>24=" + no + " ORDER BY first", 4);
  }
  return digest_of(text);
}

SiteFacts Stage::facts_of(Desk desk) {
  SiteFacts out = facts_of(at(desk), at(desk).keystore->public_key());
  for (std::uint32_t key = 0; key < states_[desk].key; ++key) {
    const auto known = need(at(desk).replica->devices().find(keystore(desk, key)->public_key()), "looking for a device");
    out.knows_former_keys = out.knows_former_keys && known.standing != DeviceStanding::kUnknown;
  }
  return out;
}

SiteFacts Stage::facts_of(Site& site, const PublicKey& device) {
  SiteFacts out;
  out.device = device;
  Store& store = site.replica->store();
  need(store.refresh(), site.name + " is looked at");
  std::vector<ChangeKey> of_records;
  for (const auto& [id, log] : store.logs().all()) {
    out.has_branches = out.has_branches || log.branch;
    for (Seq seq = log.base() + 1; seq <= log.head.seq; ++seq) {
      const ChangeKey key = site.key_of({id, seq});
      out.held.push_back(key);
      if (log.is_arrivals()) continue;
      of_records.push_back(key);
      if (store.records().holds().is_held(place_of(log.no, seq))) out.held_out.push_back(key);
    }
  }
  std::vector<RecordId> decided = {officer_};
  for (const auto& [key, known] : need(site.replica->devices().all(), site.name + " says who is enrolled")) {
    decided.push_back(known.record);
    if (known.standing == DeviceStanding::kEnrolled) out.enrolled.insert(key);
  }
  for (const RecordId record : decided) {
    for (const Place edit : need(store.records().edits_of(store.logs().find_place(record)), site.name + " is looked at")) {
      out.decided.push_back(site.key_of(store.logs().id_of(edit)));
    }
  }
  for (std::vector<ChangeKey>* keys : {&out.held, &of_records, &out.held_out, &out.decided}) std::sort(keys->begin(), keys->end());
  Bytes text;
  for (const ChangeKey key : of_records) append_le(text, key, 8);
  out.changes = digest_of(text);
  out.shown = digest_of(state_of(site) + review_of(site, admin_));
  return out;
}

void Stage::check_backup(Desk desk, const SiteState& kept, SiteFacts& facts) {
  Site& copy = *looked_at_;
  copy.replica.reset();
  copy.keystore = keystore(desk, kept.key);
  copy.clock = at(desk).clock;
  copy.disk.put_back({{kFile, need(decompress(kept.database, kDatabaseBytesMax), "putting a backup back")}});
  copy.replica = need(Replica::open(copy.options()), "opening a backup");
  const std::string name = std::string("a backup of ") + name_of(desk);
  const SiteFacts there = facts_of(copy, facts.device);
  expect(there.held == facts.held, name + " holds other changes");
  expect(there.shown == facts.shown, name + " shows another state");
  check_rebuild(copy, admin_);
  std::set<int> excused = {proto::FAULT_MISSING, proto::FAULT_ARRIVAL};
  // A device that has changed its key twice says so of the log between, until it hears from the hub.
  if (!facts.knows_former_keys) excused.insert(proto::FAULT_OWNER);
  facts.faults = check_seals(copy, admin_, excused);
  Checked checked;
  compare_with_plain_merge(copy, HubKeys(hub_key()), checked);
  copy.replica.reset();
}

bool exchange_whole(Stage& stage, Desk desk) {
  Site& site = stage.at(desk);
  Bytes reply;
  for (int round = 0; round < 100; ++round) {
    const Bytes request = need(site.replica->exchange(reply), site.name + " exchanges");
    if (request.empty()) return true;
    auto answer = stage.at(kHub).replica->answer_exchange(request, site.keystore->public_key());
    const bool is_refused = !answer && (answer.error().code == ErrorCode::kRevokedDevice || answer.error().code == ErrorCode::kUnknownDevice);
    if (is_refused) return false;
    reply = need(std::move(answer), "the hub answers " + site.name);
  }
  throw Finding{"an exchange of " + site.name + " does not end"};
}

}  // namespace wrackline
