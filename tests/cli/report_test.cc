// Goal: what stands in a report is what is in account, what was not recorded stays a gap in words, table, picture and
// file, and nothing that was typed becomes markup. Method: commands run on a desk in a scratch folder, on fixed days.
#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <tuple>

#include "cli/reports/report_catalogue.h"
#include "cli/reports/report_charts.h"
#include "test_desk.h"
#include "text/csv.h"
#include "text/value_units.h"

namespace wrackline::cli {
namespace {

using Catch::Contains;

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t n = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + part.size())) ++n;
  return n;
}

struct Office {
  SharedRoster roster{78};
  Desk desk{roster};
  std::string pool = "Seal <b>pool</b>", animal = "Sila & \"Co\" <b>";

  Office() {
    run({"add", "area", "name=yard"});
    run({"add", "pool", "name=" + pool, "area=yard"});
    run({"add", "animal", "name=" + animal, "pool=Seal"});
    run({"add", "food", "name=Herring <b>", "energy=158kcal/100g"});
  }
  std::string run(const std::vector<std::string>& words, Exit wanted = Exit::kOk) {
    const Desk::Output out = desk.run(words);
    INFO(words[0] << " " << words[1] << ": " << out.text);
    REQUIRE(out.exit == wanted);
    return out.text;
  }
  // Runs and gives the short id of the first record logged.
  std::string logs(const std::vector<std::string>& words) {
    const std::string text = run(words);
    const std::size_t from = text.find("logged ") + 7;
    return text.substr(from, text.find(' ', from) - from);
  }
  std::string meal(const std::string& day, const std::string& food) {
    return logs({"meal", "Sila", "--slot", "08:30", "--at", day + " 08:35", "--food", "Herring=" + food});
  }
  std::string read(const std::string& at, const std::string& value) {
    return logs({"read", "Seal", value, "--at", at, "--instrument", "probe <b>"});
  }
  // A report into a file with --html or --csv; what stands in it.
  std::string file(std::vector<std::string> words, const std::string& how) {
    words.insert(words.begin(), "report");
    words.insert(words.end(), {"--" + how, desk.path("out." + how)});
    run(words);
    return read_file(desk.path("out." + how), "the report");
  }
  std::vector<CsvRow> csv(const std::vector<std::string>& words) { return *parse_csv(file(words, "csv")); }
};

// The `d` of the first solid line: series with a dash carry it after their colour.
std::string solid_path(const std::string& page) {
  const std::size_t look = page.find("\" fill=\"none\" stroke=\"#111\"");
  REQUIRE(look != std::string::npos);
  const std::size_t from = page.rfind(" d=\"", look) + 4;
  return page.substr(from, look - from);
}

TEST_CASE("a pool's report has its readings against their limits, and a gap where nothing was read", "[report]") {
  Office o;
  o.run({"add", "water_limit", "parameter=temperature", "low=8C", "high=14C", "source=house rule <b>", "unverified=yes"});
  o.read("2024-05-01 09:00", "temperature=10C");
  o.read("2024-05-02 09:00", "temperature=15.5C");
  o.read("2024-05-05 09:00", "temperature=12C");
  o.run({"strike", o.read("2024-05-04 09:00", "temperature=19C"), "--reason", "another pool's"});
  const std::vector<std::string> report = {"water", "Seal", "--from", "2024-05-01", "--to", "2024-05-05"};
  std::vector<std::string> words = report;
  words.insert(words.begin(), "report");
  const std::string text = o.run(words);
  CHECK_THAT(text, Contains("Read on 3 of 5 days, 3 readings.") && Contains("1 OUTSIDE the limit.") && Contains("15.5 \u00b0C") &&
                       Contains("OUTSIDE, above") && Contains("house rule") && !Contains("19 "));
  const std::string page = o.file(report, "html");
  // Two days joined, then a day alone; neither the struck reading nor the empty day is drawn.
  CHECK(count(solid_path(page), "M") == 2);
  CHECK(count(solid_path(page), "L") == 1);
  CHECK_THAT(page, Contains(">low limit (unverified)</text>") && Contains(">high limit (unverified)</text>") && Contains(">outside its limit</text>"));
  CHECK_THAT(page, !Contains("<b>") && Contains("probe &lt;b&gt;") && Contains("Days without a reading are gaps"));
  const std::vector<CsvRow> rows = o.csv(report);
  REQUIRE(rows.size() == 4);
  CHECK(rows[2].cells[0] == "2024-05-02");
  CHECK(rows[2].cells[3] == "15500");
  CHECK(rows[2].cells[4] == "temperature");
  CHECK(rows[2].cells[5] == "above");
  CHECK(rows[2].cells[6] == "8000");
  CHECK(rows[2].cells[10] == "unverified");
  CHECK_THAT(o.run({"report", "water", "Seal", "--from", "2023-05-01", "--to", "2023-05-05"}), Contains("No reading is recorded"));
  o.run({"report", "water", "Nowhere"}, Exit::kNotFound);
}

