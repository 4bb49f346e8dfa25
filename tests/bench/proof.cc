// Measures what proof costs: on the wire, in an evidence file, after very many exchanges, and to verify. Prints figures beside their
// targets, whatever they are.
//
// The demo centre's two years, as its devices exchanged them, are fetched by a fresh device. Very many exchanges are those of one
// tablet, that brings an entry each time, or does so a hundred times and then asks only.
#include <call.pb.h>
#include <exchange.pb.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <map>

#include "base/wire.h"
#include "call/dispatch.h"
#include "demo_centre.h"
#include "model/kinds.h"
#include "must_or_exit.h"
#include "replica/author.h"
#include "replica/replica.h"
#include "store/store.h"
#include "support/seeded_keystore.h"
#include "sync/exchange.h"

using namespace wrackline;
using namespace wrackline::bench;

namespace {

using Clock = std::chrono::steady_clock;

void line(const char* what, double value, const char* unit, double most) {
  std::printf("%-64s %12.1f  %-9s", what, value, unit);
  if (most > 0) std::printf(" target %g at most  %s", most, value <= most ? "met" : "MISSED");
  std::printf("\n");
}

struct Fetched {
  std::size_t bytes = 0;          // The bytes of all replies.
  std::size_t arrival_bytes = 0;  // The bytes among them that the hub's logs of arrivals take.
  std::size_t changes = 0;
};

// All that a device which holds nothing gets from the hub, and what it is.
Fetched fetch_all(Replica& hub, const PublicKey& device) {
  Fetched out;
  proto::ExchangeRequest request;
  request.set_protocol(kProtocol);
  request.set_facility(Bytes(view(hub.store().facility())));
  for (int page = 0; page < 10'000; ++page) {
    const Bytes bytes = must(hub.answer_exchange(request.SerializeAsString(), device));
    proto::ExchangeReply reply;
    if (!reply.ParseFromString(bytes)) std::abort();
    out.bytes += bytes.size();
    std::map<std::uint64_t, proto::VectorEntry> held;
    for (const proto::VectorEntry& entry : request.vector().entries()) held[entry.log()] = entry;
    for (const proto::Segment& segment : reply.segments()) {
      out.changes += segment.count();
      const LogEntry* log = hub.store().logs().find(LogId{segment.log()});
      if (log != nullptr && log->is_arrivals()) out.arrival_bytes += segment.ByteSizeLong();
      proto::VectorEntry& entry = held[segment.log()];
      entry.set_log(segment.log());
      entry.set_seq(segment.first_seq() + segment.count() - 1);
      entry.set_head(log == nullptr ? 0 : first8(must(hub.store().logs().tree_at(*log, entry.seq())).root()));
    }
    if (!reply.more()) return out;
    request.mutable_vector()->clear_entries();
    for (const auto& [log, entry] : held) *request.mutable_vector()->add_entries() = entry;
  }
  std::abort();
}

proto::Reply ask(Replica& replica, const proto::Call& call) {
  proto::Reply reply;
  if (!reply.ParseFromString(dispatch(replica, call.SerializeAsString())) || reply.has_failure()) {
    std::fprintf(stderr, "%s\n", reply.failure().message().c_str());
    std::exit(1);
  }
  return reply;
}

void of_the_demo_centre(const std::string& folder) {
  must(demo::make_centre(folder + "/centre", {}));
  const std::string path = folder + "/centre/hub/hub.db";
  struct ReadOnly : Keystore {
    explicit ReadOnly(const PublicKey& of) : key(of) {}
    PublicKey public_key() const override { return key; }
    Result<Signature> sign(ByteView) override { return fail(ErrorCode::kKeystore, "signing: this is a bench; nothing was signed"); }
    PublicKey key;
  } key(must(Replica::key_of(path)));
  auto hub = must(Replica::open({path, &key, [] { return WallMs{1'793'500'000'000}; }}));
  PublicKey device{};
  for (const auto& [known, facts] : must(hub->devices().all())) {
    if (facts.standing == DeviceStanding::kEnrolled && !hub->devices().hub().is_key(known)) device = known;
  }
  const Fetched fetched = fetch_all(*hub, device);
  line("wire of the demo centre, fetched by a fresh device, all counted",
       static_cast<double>(fetched.bytes) / static_cast<double>(fetched.changes), "B/change", 6.5);
  std::printf("    %zu changes, %zu bytes, of which %zu tell of arrivals\n", fetched.changes, fetched.bytes, fetched.arrival_bytes);

  // Evidence of one measure of an animal, whose log is among the longest.
  proto::Call list;
  list.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kMeasure));
  list.mutable_list()->set_all_subjects(true);
  const proto::Reply measures = ask(*hub, list);
  proto::Call evidence;
  *evidence.mutable_evidence()->add_records() = measures.list().records(measures.list().records_size() / 2).record();
  const proto::Reply written = ask(*hub, evidence);
  line("evidence of one record, the whole file", static_cast<double>(written.evidence().text().size()), "B", 2048);
  std::printf("    %u changes, %u seals, %u without content\n", written.evidence().changes(), written.evidence().seals(), written.evidence().withheld());

  proto::Call verify;
  verify.mutable_verify();
  std::uint64_t changes = 0, problems = 0;
  const auto begun = Clock::now();
  for (;;) {
    const proto::Reply part = ask(*hub, verify);
    changes += part.verify().changes();
    problems += static_cast<std::uint64_t>(part.verify().problems_size());
    if (!part.verify().has_next()) break;
    *verify.mutable_verify()->mutable_after() = part.verify().next();
  }
  const double took = std::chrono::duration<double>(Clock::now() - begun).count();
  line("verified, projections apart", static_cast<double>(changes) / took, "changes/s", 0);
  if (problems != 0) std::printf("    %llu PROBLEMS\n", static_cast<unsigned long long>(problems));
}

