// Goal: a hub and two tablets of the second form (hash chains, a seal for each run, receipts) are brought over and go on as one
// facility with all they held. Method: databases that a build of that form wrote (second-form/: three rounds of meals, a branch of
// a cloned tablet, a portion weighed twice out of reach, a tail that is not sealed), opened by this release.
#include "store/former_logs.h"

#include <sqlite3.h>

#include <algorithm>
#include <filesystem>

#include "support/facility.h"
#include "support/shift.h"
#include "sync/exchange.h"

using namespace wrackline;

namespace {

// The states that the build of that form told of these databases.
constexpr const char* kHubState = "492541109111a95c46eb93ce240bc8d00a6ebed9a9aa03eed11bc28ce1aadade";
constexpr const char* kNorthState = "7d58015456688f825ecc196cbdb2d34598ba5baf6c4dec5292d26fe77395f2a4";
constexpr const char* kSouthState = "176e42aa2ef1648a29afd5aa904d7baa09288c2ebfac17c34f0205ca6e49696a";

struct BroughtOver {
  ScratchFolder folder;
  Device hub = device("hub", 21), north = device("north", 21'001), south = device("south", 21'002);

  Device device(const char* name, std::uint64_t key) {
    Device out{name, folder / (std::string(name) + ".db"), std::make_unique<SeededKeystore>(key),
               std::make_shared<WallMs>(Facility::kStartMs + 100 * 3'600'000ull), nullptr};
    std::filesystem::copy_file(std::string(WRACKLINE_SOURCE_DIR) + "/tests/unit/store/second-form/" + name + ".db", out.path);
    return out;
  }
  void open_all() {
    for (Device* each : {&hub, &north, &south}) each->reopen();
  }
  void exchange(Device& tablet) {
    Bytes reply;
    for (int round = 0; round < 20; ++round) {
      const Bytes request = must(tablet.replica->exchange(reply));
      if (request.empty()) return;
      reply = must(hub.replica->answer_exchange(request, tablet.keystore->public_key()));
    }
    FAIL("an exchange did not end");
  }
  void exchange_all() {
    for (int round = 0; round < 3; ++round) {
      for (Device* tablet : {&north, &south}) exchange(*tablet);
    }
  }
  RecordId keeper() {
    must(hub.replica->store().refresh());
    const auto people = must(hub.replica->store().records().find(0, Kind::kPerson, 0, 0));
    REQUIRE(people.size() == 1);
    return hub.replica->store().logs().id_of(people.front());
  }
};

std::vector<std::string> problems_of(Device& device) {
  std::vector<std::string> out;
  proto::Call call;
  call.mutable_verify();
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(dispatch(*device.replica, call.SerializeAsString())));
  for (const proto::Refusal& problem : reply.verify().problems()) out.push_back(problem.message());
  REQUIRE_FALSE(reply.verify().has_next());
  return out;
}

// Opening the database after `damage` fails with `code`, and leaves it in the second form.
void check_not_brought_over(const Device& device, const std::string& path, const char* damage, ErrorCode code) {
  CAPTURE(damage);
  std::filesystem::copy_file(device.path, path, std::filesystem::copy_options::overwrite_existing);
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open(path.c_str(), &db) == SQLITE_OK);
  REQUIRE(sqlite3_exec(db, damage, nullptr, nullptr, nullptr) == SQLITE_OK);
  REQUIRE(sqlite3_changes(db) > 0);
  sqlite3_close(db);
  const auto opened = Replica::open({path, device.keystore.get(), [] { return Facility::kStartMs; }});
  REQUIRE_FALSE(opened);
  CHECK(opened.error().code == code);
  REQUIRE(sqlite3_open(path.c_str(), &db) == SQLITE_OK);
  sqlite3_stmt* rows = nullptr;
  REQUIRE(sqlite3_prepare_v2(db, "PRAGMA user_version", -1, &rows, nullptr) == SQLITE_OK);
  REQUIRE(sqlite3_step(rows) == SQLITE_ROW);
  CHECK(sqlite3_column_int(rows, 0) == 2);
  sqlite3_finalize(rows);
  sqlite3_close(db);
}

}  // namespace