TEST_CASE("a property of the water has an axis in the unit that its values are printed in", "[report]") {
  for (const auto& [parameter, unit, decimals] : {std::make_tuple(PARAMETER_TEMPERATURE, "\u00b0C", 3), std::make_tuple(PARAMETER_SALINITY, "psu", 3),
                                                  std::make_tuple(PARAMETER_PH, "pH", 3), std::make_tuple(PARAMETER_REDOX, "mV", 0),
                                                  std::make_tuple(PARAMETER_AIR_PRESSURE, "hPa", 2)}) {
    SvgChart chart;
    set_axis(chart, unit_of_parameter(parameter));
    CHECK(chart.unit == unit);
    CHECK(chart.decimals == decimals);
  }
}

TEST_CASE("reports of an animal and a month count what is in account, and show an unfed day as a gap",
          "[report]") {
  Office o;
  o.meal("2024-05-01", "1kg,left:200g");
  o.meal("2024-05-02", "1kg,left:0g");
  const std::string kept = o.meal("2024-05-04", "1kg,left:100g");
  o.run({"strike", o.meal("2024-05-03", "9kg,left:0g"), "--reason", "wrong animal"});
  const std::string double_entry = o.logs({"meal", "Sila", "--slot", "08:30", "--at", "2024-05-04 08:40", "--food", "Herring=1kg,left:100g"});
  const std::vector<std::string> report = {"animal", "Sila", "--from", "2024-05-01", "--to", "2024-05-05"};
  const std::vector<CsvRow> twice = o.csv(report);
  CHECK(twice[4].cells[5] == "1800000");  // Counted twice until somebody folds it,
  std::vector<std::string> words = report;
  words.insert(words.begin(), "report");
  CHECK_THAT(o.run(words), Contains("To be settled"));  // and said so.
  o.run({"fold", double_entry, "--into", kept, "--reason", "one meal"});

  const std::vector<CsvRow> rows = o.csv(report);
  REQUIRE(rows.size() == 6);
  CHECK(rows[1].cells[5] == "800000");
  CHECK(rows[4].cells[5] == "900000");
  for (const std::size_t gap : {3u, 5u}) {
    CHECK(rows[gap].cells[1] == "unrecorded");
    for (std::size_t c = 2; c <= 5; ++c) CHECK(rows[gap].cells[c].empty());
  }
  const std::string page = o.file(report, "html");
  CHECK(count(solid_path(page), "M") == 2);
  CHECK(count(solid_path(page), "L") == 1);
  CHECK_THAT(page, Contains("unrecorded") && !Contains("<b>") && !Contains("9 kg"));

  const std::vector<CsvRow> month = o.csv({"month", "2024-05"});
  REQUIRE(month.size() == 2);
  CHECK(month[1].cells[4] == o.animal);
  CHECK(month[1].cells[6] == "31");
  CHECK(month[1].cells[7] == "3");
  CHECK(month[1].cells[9] == "900000");  // (800 + 1000 + 900) / 3 g
  CHECK(month[1].cells[14].empty());      // Never weighed, which is no change of zero.
  CHECK_THAT(o.run({"report", "month", "2024-05"}), Contains("Of 31 days") && Contains("900 g") && !Contains("2024-05-04"));
  // The days of one animal stand below its line.
  CHECK_THAT(o.run({"report", "month", "2024-05", "--animal", "Sila"}), Contains("2024-05-04") && Contains("unrecorded"));
  CHECK(o.csv({"month", "2024-05", "--animal", "Sila"}).size() == 32);
  CHECK(o.csv({"month", "2024-05", "--animal", "Sila", "--table", "animals"}).size() == 2);
  o.run({"report", "month", "2024-05", "--csv", o.desk.path("x"), "--table", "nowhere"}, Exit::kNotFound);
  CHECK_THAT(o.file({"month", "2024-05"}, "html"), !Contains("<b>"));
  CHECK_THAT(o.file({"day", "2024-05-04"}, "html"), !Contains("<b>") && Contains("900 g"));
  o.run({"report", "month", "2024-13"}, Exit::kUsage);
}

