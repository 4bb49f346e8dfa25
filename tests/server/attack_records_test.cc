// Goal: an enrolled thief, who may speak, cannot alter, invent or break anything that others wrote. Method:
// exchanges made by hand from a real one, posted in the thief's own session; afterwards the hub must hold
// what it held.
#include <call.pb.h>
#include <exchange.pb.h>

#include <catch2/catch.hpp>
#include <fstream>

#include "attack_world.h"
#include "base/wire.h"
#include "hosts/system_clock.h"
#include "log/change.h"
#include "log/change_run.h"
#include "log/compression.h"
#include "model/kinds.h"
#include "replica/author.h"
#include "store/store.h"
#include "support/hostile_columns.h"
#include "support/made_log.h"
#include "support/random.h"
#include "sync/exchange.h"
#include "sync/messages.h"

using namespace wrackline;

namespace {

constexpr std::size_t kBombBytes = 128 << 20;

struct RecordsWorld : AttackWorld {
  RecordsWorld() : AttackWorld(quick()) { write_genuine(); }

  // Writes what the thief could send rightfully, and does not send.
  void write_genuine() {
    thief->log_people(60);
    REQUIRE(genuine.ParseFromString(must(thief->replica().exchange({}))));
    // The whole of it, so that the hub answers with all of its own, whatever it was told before.
    genuine.clear_vector();
    put_vector(vector_of(thief->replica().store()), *genuine.mutable_vector());
    own = -1;
    for (int i = 0; i < genuine.segments_size(); ++i) {
      if (genuine.segments(i).log() == thief->replica().author().log(LogClass::kRoster).value) own = i;
    }
    REQUIRE(own >= 0);
  }

  // A seal is over changes, not over how they are packed: a bit that packing does not use may be another and
  // the changes still the thief's own, to the byte. Then they are in as if they had come rightfully, and the
  // next try begins with others.
  bool is_refused_or_genuine(const proto::ExchangeRequest& request) {
    if (is_refused(request)) return true;
    must(thief->exchange());
    digest_before = keeper->hub_digest();
    changes_before = hub_changes();
    const bool same = thief->digest() == digest_before && thief->changes() == changes_before;
    write_genuine();
    return same;
  }

  // True when the hub took nothing new from it.
  bool is_refused(const std::string& body) {
    const auto answer = thief->post("/v1/exchange", body);
    if (!answer)
      return answer.error().code != ErrorCode::kTransport;  // A hub that answers is a hub that lives.
    proto::ExchangeReply reply;
    REQUIRE(reply.ParseFromString(*answer));
    std::uint64_t held = 0;
    for (const proto::VectorEntry& entry : reply.vector().entries()) {
      const LogEntry* log = thief->replica().store().logs().find(LogId{entry.log()});
      if (log == nullptr || !log->is_arrivals()) held += entry.seq();
    }
    return held == changes_before;
  }
  bool is_refused(const proto::ExchangeRequest& request) { return is_refused(request.SerializeAsString()); }

  proto::ExchangeRequest empty_request() const {
    proto::ExchangeRequest request = genuine;
    request.clear_segments();
    return request;
  }

  // One change that goes on in `log`, whoever's it is, sealed with the thief's key.
  proto::Segment segment(MadeLog log, ByteView change) { return made_segment(log, thief->key(), std::vector<Bytes>{Bytes(change)}); }
  MadeLog fresh(std::uint64_t number) { return made_log(thief->enrolment().facility, thief->key().public_key(), number); }

  Bytes person_change(RecordId author) {
    Bytes fields;
    append_bytes_field(fields, 1, "Nobody");
    Change change;
    change.stamp = Stamp{1ull << 58};
    change.kind = static_cast<std::uint32_t>(Kind::kPerson);
    change.author = author;
    change.fields = fields;
    return write_change(change);
  }

  const LogEntry& log_of(const PublicKey& key) {
    must(thief->replica().store().refresh());
    for (const auto& [id, log] : thief->replica().store().logs().all()) {
      if (log.is_of(key) && !log.is_arrivals() && log.head.seq > 0) return log;
    }
    FAIL("no such log");
    return thief->replica().store().logs().all().begin()->second;
  }

  std::uint64_t hub_memory_kb() const {
    std::ifstream status("/proc/" + std::to_string(hub.pid()) + "/status");
    std::string word;
    while (status >> word) {
      if (word == "VmHWM:") return status >> word ? std::stoull(word) : 0;
    }
    return 0;
  }

