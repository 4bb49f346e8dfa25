// Goal: which changes are held is the union of what the holds name, less what the two rules of the table leave in account,
// whatever order holds come and go in. Method: random holds beside a plain list of all of them.
#include "store/hold_table.h"

#include <catch2/catch.hpp>
#include <map>

#include "store/schema.h"
#include "support/facility.h"
#include "support/random.h"

using namespace wrackline;

TEST_CASE("what is held is what any hold names, but for the hub's word and decisions on later holds", "[hold]") {
  Random random = test_random("hold table");
  ScratchFolder folder;
  const auto database = must(Database::open(folder / "holds.db", Database::Mode::kCreate));
  auto transaction = must(Transaction::begin(*database));  // Never ended: nothing here needs to be durable.
  must(create_schema(*database));
  LogTable logs(*database);
  const LogNo no = must(logs.intern(LogId{7}))->no;
  const auto place = [no](std::uint64_t seq) { return place_of(no, static_cast<Seq>(seq)); };
  constexpr std::uint64_t kHubsFirst = 40, kHubsLast = 44;
  HoldTable table(*database, logs, [&](Place at) { return place(kHubsFirst) <= at && at <= place(kHubsLast); });
  Statement insert_edit(*database, "INSERT OR IGNORE INTO edit VALUES(?,?)");
  struct Plain {
    std::uint64_t stamp;
    std::uint64_t first = 0, last = 0;
  };
  for (int round = 0; round < 60; ++round) {
    must(table.clear());
    must(database->execute("DELETE FROM edit"));
    std::map<std::uint64_t, Plain> holds;         // The key is the hold's seq.
    std::map<std::uint64_t, std::uint64_t> edits;  // The hold that a change edits.
    for (int step = 0; step < 40; ++step) {
      const std::uint64_t hold = 100 + random.below(8), what = random.below(10);
      if (holds.count(hold) == 0) {
        holds[hold].stamp = random.below(4);
        must(table.add(place(hold), Stamp{holds[hold].stamp}));
      } else if (what < 6) {
        Plain& plain = holds[hold];
        plain.first = 1 + random.below(50);
        plain.last = plain.first + random.below(12);
        must(table.put(place(hold), {place(plain.first), place(plain.last)}));
      } else if (what < 7) {
        holds[hold].first = holds[hold].last = 0;
        must(table.put(place(hold), {}));
      } else if (what < 9) {
        const std::uint64_t edit = 1 + random.below(39);
        if (!edits.emplace(edit, hold).second) continue;
        must(insert_edit.with(place(hold), place(edit)).run());
        table.add_edit(place(edit), place(hold));
      } else {
        must(table.reload());
      }
      for (std::uint64_t seq = 1; seq < 70; ++seq) {
        bool is_named = false;
        for (const auto& [id, named] : holds) {
          if (named.first == 0 || seq < named.first || seq > named.last) continue;
          const auto edited = edits.find(seq);
          const bool is_later = edited == edits.end() || std::make_pair(holds[edited->second].stamp, edited->second) <
                                                             std::make_pair(named.stamp, id);
          is_named = is_named || (is_later && (seq < kHubsFirst || seq > kHubsLast));
        }
        CAPTURE(round, step, seq);
        REQUIRE(table.is_held(place(seq)) == is_named);
      }
    }
  }
}
