#include "simulation/liar.h"

#include <exchange.pb.h>

#include <algorithm>
#include <iterator>

#include "base/wire.h"
#include "log/change.h"
#include "model/hold.h"
#include "model/kinds.h"
#include "store/store.h"
#include "sync/exchange.h"
#include "sync/messages.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kUnknownKind = 57;
constexpr std::size_t kPlacesMax = 12;

Bytes ref_bytes(RecordId id) {
  Bytes out;
  append_fixed64_field(out, 1, id.log.value);
  append_varint_field(out, 2, id.seq);
  return out;
}

}  // namespace

Liar::Liar(World& world, Random& random)
    : world_(world), random_(random), keystore_(world.fresh_key()), facility_(world.hub().replica->membership().facility) {
  need(world_.hub().replica->admit_device("liar", key()), "admitting a device that will lie");
  world_.admit_liar(key());
}

std::vector<Liar::Seen> Liar::look() {
  Site& hub = world_.hub();
  Calm calm(hub);
  Store& store = hub.replica->store();
  need(store.refresh(), "the hub is looked at");
  std::vector<Seen> out;
  for (const auto& [id, log] : store.logs().all()) {
    if (log.is_arrivals()) continue;
    const LogId log_id = id;
    const LogEntry& entry = log;
    need(store.logs().for_each(log, 0, [&](Seq seq, ByteView bytes) -> Status {
      Bytes content(bytes);
      store.logs().bytes_to_content(entry, content);
      WRACKLINE_TRY_VALUE(change, read_change(content));
      WRACKLINE_TRY_VALUE(check, store.logs().check_of(place_of(entry.no, seq)));
      const ChangeId self{log_id, seq};
      out.push_back({self, check, change.is_birth() ? self : change.record, change.kind});
      return {};
    }), "the hub is looked at");
  }
  return out;
}

Stamp Liar::stamp() {
  const WallMs now = world_.hub().clock;
  switch (random_.below(6)) {
    case 0: return Stamp{(now - random_.below(std::min<WallMs>(now, 400 * kDayMs) + 1)) << 16};
    case 1: return Stamp{(now + random_.below(100 * 365 * kDayMs)) << 16};
    case 2: return Stamp{random_.below(3)};
    case 3: return Stamp{random_.once_in(2) ? ~0ull : random_.next()};
    default: return Stamp{(now << 16) + random_.below(4)};
  }
}

RecordId Liar::author(const std::vector<Seen>& seen) {
  switch (random_.below(5)) {
    case 0: return {};
    case 1: return {LogId{0x5454545454545454}, 9};
    case 2: return random_.pick(seen).record;
    default: break;
  }
  std::vector<RecordId> people;
  for (const Seen& each : seen) {
    if (each.kind == static_cast<std::uint32_t>(Kind::kPerson)) people.push_back(each.id);
  }
  return people.empty() ? RecordId() : random_.pick(people);
}

// Fields that some kind has, and what merges knows by: strikes, folds, roles, references to anything.
Bytes Liar::fields(const std::vector<Seen>& seen) {
  Bytes out;
  for (std::uint64_t n = 1 + random_.below(3); n > 0; --n) {
    switch (random_.below(7)) {
      case 0: append_varint_field(out, kStandingField, random_.once_in(3) ? random_.next() : kStruck); break;
      case 1: append_bytes_field(out, kSameAsField, ref_bytes(random_.pick(seen).record)); break;
      case 2: append_varint_field(out, 2, 1 + random_.below(6)); break;
      case 3: append_bytes_field(out, 1, random_.once_in(2) ? "Proteus" : random_.bytes(random_.below(20))); break;
      case 4: append_bytes_field(out, 1 + static_cast<std::uint32_t>(random_.below(9)), ref_bytes(random_.pick(seen).record)); break;
      case 5: append_varint_field(out, kStandingField + static_cast<std::uint32_t>(random_.below(6)), random_.next()); break;
      default: append_varint_field(out, 1 + static_cast<std::uint32_t>(random_.below(1000)), random_.next() >> random_.below(64)); break;
    }
  }
  return out;
}

Bytes Liar::birth(const std::vector<Seen>& seen) {
  static constexpr Kind kKinds[] = {Kind::kMeal, Kind::kPortion, Kind::kAdministration, Kind::kAnimal, Kind::kPerson, Kind::kDevice, Kind::kHold};
  Change change;
  change.stamp = stamp();
  change.wall_behind_ms = random_.once_in(3) ? random_.next() >> random_.below(64) : 0;
  change.kind = random_.once_in(5) ? kUnknownKind + static_cast<std::uint32_t>(random_.below(2))
                                   : static_cast<std::uint32_t>(kKinds[random_.below(std::size(kKinds))]);
  change.author = author(seen);
  Bytes content = fields(seen);
  if (change.kind == static_cast<std::uint32_t>(Kind::kHold) && random_.once_in(2)) {
    // It speaks as if it were the hub, about somebody else's work.
    const ChangeId other = random_.pick(seen).id;
    content = hold_fields({other.log, other.seq, other.seq}, HoldCause::kRole, "not allowed", world_.hub().clock);
  }
  change.fields = content;
  return write_change(change);
}

