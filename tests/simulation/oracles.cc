#include "simulation/oracles.h"

#include <call.pb.h>

#include <algorithm>

#include "base/wire.h"
#include "call/dispatch.h"
#include "model/authority.h"
#include "model/hold.h"
#include "simulation/naive_merge.h"
#include "state/fold.h"
#include "store/store.h"

namespace wrackline {
namespace {

proto::Reply ask(Site& site, RecordId person, proto::Call call) {
  call.mutable_author()->set_log(person.log.value);
  call.mutable_author()->set_seq(person.seq);
  proto::Reply reply;
  expect(reply.ParseFromString(dispatch(*site.replica, call.SerializeAsString())), site.name + " answers what nobody can read");
  expect(!reply.has_failure(), site.name + " answers: " + reply.failure().message());
  return reply;
}

}  // namespace

std::string state_of(Site& site) {
  return to_hex(view(need(site.replica->store().records().state_digest(), site.name + " says its state").sha256));
}

Bytes review_of(Site& site, RecordId person) {
  proto::Call call;
  call.mutable_review();
  return ask(site, person, call).review().SerializeAsString();
}

std::set<int> check_seals(Site& site, RecordId person, const std::set<int>& excused, const Lies& lies) {
  std::set<int> seen;
  const auto is_lie = [&](const proto::FaultPlace& place) {
    const LogEntry* log = site.replica->store().logs().find(LogId{place.first().log()});
    return lies.faults.count(place.fault()) != 0 && log != nullptr && log->opening && lies.by.count(log->opening->device) != 0;
  };
  proto::Call call;
  call.mutable_verify();
  for (int page = 0; page < 1000; ++page) {
    const proto::Reply reply = ask(site, person, call);
    for (int i = 0; i < reply.verify().problems_size(); ++i) {
      const int fault = reply.verify().places(i).fault();
      if (excused.count(fault) == 0 && !is_lie(reply.verify().places(i))) throw Finding{site.name + " does not verify: " + reply.verify().problems(i).message()};
      seen.insert(fault);
    }
    if (!reply.verify().has_next()) break;
    *call.mutable_verify()->mutable_after() = reply.verify().next();
  }
  return seen;
}

void check_rebuild(Site& site, RecordId person) {
  proto::Call call;
  call.mutable_rebuild();
  expect(ask(site, person, call).rebuild().same(), site.name + ": the projections are not those that a rebuild makes");
}

namespace {

std::vector<PlainChange> changes_of(Site& site, const HubKeys& hub) {
  LogTable& logs = site.replica->store().logs();
  std::vector<PlainChange> out;
  for (const auto& [id, log] : logs.all()) {
    const LogId log_id = id;
    const LogEntry& entry = log;
    if (log.is_arrivals()) continue;  // No records.
    need(logs.for_each(log, 0, [&](Seq seq, ByteView bytes) -> Status {
      PlainChange change{{log_id, seq}, entry.sealed_as(), 0, Bytes(bytes), hub.speaks(entry, seq)};
      logs.bytes_to_content(entry, change.content);
      WRACKLINE_TRY_VALUE(check, logs.check_of(place_of(entry.no, seq)));
      change.check = check;
      out.push_back(std::move(change));
      return {};
    }), site.name + " is looked at");
  }
  return out;
}

std::string name_of(RecordId record, std::uint32_t field) { return "record " + to_text(record) + " field " + std::to_string(field); }

void compare_fields(const std::string& site, RecordId id, const PlainRecord& plain, const Folded& folded) {
  expect(folded.fields.size() == plain.fields.size(), site + ": record " + to_text(id) + " has lost fields, or has others");
  for (const auto& [number, field] : folded.fields) {
    const auto found = plain.fields.find(number);
    expect(found != plain.fields.end(), site + ": " + name_of(id, number) + " was given by nobody");
    std::map<ChangeId, Bytes> values;
    std::set<ChangeId> heads;
    for (const Assignment& a : field.assignments) {
      values[folded.inputs[a.input].id] = a.slice;
      if (a.head) heads.insert(folded.inputs[a.input].id);
    }
    expect(values == found->second.values, site + ": " + name_of(id, number) + " has lost a value that was given, or has another");
    expect(heads == found->second.heads, site + ": the heads of " + name_of(id, number) + " are not the values nobody replaced");
  }
}

}  // namespace

void compare_with_plain_merge(Site& site, const HubKeys& hub, Checked& checked) {
  Store& store = site.replica->store();
  const std::vector<PlainChange> changes = changes_of(site, hub);
  const auto plain = merge_plainly(changes);
  checked.changes = changes.size();
  checked.records = plain.size();
  for (const auto& [id, record] : plain) {
    const Place place = store.logs().find_place(id);
    const auto state = need(store.records().load(place), site.name + " is looked at");
    expect(state.has_value(), site.name + ": record " + to_text(id) + " is not shown");
    expect(state->kind == record.kind, site.name + ": record " + to_text(id) + " is of another kind");
    expect(state->fields == record.merged(), site.name + ": record " + to_text(id) + " does not show its merged values");
    std::map<std::uint32_t, std::set<ChangeId>> said, meant;
    for (const Disagreement& d : read_disagreements(state->disagreements)) said[d.field].insert(d.heads.begin(), d.heads.end());
    for (const auto& [number, field] : record.fields) {
      if (!field.disagreement.empty()) meant[number] = field.disagreement;
    }
    expect(said == meant, site.name + ": the disagreements of record " + to_text(id) + " are not its concurrent heads");
    checked.disagreements += meant.size();
    if (!record.is_edited) continue;
    ++checked.edited;
    compare_fields(site.name, id, record, need(store.records().history(place), site.name + " is looked at")->folded);
  }
  const std::uint64_t shown = need(store.records().state_digest(), site.name + " says its state").records;
  std::string others;
  for (const PlainChange& change : changes) {
    const auto read = read_change(change.content);
    for (const ChangeId id : {change.id, read ? ChangeId(read->record) : ChangeId()}) {
      if (shown == plain.size() || !id || plain.count(id) != 0) continue;
      if (need(store.records().load(store.logs().find_place(id)), site.name + " is looked at")) others += " " + to_text(id) + " (by " + to_text(change.id) + ")";
    }
  }
  expect(shown == plain.size(), site.name + " shows " + std::to_string(shown) + " records where there are " + std::to_string(plain.size()) + ":" + others);
  const std::set<ChangeId> held = held_plainly(changes);
  checked.held = 0;
  for (const PlainChange& change : changes) {
    const bool is_held = store.records().holds().is_held(store.logs().find_place(change.id));
    expect(is_held == (held.count(change.id) != 0), site.name + ": change " + to_text(change.id) + " is held, or is not, against the holds");
    checked.held += is_held;
  }
}

namespace {

// The changes that hold records of the hub ever named, whatever officers have said since.
std::set<ChangeId> laid_before_officers(World& world) {
  std::set<ChangeId> laid_before;
  for (const PlainChange& change : changes_of(world.hub(), world.hub_keys())) {
    const auto read = read_change(change.content);
    if (!read || !change.is_of_hub || !read->is_birth() || read->kind != static_cast<std::uint32_t>(Kind::kHold)) continue;
    const HeldChanges held = held_changes(read->fields);
    for (Seq seq = held.first; held.log && seq <= held.last; ++seq) laid_before.insert({held.log, seq});
  }
  return laid_before;
}

void check_branches(World& world, const std::set<ChangeId>& laid_before, Checked& checked) {
  Store& store = world.hub().replica->store();
  for (const auto& [id, log] : store.logs().all()) {
    if (!log.branch || log.head.seq == log.base()) continue;
    ++checked.branches;
    expect(world.may_have_branches() || world.is_liars(log), "log " + to_text(log.branch->root) + " was continued twice though every device has a fence");
    for (Seq seq = log.base() + 1; seq <= log.head.seq; ++seq) {
      expect(laid_before.count({id, seq}) != 0, "change " + to_text(ChangeId{id, seq}) + " of a branch was never held for an officer");
    }
  }
}

// Changes that a revoked device brought after the hub had heard of it were laid before an officer too.
void check_revoked(World& world, const std::set<ChangeId>& laid_before) {
  Site& hub = world.hub();
  for (const auto& [device, known] : world.known_when_revoked()) {
    for (const auto& [id, log] : hub.replica->store().logs().all()) {
      if (!log.is_of(device)) continue;
      for (Seq seq = log.base() + 1; seq <= log.head.seq; ++seq) {
        const ChangeId change{id, seq};
        const bool is_new = known.count(hub.key_of(change)) == 0;
        expect(!is_new || laid_before.count(change) != 0, "change " + to_text(change) + " of a revoked device was never held for an officer");
      }
    }
  }
}

// Where the facility asks for proofs: what is for the hub to write counts from no device, and what needs proof was written by
// somebody proven, or was laid before an officer.
void check_proven(World& world, const std::set<ChangeId>& laid_before) {
  if (!world.asks_for_proofs()) return;
  Store& store = world.hub().replica->store();
  const std::vector<PlainChange> changes = changes_of(world.hub(), world.hub_keys());
  const std::set<ChangeId> held = held_plainly(changes);
  std::map<ChangeId, std::uint32_t> kinds;
  for (const PlainChange& change : changes) {
    const auto read = read_change(change.content);
    if (read && read->is_birth()) kinds[change.id] = read->kind;
  }
  for (const PlainChange& change : changes) {
    const auto read = read_change(change.content);
    const LogEntry* log = store.logs().find(change.id.log);
    if (change.is_of_hub || !read || log == nullptr || !log->opening) continue;
    const auto kind = kinds.find(read->is_birth() ? change.id : ChangeId(read->record));
    if (kind == kinds.end()) continue;
    const Act act = act_of(kind->second, read->is_birth(), read->author, read->fields, read->clears);
    if (is_at_hub(act)) expect(held.count(change.id) != 0, "change " + to_text(change.id) + " of a device counts, though only the hub may write it" +
                                                                    (laid_before.count(change.id) != 0 ? "; it was laid before an officer" : ""));
    if (!needs_proof(act) || laid_before.count(change.id) != 0) continue;
    expect(world.has_proven(read->author, log->opening->device, read->stamp.ms()),
           "change " + to_text(change.id) + " of kind " + std::to_string(kind->second) + (read->is_birth() ? ", a birth," : "") + " by " + to_text(read->author) +
               ", of record " + to_text(ChangeId(read->is_birth() ? change.id : read->record)) + ", stamped " + std::to_string(read->stamp.ms()) + (held.count(change.id) != 0 ? ", is held" : " counts") + ", and nobody had proved at its device who its author was");
  }
}

// Every replica holds what was acknowledged. A change of a revoked device may be on that device alone.
void check_acknowledged(World& world) {
  std::map<ChangeKey, std::size_t> among_all, among_revoked;
  std::size_t present = 0;
  for (Site* site : world.all()) {
    present += !site->is_revoked;
    for (const ChangeKey key : site->held()) ++(site->is_revoked ? among_revoked : among_all)[key];
  }
  for (const auto& [key, by] : world.required()) {
    const auto found = among_all.find(key);
    if (found == among_all.end()) {
      expect(among_revoked.count(key) != 0, "a change that " + by + " acknowledged is nowhere");
      continue;
    }
    expect(found->second == present, "a change that " + by + " acknowledged is with " + std::to_string(found->second) + " of " +
                                         std::to_string(present) + " replicas");
  }
}

// A site that was told of another key of the hub's by a person hears at the next exchange only whom that one let in; and who
// has changed keys twice hears only then of the first.
bool knows_all_keys(World& world, Site& site) {
  Calm calm(site);
  need(site.replica->store().refresh(), site.name + " is looked at");
  DeviceRegistry& devices = site.replica->devices();
  return devices.hub().is_key(world.hub_keys().first()) &&
         std::all_of(site.former_keystores.begin(), site.former_keystores.end(), [&](const auto& former) {
           return need(devices.find(former->public_key()), site.name + " is looked at").standing != DeviceStanding::kUnknown;
         });
}

}  // namespace

void check_kept(World& world) {
  std::set<ChangeKey> kept;
  for (Site* site : world.all()) {
    if (!site->replica || site->disk.is_down()) return;
    const std::set<ChangeKey> held = site->held();
    kept.insert(held.begin(), held.end());
  }
  for (const auto& [key, by] : world.required()) {
    expect(kept.count(key) != 0, "a change that " + by + " acknowledged is on no disk any more");
  }
}

// A copy is looked at, as a backup makes it: the machine itself notices nothing.
void check_on_the_way(World& world, Site& site) {
  if (!site.replica || site.disk.is_down()) return;
  Site copy("copy of " + site.name, site.keystore, Random(1), false);
  copy.clock = site.clock;
  site.disk.heal();  // An error that waits for the next call is none of what is looked at.
  copy.disk.put_back(site.copy());
  need(copy.open(), "opening a copy of " + site.name);
  // Before an exchange has ended, or where one was cut off, the hub's word may be there ahead of what it speaks of.
  std::set<int> excused = {proto::FAULT_MISSING};
  if (!knows_all_keys(world, site)) excused.insert(proto::FAULT_OWNER);
  // A site that has got one branch of a forked log by a bundle holds other changes than the hub tells of, until it tells
  // of both.
  check_seals(copy, world.person(), excused, {world.liars(), {proto::FAULT_TWO_VIEWS, proto::FAULT_ARRIVAL}});
  check_rebuild(copy, world.person());
  expect(state_of(copy) == state_of(site), site.name + " shows another state than its disk");
}

Checked check_all(World& world) {
  Checked checked;
  check_acknowledged(world);
  const RecordId person = world.person();
  checked.state = state_of(world.hub());
  const Bytes review = review_of(world.hub(), person);
  compare_with_plain_merge(world.hub(), world.hub_keys(), checked);
  const std::set<ChangeId> laid_before = laid_before_officers(world);
  check_branches(world, laid_before, checked);
  check_revoked(world, laid_before);
  check_proven(world, laid_before);
  const std::vector<Site*> all = world.all();
  // Signatures are most of the time: the hub's, and another's each time.
  // A hub's word of changes may outlive the only disk that had them; and the last exchange of a device that was revoked may
  // have been cut off, and no other follows. Then they are missing indeed.
  const auto excused_of = [&](Site& site) {
    std::set<int> out;
    if (site.is_revoked || world.counts().lost_with_disk > 0) out.insert(proto::FAULT_MISSING);
    if (site.is_revoked && !knows_all_keys(world, site)) out.insert(proto::FAULT_OWNER);
    return out;
  };
  const Lies lies{world.liars(), {proto::FAULT_TWO_VIEWS}};
  check_seals(world.hub(), person, excused_of(world.hub()), lies);
  Site& one = *all[checked.changes % all.size()];
  check_seals(one, person, excused_of(one), lies);
  for (Site* site : all) {
    check_rebuild(*site, person);
    if (site->is_revoked) continue;
    ++checked.replicas;
    expect(state_of(*site) == checked.state, site->name + " shows another state than the hub");
    expect(review_of(*site, person) == review, site->name + " has another review queue than the hub");
  }
  return checked;
}

}  // namespace wrackline
