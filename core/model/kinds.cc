#include "model/kinds.h"

#include <google/protobuf/io/coded_stream.h>
#include <google/protobuf/wire_format_lite.h>

#include <limits>

#include "model/messages.h"
#include "model/rules.h"
#include "records.pb.h"

namespace wrackline {

const std::vector<KindRow>& all_kinds() {
  using L = ReviewLevel;
  // A second dose can harm, so it is shown at once and everywhere; a second meal or weighing can wait for the
  // officer. Plans, orders and observations may well come twice with an equal key.
  static const std::vector<KindRow> rows = {
      {Kind::kFacility, "facility", nullptr, validate_facility, L::kNone},
      {Kind::kPerson, "person", nullptr, validate_person, L::kNone},
      {Kind::kDevice, "device", nullptr, validate_device, L::kNone},
      {Kind::kPool, "pool", nullptr, validate_pool, L::kNone},
      {Kind::kAnimal, "animal", nullptr, validate_animal, L::kNone},
      {Kind::kFood, "food", nullptr, validate_food, L::kNone},
      {Kind::kDietPlan, "diet_plan", diet_plan_key, validate_diet_plan, L::kNone},
      {Kind::kMeal, "meal", meal_key, validate_meal, L::kCheck, 4},
      {Kind::kPortion, "portion", portion_key, validate_portion, L::kCheck},
      {Kind::kMeasure, "measure", measure_key, validate_measure, L::kCheck, 3},
      {Kind::kObservation, "observation", observation_key, validate_observation, L::kNone, 3},
      {Kind::kTreatmentOrder, "treatment_order", treatment_order_key, validate_treatment_order, L::kNone},
      {Kind::kAdministration, "administration", administration_key, validate_administration, L::kUrgent, 4},
  };
  return rows;
}

const KindRow* find_kind(std::uint32_t kind) {
  // The rows stand in the order of their numbers, which start at 1; a unit test holds them to it.
  const std::vector<KindRow>& rows = all_kinds();
  return kind >= 1 && kind <= rows.size() ? &rows[kind - 1] : nullptr;
}

// A kind of a newer release cannot be parsed as a message of ours (its field 1 may be of any type), so the
// fields are walked and all but the three built-in ones skipped. What stands before broken bytes counts.
BuiltIn built_in_of(ByteView fields) {
  using google::protobuf::internal::WireFormatLite;
  BuiltIn out;
  if (fields.size() > static_cast<std::size_t>(std::numeric_limits<int>::max())) return out;
  google::protobuf::io::CodedInputStream input(reinterpret_cast<const std::uint8_t*>(fields.data()),
                                               static_cast<int>(fields.size()));
  const auto read_bytes = [&input](std::string& into) {
    std::uint32_t size = 0;
    return input.ReadVarint32(&size) && size <= static_cast<std::uint32_t>(std::numeric_limits<int>::max()) &&
           input.ReadString(&into, static_cast<int>(size));
  };
  proto::RecordRef same_as;
  proto::Accepted accepted;
  std::string bytes;
  while (const std::uint32_t tag = input.ReadTag()) {
    const auto type = WireFormatLite::GetTagWireType(tag);
    const auto number = static_cast<std::uint32_t>(WireFormatLite::GetTagFieldNumber(tag));
    if (number == kStandingField && type == WireFormatLite::WIRETYPE_VARINT) {
      std::uint64_t standing = 0;
      if (!input.ReadVarint64(&standing)) break;
      out.struck = standing == proto::STANDING_STRUCK;
    } else if (number == kSameAsField && type == WireFormatLite::WIRETYPE_LENGTH_DELIMITED) {
      if (!read_bytes(bytes) || !same_as.MergeFromString(bytes)) break;
    } else if (number == kAcceptedField && type == WireFormatLite::WIRETYPE_LENGTH_DELIMITED) {
      if (!read_bytes(bytes) || !accepted.MergeFromString(bytes)) break;
    } else if (!WireFormatLite::SkipField(&input, tag)) {
      break;
    }
  }
  out.folded_into = id_of(same_as);
  out.accepted_rules.assign(accepted.rules().begin(), accepted.rules().end());
  return out;
}

std::string_view rule_name(ReviewRule rule) {
  switch (rule) {
    case ReviewRule::kDisagreement:
      return "disagreement";
    case ReviewRule::kDoubleEntry:
      return "double_entry";
  }
  return "unknown";  // A number from a newer release.
}

}  // namespace wrackline
