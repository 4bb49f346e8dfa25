// Goal: what was altered in a database is named to the change, by whatever a person with the file could alter. Method:
// real databases of replicas that have met, altered through SQL with everything packed as the product packs it.
#include <sqlite3.h>

#include <filesystem>

#include "base/wire.h"
#include "log/marks.h"
#include "support/random.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

// A database opened beside the product.
class Sql {
 public:
  explicit Sql(const std::string& path) { REQUIRE(sqlite3_open(path.c_str(), &db_) == SQLITE_OK); }
  ~Sql() { sqlite3_close(db_); }
  void run(const std::string& text) {
    char* error = nullptr;
    if (sqlite3_exec(db_, text.c_str(), nullptr, nullptr, &error) != SQLITE_OK) FAIL(text << ": " << error);
  }
  std::int64_t number(const std::string& text) {
    sqlite3_stmt* statement = nullptr;
    REQUIRE(sqlite3_prepare_v2(db_, text.c_str(), -1, &statement, nullptr) == SQLITE_OK);
    REQUIRE(sqlite3_step(statement) == SQLITE_ROW);
    const std::int64_t value = sqlite3_column_int64(statement, 0);
    sqlite3_finalize(statement);
    return value;
  }
  Bytes blob(const std::string& text) {
    sqlite3_stmt* statement = nullptr;
    REQUIRE(sqlite3_prepare_v2(db_, text.c_str(), -1, &statement, nullptr) == SQLITE_OK);
    REQUIRE(sqlite3_step(statement) == SQLITE_ROW);
    Bytes value(static_cast<const char*>(sqlite3_column_blob(statement, 0)),
                static_cast<std::size_t>(sqlite3_column_bytes(statement, 0)));
    sqlite3_finalize(statement);
    return value;
  }

 private:
  sqlite3* db_ = nullptr;
};

std::string hex_literal(ByteView bytes) { return "x'" + to_hex(bytes) + "'"; }

struct Row {
  Place first = 0;
  std::uint32_t count = 0;
  ChangeRun changes;
};

Row row_at(Sql& sql, Place place) {
  const std::string where =
      " FROM segment WHERE first=(SELECT max(first) FROM segment WHERE first<=" + std::to_string(place) + ")";
  Row row;
  row.first = sql.number("SELECT first" + where);
  row.count = static_cast<std::uint32_t>(sql.number("SELECT count" + where));
  row.changes = must(unpack_run(static_cast<std::uint32_t>(sql.number("SELECT codec" + where)),
                                sql.blob("SELECT body" + where), row.count));
  return row;
}

void put_row(Sql& sql, const Row& row) {
  const PackedRun packed = pack_run(row.changes);
  sql.run("UPDATE segment SET codec=" + std::to_string(packed.codec) + ",body=" + hex_literal(packed.body) +
          " WHERE first=" + std::to_string(row.first));
}

// Alters one byte of one change, wherever it stands.
void alter(const std::string& path, Place place, std::size_t at, unsigned char by) {
  Sql sql(path);
  Row row = row_at(sql, place);
  ChangeRun altered;
  for (std::size_t i = 0; i < row.changes.size(); ++i) {
    Bytes bytes(row.changes[i]);
    if (row.first + static_cast<Place>(i) == place)
      bytes[at % bytes.size()] = static_cast<char>(bytes[at % bytes.size()] ^ by);
    altered.append(bytes);
  }
  row.changes = altered;
  put_row(sql, row);
}

proto::VerifyReply verify(Device& device) {
  proto::VerifyReply all;
  proto::Call call;
  call.mutable_verify();
  for (;;) {
    proto::Reply reply;
    REQUIRE(reply.ParseFromString(dispatch(*device.replica, call.SerializeAsString())));
    REQUIRE_FALSE(reply.has_failure());
    const proto::VerifyReply& part = reply.verify();
    all.set_changes(all.changes() + part.changes());
    all.set_seals(all.seals() + part.seals());
    all.set_receipts(all.receipts() + part.receipts());
    all.mutable_problems()->MergeFrom(part.problems());
    all.mutable_places()->MergeFrom(part.places());
    REQUIRE(part.problems_size() == part.places_size());
    if (!part.has_next()) return all;
    *call.mutable_verify()->mutable_after() = part.next();
  }
}