TEST_CASE("databases of the second form show after they were brought over what they showed before", "[former]") {
  BroughtOver facility;
  facility.open_all();
  CHECK(state_of(facility.hub) == kHubState);
  CHECK(state_of(facility.north) == kNorthState);
  CHECK(state_of(facility.south) == kSouthState);
  for (Device* device : {&facility.hub, &facility.north, &facility.south}) {
    CAPTURE(device->name);
    CHECK(Shift(*device, facility.keeper()).rebuild().same());
    device->reopen();
  }
  CHECK(problems_of(facility.hub).empty());
}

TEST_CASE("a facility that was brought over goes on as one, and nobody's changes are lost", "[former]") {
  BroughtOver facility;
  facility.open_all();
  const RecordId keeper = facility.keeper();
  facility.exchange_all();
  Shift on_north(facility.north, keeper), on_south(facility.south, keeper);
  on_north.animal("Galatea");
  on_south.animal("Doto");
  facility.exchange_all();
  for (Device* device : {&facility.hub, &facility.north, &facility.south}) {
    CAPTURE(device->name);
    CHECK(state_of(*device) == state_of(facility.hub));
    CHECK(problems_of(*device).empty());
    const Exchange* last = device->replica->last_exchange();
    if (last != nullptr) CHECK(last->refused().empty());
    CHECK(Shift(*device, keeper).rebuild().same());
  }
  // The tablet whose last meal was not sealed yet has sent it; the two who weighed one portion disagree.
  CHECK(state_of(facility.hub) != kHubState);
  proto::Call call;
  call.mutable_review();
  proto::Reply review;
  REQUIRE(review.ParseFromString(dispatch(*facility.hub.replica, call.SerializeAsString())));
  CHECK(review.review().items_size() >= 2);  // The branch is still held.
}

TEST_CASE("the hub tells of arrivals as its receipts did", "[former]") {
  BroughtOver facility;
  facility.open_all();
  Store& store = facility.hub.replica->store();
  std::vector<WallMs> times;
  for (const auto& [id, log] : store.logs().all()) {
    if (log.opening && log.is_arrivals()) continue;
    for (const ArrivalRow& row : must(store.records().arrivals().about(log, 0))) times.push_back(row.held_ms);
  }
  std::sort(times.begin(), times.end());
  // The receipts of the kept file say so.
  std::vector<WallMs> receipts;
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open((std::string(WRACKLINE_SOURCE_DIR) + "/tests/unit/store/second-form/hub.db").c_str(), &db) == SQLITE_OK);
  sqlite3_stmt* rows = nullptr;
  REQUIRE(sqlite3_prepare_v2(db, "SELECT held_ms FROM receipt ORDER BY held_ms", -1, &rows, nullptr) == SQLITE_OK);
  while (sqlite3_step(rows) == SQLITE_ROW) receipts.push_back(static_cast<WallMs>(sqlite3_column_int64(rows, 0)));
  sqlite3_finalize(rows);
  sqlite3_close(db);
  REQUIRE(receipts.size() == 12);
  CHECK(times == receipts);
}

TEST_CASE("a database that was altered is not brought over, and stays as it is", "[former]") {
  BroughtOver facility;
  for (const char* damage : {"UPDATE segment SET chain=zeroblob(32) WHERE first=(SELECT max(first) FROM segment WHERE seal IS NOT NULL)",
                             "UPDATE segment SET seal=zeroblob(64) WHERE first=(SELECT min(first) FROM segment)",
                             "DELETE FROM segment WHERE first=(SELECT min(first) FROM segment)"}) {
    check_not_brought_over(facility.north, facility.folder / "altered.db", damage, ErrorCode::kBadSeal);
  }
}

TEST_CASE("a branch held without the log it leaves is not dropped: the database stays as it is", "[former]") {
  BroughtOver facility;
  for (const char* damage :
       {"UPDATE log SET branch_of=4711 WHERE branch_of IS NOT NULL",
        "DELETE FROM segment WHERE first>>24=(SELECT no FROM log WHERE id=(SELECT branch_of FROM log WHERE branch_of IS NOT NULL))"}) {
    check_not_brought_over(facility.hub, facility.folder / "orphan.db", damage, ErrorCode::kNotFound);
  }
}