// Measures how much a fresh device fetches after so many exchanges of another, each of which brought one entry, or nothing.
void of_many_exchanges(const std::string& folder, bool brings, std::size_t most) {
  SeededKeystore hub_key(1), north_key(2);
  WallMs now = 1'790'000'000'000;
  const auto clock = [&now] { return now += 60'000; };
  Membership membership;
  membership.facility[0] = 7;
  membership.hub_key = hub_key.public_key();
  const std::string prefix = folder + (brings ? "/bringing-" : "/idle-");
  auto hub = must(Replica::create({prefix + "hub.db", &hub_key, clock}, membership));
  must(hub->admit_device("hub", hub_key.public_key()));
  Bytes person;
  append_bytes_field(person, 1, "Ines Valdor");
  append_varint_field(person, 2, 3);
  const RecordId keeper = must(hub->log_unauthored({{static_cast<std::uint32_t>(Kind::kPerson), person}})).front();
  must(hub->admit_device("north", north_key.public_key()));
  auto north = must(Replica::create({prefix + "north.db", &north_key, clock}, membership));
  Fetched at_100;
  for (std::size_t i = 1; i <= most; ++i) {
    Bytes note;
    append_bytes_field(note, 1, "Nereid " + std::to_string(i));
    if (i > 1 && (brings || i <= 100)) must(north->author().log_records(keeper, {{static_cast<std::uint32_t>(Kind::kAnimal), note, {}, {}}}));
    Bytes reply;
    for (;;) {
      const Bytes request = must(north->exchange(reply));
      if (request.empty()) break;
      reply = must(hub->answer_exchange(request, north_key.public_key()));
    }
    if (i == 100) at_100 = fetch_all(*hub, north_key.public_key());
  }
  const Fetched at_last = fetch_all(*hub, north_key.public_key());
  std::printf("after %zu exchanges, %s, a fresh device fetches %zu bytes, %zu of them of arrivals; after 100 it was %zu and %zu\n", most,
              brings ? "each with an entry" : "of which 100 brought an entry", at_last.bytes, at_last.arrival_bytes, at_100.bytes, at_100.arrival_bytes);
  if (brings) {
    // When an entry was first held is told exactly, for ever, so this is in the number of entries.
    line("of arrivals, for each exchange that brought an entry", static_cast<double>(at_last.arrival_bytes) / static_cast<double>(most), "B", 0);
  } else {
    line("fetched after all of them, in fetched after 100", static_cast<double>(at_last.bytes) / static_cast<double>(at_100.bytes), "times", 1);
  }
}

}  // namespace

int main(int argc, char** argv) {
  std::string pattern = (std::filesystem::temp_directory_path() / "wrackline-proof-XXXXXX").string();
  const std::string folder = ::mkdtemp(pattern.data());
  of_the_demo_centre(folder);
  of_many_exchanges(folder, true, 10'000);
  of_many_exchanges(folder, false, argc > 1 ? std::strtoul(argv[1], nullptr, 10) : 100'000);
  std::filesystem::remove_all(folder);
  return 0;
}