  proto::ExchangeRequest genuine;
  int own = -1;  // The segment that is the thief's.
};

}  // namespace

TEST_CASE("a segment altered in any byte is refused, or still says what its device wrote", "[attack]") {
  RecordsWorld world;
  Random random = test_random("tampered segments");
  const auto flip = [&](std::string bytes) {
    bytes[static_cast<std::size_t>(random.below(bytes.size()))] ^= static_cast<char>(1 << random.below(8));
    return bytes;
  };
  for (int i = 0; i < 240; ++i) {
    proto::ExchangeRequest request = world.genuine;
    proto::Segment& segment = *request.mutable_segments(world.own);
    switch (i % 8) {
      case 0:
      case 1:
      case 2:
        segment.set_body(flip(segment.body()));
        break;
      case 3:
        segment.mutable_sealing()->set_signature(flip(segment.sealing().signature()));
        break;
      case 4:
        segment.set_seeds(flip(segment.seeds()));
        break;
      case 5:
        segment.set_count(segment.count() ^ (1u << random.below(20)));
        break;
      case 6:
        segment.set_codec(segment.codec() ^ (1u << random.below(20)));
        break;
      case 7:
        segment.set_log(segment.log() ^ (1ull << random.below(64)));
        break;
    }
    CHECK(tried(world.is_refused_or_genuine(request)));
  }
  for (int i = 0; i < 30; ++i) {
    proto::ExchangeRequest request = world.genuine;
    proto::Segment& segment = *request.mutable_segments(world.own);
    switch (i % 3) {
      case 0:
        segment.set_body(
            segment.body().substr(0, static_cast<std::size_t>(random.below(segment.body().size()))));
        break;
      case 1:
        segment.set_body(segment.body() + random.bytes(1 + static_cast<std::size_t>(random.below(40))));
        break;
      case 2:
        segment.set_body(random.bytes(static_cast<std::size_t>(random.below(2000))));
        break;
    }
    CHECK(tried(world.is_refused_or_genuine(request)));
  }
}

TEST_CASE("a gap, a log of another's, and the hub's own log are not written to", "[attack]") {
  RecordsWorld world;
  const PublicKey thief = world.thief->key().public_key(), keeper = world.keeper->key().public_key();
  const PublicKey hub = world.thief->enrolment().hub_key;
  const Bytes change = world.person_change({});
  const auto send = [&](const proto::Segment& segment) {
    proto::ExchangeRequest request = world.empty_request();
    *request.add_segments() = segment;
    return tried(world.is_refused(request));
  };
  const LogEntry keeper_log = world.log_of(keeper), hub_log = world.log_of(hub);
  const MadeLog fresh = world.fresh(1);
  for (const Seq first : {Seq{2}, Seq{7}, Seq{4097}, kSeqMax, Seq{0}}) {
    proto::Segment behind_a_gap = world.segment(fresh, change);
    behind_a_gap.set_first_seq(first);
    CHECK(send(behind_a_gap));
  }
  LogTable& logs = world.thief->replica().store().logs();
  const FacilityId& facility = world.thief->enrolment().facility;
  for (const LogEntry& log : {keeper_log, hub_log}) {
    CHECK(send(world.segment(made_behind(facility, logs, log, log.head.seq), change)));      // In their name, by the wrong key.
    CHECK(send(world.segment(made_behind(facility, logs, log, log.head.seq - 1), change)));  // In place of their last one.
    MadeLog in_own_name = made_behind(facility, logs, log, log.head.seq);
    in_own_name.opening.device = thief;
    CHECK(send(world.segment(in_own_name, change)));  // In the thief's name, in their log.
    MadeLog from_the_start = fresh;
    from_the_start.id = from_the_start.sealed_as = log.id;
    CHECK(send(world.segment(from_the_start, change)));
    MadeLog for_them = made_log(facility, log.opening->device, 77);
    CHECK(send(world.segment(for_them, change)));
  }
  // A log of which nobody has heard, under an id that another device may get: its id is bound to a key.
  MadeLog squatted = fresh;
  squatted.id = squatted.sealed_as = made_log(facility, keeper, 5).id;
  CHECK(send(world.segment(squatted, change)));
  // A log that only a hub may have.
  CHECK(send(world.segment(made_log(facility, thief, 1, LogClass::kArrivals), change)));
  MadeLog of_nobody = fresh;
  of_nobody.opening.device[5] ^= 1;
  CHECK(send(world.segment(of_nobody, change)));
}