Bytes Liar::edit(const std::vector<Seen>& seen) {
  const Seen& of = random_.pick(seen);
  Change change;
  change.stamp = stamp();
  change.author = author(seen);
  change.record = random_.once_in(8) ? RecordId{of.record.log, of.record.seq + 1} : of.record;
  const auto birth = std::find_if(seen.begin(), seen.end(), [&](const Seen& each) { return each.id == of.record; });
  change.record_check = birth == seen.end() ? 0 : birth->check;
  if (random_.once_in(4)) *change.record_check ^= 1u << random_.below(32);
  if (random_.once_in(8)) change.record_check.reset();
  const Bytes content = fields(seen);
  change.fields = content;
  if (random_.once_in(4)) change.clears.push_back(static_cast<std::uint32_t>(random_.once_in(2) ? kStandingField : 1 + random_.below(9)));
  // Whatever else was said of the record, and what was not: it says that it has seen it.
  for (const Seen& other : seen) {
    const bool is_of_record = other.record == change.record;
    if (change.replaces.size() > 5 || (is_of_record ? random_.once_in(2) : !random_.once_in(40))) continue;
    Replaced replaced{other.id, random_.once_in(5) ? other.check ^ 1u : other.check, {}};
    for (std::uint64_t n = random_.below(4); n > 0; --n) {
      replaced.fields.push_back(static_cast<std::uint32_t>(random_.once_in(2) ? kStandingField : 1 + random_.below(9)));
    }
    change.replaces.push_back(std::move(replaced));
  }
  change.reason = random_.once_in(2) ? "as ordered" : "";
  return write_change(change);
}

// The hub has shown it other arrivals than it has, it says; or more of them.
void Liar::seal_over_other_arrivals(const MadeLog& log, proto::Segment& segment) {
  LogSeal seal;
  seal.size = log.tree.size();
  seal.root = log.tree.root();
  for (const auto& [id, entry] : world_.hub().replica->store().logs().all()) {
    if (!entry.is_arrivals() && !random_.once_in(10)) continue;
    seal.seen.log = id;
    seal.seen.size = random_.once_in(3) ? random_.next() >> random_.below(64) : 1 + random_.below(entry.head.seq + 3u);
    (void)copy_exactly(random_.bytes(32), seal.seen.root);
    if (random_.once_in(2)) break;
  }
  seal.signature = need(keystore_->sign(seal_text(facility_, log.sealed_as, log.opening, seal)), "a liar seals");
  segment.clear_sealing();
  put_seal(seal, *segment.mutable_sealing());
}

proto::Segment Liar::segment(const std::vector<Seen>& seen) {
  MadeLog log;
  const std::uint64_t what = random_.below(6);
  if (ends_.empty() || what == 0) {
    static constexpr LogClass kClasses[] = {LogClass::kArrivals, LogClass::kFormer, static_cast<LogClass>(7)};
    log = made_log(facility_, key(), ++opened_, random_.once_in(6) ? kClasses[random_.below(std::size(kClasses))] : LogClass::kMixed);
  } else if (what == 1 && !earlier_.empty()) {
    world_.note("liar forked its log");
    log = random_.pick(earlier_);
    if (log.last() == 0 && random_.once_in(3)) log.seeds[0] = made_seed(7 + static_cast<std::uint32_t>(random_.below(3)));
  } else {
    log = random_.pick(ends_);
  }
  if (earlier_.size() < kPlacesMax) earlier_.push_back(log);
  std::vector<Bytes> changes;
  for (std::uint64_t n = 1 + random_.below(4); n > 0; --n) changes.push_back(random_.once_in(2) ? birth(seen) : edit(seen));
  proto::Segment out = made_segment(log, *keystore_, changes);
  if (random_.once_in(4)) seal_over_other_arrivals(log, out);
  const bool goes_on = std::any_of(ends_.begin(), ends_.end(), [&](const MadeLog& end) { return end.id == log.id && end.last() + changes.size() == log.last(); });
  if (ends_.size() < kPlacesMax || !goes_on) ends_.push_back(log);
  return out;
}

void Liar::send_to_hub(const std::vector<proto::Segment>& segments) {
  Site& hub = world_.hub();
  proto::ExchangeRequest request;
  request.set_protocol(kProtocol);
  request.set_facility(Bytes(view(facility_)));
  for (const proto::Segment& each : segments) *request.add_segments() = each;
  if (random_.once_in(3)) {
    VersionVector claimed = vector_of(hub.replica->store());
    for (auto& [log, point] : claimed) {
      if (random_.once_in(3)) point.head = random_.next();
      // A replica that knows more of the hub's own log than the hub has it go on in another each time.
      const bool is_of_hub = hub.replica->store().logs().find(log)->is_of(hub.keystore->public_key());
      if (random_.once_in(is_of_hub ? 40 : 3)) point.seq += static_cast<Seq>(random_.below(5));
    }
    put_vector(claimed, *request.mutable_vector());
  }
  const Bytes bytes = request.SerializeAsString();
  (void)world_.run(hub, "answering a liar", [&](Replica& replica) { return replica.answer_exchange(bytes, key()); });
}

void Liar::send_as_bundle(Site& to, const std::vector<proto::Segment>& segments) {
  if (!to.replica) return;
  const Bytes bytes = made_bundle(facility_, segments);
  const std::uint64_t faults = to.disk.faults();
  const auto taken = world_.run(to, "reading a liar's bundle", [&](Replica& replica) { return replica.import_bundle(bytes, false); });
  expect(taken || to.disk.faults() != faults, to.name + " cannot read a liar's bundle: " + (taken ? "" : taken.error().message));
}

void Liar::act() {
  if (!world_.hub().replica) return;
  const std::vector<Seen> seen = look();
  std::vector<proto::Segment> segments;
  for (std::uint64_t n = 1 + random_.below(2); n > 0; --n) segments.push_back(segment(seen));
  world_.note("lie told");
  if (random_.once_in(4)) {
    send_as_bundle(*random_.pick(world_.sites()), segments);
  } else {
    send_to_hub(segments);
  }
}

}  // namespace wrackline
