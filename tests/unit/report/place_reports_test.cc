// Goal: the reports of water, retention and closes say what the records hold, no more.
// Method: a small centre whose figures are worked out by hand.
#include "report_centre.h"

using namespace wrackline;

TEST_CASE("a pool's readings stand beside the limit they were judged by, and none is said as none", "[report]") {
  ReportCentre centre;
  const auto read = [&](Day day, proto::Parameter parameter, std::int64_t value) {
    proto::WaterReading reading;
    *reading.mutable_pool() = ref_of(centre.pool);
    reading.set_day(day);
    reading.set_parameter(parameter);
    reading.set_value(value);
    return centre.shift.log(Kind::kWaterReading, reading);
  };
  proto::WaterLimit limit;
  limit.set_parameter(proto::PARAMETER_TEMPERATURE);
  limit.set_low(8'000);
  limit.set_high(14'000);
  limit.set_source("house rule");
  limit.set_unverified(true);
  centre.shift.log(Kind::kWaterLimit, limit);
  read(kReportDay - 2, proto::PARAMETER_TEMPERATURE, 10'000);
  read(kReportDay, proto::PARAMETER_TEMPERATURE, 15'500);
  read(kReportDay, proto::PARAMETER_PH, 8'100);
  centre.shift.strike(read(kReportDay - 1, proto::PARAMETER_TEMPERATURE, 19'000), "another pool's");

  const proto::ReportReply report = centre.report(proto::REPORT_KIND_WATER, centre.pool, kReportDay - 2, kReportDay);
  const proto::ReportTable& temperature = table_of(report, "readings");
  CHECK(temperature.about().code().code() == "temperature");
  REQUIRE(temperature.rows_size() == 2);
  CHECK(cell_of(temperature, 0, "judgement").code().code() == "inside");
  CHECK(cell_of(temperature, 1, "judgement").code().code() == "above");
  CHECK(cell_of(temperature, 1, "value").number() == 15'500);
  CHECK(cell_of(temperature, 1, "high").number() == 14'000);
  CHECK(cell_of(temperature, 1, "limit").code().code() == "unverified");
  const proto::ReportCode* days = note_in(temperature.notes(), "days_read");
  REQUIRE(days != nullptr);
  CHECK(days->parameters(0).number() == 2);
  CHECK(days->parameters(1).number() == 3);
  CHECK(note_in(temperature.notes(), "outside")->parameters(0).number() == 1);
  // The other property has a table of its own, and nobody gave it a limit.
  bool has_ph = false;
  for (const proto::ReportTable& table : report.tables()) {
    if (table.about().code().code() != "ph") continue;
    has_ph = true;
    CHECK(cell_of(table, 0, "judgement").code().code() == "no_limit");
    CHECK(note_in(table.notes(), "not_all_judged") != nullptr);
    CHECK(is_absent(cell_of(table, 0, "high")));
  }
  CHECK(has_ph);
  const proto::ReportReply empty = centre.report(proto::REPORT_KIND_WATER, centre.pool, kReportDay - 9, kReportDay - 8);
  CHECK(note_in(table_of(empty, "readings").notes(), "no_readings") != nullptr);
}

// One year of feeding records, through its last day: 9 CFR 3.105(c).
TEST_CASE("retention counts what is within its minimum and what is past it, struck records too", "[report]") {
  ReportCentre centre;
  centre.meal(kReportDay - 400, 1'000'000, 0);
  centre.shift.strike(centre.meal(kReportDay - 398, 1'000'000, 0), "wrong animal");
  const auto meals_on = [&](Day day) {
    const proto::ReportReply report = centre.report(proto::REPORT_KIND_RETENTION, {}, day, day);
    const proto::ReportTable& counts = table_of(report, "counts");
    CHECK(counts.only_data());
    for (int row = 0; row < counts.rows_size(); ++row) {
      if (cell_of(counts, row, "kind").code().code() != "meal") continue;
      CHECK(cell_of(counts, row, "animal").record().name() == "Sila");
      CHECK(cell_of(counts, row, "records").number() == 2);
      CHECK(cell_of(counts, row, "out_of_account").number() == 1);
      CHECK(cell_of(counts, row, "oldest_day").day() == kReportDay - 400);
      return std::pair(cell_of(counts, row, "to_be_kept").number(), cell_of(counts, row, "past_minimum").number());
    }
    FAIL("no meal is counted");
    return std::pair<std::int64_t, std::int64_t>();
  };
  CHECK(meals_on(kReportDay - 400 + 365) == std::pair<std::int64_t, std::int64_t>(2, 0));
  CHECK(meals_on(kReportDay - 400 + 366) == std::pair<std::int64_t, std::int64_t>(1, 1));
  CHECK(meals_on(kReportDay - 400 + 368) == std::pair<std::int64_t, std::int64_t>(0, 2));
  const proto::ReportReply report = centre.report(proto::REPORT_KIND_RETENTION, {}, kReportDay, kReportDay);
  CHECK(note_in(report.notes(), "caution_retention") != nullptr);
  const proto::ReportTable& kinds = table_of(report, "kinds");
  for (int row = 0; row < kinds.rows_size(); ++row) {
    if (cell_of(kinds, row, "kind").code().code() != "food") continue;
    CHECK(cell_of(kinds, row, "minimum").code().code() == "none_named");
    CHECK(is_absent(cell_of(kinds, row, "past_minimum")));
  }
}

TEST_CASE("a day that nobody closed is said to be open in the report of closes", "[report]") {
  ReportCentre centre;
  const proto::ReportReply report = centre.report(proto::REPORT_KIND_CLOSES, {}, kReportDay - 3, kReportDay);
  CHECK(note_in(table_of(report, "close").notes(), "no_day_closed") != nullptr);
}
