#include "text/value_units.h"

#include "records.pb.h"
#include "text/enum_words.h"
#include "text/exit_code.h"

namespace wrackline::text {
namespace {

using namespace proto;  // NOLINT(google-build-using-namespace): the values of its enumerations
using google::protobuf::EnumDescriptor;
using google::protobuf::EnumValueDescriptor;
using google::protobuf::Message;

// Whether another field says the unit: "quantity" of a measure, "limited" of a site limit.
bool is_open(const FieldDescriptor& field) { return !says_of(field).unit_by.empty(); }

// A limit of a time, a day or a set of weekdays is no time itself: it is written as the bare number.
Unit unit_of_limit(Unit unit) {
  switch (unit) {
    case Unit::kClockMin:
    case Unit::kOffsetMin:
    case Unit::kInstantMs:
    case Unit::kDayNumber:
    case Unit::kWeekdays:
    case Unit::kTabletParts:
      return Unit::kPlain;
    default:
      return unit;
  }
}

// The enumeration that decides the unit of this field; null where none does.
const FieldDescriptor* selector_of(const FieldDescriptor& field) {
  return field.containing_type()->FindFieldByName(std::string(says_of(field).unit_by));
}
const FieldDescriptor* selector_in(const Descriptor& kind) {
  for (int i = 0; i < kind.field_count(); ++i)
    if (const FieldDescriptor* selector = is_open(*kind.field(i)) ? selector_of(*kind.field(i)) : nullptr) return selector;
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

Unit unit_of_selected(const FieldDescriptor& selector, int value) { return unit_of_choice(selector.enum_type()->name(), value); }

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
    const bool is_number =
        f.cpp_type() != FieldDescriptor::CPPTYPE_MESSAGE && f.cpp_type() != FieldDescriptor::CPPTYPE_STRING &&
        f.cpp_type() != FieldDescriptor::CPPTYPE_ENUM && f.cpp_type() != FieldDescriptor::CPPTYPE_BOOL;
    if (is_number && !is_built_in(f)) list += (list.empty() ? "" : ", ") + f.name();
  }
  return list;
}

}  // namespace

Unit unit_of_parameter(int parameter) { return unit_of_choice("Parameter", parameter); }

Unit unit_in(const FieldDescriptor& field, const Message& message, const Message* whole) {
  if (!is_open(field)) return unit_of(field);
  if (const FieldDescriptor* selector = selector_of(field))
    return unit_of_selected(*selector, number_in(*selector, message, whole));
  const FieldDescriptor* limited = limited_field(message, whole);
  if (!limited) return Unit::kPlain;
  if (!is_open(*limited)) return unit_of_limit(unit_of(*limited));
  const FieldDescriptor* selector = selector_of(*limited);
  return selector ? unit_of_selected(*selector, number_in("of_detail", message, whole)) : Unit::kPlain;
}

const FieldDescriptor* missing_for_unit(const FieldDescriptor& field, const Message& message,
                                        const Message* whole) {
  if (!is_open(field)) return nullptr;
  const Descriptor& kind = *field.containing_type();
  const auto absent = [&](const FieldDescriptor* f) {
    return f && number_in(*f, message, whole) == 0 ? f : nullptr;
  };
  if (const FieldDescriptor* selector = selector_of(field)) return absent(selector);
  for (const char* name : {"of_kind", "of_field"})
    if (const FieldDescriptor* f = absent(kind.FindFieldByName(name))) return f;
  return nullptr;
}

int reading_order(const FieldDescriptor& field) {
  if (is_open(field)) return 3;
  switch (says_of(field).limited) {
    case Limited::kChoice: return 2;
    case Limited::kField: return 1;
    default: return 0;
  }
}

std::int64_t parse_limited(const FieldDescriptor& field, std::string_view text, const Message& message,
                           const Message* whole) {
  // A number is taken as it is: it may be of a newer release.
  const Limited what = says_of(field).limited;
  if (what == Limited::kNoWord || text.find_first_not_of("0123456789") == std::string_view::npos) return -1;
  if (what == Limited::kKind) return kind_typed(lower_words(text)).number;
  if (what == Limited::kField) {
    const Descriptor* kind = limited_kind(message, whole);
    if (!kind) throw usage("of which kind is the field? Give of_kind as well");
    const FieldDescriptor* limited = kind->FindFieldByName(lower_words(text));
    if (limited) return limited->number();
    throw usage("\"" + std::string(text) + "\" is not a field with a number; there are " +
                list_of_fields(*kind));
  }
  if (what == Limited::kChoice) {
    const Descriptor* kind = limited_kind(message, whole);
    const FieldDescriptor* selector = kind ? selector_in(*kind) : nullptr;
    if (!selector)
      throw usage("of_detail is for the value of a measure or a water_reading only; leave it out");
    return enum_typed(*selector->enum_type(), text)->number();
  }
  return -1;
}

std::string print_limited(const FieldDescriptor& field, std::int64_t value, const Message& message,
                          const Message* whole) {
  const Limited what = says_of(field).limited;
  if (what == Limited::kNoWord) return {};
  if (what == Limited::kKind) {
    const KindInfo* known = find_kind_info(static_cast<std::uint32_t>(value));
    return known ? known->name : "";
  }
  const Descriptor* kind = limited_kind(message, whole);
  if (!kind) return {};
  if (what == Limited::kField) {
    const FieldDescriptor* limited = kind->FindFieldByNumber(static_cast<int>(value));
    return limited ? limited->name() : "";
  }
  if (what != Limited::kChoice) return {};
  const FieldDescriptor* selector = selector_in(*kind);
  const EnumValueDescriptor* word =
      selector ? selector->enum_type()->FindValueByNumber(static_cast<int>(value)) : nullptr;
  return word ? enum_word(*word) : "";
}

}  // namespace wrackline::text
