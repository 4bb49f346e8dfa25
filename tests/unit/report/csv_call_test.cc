// Goal: CSV is a report's own figures with its columns' codes above them, and no cell of it runs in a spreadsheet.
// Method: tables of a small centre and rows that begin as formulas do, compared with lines written by hand.
#include "report/csv_cell.h"
#include "report_centre.h"

using namespace wrackline;
using Catch::Contains;

TEST_CASE("CSV of a report has the codes of its columns, ids beside names, and gaps as empty cells", "[report]") {
  ReportCentre centre;
  centre.meal(kReportDay, 1'000'000, 200'000);
  const std::string csv = centre.csv(centre.ask(proto::REPORT_KIND_DAY, {}, kReportDay, kReportDay));
  const std::string id = to_text(centre.seal);
  CHECK(csv ==
        "day,area,pool,animal,animal_name,head_count,meals,portions_unweighed,offered_mg,left_mg,eaten_mg,planned_mg,plan_ppm,body_mass_ppm\r\n"
        "2026-09-21,yard,Seal pool," +
            id + ",Sila,,1,0,1000000,200000,800000,,,\r\n");
}

TEST_CASE("CSV has all tables of the code that is asked for, and a code without a table is refused", "[report]") {
  ReportCentre centre;
  centre.order(kReportDay, kReportDay);
  centre.order(kReportDay, kReportDay);
  const proto::ReportCall ask = centre.ask(proto::REPORT_KIND_TREATMENTS, centre.seal, kReportDay, kReportDay);
  const std::string csv = centre.csv(ask);
  std::size_t lines = 0;
  for (const char c : csv) lines += c == '\n' ? 1 : 0;
  CHECK(lines == 5);  // The headings once, and two doses of each order.
  CHECK_THAT(csv, Contains("given,given_unit,"));
  proto::Call call;
  *call.mutable_csv()->mutable_report() = ask;
  call.mutable_csv()->set_table("nowhere");
  CHECK(static_cast<ErrorCode>(centre.shift.call(call).failure().code()) == ErrorCode::kNotFound);
}

TEST_CASE("lines of an app become CSV in which no cell runs as a formula", "[report]") {
  ReportCentre centre;
  proto::Call call;
  proto::CsvLines& lines = *call.mutable_csv()->mutable_lines();
  for (const char* cell : {"Name", "=1+1", "-5", "@a,b", "say \"hi\"", "\tx", "plain"}) lines.add_lines()->add_cells(cell);
  lines.add_lines()->add_cells("a");
  lines.mutable_lines(7)->add_cells("+b");
  CHECK(centre.shift.must_call(call).csv().csv() == "Name\r\n'=1+1\r\n'-5\r\n\"'@a,b\"\r\n\"say \"\"hi\"\"\"\r\n'\tx\r\nplain\r\na,'+b\r\n");
  CHECK(static_cast<ErrorCode>([&] {
          proto::Call nothing;
          nothing.mutable_csv();
          return centre.shift.call(nothing).failure().code();
        }()) == ErrorCode::kInvalid);
}

TEST_CASE("a figure below zero stays a figure in CSV, and a name that begins like a formula does not", "[report]") {
  ReportCentre centre;
  proto::Animal animal;
  animal.set_name("=HYPERLINK(\"x\")");
  centre.shift.log(Kind::kAnimal, animal);
  centre.meal(kReportDay, 1'000'000, 1'200'000);  // More came back than was offered: shown, not hidden.
  const std::string csv = centre.csv(centre.ask(proto::REPORT_KIND_DAY, {}, kReportDay, kReportDay));
  CHECK_THAT(csv, Contains(",1200000,-200000,") && Contains("\"'=HYPERLINK(\"\"x\"\")\""));
}
