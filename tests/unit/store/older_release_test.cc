// Goal: a database that another release arranged shows, once it is open, what this release makes of the same changes; and a
// program that ends in the middle of that has changed nothing. Method: databases made like those releases left them.
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include "model/hold.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

void run_sql(const std::string& path, const std::string& text) {
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open(path.c_str(), &db) == SQLITE_OK);
  char* why = nullptr;
  const int code = sqlite3_exec(db, text.c_str(), nullptr, nullptr, &why);
  INFO((why == nullptr ? "" : why));
  REQUIRE(code == SQLITE_OK);
  sqlite3_close(db);
}

std::int64_t number_in(const std::string& path, const std::string& query) {
  sqlite3* db = nullptr;
  sqlite3_stmt* statement = nullptr;
  REQUIRE(sqlite3_open(path.c_str(), &db) == SQLITE_OK);
  REQUIRE(sqlite3_prepare_v2(db, query.c_str(), -1, &statement, nullptr) == SQLITE_OK);
  REQUIRE(sqlite3_step(statement) == SQLITE_ROW);
  const std::int64_t out = sqlite3_column_int64(statement, 0);
  sqlite3_finalize(statement);
  sqlite3_close(db);
  return out;
}

Bytes tables_of(Device& device) {
  auto write = must(device.replica->store().begin_write());
  return Bytes(view(must(device.replica->store().records().table_digest())));
}

// Two keepers with meals, double ones among them, and a hold that an officer has struck beside one that stands.
struct Kept {
  TwoKeepers keepers;
  std::vector<RecordId> meals;
  Kept() {
    auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
    for (std::uint32_t i = 0; i < 6; ++i) meals.push_back(on_north.meal(animal, food, i / 2 * 60, 1'000'000).first);
    facility.exchange_all();
    for (const RecordId meal : {meals[0], meals[1]}) {
      const Bytes fields = hold_fields({meal.log, meal.seq, meal.seq}, HoldCause::kRole, "made up", 1);
      const RecordId hold = must(facility.hub().replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kHold), fields}})).front();
      facility.exchange_all();
      if (meal == meals[0]) on_south.strike(hold, "it was right");
      facility.exchange_all();
    }
  }
};

}  // namespace

TEST_CASE("records of a kind that an older release did not know appear by themselves", "[store]") {
  Kept kept;
  Device& north = kept.keepers.north;
  Store* store = &north.replica->store();
  const Place animal = store->logs().find_place(kept.keepers.animal);
  const auto meals = must(store->records().find(animal, Kind::kMeal, 0, 1 << 20));
  REQUIRE(meals.size() == 5);
  north.replica.reset();
  // A release that knows no meals finds them under no animal and compares none.
  const std::string meal = std::to_string(static_cast<int>(Kind::kMeal));
  run_sql(north.path, "UPDATE OR REPLACE key SET subject=0,day=0,detail=0,brief=x'' WHERE kind=" + meal +
                          "; DELETE FROM review; UPDATE meta SET value=x'00' WHERE key='projected_by'");
  north.reopen();
  store = &north.replica->store();
  CHECK(must(store->records().find(animal, Kind::kMeal, 0, 1 << 20)) == meals);
  CHECK(kept.keepers.on_north.review().items_size() > 0);
  CHECK(kept.keepers.on_north.rebuild().same());
  // Opened again it is left alone.
  const std::int64_t rows_before = number_in(north.path, "SELECT count(*) FROM meta");
  int asked = 0;
  north.replica.reset();
  must(Store::open(north.path, [&](std::uint64_t, std::uint64_t) { ++asked; }));
  CHECK(asked == 0);
  CHECK(number_in(north.path, "SELECT count(*) FROM meta") == rows_before);
  north.reopen();
}

TEST_CASE("a program that ends while it arranges records anew leaves them for the next", "[store]") {
  Kept kept;
  Device& north = kept.keepers.north;
  const std::string state = state_of(north);
  const Bytes tables = tables_of(north);
  north.replica.reset();
  run_sql(north.path, "UPDATE meta SET value=x'00' WHERE key='projected_by'; DELETE FROM review");
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    (void)Store::open(north.path, [](std::uint64_t done, std::uint64_t all) { _exit(done <= all ? 7 : 8); });
    _exit(9);
  }
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  REQUIRE(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) == 7);
  CHECK(number_in(north.path, "SELECT count(*) FROM review") == 0);
  CHECK(number_in(north.path, "SELECT count(*) FROM meta WHERE key='projected_by' AND value=x'00'") == 1);
  north.reopen();
  CHECK(state_of(north) == state);
  CHECK(tables_of(north) == tables);
}
