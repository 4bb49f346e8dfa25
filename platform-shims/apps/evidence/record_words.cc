#include "record_words.h"

#include <google/protobuf/message.h>

#include <algorithm>
#include <cstdio>

#include "base/iso_week.h"
#include "base/wire.h"
#include "text/enum_words.h"
#include "text/message_schema.h"
#include "text/number_at.h"
#include "text/quantity.h"
#include "text/spaced.h"
#include "text/value_units.h"
#include "text/visible.h"

namespace wrackline::evidence {
namespace {

using google::protobuf::Descriptor;
using google::protobuf::FieldDescriptor;
using google::protobuf::Message;

// Hostile bytes may nest as deep as the descriptors let them.
constexpr int kDepthMax = 8;

std::string label(const FieldDescriptor& field) {
  return text::spaced(text::bare_name(field));
}

const FieldDescriptor* find_field(std::uint32_t kind, std::uint32_t number) {
  const text::KindInfo* info = text::find_kind_info(kind);
  return info && info->descriptor ? info->descriptor->FindFieldByNumber(static_cast<int>(number)) : nullptr;
}

class Words {
 public:
  Words(const Message* whole, const NameOf& name_of) : whole_(whole), name_of_(name_of) {}

  std::string field(const Message& m, const FieldDescriptor& f, int depth) {
    if (!f.is_repeated()) return one(m, f, -1, depth);
    std::string out;
    for (int i = 0; i < m.GetReflection()->FieldSize(m, &f); ++i)
      out += (i == 0 ? "" : "; ") + one(m, f, i, depth);
    return out;
  }

 private:
  std::string one(const Message& m, const FieldDescriptor& f, int index, int depth);
  std::string nested(const Message& m, int depth);

  const Message* whole_;
  const NameOf& name_of_;
};

std::string Words::nested(const Message& m, int depth) {
  const Descriptor& d = *m.GetDescriptor();
  if (d.name() == "RecordRef") {
    const RecordId id = decode_record_ref(m.SerializeAsString());
    return id ? name_of_(id) : "no record";
  }
  if (depth == kDepthMax) return "...";
  std::string out;
  for (int i = 0; i < d.field_count(); ++i) {
    const FieldDescriptor& f = *d.field(i);
    // The reason tells what was asked before an entry was written; the figures stand in the entry.
    if (d.name() == "Question" && f.name() != "rule" && f.name() != "source_name" && f.name() != "set_by") continue;
    const bool is_set =
        f.is_repeated() ? m.GetReflection()->FieldSize(m, &f) > 0 : m.GetReflection()->HasField(m, &f);
    if (is_set) out += (out.empty() ? "" : ", ") + label(f) + " " + field(m, f, depth + 1);
  }
  return out;
}

std::string Words::one(const Message& m, const FieldDescriptor& f, int index, int depth) {
  const auto& r = *m.GetReflection();
  const bool list = index >= 0;
  switch (f.cpp_type()) {
    case FieldDescriptor::CPPTYPE_STRING: {
      const std::string text = list ? r.GetRepeatedString(m, &f, index) : r.GetString(m, &f);
      return f.type() == FieldDescriptor::TYPE_BYTES ? to_hex(text) : visible(text);
    }
    case FieldDescriptor::CPPTYPE_ENUM: {
      const int number = list ? r.GetRepeatedEnumValue(m, &f, index) : r.GetEnumValue(m, &f);
      const auto* value = f.enum_type()->FindValueByNumber(number);
      return value ? text::spaced(text::enum_word(*value))
                   : "value " + std::to_string(number) + " of a newer release";
    }
    case FieldDescriptor::CPPTYPE_BOOL:
      return (list ? r.GetRepeatedBool(m, &f, index) : r.GetBool(m, &f)) ? "yes" : "no";
    case FieldDescriptor::CPPTYPE_MESSAGE:
      return nested(list ? r.GetRepeatedMessage(m, &f, index) : r.GetMessage(m, &f), depth);
    default:
      break;
  }
  const std::int64_t number = text::number_at(m, f, index);
  if (const std::string word = text::print_limited(f, number, m, whole_); !word.empty()) return text::spaced(word);
  const text::Unit unit = text::unit_in(f, m, whole_);
  if (unit == text::Unit::kInstantMs) return utc_text(static_cast<WallMs>(number));
  if (unit != text::Unit::kDayNumber) return text::print_quantity(unit, number);
  const CivilDate date = civil_date(static_cast<Day>(number));
  char text[32];
  std::snprintf(text, sizeof text, "%04d-%02u-%02u", date.year, date.month, date.day);
  return text;
}

}  // namespace

std::string utc_text(WallMs instant) {
  constexpr WallMs kLast = 253'402'300'799'999;  // The end of the year 9999.
  if (instant > kLast) return "after the year 9999";
  const CivilDate date = civil_date(static_cast<Day>(instant / kDayMs));
  const auto second = static_cast<unsigned>(instant % kDayMs / 1000);
  char text[48];
  std::snprintf(text, sizeof text, "%04d-%02u-%02u %02u:%02u:%02u UTC", date.year, date.month, date.day,
                second / 3600, second / 60 % 60, second % 60);
  return text;
}

std::string kind_word(std::uint32_t kind) { return text::spaced(text::kind_name(kind)); }

std::string field_word(std::uint32_t kind, std::uint32_t number) {
  const FieldDescriptor* field = find_field(kind, number);
  return field ? label(*field) : "field " + std::to_string(number);
}

std::string value_words(std::uint32_t kind, std::uint32_t number, ByteView slice, ByteView whole,
                        const NameOf& name_of) {
  if (slice.empty()) return "absent";
  const FieldDescriptor* field = find_field(kind, number);
  const text::MessagePtr message = field ? text::parse_fields(kind, slice) : nullptr;
  if (!message) return std::to_string(slice.size()) + " bytes of a newer release";
  const text::MessagePtr rest = text::parse_fields(kind, whole);
  const std::string text = Words(rest.get(), name_of).field(*message, *field, 0);
  return text.empty() ? "absent" : text;
}

}  // namespace wrackline::evidence