TEST_CASE("an exchange of another facility, another protocol, or cut short changes nothing", "[attack]") {
  RecordsWorld world;
  Random random = test_random("cut exchanges");
  proto::ExchangeRequest request = world.genuine;
  request.set_protocol(3);
  CHECK(tried(world.is_refused(request)));
  request = world.genuine;
  std::string facility = request.facility();
  facility[3] ^= 1;
  request.set_facility(facility);
  CHECK(tried(world.is_refused(request)));
  request.clear_facility();
  CHECK(tried(world.is_refused(request)));
  // Cut anywhere: whole segments before the cut could be taken in rightfully, so only the head stays
  // untouched here.
  proto::ExchangeRequest held = world.empty_request();
  const std::string whole = held.SerializeAsString();
  for (int i = 0; i < 60; ++i)
    CHECK(tried(world.is_refused(whole.substr(0, static_cast<std::size_t>(random.below(whole.size()))))));
  for (int i = 0; i < 60; ++i)
    CHECK(tried(world.is_refused(random.bytes(static_cast<std::size_t>(random.below(3000))))));
}

TEST_CASE("the same exchange sent again and again is taken in once", "[attack]") {
  RecordsWorld world;
  must(world.thief->exchange());
  world.digest_before = world.keeper->hub_digest();
  world.changes_before = world.hub_changes();
  const std::string body = world.genuine.SerializeAsString();
  for (int i = 0; i < 10; ++i) CHECK(tried(world.is_refused(body)));
}

TEST_CASE("a giant vector and a flood of segments are answered or refused, in bounded memory", "[attack]") {
  RecordsWorld world;
  Random random = test_random("giant vectors");
  const std::uint64_t memory_before = world.hub_memory_kb();
  REQUIRE(memory_before > 0);
  proto::ExchangeRequest request = world.empty_request();
  for (int i = 0; i < 100'000; ++i) {
    proto::VectorEntry& entry = *request.mutable_vector()->add_entries();
    entry.set_log(random.next());
    entry.set_seq(static_cast<std::uint32_t>(random.next()));
    entry.set_head(random.next());
  }
  CHECK(tried(world.is_refused(request)));
  request = world.empty_request();
  for (auto& entry : *request.mutable_vector()->mutable_entries()) {
    entry.set_seq(0xffffffff);
  }
  CHECK(tried(world.is_refused(request)));
  request = world.empty_request();
  for (int i = 0; i < 30'000; ++i) {
    request.add_segments()->set_log(random.next());
    request.mutable_segments(i)->set_seeds(Bytes(16, 's'));
  }
  CHECK(tried(world.is_refused(request)));
  request = world.empty_request();
  request.set_reply_bytes_max(1);
  CHECK(tried(world.is_refused(request)));
  CHECK(world.hub_memory_kb() < memory_before + 64 * 1024);
}

TEST_CASE("a small body that unpacks to very much is refused before it fills the memory", "[attack]") {
  RecordsWorld world;
  const std::uint64_t memory_before = world.hub_memory_kb();
  const MadeLog fresh = world.fresh(2);
  const Bytes bomb = compress(Bytes(kBombBytes, '\0'));
  REQUIRE(bomb.size() < 64 << 10);
  // One that says how large it is, and one that lies: of a single-segment frame (RFC 8878, 3.1.1) the four
  // bytes behind magic number and descriptor are the content size.
  Bytes lying = bomb;
  REQUIRE(lying.size() > 12);
  const bool single_segment = (lying[4] & 0x20) != 0;
  lying.replace(single_segment ? 5 : 6, 4, Bytes("\x00\x10\x00\x00", 4));
  for (const auto& [body, count] : std::vector<std::pair<Bytes, std::uint32_t>>{
           {bomb, 1}, {bomb, 4096}, {bomb, 0xffffffff}, {lying, 1}, {lying, 4096}}) {
    proto::ExchangeRequest request = world.empty_request();
    proto::Segment& segment = *request.add_segments();
    segment.set_log(fresh.id.value);
    segment.set_first_seq(1);
    segment.set_count(count);
    *segment.mutable_opening() = made_opening(fresh.opening);
    segment.set_codec(1);
    segment.set_body(body);
    segment.set_seeds(Bytes(16, 's'));
    *segment.mutable_sealing() = made_sealing(fresh, world.thief->key());
    CHECK(tried(world.is_refused(request)));
  }
  CHECK(world.hub_memory_kb() < memory_before + 64 * 1024);
}

