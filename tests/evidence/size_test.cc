// Goal: evidence of one record is small, and holds nothing of what stands around it. Method: a tablet's log of 26,000 changes,
// brought to the hub in batches; the sizes are printed, since people hand such files on.
#include <iostream>
#include <set>

#include "base/base64.h"
#include "history.h"
#include "writing.h"

using namespace wrackline;
using namespace wrackline::evidence;

namespace {

constexpr unsigned kChanges = 26'000;

// A tablet with a long log: neighbours around one portion in the middle, and around one that came last to the hub.
struct LongLog {
  TwoKeepers keepers;
  std::set<ChangeId> of_middle, of_last;
  RecordId middle, last;

  LongLog() {
    write_neighbours(kChanges / 2);
    middle = portion(of_middle);
    write_neighbours(300);
    keepers.facility.exchange_all();
    write_neighbours(kChanges / 2 - 1'000);
    last = portion(of_last);
    write_neighbours(400);
    keepers.facility.exchange_all();
  }
  RecordId portion(std::set<ChangeId>& changes) {
    const auto [meal, portion] = keepers.on_north.meal(keepers.animal, keepers.food, 510, 1'200'000);
    changes = {meal, portion};
    return portion;
  }
  void write_neighbours(unsigned count) {
    std::vector<NewRecord> records;
    for (unsigned i = 0; i < count; ++i) {
      proto::Meal meal;
      meal.mutable_animal()->set_log(keepers.animal.log.value);
      meal.mutable_animal()->set_seq(keepers.animal.seq);
      meal.set_day(static_cast<std::int32_t>(*keepers.north.clock / 86'400'000));
      meal.set_slot_min(i % 1'440);
      meal.set_happened_ms(static_cast<std::uint64_t>(*keepers.north.clock));
      meal.set_utc_offset_min(0);
      meal.set_note("neighbour " + std::to_string(i));
      records.push_back({static_cast<std::uint32_t>(Kind::kMeal), meal.SerializeAsString(), {}, {}});
      if (records.size() < 500 && i + 1 < count) continue;
      must(keepers.north.replica->author().log_records(keepers.facility.keeper(), records));
      records.clear();
      *keepers.north.clock += 60'000;
      if (i % 2'000 > 1'490) must(keepers.facility.exchange(keepers.north));
    }
  }
};

std::size_t bytes_of_line(const std::string& text, std::size_t line) { return lines_of(text)[line - 1].size() + 1; }

}  // namespace

TEST_CASE("evidence of one record in a log of 26,000 changes is small and shows no other", "[evidence][size]") {
  LongLog made;
  Device& north = made.keepers.north;
  const PublicKey hub_key = made.keepers.facility.hub().keystore->public_key();
  for (const bool is_middle : {true, false}) {
    const RecordId record = is_middle ? made.middle : made.last;
    const std::set<ChangeId>& own = is_middle ? made.of_middle : made.of_last;
    CAPTURE(is_middle);
    const std::string text = evidence_of(north, {record}).text;
    const File file = must(read_file(text));
    const Verdict verdict = check(file, hub_key);
    REQUIRE(verdict.problems == std::vector<std::string>{});
    CHECK(verdict.held.count(record) == 1);
    CHECK(text.find("neighbour") == std::string::npos);
    std::set<ChangeId> shown;
    for (const auto& [id, log] : file.logs) {
      if (log.opening.device != north.keystore->public_key()) CHECK(log.opening.device == hub_key);
      for (const FileChange& change : log.changes) {
        CHECK_FALSE(change.commit);
        CHECK(joined(change.parts).find("neighbour") == Bytes::npos);
        const ChangeId at{id, change.seq};
        // The hub's: of the device, of the person, and of the arrival.
        if (log.opening.device != hub_key) shown.insert(at);
      }
    }
    CHECK(shown == own);
    CHECK(verdict.changes == own.size() + 3);
    CHECK(file.logs.size() == 3);
    const FileLog& log = file.logs.at(record.log);
    CHECK(log.size() >= kChanges - 1'000);
    std::size_t proof = 0, longest = 0;
    for (const FileChange& change : log.changes) {
      if (change.path.size() <= longest) continue;
      longest = change.path.size();
      proof = bytes_of_line(text, log.line) + bytes_of_line(text, change.line);
    }
    std::cout << "evidence of one record " << (is_middle ? "in the middle of" : "that came last into") << " a log of " << log.size()
              << " changes: " << text.size() << " bytes, of them one change with its longest path (" << longest << " hashes) and its seal "
              << proof << "\n";
    // A path has at most 15 hashes; a file of one record at most 5 KiB.
    CHECK(longest <= 15);
    CHECK(text.size() < 5 * 1024);
    CHECK(proof < 1'400);
  }
}
