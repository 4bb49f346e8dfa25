// Goal: the reports of animals (month, treatments, history) say what the records hold, no more, and leave gaps as gaps.
// Method: a small centre whose figures are worked out by hand.
#include "report_centre.h"

using namespace wrackline;

TEST_CASE("a month's line counts days, means over whole days, and doses by what came of them", "[report]") {
  ReportCentre centre;
  const Day first = kReportDay - 30, last = kReportDay - 1;
  centre.meal(first, 1'000'000, 200'000);
  centre.meal(first + 1, 1'000'000, 0);
  centre.meal(first + 3, 1'000'000, std::nullopt);  // Recorded, and not complete.
  const RecordId order = centre.order(first, first + 1);
  centre.dose(order, first, 510, 515);
  const proto::ReportReply report = centre.report(proto::REPORT_KIND_MONTH, {}, first, last);
  const proto::ReportTable& animals = table_of(report, "animals");
  REQUIRE(animals.rows_size() == 1);
  CHECK(cell_of(animals, 0, "days").number() == 30);
  CHECK(cell_of(animals, 0, "days_recorded").number() == 3);
  CHECK(cell_of(animals, 0, "days_complete").number() == 2);
  CHECK(cell_of(animals, 0, "eaten_mean_mg").number() == 900'000);  // (800 + 1000) / 2 g
  CHECK(is_absent(cell_of(animals, 0, "mass_change_ppm")));         // Never weighed, which is no change of zero.
  CHECK(is_absent(cell_of(animals, 0, "days_within_plan")));        // No plan, which is not outside it.
  CHECK(cell_of(animals, 0, "doses_given").number() == 1);
  CHECK(cell_of(animals, 0, "doses_missed").number() == 3);  // Two days of two doses, less the one.
  CHECK_FALSE(has_table(report, "days"));
}

TEST_CASE("a month of one animal has its line and its days, and CSV takes the days", "[report]") {
  ReportCentre centre;
  centre.shift.animal("Blekk");
  centre.meal(kReportDay, 1'000'000, 200'000);
  const proto::ReportReply report = centre.report(proto::REPORT_KIND_MONTH, centre.seal, kReportDay - 2, kReportDay);
  CHECK(table_of(report, "animals").rows_size() == 1);
  const proto::ReportTable& days = table_of(report, "days");
  REQUIRE(days.rows_size() == 3);
  CHECK(cell_of(days, 0, "day").day() == kReportDay - 2);
  CHECK(cell_of(days, 0, "meals").code().code() == "unrecorded");
  CHECK(cell_of(days, 2, "eaten_mg").number() == 800'000);
  CHECK(cell_of(days, 2, "energy_cal").number() == 1'264'000);  // 800 g at 1580 cal/g
  CHECK(report.main_table() == "days");
}

TEST_CASE("treatments have a row for each dose that was due, and for one beside the order's times", "[report]") {
  ReportCentre centre;
  const Day first = kReportDay - 3;
  const RecordId order = centre.order(first, first + 1);
  centre.dose(order, first, 510, 520);
  centre.dose(order, first, 700, 705);
  const proto::ReportReply report = centre.report(proto::REPORT_KIND_TREATMENTS, centre.seal, first - 5, kReportDay);
  const proto::ReportTable& doses = table_of(report, "doses");
  CHECK(doses.about().record().name() == "Drops");
  REQUIRE(doses.rows_size() == 5);
  const char* const states[] = {"done", "", "missed", "missed", "missed"};
  for (int row = 0; row < 5; ++row) CHECK(cell_of(doses, row, "state").code().code() == states[row]);
  CHECK(cell_of(doses, 1, "due").code().code() == "beside_order");
  CHECK(cell_of(doses, 4, "day").day() == first + 1);
  const proto::ReportReply before = centre.report(proto::REPORT_KIND_TREATMENTS, centre.seal, first - 9, first - 5);
  CHECK(before.tables_size() == 0);
  CHECK(note_in(before.notes(), "no_orders") != nullptr);
  CHECK(note_in(before.notes(), "caution_dose") != nullptr);
}

TEST_CASE("doses of a struck order stay in sight, and the order is said to be struck", "[report]") {
  ReportCentre centre;
  const RecordId order = centre.order(kReportDay - 2, kReportDay - 1);
  centre.dose(order, kReportDay - 2, 510, 520);
  centre.shift.strike(order, "written for another animal");
  const proto::ReportReply report = centre.report(proto::REPORT_KIND_TREATMENTS, centre.seal, kReportDay - 5, kReportDay);
  const proto::ReportTable& doses = table_of(report, "doses");
  REQUIRE(doses.rows_size() == 1);
  CHECK(cell_of(doses, 0, "outcome").code().code() == "given");
  CHECK(note_in(doses.notes(), "order_struck") != nullptr);
}

TEST_CASE("a meal that was perhaps told twice is said beside the figures of an animal's history", "[report]") {
  ReportCentre centre;
  centre.meal(kReportDay - 1, 1'000'000, 100'000);
  const RecordId again = centre.meal(kReportDay - 1, 1'000'000, 100'000);
  const auto history = [&] { return centre.report(proto::REPORT_KIND_ANIMAL, centre.seal, kReportDay - 2, kReportDay); };
  proto::ReportReply report = history();
  CHECK(cell_of(table_of(report, "days"), 1, "eaten_mg").number() == 1'800'000);
  const proto::ReportCode* doubt = note_in(table_of(report, "days").notes(), "perhaps_twice_until_settled");
  REQUIRE(doubt != nullptr);
  CHECK(doubt->parameters(0).day() == kReportDay - 1);
  CHECK(doubt->parameters(1).code().code() == "meal");
  centre.shift.strike(again, "told twice");
  report = history();
  CHECK(cell_of(table_of(report, "days"), 1, "eaten_mg").number() == 900'000);
  CHECK(note_in(table_of(report, "days").notes(), "perhaps_twice_until_settled") == nullptr);
}

TEST_CASE("an animal's history has each measure in the unit of what was measured", "[report]") {
  ReportCentre centre;
  for (const auto& [quantity, value] : {std::pair(proto::QUANTITY_MASS, 84'000'000u), std::pair(proto::QUANTITY_GIRTH, 950'000u)}) {
    proto::Measure measure;
    *measure.mutable_animal() = ref_of(centre.seal);
    measure.set_day(kReportDay);
    measure.set_quantity(quantity);
    measure.set_value(value);
    centre.shift.log(Kind::kMeasure, measure);
  }
  const proto::ReportReply report = centre.report(proto::REPORT_KIND_ANIMAL, centre.seal, kReportDay - 2, kReportDay);
  const proto::ReportTable& measures = table_of(report, "measures");
  REQUIRE(measures.rows_size() == 2);
  for (int row = 0; row < 2; ++row) {
    const bool is_mass = cell_of(measures, row, "quantity").code().code() == "mass";
    CHECK(cell_of(measures, row, "value").number() == (is_mass ? 84'000'000 : 950'000));
    CHECK(cell_of(measures, row, "value").unit() == (is_mass ? "mass_mg" : "length_um"));
  }
  CHECK(note_in(table_of(report, "control").notes(), "no_control_chart") != nullptr);
}
