// Goal: the day's report has every animal, dose and observation of its day, leaves gaps as gaps, and is the same on every replica.
// Method: a small centre whose figures are worked out by hand.
#include "report_centre.h"

using namespace wrackline;

namespace {

proto::ReportReply day_of(ReportCentre& centre, Day day) { return centre.report(proto::REPORT_KIND_DAY, {}, day, day); }

}  // namespace

TEST_CASE("a day without a meal is unrecorded in the day's report, and no figure of it is zero", "[report]") {
  ReportCentre centre;
  centre.meal(kReportDay - 1, 1'000'000, 200'000);
  const proto::ReportReply report = day_of(centre, kReportDay);
  const proto::ReportTable& intake = table_of(report, "intake");
  REQUIRE(intake.rows_size() == 1);
  CHECK(cell_of(intake, 0, "animal").record().name() == "Sila");
  CHECK(cell_of(intake, 0, "area").text() == "yard");
  CHECK(cell_of(intake, 0, "meals").code().code() == "unrecorded");
  for (const char* figure : {"offered_mg", "left_mg", "eaten_mg", "body_mass_ppm"}) CHECK(is_absent(cell_of(intake, 0, figure)));
  const proto::ReportCode* recorded = note_in(intake.notes(), "animals_recorded");
  REQUIRE(recorded != nullptr);
  CHECK(recorded->parameters(0).number() == 0);
  CHECK(recorded->parameters(1).number() == 1);
}

TEST_CASE("what was eaten of weighed portions alone is marked, and the note says of what it is", "[report]") {
  ReportCentre centre;
  centre.meal(kReportDay, 1'000'000, 200'000);
  centre.meal(kReportDay, 500'000, std::nullopt, 990);
  const proto::ReportReply report = day_of(centre, kReportDay);
  const proto::ReportTable& intake = table_of(report, "intake");
  CHECK(cell_of(intake, 0, "meals").number() == 2);
  CHECK(cell_of(intake, 0, "portions_unweighed").number() == 1);
  CHECK(cell_of(intake, 0, "offered_mg").number() == 1'500'000);
  CHECK(cell_of(intake, 0, "eaten_mg").number() == 800'000);
  CHECK(cell_of(intake, 0, "eaten_mg").mark() == proto::REPORT_MARK_PART);
  CHECK(note_in(intake.notes(), "part_weighed") != nullptr);
}

TEST_CASE("a day's doses are those that were due, and one that was given beside the order's times", "[report]") {
  ReportCentre centre;
  const RecordId order = centre.order(kReportDay - 2, kReportDay);
  centre.dose(order, kReportDay - 1, 510, 515);
  centre.dose(order, kReportDay - 1, 700, 705);
  const proto::ReportReply report = day_of(centre, kReportDay - 1);
  const proto::ReportTable& doses = table_of(report, "doses");
  REQUIRE(doses.rows_size() == 3);
  CHECK(cell_of(doses, 0, "due").time_ms() == static_cast<WallMs>(kReportDay - 1) * 86'400'000 + 510 * 60'000ull);
  CHECK(cell_of(doses, 0, "state").code().code() == "done");
  CHECK(cell_of(doses, 0, "outcome").code().code() == "given");
  CHECK(cell_of(doses, 0, "outcome").code().of() == "Outcome");
  CHECK(cell_of(doses, 0, "given").number() == 5'000);
  CHECK(cell_of(doses, 0, "given").unit() == "dose_ug");
  CHECK(cell_of(doses, 1, "state").code().code() == "missed");
  for (const char* absent : {"outcome", "given", "happened_ms", "by", "dose"}) CHECK(is_absent(cell_of(doses, 1, absent)));
  CHECK(cell_of(doses, 2, "due").code().code() == "beside_order");
  CHECK(cell_of(doses, 2, "preparation").text() == "Drops");
  CHECK(note_in(report.notes(), "caution_dose") != nullptr);
}

TEST_CASE("a struck observation is not in the day's report, and none at all is said as such", "[report]") {
  ReportCentre centre;
  proto::Observation seen;
  *seen.mutable_animal() = ref_of(centre.seal);
  seen.set_day(kReportDay);
  seen.set_code("appetite");
  seen.set_text("slow");
  const RecordId id = centre.shift.log(Kind::kObservation, seen);
  {
    const proto::ReportReply report = day_of(centre, kReportDay);
    CHECK(cell_of(table_of(report, "seen"), 0, "text").text() == "slow");
  }
  centre.shift.strike(id, "another animal's");
  const proto::ReportReply report = day_of(centre, kReportDay);
  CHECK(table_of(report, "seen").rows_size() == 0);
  CHECK(note_in(table_of(report, "seen").notes(), "nothing_seen") != nullptr);
}

TEST_CASE("a report of an area has its animals alone, and what needs attention is of all areas", "[report]") {
  ReportCentre centre;
  centre.shift.animal("Blekk");
  proto::ReportCall ask = centre.ask(proto::REPORT_KIND_DAY, {}, kReportDay, kReportDay);
  CHECK(table_of(centre.report(ask), "intake").rows_size() == 2);
  ask.set_area("yard");
  const proto::ReportReply report = centre.report(ask);
  CHECK(table_of(report, "intake").rows_size() == 1);
  CHECK(note_in(table_of(report, "attention").notes(), "attention_of_all_areas") != nullptr);
}

TEST_CASE("what is one errand is one row of what needs attention, and says how often", "[report]") {
  ReportCentre centre;
  for (const char* code : {"A", "B", "B"}) {
    proto::Lot lot;
    *lot.mutable_food() = ref_of(centre.herring);
    lot.set_code(code);
    lot.set_use_by_day(kReportDay - 5);
    proto::StockMovement movement;
    *movement.mutable_lot() = ref_of(centre.shift.log(Kind::kLot, lot));
    movement.set_day(kReportDay - 9);
    movement.set_cause(proto::MOVEMENT_CAUSE_RECEIVED);
    movement.set_change_mg(10'000'000);
    centre.shift.log(Kind::kStockMovement, movement);
  }
  const proto::ReportReply report = day_of(centre, kReportDay);
  const proto::ReportTable& attention = table_of(report, "attention");
  int rows = 0;
  for (int row = 0; row < attention.rows_size(); ++row) {
    if (cell_of(attention, row, "rule").code().code() != "lot_past") continue;
    ++rows;
    CHECK(cell_of(attention, row, "times").number() == 3);
    CHECK(cell_of(attention, row, "what").list().cells_size() == 2);  // Each once.
    CHECK(cell_of(attention, row, "records").list().cells_size() == 3);
  }
  CHECK(rows == 1);
}

TEST_CASE("the hub makes the same tables of a day as the desk", "[report]") {
  ReportCentre centre;
  centre.meal(kReportDay, 1'000'000, 200'000);
  const RecordId order = centre.order(kReportDay, kReportDay);
  centre.dose(order, kReportDay, 510, 515);
  centre.facility.exchange_all();
  proto::Call call;
  *call.mutable_report() = centre.ask(proto::REPORT_KIND_DAY, {}, kReportDay - 1, kReportDay - 1);
  const proto::ReportReply here = centre.shift.must_call(call).report();
  proto::Reply hub;
  REQUIRE(hub.ParseFromString(dispatch(*centre.facility.hub().replica, call.SerializeAsString(), CallScope::kReadOnly)));
  REQUIRE(hub.has_report());
  REQUIRE(hub.report().tables_size() == here.tables_size());
  for (int i = 0; i < here.tables_size(); ++i) CHECK(hub.report().tables(i).SerializeAsString() == here.tables(i).SerializeAsString());
}

TEST_CASE("days the wrong way round, too many of them, or no subject are refused in a sentence", "[report]") {
  ReportCentre centre;
  const auto code_of_answer = [&](const proto::ReportCall& ask) { return static_cast<ErrorCode>(centre.answer(ask).failure().code()); };
  CHECK(code_of_answer(centre.ask(proto::REPORT_KIND_MONTH, {}, kReportDay, kReportDay - 1)) == ErrorCode::kInvalid);
  CHECK(code_of_answer(centre.ask(proto::REPORT_KIND_MONTH, {}, kReportDay - 1000, kReportDay)) == ErrorCode::kInvalid);
  CHECK(code_of_answer(centre.ask(proto::REPORT_KIND_DAY, {}, kReportDay - 1, kReportDay)) == ErrorCode::kInvalid);
  CHECK(code_of_answer(centre.ask(proto::REPORT_KIND_TREATMENTS, {}, kReportDay, kReportDay)) == ErrorCode::kInvalid);
  CHECK(code_of_answer(centre.ask(proto::REPORT_KIND_WATER, centre.seal, kReportDay, kReportDay)) == ErrorCode::kInvalid);
  CHECK(code_of_answer(centre.ask(proto::REPORT_KIND_ANIMAL, {LogId{77}, 1}, kReportDay, kReportDay)) == ErrorCode::kNotFound);
  CHECK(code_of_answer(centre.ask(static_cast<proto::ReportKind>(99), {}, kReportDay, kReportDay)) == ErrorCode::kInvalid);
}
