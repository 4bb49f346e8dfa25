#include "model/numbers.h"

#include <algorithm>
#include <limits>

#include "base/wire.h"
#include "records.pb.h"

namespace wrackline {
namespace {

constexpr std::int64_t kKgMg = 1'000'000;
constexpr std::int64_t kMetreUm = 1'000'000;

NumberRow portion_offered() {
  NumberRow row{Kind::kPortion, proto::Portion::kOfferedMgFieldNumber, false, {}, 100 * kKgMg};
  row.gross_field = proto::Portion::kGrossMgFieldNumber;
  row.tare_field = proto::Portion::kTareMgFieldNumber;
  return row;
}

NumberRow measured(proto::Quantity quantity, std::optional<std::int64_t> low,
                   std::optional<std::int64_t> high) {
  return {Kind::kMeasure, proto::Measure::kValueFieldNumber,   false, low,
          high,           static_cast<std::uint64_t>(quantity)};
}

NumberRow read(proto::Parameter parameter, std::optional<std::int64_t> low,
               std::optional<std::int64_t> high) {
  return {Kind::kWaterReading,
          proto::WaterReading::kValueFieldNumber,
          true,
          low,
          high,
          static_cast<std::uint64_t>(parameter)};
}

std::int64_t value_of(const WireField& field, bool is_signed) {
  if (is_signed) return unzigzag(field.scalar);
  return static_cast<std::int64_t>(
      std::min<std::uint64_t>(field.scalar, std::numeric_limits<std::int64_t>::max()));
}

// The number of a row as it stands in the fields.
std::optional<std::int64_t> value_in(const NumberRow& row, ByteView fields) {
  std::optional<std::int64_t> value, gross, tare;
  WireReader reader(fields);
  WireField field;
  while (reader.next(field)) {
    if (field.type != WireType::kVarint) continue;
    if (field.number == row.field) value = value_of(field, row.is_signed);
    if (row.gross_field != 0 && field.number == row.gross_field) gross = value_of(field, row.is_signed);
    if (row.tare_field != 0 && field.number == row.tare_field) tare = value_of(field, row.is_signed);
  }
  if (!value && gross && tare && *gross >= *tare) value = *gross - *tare;
  return value;
}

bool is_given(const NumberRow& row, std::uint32_t detail_field, const std::set<std::uint32_t>* given) {
  if (given == nullptr) return true;
  return given->count(row.field) != 0 || (row.gross_field != 0 && given->count(row.gross_field) != 0) ||
         (row.tare_field != 0 && given->count(row.tare_field) != 0) ||
         (row.detail && given->count(detail_field) != 0);
}

bool is_of(const SiteLimitRow& limit, RecordId subject, const Number& number) {
  return limit.subject == subject && limit.kind == static_cast<std::uint32_t>(number.row->kind) &&
         limit.field == number.row->field && (!limit.detail || limit.detail == number.detail);
}

}  // namespace

const std::vector<NumberRow>& all_numbers() {
  using namespace proto;  // NOLINT(google-build-using-namespace): field numbers and quantities on every line
  static const std::vector<NumberRow> rows = {
      {Kind::kPool, Pool::kVolumeLFieldNumber, false, {}, 100'000'000},
      {Kind::kAnimal, Animal::kHeadCountFieldNumber, false, {}, 100'000},
      portion_offered(),
      {Kind::kPortion, Portion::kLeftMgFieldNumber, false, {}, 100 * kKgMg},
      {Kind::kPortion, Portion::kSoakPpmFieldNumber, false, 500'000,
       2'000'000},                                    // Half to twice of the control.
      measured(QUANTITY_MASS, 100, 100'000 * kKgMg),  // 0.1 g to 100 t, all heads of a group together.
      measured(QUANTITY_LENGTH_STRAIGHT, 1'000, 30 * kMetreUm),  // 1 mm to 30 m.
      measured(QUANTITY_LENGTH_CURVED, 1'000, 30 * kMetreUm),
      measured(QUANTITY_GIRTH, 1'000, 20 * kMetreUm),
      measured(QUANTITY_CONDITION_SCORE, {}, 10'000),
      measured(QUANTITY_BODY_TEMPERATURE, {}, 45'000),
      {Kind::kObservation, Observation::kScoreFieldNumber, false, {}, 100},
      // How much of a medicine is much is the order's word and the dose guard's.
      {Kind::kTreatmentOrder, TreatmentOrder::kDoseUgFieldNumber},
      {Kind::kTreatmentOrder, TreatmentOrder::kDoseUlFieldNumber},
      {Kind::kTreatmentOrder, TreatmentOrder::kDoseUnitsFieldNumber},
      {Kind::kTreatmentOrder, TreatmentOrder::kDoseUgPerKgFieldNumber},
      {Kind::kTreatmentOrder, TreatmentOrder::kDoseUgPerKgFoodFieldNumber},
      {Kind::kTreatmentOrder, TreatmentOrder::kDoseUnitsPerKgFoodFieldNumber},
      {Kind::kAdministration, Administration::kGivenUgFieldNumber},
      {Kind::kAdministration, Administration::kGivenUlFieldNumber},
      {Kind::kAdministration, Administration::kGivenUnitsFieldNumber},
      {Kind::kAdministration, Administration::kReckonedFromMgFieldNumber, false, {}, 100'000 * kKgMg},
      {Kind::kStockMovement, StockMovement::kChangeMgFieldNumber, true, -20'000 * kKgMg, 20'000 * kKgMg},
      {Kind::kStockMovement, StockMovement::kCountedMgFieldNumber, false, {}, 100'000 * kKgMg},
      {Kind::kThawBatch, ThawBatch::kMassMgFieldNumber, false, {}, 500 * kKgMg},
      {Kind::kEnrichmentUse, EnrichmentUse::kResponseFieldNumber},
      {Kind::kEnrichmentUse, EnrichmentUse::kMinutesFieldNumber, false, {}, 24 * 60},
      {Kind::kTrainingSession, TrainingSession::kTrialsFieldNumber, false, {}, 500},
      {Kind::kTrainingSession, TrainingSession::kSuccessesFieldNumber, false, {}, 500},
      {Kind::kTrainingSession, TrainingSession::kMinutesFieldNumber, false, {}, 8 * 60},
      {Kind::kScan, Scan::kEverySFieldNumber, false, {}, 3'600},
      {Kind::kScan, Scan::kNotVisibleFieldNumber, false, {}, 10'000},
      read(PARAMETER_TEMPERATURE, -2'500, 45'000),  // Sea water freezes at about -1.9 degrees C.
      read(PARAMETER_SALINITY, {}, 42'000),         // Above it PSS-78 does not hold (UNESCO 44).
      read(PARAMETER_CONDUCTIVITY, {}, 90'000),
      read(PARAMETER_PH, 5'000, 10'500),
      read(PARAMETER_OXYGEN, {}, 25'000),  // Fresh water at 0 degrees C holds 14.6 mg/L (Benson & Krause).
      read(PARAMETER_OXYGEN_SATURATION, {}, 2'500'000),
      read(PARAMETER_AMMONIA, {}, 50'000),
      read(PARAMETER_NITRITE, {}, 50'000),
      read(PARAMETER_NITRATE, {}, 1'000'000),
      read(PARAMETER_CHLORINE_FREE, {}, 20'000),
      read(PARAMETER_CHLORINE_TOTAL, {}, 20'000),
      read(PARAMETER_REDOX, -1'000, 1'200),
      read(PARAMETER_COLIFORM, {}, 10'000'000),
      read(PARAMETER_ALKALINITY, {}, 2'000'000),
      read(PARAMETER_TURBIDITY, {}, 4'000'000),
      read(PARAMETER_AIR_PRESSURE, 85'000,
           108'600),  // Records at sea level: 870 and 1084.8 hPa (WMO, from memory).
      {Kind::kMove, Move::kHeadsFieldNumber, false, {}, 100'000},
  };
  return rows;
}

std::vector<Number> numbers_in(Kind kind, ByteView fields, const std::set<std::uint32_t>* given) {
  std::vector<Number> out;
  const KindRow* const row = find_kind(static_cast<std::uint32_t>(kind));
  if (row == nullptr) return out;
  std::optional<RecordKey> key;  // Read only where it is asked for.
  const auto& all = all_numbers();
  const auto is_before = [](const NumberRow& a, Kind b) { return a.kind < b; };
  for (auto at = std::lower_bound(all.begin(), all.end(), kind, is_before);
       at != all.end() && at->kind == kind; ++at) {
    const NumberRow& number = *at;
    if (!is_given(number, row->key.detail, given)) continue;
    if (number.detail && !key) key = record_key(*row, fields);
    if (number.detail && *number.detail != key->detail) continue;
    if (const auto value = value_in(number, fields)) out.push_back({&number, *value, number.detail});
  }
  return out;
}

const SiteLimitRow* limit_beyond(const std::vector<SiteLimitRow>& limits,
                                 const std::vector<RecordId>& subjects, const Number& number) {
  if (limits.empty()) return nullptr;
  std::vector<RecordId> levels = subjects;
  levels.emplace_back();  // Everybody.
  for (RecordId level : levels) {
    bool holds = false;
    for (const SiteLimitRow& limit : limits) {
      if (!is_of(limit, level, number)) continue;
      holds = true;
      if ((limit.low && number.value < *limit.low) || (limit.high && number.value > *limit.high))
        return &limit;
    }
    if (holds) return nullptr;
  }
  return nullptr;
}

}  // namespace wrackline
