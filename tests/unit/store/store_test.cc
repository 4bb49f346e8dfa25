// Goal: the database refuses what it should and is unharmed by what fails. Method: real files: foreign,
// newer, damaged, read-only, and on a disk that is full.
#include "store/store.h"

#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fstream>
#include <sstream>

#include "base/wire.h"
#include "support/failing_disk.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

void sql(const std::string& path, const std::string& text) {
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open(path.c_str(), &db) == SQLITE_OK);
  REQUIRE(sqlite3_exec(db, text.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(db);
}

std::string contents(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

ErrorCode open_code(Device& device) {
  const auto result = Replica::open({device.path, device.keystore.get(), [] { return Facility::kStartMs; }});
  if (!result) REQUIRE(result.error().message.size() > 30);
  return code_of(result);
}

}  // namespace

TEST_CASE("a database of a newer release is refused and left untouched", "[store]") {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  tablet.replica.reset();
  sql(tablet.path, "PRAGMA user_version=99");
  const std::string before = contents(tablet.path);
  REQUIRE(open_code(tablet) == ErrorCode::kNewerDatabase);
  REQUIRE(contents(tablet.path) == before);
}

TEST_CASE("a file that is no database of ours is refused and left untouched", "[store]") {
  ScratchFolder folder;
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  tablet.replica.reset();
  tablet.path = folder / "other.db";
  REQUIRE(open_code(tablet) == ErrorCode::kNotFound);
  sql(tablet.path, "CREATE TABLE something(x)");
  std::string before = contents(tablet.path);
  REQUIRE(open_code(tablet) == ErrorCode::kMalformed);
  REQUIRE(contents(tablet.path) == before);
  std::ofstream(tablet.path, std::ios::trunc) << std::string(5000, 'x');
  before = contents(tablet.path);
  REQUIRE(open_code(tablet) == ErrorCode::kMalformed);
  REQUIRE(contents(tablet.path) == before);
}

TEST_CASE("a database opened with another device's key is refused", "[store]") {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  tablet.replica.reset();
  tablet.keystore = std::make_unique<SeededKeystore>(4242);
  REQUIRE(open_code(tablet) == ErrorCode::kKeystore);
}

TEST_CASE("making a database where a file is already is refused", "[store]") {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  REQUIRE(code_of(Replica::create({tablet.path, tablet.keystore.get(), [] { return Facility::kStartMs; }},
                                  facility.membership("again"))) == ErrorCode::kStorage);
}

TEST_CASE("a full disk refuses the entry with a clear word, keeps all before it, and heals", "[store]") {
  FailingDisk disk;
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  must(facility.exchange(tablet));
  Shift shift(tablet, facility.keeper());
  shift.animal("Nereid");
  // The disk fills at every write point of one entry in turn, until the entry fits.
  int refusals = 0;
  for (int writes = 0; writes < 50; ++writes) {
    const std::string before = state_of(tablet);
    proto::Animal animal;
    animal.set_name("Thetis");
    disk.fill_after(writes);
    const auto result = tablet.replica->author().log_records(facility.keeper(), {{5, animal.SerializeAsString(), {}, {}}});
    disk.heal();
    if (result) break;
    ++refusals;
    REQUIRE(code_of(result) == ErrorCode::kDiskFull);
    REQUIRE(result.error().message.find("make room") != std::string::npos);
    REQUIRE(state_of(tablet) == before);
    tablet.reopen();
    REQUIRE(state_of(tablet) == before);
  }
  REQUIRE(refusals > 2);
  Shift(tablet, facility.keeper()).animal("Doris");
  must(facility.exchange(tablet));
  REQUIRE(state_of(tablet) == state_of(facility.hub()));
}

TEST_CASE("a database that may only be read shows what is in it and refuses writing with a clear word", "[store][users]") {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  must(facility.exchange(tablet));
  const std::string before = state_of(tablet);
  tablet.replica.reset();
  // The test goes on as somebody who may read the file but not write it. Only root can become somebody else;
  // anybody else takes the right away from himself.
  REQUIRE(chmod(tablet.path.c_str(), 0444) == 0);
  REQUIRE(chmod(tablet.path.substr(0, tablet.path.rfind('/')).c_str(), 0555) == 0);
  const bool is_root = geteuid() == 0;
  if (is_root) REQUIRE(seteuid(65534) == 0);
  const Status opened = tablet.try_reopen();
  const std::string read = opened ? state_of(tablet) : opened.error().message;
  NewRecord record;
  record.kind = static_cast<std::uint32_t>(Kind::kAnimal);
  append_bytes_field(record.fields, 1, "Galatea");
  const auto logged = opened ? tablet.replica->author().log_records(facility.keeper(), {record}) : fail(opened.error());
  tablet.replica.reset();
  if (is_root) REQUIRE(seteuid(0) == 0);
  REQUIRE(chmod(tablet.path.substr(0, tablet.path.rfind('/')).c_str(), 0755) == 0);
  CHECK(read == before);
  REQUIRE_FALSE(logged);
  CHECK(logged.error().code == ErrorCode::kReadOnly);
}