// Two tablets that have met a hub some times over, so that each log has several runs; looked at on the second tablet,
// whose database is put back before each alteration.
struct Kept {
  TwoKeepers keepers;
  std::string good;

  Kept() {
    auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
    for (std::uint32_t round = 0; round < 4; ++round) {
      for (std::uint32_t i = 0; i < 12; ++i) {
        const auto [meal, portion] = on_north.meal(animal, food, round * 60 + i, 1'000'000 + i);
        REQUIRE(on_north.try_left(portion, 10'000 * (i + 1), "weighed"));
        if (i % 3 == 0) on_south.meal(animal, food, 720 + round * 60 + i, 500'000);
      }
      facility.exchange_all();
    }
    good = south.path + "-good";
    south.replica.reset();
    std::filesystem::copy_file(south.path, good);
    south.reopen();
  }
  Device& device() { return keepers.south; }
  template <typename Alter>
  proto::VerifyReply after(Alter alteration) {
    device().replica.reset();
    for (const char* end : {"", "-wal", "-shm"}) std::filesystem::remove(device().path + end);
    std::filesystem::copy_file(good, device().path);
    alteration(device().path);
    device().reopen();
    return verify(device());
  }
  proto::VerifyReply after_sql(const std::string& text) {
    return after([&](const std::string& path) { Sql(path).run(text); });
  }
};

ChangeId first_of(const proto::VerifyReply& reply, int at = 0) {
  return {LogId{reply.places(at).first().log()}, reply.places(at).first().seq()};
}

// The first row of the log with the most changes: a tablet's.
constexpr const char* kLongestLog =
    "(SELECT first>>24 FROM segment GROUP BY first>>24 ORDER BY sum(count) DESC LIMIT 1)";

std::string second_row_of_longest() {
  return "(SELECT first FROM segment WHERE first>>24=" + std::string(kLongestLog) + " ORDER BY first LIMIT 1 OFFSET 1)";
}

}  // namespace

TEST_CASE("a database nobody altered verifies, with its seals and receipts counted", "[verify]") {
  Kept kept;
  const proto::VerifyReply reply = verify(kept.device());
  CHECK(reply.problems_size() == 0);
  CHECK(reply.changes() > 150);
  CHECK(reply.seals() > 8);
  Sql sql(kept.good);
  CHECK(reply.receipts() == sql.number("SELECT count(*) FROM receipt"));
  CHECK(reply.receipts() > 4);
  CHECK(sql.number("SELECT count(*) FROM segment WHERE seal IS NOT NULL AND length(marks)<>4*count") == 0);
}

TEST_CASE("an altered change is named exactly, whichever it is", "[verify]") {
  Kept kept;
  Random random = test_random("an altered change is named exactly");
  std::vector<Place> places;
  {
    Sql sql(kept.good);
    for (const auto& [id, log] : kept.device().replica->store().logs().all()) {
      for (Seq seq = 1; seq <= log.head.seq; ++seq) places.push_back(place_of(log.no, seq));
    }
  }
  REQUIRE(places.size() > 150);
  for (int round = 0; round < 60; ++round) {
    const Place place = random.pick(places);
    const ChangeId id = kept.device().replica->store().logs().id_of(place);
    const std::size_t at = random.below(1000);
    const auto by = static_cast<unsigned char>(1 + random.below(255));
    CAPTURE(round, to_text(id), at, by);
    const proto::VerifyReply reply = kept.after([&](const std::string& path) { alter(path, place, at, by); });
    REQUIRE(reply.problems_size() == 1);
    CHECK(reply.places(0).fault() == proto::FAULT_CHANGE);
    CHECK(first_of(reply) == id);
    CHECK(reply.places(0).last_seq() == id.seq);
    CHECK(reply.problems(0).message() ==
          "log " + to_text(id.log) + ", change " + std::to_string(id.seq) + ": altered after sealing");
  }
}

TEST_CASE("the first of several altered changes of a run is named, and the runs behind it are looked at too",
          "[verify]") {
  Kept kept;
  Sql good(kept.good);
  const Place run = good.number("SELECT " + second_row_of_longest());
  const Place next = run + good.number("SELECT count FROM segment WHERE first=" + std::to_string(run));
  const proto::VerifyReply reply = kept.after([&](const std::string& path) {
    for (const Place place : {run + 5, run + 3, run + 9, next + 1}) alter(path, place, 20, 1);
  });
  REQUIRE(reply.problems_size() == 2);
  CHECK(reply.places(0).first().seq() == seq_of(run + 3));
  CHECK(reply.places(1).first().seq() == seq_of(next + 1));
}

TEST_CASE("an altered change is told by its record, author, device and time as far as they can be read", "[verify]") {
  Kept kept;
  Sql good(kept.good);
  const Place run = good.number("SELECT " + second_row_of_longest());
  // An edit: its reason is the last thing in it.
  Row row = row_at(good, run);
  std::size_t index = 0;
  while (must(read_change(row.changes[index])).is_birth()) ++index;
  const Change before = must(read_change(row.changes[index]));
  const proto::VerifyReply reply = kept.after(
      [&](const std::string& path) { alter(path, run + static_cast<Place>(index), row.changes[index].size() - 1, 1); });
  REQUIRE(reply.problems_size() == 1);
  const proto::FaultPlace& place = reply.places(0);
  CHECK(place.readable());
  CHECK_FALSE(place.birth());
  CHECK(RecordId{LogId{place.record().log()}, place.record().seq()} == before.record);
  CHECK(place.kind() == static_cast<std::uint32_t>(Kind::kPortion));
  CHECK(place.author_name() == "Ines Valdor");
  CHECK(place.device_name() == "north tablet");
  CHECK(place.entered_ms() == before.entered_ms());
}

TEST_CASE("without marks, as an earlier release stored them, the run is named", "[verify]") {
  Kept kept;
  Sql good(kept.good);
  const Place run = good.number("SELECT " + second_row_of_longest());
  const Seq count = static_cast<Seq>(good.number("SELECT count FROM segment WHERE first=" + std::to_string(run)));
  const proto::VerifyReply reply = kept.after([&](const std::string& path) {
    alter(path, run + 4, 20, 1);
    Sql(path).run("UPDATE segment SET marks=NULL");
  });
  REQUIRE(reply.problems_size() == 1);
  CHECK(reply.places(0).fault() == proto::FAULT_RUN);
  CHECK(reply.places(0).first().seq() == seq_of(run));
  CHECK(reply.places(0).last_seq() == seq_of(run) + count - 1);
}

TEST_CASE("a database of the first form is brought forward, and what comes then is marked", "[verify]") {
  Kept kept;
  const proto::VerifyReply reply = kept.after_sql("ALTER TABLE segment DROP COLUMN marks; PRAGMA user_version=1");
  CHECK(reply.problems_size() == 0);
  auto& [facility, north, south, on_north, on_south, animal, food] = kept.keepers;
  on_south.meal(animal, food, 1'300, 1'000'000);
  facility.exchange_all();
  CHECK(verify(south).problems_size() == 0);
  Sql sql(south.path);
  CHECK(sql.number("PRAGMA user_version") == 2);
  CHECK(sql.number("SELECT count(*) FROM segment WHERE marks IS NOT NULL") >= 1);
  CHECK(sql.number("SELECT count(*) FROM segment WHERE marks IS NULL") > 8);
}

TEST_CASE("what stands beside a run is told apart from its changes", "[verify]") {
  Kept kept;
  Sql good(kept.good);
  const Place run = good.number("SELECT " + second_row_of_longest());
  const std::string at = " WHERE first=" + std::to_string(run);
  SECTION("a mark") {
    const proto::VerifyReply reply = kept.after_sql(
        "UPDATE segment SET marks=CAST(substr(marks,1,12) AS BLOB)||x'00112233'||CAST(substr(marks,17) AS BLOB)" + at);
    REQUIRE(reply.problems_size() == 1);
    CHECK(reply.places(0).fault() == proto::FAULT_MARK);
    CHECK(reply.places(0).first().seq() == seq_of(run) + 3);
    CHECK(reply.seals() == verify(kept.keepers.north).seals());
  }
  SECTION("marks of another length") {
    const proto::VerifyReply reply = kept.after_sql("UPDATE segment SET marks=x'00'" + at);
    REQUIRE(reply.problems_size() == 1);
    CHECK(reply.places(0).fault() == proto::FAULT_MARK);
  }
  SECTION("the hash at its end; the run behind it is not accused") {
    const proto::VerifyReply reply = kept.after_sql("UPDATE segment SET chain=zeroblob(32)" + at);
    REQUIRE(reply.problems_size() == 1);
    CHECK(reply.places(0).fault() == proto::FAULT_CHAIN_HASH);
    CHECK(reply.places(0).first().seq() == seq_of(run));
  }
  SECTION("its seal") {
    for (const char* seal : {"zeroblob(64)", "x'1234'"}) {
      const proto::VerifyReply reply = kept.after_sql("UPDATE segment SET seal=" + std::string(seal) + at);
      REQUIRE(reply.problems_size() == 1);
      CHECK(reply.places(0).fault() == proto::FAULT_RUN);
      CHECK(reply.places(0).first().seq() == seq_of(run));
    }
  }
  SECTION("its packing; the runs behind it are looked at") {
    const proto::VerifyReply reply = kept.after_sql("UPDATE segment SET body=x'28b52ffd00'" + at);
    REQUIRE(reply.problems_size() == 1);
    CHECK(reply.places(0).fault() == proto::FAULT_UNREADABLE);
    CHECK(reply.places(0).first().seq() == seq_of(run));
    CHECK(reply.changes() == verify(kept.keepers.north).changes());
  }
  SECTION("a run taken out") {
    const proto::VerifyReply reply = kept.after_sql("DELETE FROM segment" + at);
    REQUIRE(reply.problems_size() == 1);
    CHECK(reply.places(0).fault() == proto::FAULT_UNREADABLE);
    CHECK(reply.places(0).first().seq() == seq_of(run));
  }
}

TEST_CASE("receipts are checked against the hub's key and the changes they speak of", "[verify]") {
  Kept kept;
  const std::string one = "(SELECT max(place) FROM receipt WHERE place>>24=" + std::string(kLongestLog) + ")";
  Sql good(kept.good);
  const Seq seq = seq_of(good.number("SELECT " + one));
  const std::uint32_t all = verify(kept.device()).receipts();
  for (const char* what : {"held_ms=held_ms-60000", "head=head+1", "signature=zeroblob(64)", "signature=x'00'"}) {
    CAPTURE(what);
    const proto::VerifyReply reply = kept.after_sql("UPDATE receipt SET " + std::string(what) + " WHERE place=" + one);
    REQUIRE(reply.problems_size() == 1);
    CHECK(reply.places(0).fault() == proto::FAULT_RECEIPT);
    CHECK(reply.places(0).first().seq() == seq);
    CHECK(reply.receipts() == all - 1);
  }
  const proto::VerifyReply cut = kept.after_sql(
      "DELETE FROM segment WHERE first=(SELECT max(first) FROM segment WHERE first>>24=" + std::string(kLongestLog) +
      ")");
  REQUIRE(cut.problems_size() == 1);
  CHECK(cut.places(0).fault() == proto::FAULT_MISSING);
  CHECK(cut.places(0).last_seq() == seq);
}
