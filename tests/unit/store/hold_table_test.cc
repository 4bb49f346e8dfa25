// Goal: which changes are held is the union of what the holds name, whatever order they come and go in. Method:
// random holds beside a plain list of all of them.
#include "store/hold_table.h"

#include <catch2/catch.hpp>
#include <set>

#include "store/schema.h"
#include "support/facility.h"
#include "support/random.h"

using namespace wrackline;

TEST_CASE("what is held is what any hold names or what is expected, and nothing else", "[hold]") {
  Random random = test_random("hold table");
  ScratchFolder folder;
  const auto database = must(Database::open(folder / "holds.db", Database::Mode::kCreate));
  must(create_schema(*database));
  HoldTable table(*database);
  for (int round = 0; round < 60; ++round) {
    must(table.clear());
    std::map<Place, HeldRange> holds;
    std::set<Place> expected;
    for (int step = 0; step < 40; ++step) {
      const Place hold = 1 + static_cast<Place>(random.below(8)), first = 1 + static_cast<Place>(random.below(50));
      const HeldRange range{first, first + static_cast<Place>(random.below(12))};
      const std::uint64_t what = random.below(10);
      if (what < 5) {
        must(table.put(hold, range));
        holds[hold] = range;
      } else if (what < 7) {
        must(table.erase(hold));
        holds.erase(hold);
      } else if (what < 9) {
        table.expect(first);
        expected.insert(first);
      } else {
        table.stop_expecting();
        expected.clear();
      }
      for (Place place = 0; place < 70; ++place) {
        bool is_named = expected.count(place) != 0;
        for (const auto& [id, named] : holds) is_named = is_named || (named.first <= place && place <= named.last);
        CAPTURE(round, step, place);
        REQUIRE(table.is_held(place) == is_named);
      }
    }
  }
}