TEST_CASE("treatments show what came of each dose, and a missing one as missing", "[report]") {
  Office o;
  o.run({"add", "treatment_order", "animal=Sila", "preparation=Drops <b>", "dose=5mg", "route=in fish", "slots=08:30,20:30",
         "first_day=2024-05-01", "last_day=2024-05-02", "ordered_by=Mara", "daily_max=2", "interval=10h"});
  o.run({"dose", "Sila", "--slot", "08:30", "--outcome", "given", "--at", "2024-05-01 08:35"});
  const std::vector<std::string> report = {"treatments", "Sila", "--from", "2024-05-01", "--to", "2024-05-02"};
  const std::vector<CsvRow> rows = o.csv(report);
  REQUIRE(rows.size() == 5);
  CHECK(rows[1].cells[1] == "Drops <b>");
  CHECK(rows[1].cells[4] == "given");
  CHECK(rows[1].cells[5] == "5000");
  CHECK(rows[1].cells[6] == "dose_ug");
  for (std::size_t r = 2; r <= 4; ++r) {
    CHECK(rows[r].cells[3] == "not_known");  // This desk never exchanged: others may have given it.
    for (const std::size_t c : {4u, 5u, 8u}) CHECK(rows[r].cells[c].empty());
  }
  CHECK_THAT(o.file(report, "html"), !Contains("<b>") && Contains("In doubt, hold"));
}

TEST_CASE("retention lists what is within its minimum, counts what is struck, and names its sources", "[report]") {
  Office o;
  o.meal("2024-05-01", "1kg,left:0g");
  o.run({"strike", o.meal("2024-05-03", "1kg"), "--reason", "wrong animal"});
  o.read("2024-05-02 09:00", "ph=8.1");
  o.run({"measure", "Sila", "mass=84kg", "--at", "2024-05-02 08:00"});
  const auto row = [&](const std::string& day, const std::string& kind) {
    for (const CsvRow& r : o.csv({"retention", "--day", day}))
      if (r.cells[0] == kind) return r.cells;
    return std::vector<std::string>(10);
  };
  // One year of feeding records, through its last day: 9 CFR 3.105(c).
  CHECK(row("2025-05-01", "meal") == std::vector<std::string>{"meal", row("2025-05-01", "animal")[1], o.animal, "2", "1", "2024-05-01", "1",
                                                              "9 CFR 3.105(c)", "2", "0"});
  CHECK(row("2025-05-02", "meal")[9] == "1");
  CHECK(row("2025-05-04", "meal")[9] == "2");  // The struck one has its day, too.
  CHECK(row("2025-05-02", "portion")[9] == "1");  // Counted by the day of its meal.
  CHECK(row("2025-05-02", "water_reading")[8] == "1");
  CHECK(row("2025-05-03", "water_reading")[9] == "1");
  // The record must be kept while nobody knows that the animal has left.
  CHECK(row("2099-01-01", "measure")[8] == "1");
  CHECK(row("2099-01-01", "food")[6].empty());    // None named is neither kept nor past.
  CHECK(row("2099-01-01", "food")[9].empty());
  const std::string text = o.run({"report", "retention", "--day", "2025-05-04"});
  CHECK_THAT(text, Contains("none named") && Contains("is a floor") && Contains("lists, and removes") && Contains("9 CFR 2.80"));
  CHECK_THAT(o.file({"retention"}, "html"), !Contains("<b>") && Contains("is a floor"));
  CHECK(o.run({"list", "meal", "--of", "Sila"}).find("08:3") != std::string::npos);  // Still there.
}

// The codes of notes in the core's reports, read from their source.
std::set<std::string> note_codes() {
  std::set<std::string> out;
  for (const auto& entry : std::filesystem::directory_iterator(std::string(WRACKLINE_SOURCE_DIR) + "/core/report")) {
    std::ifstream in(entry.path());
    for (std::string line; entry.path().extension() == ".cc" && std::getline(in, line);) {
      if (!std::regex_search(line, std::regex("note\\(|code_of\\(|char\\* (note|caution)"))) continue;
      const std::regex literal("\"([a-z_]{4,})\"");
      for (std::sregex_iterator at(line.begin(), line.end(), literal), end; at != end; ++at) out.insert((*at)[1]);
    }
  }
  return out;
}

TEST_CASE("every note of the core's reports has words in the command line and on the tablet", "[report]") {
  const std::set<std::string> codes = note_codes();
  REQUIRE(codes.size() > 40);
  const std::string tablet = read_file(std::string(WRACKLINE_SOURCE_DIR) + "/platform-shims/apps/tablet/src/words/en/reports.ts", "words") +
                             read_file(std::string(WRACKLINE_SOURCE_DIR) + "/platform-shims/apps/tablet/src/ui/desk/report_words.ts", "words");
  for (const std::string& code : codes) {
    CAPTURE(code);
    const bool is_told_by_itself = code == "order" || code == "amendments" || code == "sealed" || code == "not_sealed";
    CHECK((is_told_by_itself || report_notes().count(code) == 1));
    CHECK((code == "order" || tablet.find(" " + code + ": ") != std::string::npos || tablet.find(" " + code + ":\n") != std::string::npos));
  }
}

}  // namespace
}  // namespace wrackline::cli