// The hub has one thread for all: what it would do for such a request, nobody else would be answered meanwhile.
TEST_CASE("43 KB of bodies that each claim a whole run are refused, and none is unpacked", "[attack]") {
  RecordsWorld world;
  const std::uint64_t memory_before = world.hub_memory_kb();
  const std::vector<std::pair<Bytes, std::uint32_t>> runs = {
      {hostile_run(1, 127, 4'096), 4'096}, {hostile_run(90, 5'800, 4'096), 4'096}, {hostile_run(1, 400'000, 1), 1}};
  for (const auto& [body, count] : runs) {
    proto::ExchangeRequest request = world.empty_request();
    for (std::uint64_t number = 0x5700; request.ByteSizeLong() < 43'000; ++number) {
      const MadeLog log = world.fresh(number);
      proto::Segment& segment = *request.add_segments();
      segment.set_log(log.id.value);
      segment.set_first_seq(1);
      segment.set_count(count);
      segment.set_codec(1);
      segment.set_body(body);
      segment.set_seeds(Bytes(16, 's'));
      *segment.mutable_opening() = made_opening(log.opening);
      *segment.mutable_sealing() = made_sealing(log, world.thief->key());
    }
    proto::ExchangeReply reply;
    REQUIRE(reply.ParseFromString(must(world.thief->post("/v1/exchange", request.SerializeAsString()))));
    int unpacked = 0;
    for (const proto::Refusal& refusal : reply.refusals()) {
      unpacked += refusal.code() == static_cast<std::uint32_t>(ErrorCode::kTooLarge) ? 0 : 1;
    }
    INFO("a body of " << body.size() << " bytes, " << request.segments_size() << " times");
    CHECK(tried(reply.refusals_size() == request.segments_size() && unpacked == 0 && world.hub_changes() == world.changes_before));
  }
  // Two bytes a segment, or an entry of a vector, take a hundred in memory.
  const std::string head = world.empty_request().SerializeAsString();
  std::string segments = head, entries;
  for (int i = 0; i < 1'500'000; ++i) segments += std::string("\x22\x00", 2);
  for (int i = 0; i < 1'500'000; ++i) entries += std::string("\x0a\x00", 2);
  CHECK(tried(world.is_refused(segments)));
  proto::ExchangeRequest request = world.empty_request();
  std::string vector = request.SerializeAsString();
  append_bytes_field(vector, proto::ExchangeRequest::kVectorFieldNumber, entries);
  CHECK(tried(world.is_refused(vector)));
  CHECK(world.hub_memory_kb() < memory_before + 64 * 1024);
}

// A record is never refused for its author: it is taken in as what it is, a change by this device and by no
// person. What a role may not do is held by the core's own rules, and tested there.
TEST_CASE("an author that is none gives a change no person's name", "[attack]") {
  RecordsWorld world;
  const MadeLog fresh = world.fresh(3);
  const RecordId nobody{LogId{0x5454545454545454}, 9};
  proto::ExchangeRequest request = world.empty_request();
  *request.add_segments() = world.segment(fresh, world.person_change(nobody));
  proto::ExchangeReply reply;
  REQUIRE(reply.ParseFromString(must(world.thief->post("/v1/exchange", request.SerializeAsString()))));
  must(world.keeper->exchange());
  proto::Call call;
  call.mutable_trail()->mutable_record()->set_log(fresh.id.value);
  call.mutable_trail()->mutable_record()->set_seq(1);
  proto::Reply trail;
  REQUIRE(trail.ParseFromString(must(world.keeper->post("/v1/query", call.SerializeAsString()))));
  bool names_somebody = false;
  for (const proto::TrailEntry& entry : trail.trail().entries()) {
    names_somebody = names_somebody || !entry.author_name().empty();
    CHECK(entry.device_name() == "thief");
  }
  CHECK(tried(!names_somebody));
  CHECK(world.keeper->digest() == world.keeper->hub_digest());
  world.digest_before = world.keeper->hub_digest();
  world.changes_before = world.hub_changes();
}

