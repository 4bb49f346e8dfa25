// Goal: what was altered in a database is named to the change, by whatever a person with the file could alter. Method:
// real databases of replicas that have met, altered through SQL with everything packed as the product packs it.
#include <sqlite3.h>

#include <algorithm>
#include <filesystem>

#include "base/wire.h"
#include "log/leaf.h"
#include "log/seal.h"
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
    INFO(reply.failure().message());
    REQUIRE_FALSE(reply.has_failure());
    const proto::VerifyReply& part = reply.verify();
    all.set_changes(all.changes() + part.changes());
    all.set_seals(all.seals() + part.seals());
    all.set_arrivals(all.arrivals() + part.arrivals());
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
    for (std::uint32_t round = 0; round < 7; ++round) {
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

// The log with the most changes: a tablet's. It stands in several rows.
constexpr const char* kLongestLog =
    "(SELECT first>>24 FROM segment GROUP BY first>>24 ORDER BY sum(count) DESC LIMIT 1)";

std::string row_of_longest(int number) {
  return "(SELECT first FROM segment WHERE first>>24=" + std::string(kLongestLog) + " ORDER BY first LIMIT 1 OFFSET " +
         std::to_string(number) + ")";
}

// Makes all that stands beside the changes of a log anew, so that nothing but its seal tells of an alteration.
void smooth_over(const std::string& path, Place in_log) {
  Sql sql(path);
  const std::string log = std::to_string(in_log >> 24);
  Frontier tree;
  Place at = (in_log >> 24 << 24) + 1;
  while (sql.number("SELECT count(*) FROM segment WHERE first=" + std::to_string(at)) != 0) {
    const Row row = row_at(sql, at);
    TreeWalk walk(tree);
    for (std::size_t i = 0; i < row.changes.size(); ++i) {
      const std::uint32_t block = block_of(seq_of(at) + i - 1);
      BlockSeed seed{};
      const Place first = (in_log >> 24 << 24) + static_cast<Place>(block * kBlockLeaves) + 1;
      REQUIRE(copy_exactly(sql.blob("SELECT seed FROM block WHERE first=" + std::to_string(first)), seed));
      walk.give_seed(block, seed);
      walk.step(row.changes[i]);
    }
    tree = walk.tree();
    sql.run("UPDATE segment SET tree=" + hex_literal(tree.bytes()) + ",marks=" + hex_literal(walk.marks()) + " WHERE first=" + std::to_string(at));
    for (const TreeWalk::Block& block : walk.take_blocks()) {
      if (block.root) sql.run("UPDATE block SET root=" + hex_literal(view(*block.root)) + " WHERE first=" +
                              std::to_string((in_log >> 24 << 24) + static_cast<Place>(block.number * kBlockLeaves) + 1));
    }
    at += row.count;
  }
}

}  // namespace

TEST_CASE("a database nobody altered verifies, with its seals and arrivals counted", "[verify]") {
  Kept kept;
  const proto::VerifyReply reply = verify(kept.device());
  CHECK(reply.problems_size() == 0);
  CHECK(reply.changes() > 150);
  Sql sql(kept.good);
  CHECK(reply.seals() == sql.number("SELECT count(*) FROM log WHERE seal IS NOT NULL"));
  CHECK(reply.seals() >= 4);
  CHECK(reply.arrivals() == sql.number("SELECT count(*) FROM arrival"));
  CHECK(reply.arrivals() > 8);
  CHECK(sql.number("SELECT count(*) FROM segment WHERE length(marks)<>4*count") == 0);
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
    int named = 0;
    for (int i = 0; i < reply.problems_size(); ++i) {
      // Where the change let a device in, nothing says any more whose logs its are; where it told of arrivals, devices have seen others.
      if (reply.places(i).fault() == proto::FAULT_OWNER || reply.places(i).fault() == proto::FAULT_TWO_VIEWS) continue;
      ++named;
      CHECK(reply.places(i).fault() == proto::FAULT_CHANGE);
      CHECK(first_of(reply, i) == id);
      CHECK(reply.places(i).last_seq() == id.seq);
      CHECK(reply.problems(i).message() ==
            "log " + to_text(id.log) + ", change " + std::to_string(id.seq) + ": altered after sealing");
    }
    CHECK(named == 1);
  }
}

