#include "value_units.h"

#include "enum_words.h"
#include "exit_code.h"
#include "records.pb.h"

namespace wrackline::cli {
namespace {

using namespace proto;  // NOLINT(google-build-using-namespace): the values of its enumerations
using google::protobuf::EnumDescriptor;
using google::protobuf::EnumValueDescriptor;
using google::protobuf::Message;

Unit unit_of_quantity(int quantity) {
  switch (quantity) {
    case QUANTITY_MASS:
      return Unit::kMassMg;
    case QUANTITY_LENGTH_STRAIGHT:
    case QUANTITY_LENGTH_CURVED:
    case QUANTITY_GIRTH:
      return Unit::kLengthUm;
    case QUANTITY_CONDITION_SCORE:
      return Unit::kScore;
    case QUANTITY_BODY_TEMPERATURE:
      return Unit::kTemperature;
    default:
      return Unit::kPlain;
  }
}

Unit unit_of_parameter(int parameter) {
  switch (parameter) {
    case PARAMETER_TEMPERATURE:
      return Unit::kTemperature;
    case PARAMETER_SALINITY:
      return Unit::kSalinity;
    case PARAMETER_CONDUCTIVITY:
      return Unit::kConductivity;
    case PARAMETER_PH:
      return Unit::kPh;
    case PARAMETER_OXYGEN:
      return Unit::kMassPerL;
    case PARAMETER_OXYGEN_SATURATION:
      return Unit::kPpm;
    case PARAMETER_AMMONIA:
    case PARAMETER_NITRITE:
    case PARAMETER_NITRATE:
      return Unit::kNitrogenPerL;
    case PARAMETER_CHLORINE_FREE:
    case PARAMETER_CHLORINE_TOTAL:
      return Unit::kChlorinePerL;
    case PARAMETER_REDOX:
      return Unit::kRedox;
    case PARAMETER_COLIFORM:
      return Unit::kMostProbableNumber;
    case PARAMETER_ALKALINITY:
      return Unit::kCarbonatePerL;
    case PARAMETER_TURBIDITY:
      return Unit::kTurbidity;
    case PARAMETER_AIR_PRESSURE:
      return Unit::kPressurePa;
    default:
      return Unit::kPlain;
  }
}

bool is_of_site_limit(const FieldDescriptor& field) { return field.containing_type()->name() == "SiteLimit"; }

// Whether the name alone does not tell the unit.
bool is_open(const FieldDescriptor& field) {
  const std::string& kind = field.containing_type()->name();
  const std::string& name = field.name();
  if (kind == "Measure" || kind == "WaterReading") return name == "value";
  if (kind == "WaterLimit" || kind == "SiteLimit") return name == "low" || name == "high";
  return false;
}

// A limit of a time, a day or a set of weekdays is no time itself: it is written as the bare number.
Unit unit_of_limit(Unit unit) {
  switch (unit) {
    case Unit::kClockMin:
    case Unit::kOffsetMin:
    case Unit::kInstantMs:
    case Unit::kDay:
    case Unit::kWeekdays:
    case Unit::kTabletParts:
      return Unit::kPlain;
    default:
      return unit;
  }
}

// What decides the unit of values of this kind: an enumeration; null for a kind that has none such.
const FieldDescriptor* selector_of(const Descriptor& kind) {
  if (kind.name() == "Measure") return kind.FindFieldByName("quantity");
  if (kind.name() == "WaterReading" || kind.name() == "WaterLimit") return kind.FindFieldByName("parameter");
  return nullptr;
}

// An enumeration's or unsigned number's value in the first of the two messages that has it; 0 in neither.
int number_in(const FieldDescriptor& field, const Message& message, const Message* whole) {
  for (const Message* m : {&message, whole}) {
    if (!m || !m->GetReflection()->HasField(*m, &field)) continue;
    return field.cpp_type() == FieldDescriptor::CPPTYPE_ENUM
               ? m->GetReflection()->GetEnumValue(*m, &field)
               : static_cast<int>(m->GetReflection()->GetUInt32(*m, &field));
  }
  return 0;
}

int number_in(const char* name, const Message& message, const Message* whole) {
  const FieldDescriptor* field = message.GetDescriptor()->FindFieldByName(name);
  return field ? number_in(*field, message, whole) : 0;
}

Unit unit_of_selected(const FieldDescriptor& selector, int value) {
  return selector.name() == "quantity" ? unit_of_quantity(value) : unit_of_parameter(value);
}

// The kind and the field a site limit speaks of; null where they are absent or not known here.
const Descriptor* limited_kind(const Message& message, const Message* whole) {
  const KindInfo* kind = find_kind_info(static_cast<std::uint32_t>(number_in("of_kind", message, whole)));
  return kind ? kind->descriptor : nullptr;
}
const FieldDescriptor* limited_field(const Message& message, const Message* whole) {
  const Descriptor* kind = limited_kind(message, whole);
  return kind ? kind->FindFieldByNumber(number_in("of_field", message, whole)) : nullptr;
}

std::string list_of_fields(const Descriptor& kind) {
  std::string list;
  for (int i = 0; i < kind.field_count(); ++i) {
    const FieldDescriptor& f = *kind.field(i);
    const bool is_number = f.cpp_type() != FieldDescriptor::CPPTYPE_MESSAGE &&
                           f.cpp_type() != FieldDescriptor::CPPTYPE_STRING &&
                           f.cpp_type() != FieldDescriptor::CPPTYPE_ENUM &&
                           f.cpp_type() != FieldDescriptor::CPPTYPE_BOOL;
    if (is_number && !is_built_in(f)) list += (list.empty() ? "" : ", ") + f.name();
  }
  return list;
}

}  // namespace

Unit unit_in(const FieldDescriptor& field, const Message& message, const Message* whole) {
  if (!is_open(field)) return unit_of(field.name());
  if (const FieldDescriptor* selector = selector_of(*field.containing_type()))
    return unit_of_selected(*selector, number_in(*selector, message, whole));
  const FieldDescriptor* limited = limited_field(message, whole);
  if (!limited) return Unit::kPlain;
  if (!is_open(*limited)) return unit_of_limit(unit_of(limited->name()));
  const FieldDescriptor* selector = selector_of(*limited->containing_type());
  return selector ? unit_of_selected(*selector, number_in("of_detail", message, whole)) : Unit::kPlain;
}

const FieldDescriptor* missing_for_unit(const FieldDescriptor& field, const Message& message,
                                        const Message* whole) {
  if (!is_open(field)) return nullptr;
  const Descriptor& kind = *field.containing_type();
  const auto absent = [&](const FieldDescriptor* f) { return f && number_in(*f, message, whole) == 0 ? f : nullptr; };
  if (const FieldDescriptor* selector = selector_of(kind)) return absent(selector);
  for (const char* name : {"of_kind", "of_field"})
    if (const FieldDescriptor* f = absent(kind.FindFieldByName(name))) return f;
  return nullptr;
}

int reading_order(const FieldDescriptor& field) {
  if (is_open(field)) return 3;
  if (!is_of_site_limit(field)) return 0;
  return field.name() == "of_detail" ? 2 : field.name() == "of_field" ? 1 : 0;
}

std::int64_t parse_limited(const FieldDescriptor& field, std::string_view text, const Message& message,
                           const Message* whole) {
  // A number is taken as it is: it may be of a newer release.
  if (!is_of_site_limit(field) || text.find_first_not_of("0123456789") == std::string_view::npos) return -1;
  if (field.name() == "of_kind") return kind_typed(lower_words(text)).number;
  if (field.name() == "of_field") {
    const Descriptor* kind = limited_kind(message, whole);
    if (!kind) throw usage("of which kind is the field? Give of_kind as well");
    const FieldDescriptor* limited = kind->FindFieldByName(lower_words(text));
    if (limited) return limited->number();
    throw usage("\"" + std::string(text) + "\" is not a field with a number; there are " + list_of_fields(*kind));
  }
  if (field.name() == "of_detail") {
    const Descriptor* kind = limited_kind(message, whole);
    const FieldDescriptor* selector = kind ? selector_of(*kind) : nullptr;
    if (!selector) throw usage("of_detail is for the value of a measure or a water_reading only; leave it out");
    return enum_typed(*selector->enum_type(), text)->number();
  }
  return -1;
}

std::string print_limited(const FieldDescriptor& field, std::int64_t value, const Message& message,
                          const Message* whole) {
  if (!is_of_site_limit(field)) return {};
  if (field.name() == "of_kind") {
    const KindInfo* known = find_kind_info(static_cast<std::uint32_t>(value));
    return known ? known->name : "";
  }
  const Descriptor* kind = limited_kind(message, whole);
  if (!kind) return {};
  if (field.name() == "of_field") {
    const FieldDescriptor* limited = kind->FindFieldByNumber(static_cast<int>(value));
    return limited ? limited->name() : "";
  }
  if (field.name() != "of_detail") return {};
  const FieldDescriptor* selector = selector_of(*kind);
  const EnumValueDescriptor* word = selector ? selector->enum_type()->FindValueByNumber(static_cast<int>(value)) : nullptr;
  return word ? enum_word(*word) : "";
}

}  // namespace wrackline::cli
