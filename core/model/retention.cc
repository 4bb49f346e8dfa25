#include "model/retention.h"

#include <limits>

#include "base/iso_week.h"
#include "model/kinds.h"

namespace wrackline {

const RetentionFloor* retention_floor(std::uint32_t kind) {
  static const RetentionFloor feeding{1, RetentionStart::kDay, "9 CFR 3.105(c)"};
  static const RetentionFloor water{1, RetentionStart::kDay, "9 CFR 3.106"};
  static const RetentionFloor order{2, RetentionStart::kLastDay, "21 CFR 1304.04(a)"};
  static const RetentionFloor dose{2, RetentionStart::kDay, "21 CFR 1304.04(a)"};
  static const RetentionFloor animal{1, RetentionStart::kAnimalLeft, "9 CFR 2.80"};
  switch (static_cast<Kind>(kind)) {
    case Kind::kMeal:
    case Kind::kPortion:
      return &feeding;
    case Kind::kWaterReading:
      return &water;
    case Kind::kTreatmentOrder:
      return &order;
    case Kind::kAdministration:
      return &dose;
    // These say who the animal is, where it was and how it was: what the text has held for as long as the
    // animal is there.
    case Kind::kAnimal:
    case Kind::kTag:
    case Kind::kMove:
    case Kind::kMeasure:
    case Kind::kObservation:
      return &animal;
    default:
      return nullptr;
  }
}

bool must_be_kept(const RetentionFloor& floor, std::optional<Day> start, Day today) {
  return !start || today <= years_after(*start, floor.years);
}

Day years_after(Day day, std::uint32_t years) {
  CivilDate date = civil_date(day);
  date.year += static_cast<std::int32_t>(years);
  if (const Result<Day> same = day_of(date)) return *same;
  // A leap day in a year without one; beyond the calendar's last year nothing is ever past its floor.
  const Result<Day> next = day_of({date.year, 3, 1});
  return next ? *next : std::numeric_limits<Day>::max();
}

}  // namespace wrackline