TEST_CASE("a device's record that cannot be read is named, and so are the logs whose owner it told", "[verify]") {
  Kept kept;
  Store& store = kept.device().replica->store();
  const PublicKey north = kept.keepers.north.keystore->public_key();
  const RecordId record = must(kept.device().replica->devices().find(north)).record;
  const Place place = store.logs().find_place(record);
  const proto::VerifyReply reply = kept.after([&](const std::string& path) {
    Sql sql(path);
    Row row = row_at(sql, place);
    ChangeRun altered;
    for (std::size_t i = 0; i < row.changes.size(); ++i)
      altered.append(row.first + static_cast<Place>(i) == place ? ByteView("\xff\xff", 2) : row.changes[i]);
    row.changes = altered;
    put_row(sql, row);
  });
  std::set<int> faults;
  bool is_named = false;
  for (int i = 0; i < reply.places_size(); ++i) {
    faults.insert(reply.places(i).fault());
    is_named = is_named || (reply.places(i).fault() == proto::FAULT_CHANGE && first_of(reply, i) == record);
  }
  CHECK(is_named);
  CHECK(faults.count(proto::FAULT_OWNER) == 1);
}

TEST_CASE("the first altered change of a run is named, and the runs behind it are checked too", "[verify]") {
  Kept kept;
  Sql good(kept.good);
  const Place run = good.number("SELECT " + row_of_longest(0));
  const Place next = run + good.number("SELECT count FROM segment WHERE first=" + std::to_string(run));
  const proto::VerifyReply reply = kept.after([&](const std::string& path) {
    for (const Place place : {run + 5, run + 3, run + 9, next + 1}) alter(path, place, 20, 1);
  });
  REQUIRE(reply.problems_size() == 2);
  CHECK(reply.places(0).first().seq() == seq_of(run + 3));
  CHECK(reply.places(1).first().seq() == seq_of(next + 1));
}

