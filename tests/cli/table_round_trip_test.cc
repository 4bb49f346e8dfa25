// Goal: a table that is exported, imported into a replica that does not have its records, and exported again
// is the same to the byte, for every kind; and a bad line never gets in. Method: random records of every kind
// on one desk, a second desk of the same facility; then examples of bad lines.
#include <catch2/catch.hpp>
#include <fstream>
#include <set>

#include "cli/record_csv.h"
#include "random_records.h"
#include "records.pb.h"
#include "report/csv_cell.h"
#include "test_desk.h"
#include "text/csv.h"

namespace wrackline::cli {
namespace {

std::string content(const std::string& path) { return read_file(path, "a test's file"); }

void write(const std::string& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

// Everything but the first column, "id", which differs since every imported row is a new record.
std::string without_ids(const std::string& csv) {
  const auto rows = parse_csv(csv);
  REQUIRE(rows);
  std::string out;
  for (const CsvRow& row : *rows) {
    for (std::size_t i = 1; i < row.cells.size(); ++i) out += csv_cell(row.cells[i]) + ",";
    out += "\r\n";
  }
  return out;
}

template <typename Message>
Message named(const std::string& name) {
  Message m;
  m.set_name(name);
  return m;
}

Referable roster_of(SharedRoster& roster, Random& random) {
  Referable out;
  // Nobody is their own witness, so whom records name is not who writes them.
  out["person"] = {roster.add("person", named<Person>("Åse Lund").SerializeAsString())};
  for (const char* name : {"Sila", "=Rays", "O'Brien \"Skip\"", "Kobb, the elder", "\u00c5se the second"}) {
    out["animal"].push_back(roster.add("animal", named<Animal>(name).SerializeAsString()));
    out["pool"].push_back(
        roster.add("pool", named<Pool>(std::string("Pool of ") + name).SerializeAsString()));
    out["area"].push_back(roster.add("area", named<Area>(name).SerializeAsString()));
    out["food"].push_back(
        roster.add("food", named<Food>(std::string(name) + ", thawed").SerializeAsString()));
    out["enricher"].push_back(roster.add("enricher", named<Enricher>(name).SerializeAsString()));
    out["cue"].push_back(roster.add("cue", named<Cue>(name).SerializeAsString()));
  }
  Lot lot;
  *lot.mutable_food() = out["food"][0];
  lot.set_code(random_text(random) + "L-1");
  out["lot"].push_back(roster.add("lot", lot.SerializeAsString()));
  return out;
}

void log(Desk& desk, const KindInfo& kind, const std::vector<MessagePtr>& messages) {
  Options options = desk.options();
  options.json = true;  // Random values are asked about; the questions are not what is looked at here.
  Client client(options);
  Call call = client.authored();
  for (const MessagePtr& message : messages) {
    proto::NewRecord& record = *call.mutable_log()->add_records();
    record.set_kind(kind.number);
    record.set_fields(message->SerializeAsString());
  }
  client.call(call);
}

TEST_CASE("exporting, importing elsewhere and exporting again gives the same bytes, for every kind",
          "[table]") {
  Random random = test_random("table round trip");
  INFO("WRACKLINE_SEED=" << test_seed());
  SharedRoster roster(random.next());
  const Referable referable = roster_of(roster, random);
  Desk first(roster), second(roster);
  constexpr std::size_t kRecords = 25;
  for (const KindInfo& kind : kinds()) {
    if (kind.name == "facility" || find_kind(kind.number)->of_hub) continue;  // The hub's alone.
    INFO(kind.name);
    std::vector<MessagePtr> records;
    while (records.size() < kRecords) {
      records.push_back(random_record(random, kind, referable));
      REQUIRE(records.back());
    }
    log(first, kind, records);
    const std::string a = first.path(kind.name + ".csv"), b = second.path(kind.name + ".csv");
    const std::string before = first.path(kind.name + ".roster.csv");

    auto done = first.run({"export", kind.name, "--csv", a});
    INFO(done.text);
    REQUIRE(done.exit == Exit::kOk);
    // Only the records that the second desk has from the roster already are refused as known.
    done = second.run({"export", kind.name, "--csv", before});
    REQUIRE(done.exit == Exit::kOk);
    const std::size_t known = parse_csv(content(before))->size() - 1;
    done = second.run({"import", kind.name, a, "--skip-bad"});
    INFO(done.text);
    REQUIRE(done.exit == Exit::kOk);
    REQUIRE_THAT(done.text, Catch::Contains("imported " + std::to_string(kRecords) + " "));
    done = second.run({"export", kind.name, "--csv", b});
    REQUIRE(done.exit == Exit::kOk);
    REQUIRE(parse_csv(content(b))->size() == kRecords + known + 1);
    REQUIRE(without_ids(content(b)) == without_ids(content(a)));

    // Brought in twice, nothing gets in.
    done = second.run({"import", kind.name, a});
    CHECK(done.exit == Exit::kRefused);
    CHECK_THAT(done.text, Catch::Contains("already"));
  }
}

TEST_CASE("a field of every kind has a column, and its help says what it takes", "[table]") {
  for (const KindInfo& kind : kinds()) {
    INFO(kind.name);
    REQUIRE(kind.descriptor);
    std::set<std::string> titles;
    for (const CsvColumn& column : csv_columns(kind)) {
      CHECK(titles.insert(column.title).second);
      CHECK_FALSE(column_help(column).empty());
    }
    for (int i = 0; i < kind.descriptor->field_count(); ++i) {
      const FieldDescriptor& f = *kind.descriptor->field(i);
      CHECK(titles.count(f.name()) == (is_built_in(f) || f.name() == "utc_offset_min" ? 0 : 1));
    }
  }
}

TEST_CASE("every bad line is named with its column, and nothing is imported", "[table]") {
  SharedRoster roster(7);
  roster.add("pool", named<Pool>("Seal pool").SerializeAsString());
  Desk desk(roster);
  const std::string file = desk.path("readings.csv");
  write(file,
        "pool_name,happened_ms,parameter,value,note\r\n"
        "Seal pool,2026-01-05 08:00,temperature,12.5 C,ok\r\n"
        "Nowhere,2026-01-05 08:00,temperature,12.5 C,\r\n"
        "Seal pool,08:00,temperature,12.5 C,\r\n"
        "Seal pool,2026-01-05 08:00,warmth,12.5 C,\r\n"
        "Seal pool,2026-01-05 08:00,salinity,12.5 C,\r\n"
        "Seal pool,2026-01-05 08:00,ph,81.2,\r\n"
        "Seal pool,2026-01-05 08:00,ph,8.1,a,b\r\n"
        "Seal pool,2026-01-06 08:00,oxygen,\"1,200 mg/L\",\r\n");
  auto done = desk.run({"import", "water_reading", file});
  CHECK(done.exit == Exit::kRefused);
  CHECK_THAT(done.text, Catch::Contains("   3  pool_name") && Catch::Contains("   4  happened_ms") &&
                            Catch::Contains("   5  parameter") && Catch::Contains("   6  value") &&
                            Catch::Contains("   7 ") && Catch::Contains("   8 ") &&
                            Catch::Contains("1200 or 1.200"));
  CHECK_THAT(done.text, Catch::Contains("nothing was imported"));
  CHECK_THAT(desk.run({"list", "water_reading"}).text, Catch::Contains("no water_reading"));

  CHECK_THAT(desk.run({"import", "water_reading", file, "--skip-bad", "--dry-run"}).text,
             Catch::Contains("would import 1 water reading record"));
  CHECK_THAT(desk.run({"list", "water_reading"}).text, Catch::Contains("no water_reading"));
  CHECK(desk.run({"import", "water_reading", file, "--skip-bad"}).exit == Exit::kOk);
  const std::string listed = desk.run({"list", "water_reading"}).text;
  CHECK_THAT(listed, Catch::Contains("12.5 \u00b0C") && Catch::Contains("2026-01-05 08:00"));
  CHECK_THAT(listed, !Catch::Contains("2026-01-06"));
}

TEST_CASE("the text of an area goes out as its name and comes in as the record of that name", "[table]") {
  SharedRoster first_roster(9), second_roster(10);
  auto old_pool = named<Pool>("Seal pool");
  old_pool.set_area("yard");
  first_roster.add("pool", old_pool.SerializeAsString());
  Desk first(first_roster), second(second_roster);
  CHECK_THAT(first.run({"list", "pool"}).text, Catch::Contains("yard"));
  const std::string file = first.path("pools.csv");
  REQUIRE(first.run({"export", "pool", "--csv", file}).exit == Exit::kOk);
  CHECK_THAT(content(file), Catch::Contains("id,name,area,volume_l,in_area") && Catch::Contains(",Seal pool,yard,,"));
  const auto refused = second.run({"import", "pool", file});
  CHECK(refused.exit == Exit::kRefused);
  CHECK_THAT(refused.text, Catch::Contains("no area here is called \"yard\"") && Catch::Contains("wrack add area"));
  REQUIRE(second.run({"add", "area", "name=yard"}).exit == Exit::kOk);
  REQUIRE(second.run({"import", "pool", file}).exit == Exit::kOk);
  CHECK_THAT(second.run({"list", "pool"}, true).text, Catch::Contains("\"in_area\"") && Catch::Contains("\"area_name\": \"yard\""));
}

TEST_CASE("a column that is not known, or given twice, is refused", "[table]") {
  SharedRoster roster(8);
  Desk desk(roster);
  const std::string file = desk.path("pools.csv");
  write(file, "name,volume\r\nA,3L\r\n");
  CHECK_THAT(desk.run({"import", "pool", file}).text,
             Catch::Contains("column 2") && Catch::Contains("\"volume\""));
  write(file, "name,name\r\nA,B\r\n");
  CHECK_THAT(desk.run({"import", "pool", file}).text, Catch::Contains("twice"));
  write(file, "");
  CHECK(desk.run({"import", "pool", file}).exit == Exit::kRefused);
  CHECK(desk.run({"import", "device", file}).exit == Exit::kUsage);
}

TEST_CASE("an exported row that was edited is not taken for a new record unasked", "[table]") {
  SharedRoster roster(9);
  Desk desk(roster);
  REQUIRE(desk.run({"add", "pool", "name=Tide pool", "volume=3m3"}).exit == Exit::kOk);
  const std::string file = desk.path("pools.csv");
  REQUIRE(desk.run({"export", "pool", "--csv", file}).exit == Exit::kOk);
  std::string text = content(file);
  text.replace(text.find("3000 L"), 6, "4000 L");
  write(file, text);
  const auto done = desk.run({"import", "pool", file});
  CHECK(done.exit == Exit::kRefused);
  CHECK_THAT(done.text, Catch::Contains("wrack correct"));
}

TEST_CASE("an id and a name that are not of one record are refused", "[table]") {
  SharedRoster roster(10);
  const RecordRef sila = roster.add("animal", named<Animal>("Sila").SerializeAsString());
  roster.add("animal", named<Animal>("Kobb").SerializeAsString());
  Desk desk(roster);
  const std::string file = desk.path("moves.csv");
  write(file, "animal,animal_name,day,to_pool\r\n" + Names::full_id(sila) + ",Kobb,2026-01-05," +
                  Names::full_id(sila) + "\r\n");
  CHECK_THAT(desk.run({"import", "move", file}).text, Catch::Contains("is that of Sila, not of Kobb"));
  // An id that is not held here, from another facility: the name decides.
  write(file, "animal,animal_name,day,to_pool\r\n00000000000000ff.7,Kobb,2026-01-05," + Names::full_id(sila) +
                  "\r\n");
  CHECK(desk.run({"import", "move", file}).exit == Exit::kOk);
  CHECK_THAT(desk.run({"list", "move"}).text, Catch::Contains("Kobb"));
}

TEST_CASE("what is exported of a spreadsheet's formulas does not run and comes back", "[table]") {
  SharedRoster roster(11);
  Desk desk(roster), other(roster);
  for (const char* name : {"=1+1", "'=1+1", "'tis", "@sum", "-5", "''+3"})
    REQUIRE(desk.run({"add", "pool", std::string("name=") + name}).exit == Exit::kOk);
  const std::string file = desk.path("pools.csv");
  REQUIRE(desk.run({"export", "pool", "--csv", file}).exit == Exit::kOk);
  const auto rows = parse_csv(content(file));
  REQUIRE(rows);
  REQUIRE(rows->size() == 7);
  for (const CsvRow& row : *rows)
    for (const std::string& cell : row.cells)
      CHECK((cell.empty() || std::string("=+-@\t\r").find(cell[0]) == std::string::npos));
  REQUIRE(other.run({"import", "pool", file}).exit == Exit::kOk);
  const std::string listed = other.run({"list", "pool"}).text;
  for (const char* name : {"=1+1", "'=1+1", "'tis", "@sum", "-5", "''+3"})
    CHECK_THAT(listed, Catch::Contains(std::string("  ") + name + "\n"));
}

}  // namespace
}  // namespace wrackline::cli
