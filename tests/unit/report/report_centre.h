// A small invented centre for the tests of reports, and short ways to ask for one and to look into its tables.
#pragma once

#include <catch2/catch.hpp>

#include <optional>
#include <string>

#include "support/shift.h"

namespace wrackline {

inline constexpr Day kReportDay = 20'717;  // The day of Facility::kStartMs.

struct ReportCentre {
  Facility facility;
  Device& desk;
  Shift shift;
  RecordId pool, seal, herring;

  ReportCentre() : desk(facility.add_device("desk")), shift((facility.exchange_all(), desk), facility.keeper()) {
    proto::Pool message;
    message.set_name("Seal pool");
    message.set_area("yard");
    pool = shift.log(Kind::kPool, message);
    proto::Animal animal;
    animal.set_name("Sila");
    *animal.mutable_pool() = ref_of(pool);
    seal = shift.log(Kind::kAnimal, animal);
    herring = shift.food("herring");
  }

  // Offered, and what came back; none: it was not weighed.
  RecordId meal(Day day, std::uint64_t offered_mg, std::optional<std::uint64_t> left_mg, std::uint32_t slot_min = 510) {
    proto::Meal meal;
    *meal.mutable_animal() = ref_of(seal);
    meal.set_day(day);
    meal.set_slot_min(slot_min);
    const RecordId id = shift.log(Kind::kMeal, meal);
    proto::Portion portion;
    *portion.mutable_meal() = ref_of(id);
    *portion.mutable_food() = ref_of(herring);
    portion.set_offered_mg(offered_mg);
    if (left_mg) portion.set_left_mg(*left_mg);
    shift.log(Kind::kPortion, portion);
    return id;
  }

  // Twice a day, 08:30 and 20:30 UTC, from `first` to `last`.
  RecordId order(Day first, Day last) {
    proto::TreatmentOrder order;
    *order.mutable_animal() = ref_of(seal);
    order.set_preparation("Drops");
    order.set_dose_ug(5'000);
    order.set_route("in fish");
    order.add_slots_min(510);
    order.add_slots_min(1230);
    order.set_first_day(first);
    order.set_last_day(last);
    *order.mutable_ordered_by() = ref_of(facility.keeper());
    return shift.log(Kind::kTreatmentOrder, order);
  }

  RecordId dose(RecordId order, Day day, std::uint32_t slot_min, std::uint32_t at_min) {
    proto::Administration dose;
    *dose.mutable_order() = ref_of(order);
    dose.set_due_day(day);
    dose.set_due_slot_min(slot_min);
    dose.set_outcome(proto::OUTCOME_GIVEN);
    dose.set_given_ug(5'000);
    dose.set_happened_ms(static_cast<WallMs>(day) * 86'400'000 + at_min * 60'000ull);
    dose.set_utc_offset_min(0);
    return shift.log(Kind::kAdministration, dose);
  }

  proto::ReportCall ask(proto::ReportKind kind, RecordId subject, Day first, Day last) const {
    proto::ReportCall call;
    call.set_report(kind);
    if (subject) *call.mutable_subject() = ref_of(subject);
    call.set_first_day(first);
    call.set_last_day(last);
    call.add_zone()->set_from_ms(0);  // UTC.
    return call;
  }
  proto::Reply answer(const proto::ReportCall& ask) {
    proto::Call call;
    *call.mutable_report() = ask;
    return shift.call(call);
  }
  // It must be answered, and every row must have a cell for each column.
  proto::ReportReply report(const proto::ReportCall& ask) {
    const proto::Reply reply = answer(ask);
    INFO(reply.failure().message());
    REQUIRE(reply.has_report());
    for (const proto::ReportTable& table : reply.report().tables()) {
      CAPTURE(table.code());
      CHECK((table.rows_size() > 0 || table.notes_size() > 0));
      for (const proto::ReportRow& row : table.rows()) CHECK(row.cells_size() == table.columns_size());
    }
    return reply.report();
  }
  proto::ReportReply report(proto::ReportKind kind, RecordId subject, Day first, Day last) { return report(ask(kind, subject, first, last)); }

  std::string csv(const proto::ReportCall& ask, const std::string& table = {}) {
    proto::Call call;
    *call.mutable_csv()->mutable_report() = ask;
    call.mutable_csv()->set_table(table);
    return shift.must_call(call).csv().csv();
  }
};

// The first table of a code; it must be there.
inline const proto::ReportTable& table_of(const proto::ReportReply& report, const std::string& code) {
  for (const proto::ReportTable& table : report.tables())
    if (table.code() == code) return table;
  FAIL("there is no table " << code);
  return proto::ReportTable::default_instance();
}
inline bool has_table(const proto::ReportReply& report, const std::string& code) {
  for (const proto::ReportTable& table : report.tables())
    if (table.code() == code) return true;
  return false;
}

// A cell by its column's code, which must be there.
inline const proto::ReportCell& cell_of(const proto::ReportTable& table, int row, const std::string& column) {
  REQUIRE(row < table.rows_size());
  for (int c = 0; c < table.columns_size(); ++c)
    if (table.columns(c).code() == column) return table.rows(row).cells(c);
  FAIL("there is no column " << column);
  return proto::ReportCell::default_instance();
}
inline bool is_absent(const proto::ReportCell& cell) { return cell.is_case() == proto::ReportCell::IS_NOT_SET; }

// A note by its code; null where it is not there.
template <typename Notes>
const proto::ReportCode* note_in(const Notes& notes, const std::string& code) {
  for (const proto::ReportCode& note : notes)
    if (note.code() == code) return &note;
  return nullptr;
}

}  // namespace wrackline
