#include "cli/record_csv.h"

#include <algorithm>

#include "cli/record_fields.h"
#include "model/rules.h"
#include "text/enum_words.h"
#include "text/quantity.h"
#include "text/value_units.h"

namespace wrackline::cli {
namespace {

using google::protobuf::Message;

constexpr std::int64_t kDayInMs = 86'400'000;

const FieldDescriptor* field_of(const Message& m, const char* name) {
  return m.GetDescriptor()->FindFieldByName(name);
}

bool has(const Message& m, const FieldDescriptor* f) { return f && is_present(m, *f); }

std::string digits(std::int64_t n, std::size_t width) {
  const std::string text = std::to_string(n);
  return std::string(width > text.size() ? width - text.size() : 0, '0') + text;
}

// 2026-11-24T08:35:07.250+01:00 by the offset that was written down with the event.
std::string instant_text(std::int64_t ms, std::int64_t offset_min) {
  const std::int64_t local = ms + offset_min * std::int64_t{60'000};
  const std::int64_t in_day = (local % kDayInMs + kDayInMs) % kDayInMs;
  return print_day(static_cast<Day>((local - in_day) / kDayInMs)) + "T" + digits(in_day / 3'600'000, 2) +
         ":" + digits(in_day / std::int64_t{60'000} % 60, 2) + ":" + digits(in_day / 1000 % 60, 2) + "." +
         digits(in_day % 1000, 3) + print_quantity(Unit::kOffsetMin, offset_min);
}

// The offset at the end of a time, if it has one.
bool offset_in(std::string_view text, std::int32_t& minutes) {
  if (text.size() < 16 || text[text.size() - 3] != ':') return false;
  const char sign = text[text.size() - 6];
  if (sign != '+' && sign != '-') return false;
  const auto digit = [&](std::size_t from_end) { return text[text.size() - from_end] - '0'; };
  minutes = (digit(5) * 10 + digit(4)) * 60 + digit(2) * 10 + digit(1);
  if (sign == '-') minutes = -minutes;
  return true;
}

std::string in_quotes(const std::string& text) {
  const bool plain =
      !text.empty() &&
      text.find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,:;/%+-_") ==
          std::string::npos;
  if (plain) return text;
  std::string out = "\"";
  for (char c : text) {
    if (c == '"' || c == '\\') out.push_back('\\');
    out.push_back(c);
  }
  return out + "\"";
}

std::string one_value(const Message& m, const FieldDescriptor& f, int index, Client& client, Names& names);

// "food=3f9a0c11d2e3f405.12 food_name=Herring slot=08:30 mass=1.2kg"
std::string nested_value(const Message& m, Client& client, Names& names) {
  std::string out;
  const auto add = [&](const std::string& name, const std::string& value) {
    out += (out.empty() ? "" : " ") + name + "=" + value;
  };
  for (int i = 0; i < m.GetDescriptor()->field_count(); ++i) {
    const FieldDescriptor& f = *m.GetDescriptor()->field(i);
    if (!is_present(m, f)) continue;
    std::string value = one_value(m, f, -1, client, names);
    if (f.cpp_type() == FieldDescriptor::CPPTYPE_STRING)
      value = in_quotes(value);
    else
      value.erase(std::remove(value.begin(), value.end(), ' '), value.end());
    add(bare_name(f), value);
    if (!referred_kind(f)) continue;
    RecordRef ref;
    ref.ParseFromString(m.GetReflection()->GetMessage(m, &f).SerializeAsString());
    const std::string name = names.known_name(ref);
    if (!name.empty()) add(f.name() + "_name", in_quotes(name));
  }
  return out;
}

RecordRef reference(const Message& m, const FieldDescriptor& f, int index) {
  const auto& r = *m.GetReflection();
  RecordRef ref;
  ref.ParseFromString(
      (index < 0 ? r.GetMessage(m, &f) : r.GetRepeatedMessage(m, &f, index)).SerializeAsString());
  return ref;
}

std::string instant_value(const Message& m, const FieldDescriptor& f, Client& client) {
  const auto ms = static_cast<std::int64_t>(m.GetReflection()->GetUInt64(m, &f));
  const FieldDescriptor* offset = f.name() == "happened_ms" ? field_of(m, "utc_offset_min") : nullptr;
  return has(m, offset) ? instant_text(ms, m.GetReflection()->GetInt32(m, offset))
                        : client.zone().print_exact(static_cast<WallMs>(ms));
}

// `index` is below 0 where the field is not repeated.
std::string one_value(const Message& m, const FieldDescriptor& f, int index, Client& client, Names& names) {
  const auto& r = *m.GetReflection();
  if (referred_kind(f)) return Names::full_id(reference(m, f, index));
  switch (f.cpp_type()) {
    case FieldDescriptor::CPPTYPE_MESSAGE:
      return nested_value(index < 0 ? r.GetMessage(m, &f) : r.GetRepeatedMessage(m, &f, index), client,
                          names);
    case FieldDescriptor::CPPTYPE_ENUM: {
      const int number = index < 0 ? r.GetEnumValue(m, &f) : r.GetRepeatedEnumValue(m, &f, index);
      const auto* word = f.enum_type()->FindValueByNumber(number);
      return word ? enum_word(*word) : std::to_string(number);
    }
    default:
      break;
  }
  if (!f.is_repeated() && unit_of(f) == Unit::kInstantMs) return instant_value(m, f, client);
  return field_value_text(m, f, index, client, names);
}

}  // namespace

std::vector<CsvColumn> csv_columns(const KindInfo& kind) {
  std::vector<CsvColumn> out = {{"id", nullptr}};
  for (int i = 0; i < kind.descriptor->field_count(); ++i) {
    const FieldDescriptor* f = kind.descriptor->field(i);
    // The offset stands in the time.
    if (is_built_in(*f) || f->name() == "utc_offset_min") continue;
    // A text that a record took the place of stands for that record's name.
    if (const FieldDescriptor* now = successor(*f)) {
      out.push_back({f->name(), now, true});
      continue;
    }
    out.push_back({f->name(), f});
    const char* referred = referred_kind(*f);
    const bool has_name_column =
        std::any_of(out.begin(), out.end(), [&](const CsvColumn& c) { return c.field == f && c.is_name; });
    if (referred && *referred && !has_name_column) out.push_back({f->name() + "_name", f, true});
  }
  return out;
}

std::string column_help(const CsvColumn& column) {
  if (!column.field) return "for people; not imported";
  const FieldDescriptor& f = *column.field;
  const char* referred = referred_kind(f);
  const std::string several =
      f.is_repeated() ? (column.is_name ? ", several parted by ;" : ", several parted by ,") : "";
  if (column.is_name)
    return "name of the " + std::string(referred) + ", instead of or beside the id" + several;
  if (referred) return "id of a record" + several;
  switch (f.cpp_type()) {
    case FieldDescriptor::CPPTYPE_ENUM: {
      std::string words;
      for (int i = 0; i < f.enum_type()->value_count(); ++i)
        if (f.enum_type()->value(i)->number() != 0)
          words += (words.empty() ? "" : ", ") + enum_word(*f.enum_type()->value(i));
      return "one of " + words + several;
    }
    case FieldDescriptor::CPPTYPE_BOOL:
      return "yes or no";
    case FieldDescriptor::CPPTYPE_STRING:
      return "text";
    case FieldDescriptor::CPPTYPE_MESSAGE: {
      std::string names;
      for (int i = 0; i < f.message_type()->field_count(); ++i)
        names += (names.empty() ? "" : " ") +
                 bare_name(*f.message_type()->field(i)) + "=";
      return names + ", each on a line of the cell; text with spaces in \"quotes\"";
    }
    default:
      break;
  }
  if (reading_order(f) > 0) return "a number with the unit of what was measured or limited";
  return "like " + std::string(unit_example(unit_of(f))) + several;
}

std::string csv_value(const CsvColumn& column, const RecordView& view, const Message& message, Client& client,
                      Names& names) {
  if (!column.field) return Names::full_id(view.record());
  const FieldDescriptor& f = *column.field;
  if (!is_present(message, f)) {
    // An older entry names no record and has its text under the column's own name.
    const FieldDescriptor* text = column.is_name ? field_of(message, column.title.c_str()) : nullptr;
    return text ? field_value_text(message, *text, -1, client, names) : std::string();
  }
  if (!f.is_repeated())
    return column.is_name ? names.known_name(reference(message, f, -1))
                          : one_value(message, f, -1, client, names);
  const bool is_nested = f.message_type() && !referred_kind(f);
  std::string out;
  for (int i = 0; i < message.GetReflection()->FieldSize(message, &f); ++i) {
    if (i > 0) out += column.is_name ? "; " : is_nested ? "\n" : ",";
    out +=
        column.is_name ? names.known_name(reference(message, f, i)) : one_value(message, f, i, client, names);
  }
  // Names of which some are not known say nothing that could be read back.
  return column.is_name && (out.substr(0, 1) == ";" || out.find("; ;") != std::string::npos ||
                            (out.size() >= 2 && out.substr(out.size() - 2) == "; "))
             ? std::string()
             : out;
}

void put_csv_value(Message& message, const CsvColumn& column, const std::string& cell, Client& client,
                   Names& names) {
  const FieldDescriptor& f = *column.field;
  if (f.name() != "happened_ms" || column.is_name) {
    set_field(message, column.title, cell, client, names);
    return;
  }
  if (cell.size() < 16 || cell[4] != '-')
    throw usage("\"" + cell + "\" is not a date and time; write it like 2026-11-24 08:35");
  const Zone& zone = client.zone_for_writing();
  const WallMs instant = typed(zone.parse(cell, client.now()));
  if (instant > client.now()) throw usage("\"" + cell + "\" lies in the future by this device's clock");
  message.GetReflection()->SetUInt64(&message, &f, instant);
  std::int32_t offset = 0;
  if (!offset_in(cell, offset)) offset = zone.when(instant).utc_offset_min;
  if (const FieldDescriptor* field = field_of(message, "utc_offset_min"))
    message.GetReflection()->SetInt32(&message, field, offset);
}

int put_order(const CsvColumn& column) {
  if (!column.field) return 0;
  return column.is_name ? 4 : reading_order(*column.field);
}

void complete_row(Message& message) {
  const FieldDescriptor* day = field_of(message, "day");
  const FieldDescriptor* happened = field_of(message, "happened_ms");
  const FieldDescriptor* offset = field_of(message, "utc_offset_min");
  if (!day || has(message, day) || !has(message, happened) || !has(message, offset)) return;
  const auto& r = *message.GetReflection();
  r.SetInt32(&message, day, local_day(r.GetUInt64(message, happened), r.GetInt32(message, offset)));
}

}  // namespace wrackline::cli