TEST_CASE("an altered change is told with what can be read of its record, author, device and time",
          "[verify]") {
  Kept kept;
  Sql good(kept.good);
  const Place run = good.number("SELECT " + row_of_longest(0));
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

TEST_CASE("a log rewritten with all that stands beside it is told by its seal", "[verify]") {
  Kept kept;
  Sql good(kept.good);
  const Place run = good.number("SELECT " + row_of_longest(0));
  const proto::VerifyReply reply = kept.after([&](const std::string& path) {
    alter(path, run + 4, 20, 1);
    smooth_over(path, run);
  });
  // The hub's word of the log is another matter, and speaks against it too.
  REQUIRE(reply.problems_size() >= 1);
  bool is_told = false;
  for (const proto::FaultPlace& place : reply.places()) {
    CHECK(LogId{place.first().log()} == kept.device().replica->store().logs().id_of(run).log);
    is_told = is_told || place.fault() == proto::FAULT_RUN;
  }
  CHECK(is_told);
}

TEST_CASE("a log sealed anew with another key is told by whose it is", "[verify]") {
  Kept kept;
  Sql good(kept.good);
  const Place run = good.number("SELECT " + row_of_longest(0));
  const LogEntry before = *kept.device().replica->store().logs().find(kept.device().replica->store().logs().id_of(run).log);
  const FacilityId facility = kept.device().replica->store().facility();
  SeededKeystore forger(4711);
  const auto forge = [&](const LogOpening& opening, const std::string& path) {
    alter(path, run + 4, 20, 1);
    smooth_over(path, run);
    Sql sql(path);
    const std::string log = std::to_string(run >> 24);
    const Bytes tree = sql.blob("SELECT tree FROM segment WHERE first>>24=" + log + " ORDER BY first DESC LIMIT 1");
    LogSeal seal;
    seal.size = before.head.seq;
    seal.root = Frontier::read(seal.size, tree)->root();
    seal.signature = must(forger.sign(seal_text(facility, before.id, opening, seal)));
    sql.run("UPDATE log SET opening=" + hex_literal(to_bytes(opening)) + ",seal=" + hex_literal(to_bytes(seal)) + " WHERE no=" + log);
  };
  LogOpening opening = *before.opening;
  opening.device = forger.public_key();
  const proto::VerifyReply reply = kept.after([&](const std::string& path) { forge(opening, path); });
  int of_owner = 0;
  for (const proto::FaultPlace& place : reply.places()) of_owner += place.fault() == proto::FAULT_OWNER;
  CHECK(of_owner == 2);  // The id is not of that key, and nobody has let that key in.
  // Nothing says whose it is at all.
  const proto::VerifyReply ownerless = kept.after_sql("UPDATE log SET opening=NULL,seal=NULL WHERE no=" + std::to_string(run >> 24));
  REQUIRE(ownerless.problems_size() >= 1);
  CHECK(std::any_of(ownerless.places().begin(), ownerless.places().end(), [](const proto::FaultPlace& p) { return p.fault() == proto::FAULT_OWNER; }));
  // Without its seal.
  const proto::VerifyReply unsealed = kept.after_sql("UPDATE log SET seal=NULL WHERE no=" + std::to_string(run >> 24));
  REQUIRE(unsealed.problems_size() >= 1);
  CHECK(unsealed.places(0).fault() == proto::FAULT_RUN);
}

TEST_CASE("what stands beside a run is told apart from its changes", "[verify]") {
  Kept kept;
  Sql good(kept.good);
  const Place run = good.number("SELECT " + row_of_longest(0));
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
    const proto::VerifyReply reply = kept.after_sql("UPDATE segment SET tree=zeroblob(32)" + at);
    REQUIRE(reply.problems_size() == 1);
    CHECK(reply.places(0).fault() == proto::FAULT_TREE);
    CHECK(reply.places(0).first().seq() == seq_of(run));
  }
  SECTION("its seal") {
    const std::string log = " WHERE no=" + std::to_string(run >> 24);
    const proto::VerifyReply reply =
        kept.after_sql("UPDATE log SET seal=CAST(substr(seal,1,88) AS BLOB)||zeroblob(64)" + log);
    REQUIRE(reply.problems_size() == 1);
    CHECK(reply.places(0).fault() == proto::FAULT_RUN);
    CHECK(reply.places(0).first().seq() == 1);
  }
  SECTION("a seed") {
    const proto::VerifyReply reply = kept.after_sql("UPDATE block SET seed=zeroblob(16) WHERE first=" + std::to_string(run));
    // Each run of the block is accused from its first change on.
    REQUIRE(reply.problems_size() >= 1);
    CHECK(reply.places(0).fault() == proto::FAULT_CHANGE);
    CHECK(reply.places(0).first().seq() == 1);
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

TEST_CASE("what the hub told of arrivals is checked against the changes it speaks of", "[verify]") {
  Kept kept;
  Sql good(kept.good);
  // The last row of the longest log is gone, though its device sealed it.
  const Seq head = seq_of(good.number("SELECT max(first+count-1) FROM segment WHERE first>>24=" + std::string(kLongestLog)));
  const proto::VerifyReply cut = kept.after_sql(
      "DELETE FROM segment WHERE first=(SELECT max(first) FROM segment WHERE first>>24=" + std::string(kLongestLog) +
      ")");
  REQUIRE(cut.problems_size() == 1);
  CHECK(cut.places(0).fault() == proto::FAULT_MISSING);
  CHECK(cut.places(0).last_seq() == head);
  // The seal of an earlier state with it: the hub remembers that it held more.
  const proto::VerifyReply further = kept.after_sql("UPDATE arrival SET last=last+5 WHERE last=(SELECT max(last) FROM arrival WHERE last>>24=" +
                                                    std::string(kLongestLog) + ")");
  REQUIRE(further.problems_size() == 1);
  CHECK(further.places(0).fault() == proto::FAULT_MISSING);
  CHECK(further.places(0).last_seq() == head + 5);
}