TEST_CASE("a role that somebody gives themselves is held and gives nothing", "[attack]") {
  RecordsWorld world;
  const auto list = [&](Kind kind) {
    proto::Call call;
    call.mutable_list()->set_kind(static_cast<std::uint32_t>(kind));
    call.mutable_list()->set_all_subjects(true);
    proto::Reply reply;
    REQUIRE(reply.ParseFromString(must(world.keeper->post("/v1/query", call.SerializeAsString()))));
    return reply.list();
  };
  const std::string people = list(Kind::kPerson).SerializeAsString();
  const RecordId somebody{LogId{list(Kind::kPerson).records(1).record().log()}, list(Kind::kPerson).records(1).record().seq()};
  std::uint64_t next_log = 100;
  std::uint64_t next_ms = wall_clock_ms();
  const auto send = [&](Change change) {
    change.stamp = Stamp{++next_ms << 16};
    const MadeLog log = world.fresh(++next_log);
    proto::ExchangeRequest request = world.empty_request();
    *request.add_segments() = world.segment(log, write_change(change));
    must(world.thief->post("/v1/exchange", request.SerializeAsString()));
    return RecordId{log.id, 1};
  };
  const auto person = [](const char* name, std::uint64_t role) {
    Bytes fields;
    if (*name != 0) append_bytes_field(fields, 1, name);
    append_varint_field(fields, 2, role);
    return fields;
  };
  const auto birth = [&](RecordId author, Kind kind, Bytes fields) {
    Change change;
    change.kind = static_cast<std::uint32_t>(kind);
    change.author = author;
    change.fields = std::move(fields);
    return change;
  };
  const auto edit = [&](RecordId author, RecordId record, Bytes fields) {
    Change change;
    change.record = record;
    change.author = author;
    change.fields = std::move(fields);
    change.reason = "by myself";
    return change;
  };
  const std::uint64_t admin = proto::ROLE_ADMIN;
  Bytes device;
  append_bytes_field(device, 1, "backdoor");
  append_bytes_field(device, 2, Bytes(32, 'k'));
  append_varint_field(device, 5, 1);  // A key of the hub's.
  // Each must leave people and devices as they were, be held by the hub, and stand nowhere else.
  RecordId forged;
  int held = list(Kind::kHold).records_size();
  const std::string devices = list(Kind::kDevice).SerializeAsString();
  const auto is_held = [&](const Change& change) {
    const RecordId id = send(change);
    if (!forged) forged = id;
    const bool is_named = list(Kind::kHold).records_size() == ++held;
    proto::Call get;
    get.mutable_get()->mutable_record()->set_log(id.log.value);
    get.mutable_get()->mutable_record()->set_seq(id.seq);
    proto::Reply reply;
    REQUIRE(reply.ParseFromString(must(world.keeper->post("/v1/query", get.SerializeAsString()))));
    const bool is_out_of_account = list(Kind::kPerson).SerializeAsString() == people &&
                                   list(Kind::kDevice).SerializeAsString() == devices &&
                                   (!change.is_birth() || reply.has_failure());
    CAPTURE(is_named, is_out_of_account);
    CHECK((is_named && is_out_of_account));
    return tried(is_named && is_out_of_account);
  };
  CHECK(is_held(birth({}, Kind::kPerson, person("Forged Admin", admin))));       // Born an admin, by nobody.
  CHECK(is_held(birth(forged, Kind::kPerson, person("Second Admin", admin))));   // That admin wrote it.
  CHECK(is_held(birth(somebody, Kind::kPerson, person("Third Admin", admin))));  // A keeper wrote it.
  CHECK(is_held(edit({}, somebody, person("", admin))));                         // A keeper made one, by nobody,
  CHECK(is_held(edit(forged, somebody, person("", admin))));                     // by the forged one,
  CHECK(is_held(edit(somebody, somebody, person("", admin))));                   // and by themselves.
  CHECK(is_held(birth(forged, Kind::kDevice, device)));
  CHECK(is_held(birth({}, Kind::kDevice, device)));
  must(world.keeper->exchange());
  CHECK(world.keeper->digest() == world.keeper->hub_digest());
  CHECK_FALSE(world.keeper->replica().devices().hub().is_key([] {
    PublicKey backdoor{};
    backdoor.fill('k');
    return backdoor;
  }()));
  world.digest_before = world.keeper->hub_digest();
  world.changes_before = world.hub_changes();
}
