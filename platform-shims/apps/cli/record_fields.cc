#include "cli/record_fields.h"

#include <algorithm>

#include "base/built_in_fields.h"
#include "cli/asking.h"
#include "cli/summary.h"
#include "hosts/blob_folder.h"
#include "text/enum_words.h"
#include "text/number_at.h"
#include "text/quantity.h"
#include "text/spaced.h"
#include "text/value_units.h"

namespace wrackline::cli {
namespace {

using google::protobuf::EnumValueDescriptor;
using google::protobuf::Message;

void put_number(Message& m, const FieldDescriptor& f, std::int64_t v, std::string_view typed_text) {
  const auto& r = *m.GetReflection();
  const bool list = f.is_repeated();
  const auto within = [&](std::int64_t low, std::int64_t high) {
    if (v < low || v > high)
      throw usage("\"" + std::string(typed_text) + "\" is out of range for " + field_label(f));
  };
  switch (f.cpp_type()) {
    case FieldDescriptor::CPPTYPE_UINT32:
      within(0, UINT32_MAX);
      list ? r.AddUInt32(&m, &f, static_cast<std::uint32_t>(v))
           : r.SetUInt32(&m, &f, static_cast<std::uint32_t>(v));
      return;
    case FieldDescriptor::CPPTYPE_INT32:
      within(INT32_MIN, INT32_MAX);
      list ? r.AddInt32(&m, &f, static_cast<std::int32_t>(v))
           : r.SetInt32(&m, &f, static_cast<std::int32_t>(v));
      return;
    case FieldDescriptor::CPPTYPE_UINT64:
      within(0, INT64_MAX);
      list ? r.AddUInt64(&m, &f, static_cast<std::uint64_t>(v))
           : r.SetUInt64(&m, &f, static_cast<std::uint64_t>(v));
      return;
    case FieldDescriptor::CPPTYPE_INT64:
      list ? r.AddInt64(&m, &f, v) : r.SetInt64(&m, &f, v);
      return;
    default:
      throw usage(field_label(f) + " cannot be typed in");
  }
}

void put_ref(Message& m, const FieldDescriptor& f, const RecordRef& ref) {
  Message* target =
      f.is_repeated() ? m.GetReflection()->AddMessage(&m, &f) : m.GetReflection()->MutableMessage(&m, &f);
  target->ParseFromString(ref.SerializeAsString());
}

RecordRef ref_at(const Message& m) {
  RecordRef ref;
  ref.ParseFromString(m.SerializeAsString());
  return ref;
}

std::vector<std::string> split_list(std::string_view text, char mark = ',') {
  std::vector<std::string> out;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t comma = std::min(text.find(mark, at), text.size());
    std::string item(text.substr(at, comma - at));
    item.erase(0, item.find_first_not_of(' '));
    item.erase(item.find_last_not_of(' ') + 1);
    out.push_back(std::move(item));
    at = comma + 1;
  }
  return out;
}

// Takes in a quoted value from its opening quote on; \" and \\ stand for a quote and a backslash in it.
std::string take_quoted(std::string_view text, std::size_t& at) {
  std::string out;
  for (++at; at < text.size() && text[at] != '"'; ++at) {
    if (text[at] == '\\' && at + 1 < text.size()) ++at;
    out.push_back(text[at]);
  }
  if (at == text.size()) throw usage("in \"" + std::string(text) + "\", a quote is never closed");
  ++at;
  return out;
}

// "food=herring slot=08:30 preparation=whole, thawed" -> three assignments; one item a line.
std::vector<std::vector<Assignment>> split_nested(std::string_view text) {
  std::vector<std::vector<Assignment>> items(1);
  for (std::size_t at = 0; at < text.size();) {
    if (text[at] == '\n' && !items.back().empty()) items.emplace_back();
    if (text[at] == ' ' || text[at] == '\n' || text[at] == '\r') {
      ++at;
      continue;
    }
    const std::size_t end = std::min(text.find_first_of(" \r\n", at), text.size());
    const std::size_t equals = text.find('=', at);
    if (equals < end && equals > at && equals + 1 < text.size() && text[equals + 1] == '"') {
      const std::string name(text.substr(at, equals - at));
      at = equals + 1;
      items.back().push_back({name, take_quoted(text, at)});
      continue;
    }
    const std::string_view word = text.substr(at, end - at);
    if (equals < end)
      items.back().push_back(split_assignment(word));
    else if (!items.back().empty())
      items.back().back().value += " " + std::string(word);
    else
      throw usage("\"" + std::string(text) + "\" does not begin with name=value");
    at = end;
  }
  if (items.back().empty() && items.size() > 1) items.pop_back();
  return items;
}

// The one hash that stands in a table of records: of an attached file.
std::string parse_hash(std::string_view text, const FieldDescriptor& f) {
  const auto hash = parse_blob_name(lower_words(text));
  if (f.name() != "sha256") throw usage(field_label(f) + " cannot be typed in");
  if (!hash) throw usage("\"" + std::string(text) + "\" is no SHA-256; it has 64 hexadecimal digits. `wrack attach` makes one of a file");
  return Bytes(view(*hash));
}

bool parse_yes(std::string_view text, const FieldDescriptor& f) {
  const std::string word = lower_words(text);
  if (word == "yes" || word == "true") return true;
  if (word == "no" || word == "false") return false;
  throw usage("\"" + std::string(text) + "\" is not an answer; write " + f.name() + "=yes or " + f.name() + "=no");
}

void put_one(Message& m, const FieldDescriptor& f, std::string_view value, Client& client, Names& names,
             const Message* whole) {
  if (const char* kind = referred_kind(f)) {
    put_ref(m, f, *kind ? names.find(kind, value) : names.record(value));
    return;
  }
  const auto& r = *m.GetReflection();
  switch (f.cpp_type()) {
    case FieldDescriptor::CPPTYPE_STRING:
      if (f.type() == FieldDescriptor::TYPE_BYTES) {
        r.SetString(&m, &f, parse_hash(value, f));
        return;
      }
      f.is_repeated() ? r.AddString(&m, &f, std::string(value)) : r.SetString(&m, &f, std::string(value));
      return;
    case FieldDescriptor::CPPTYPE_ENUM: {
      const EnumValueDescriptor* v = enum_typed(*f.enum_type(), value);
      f.is_repeated() ? r.AddEnum(&m, &f, v) : r.SetEnum(&m, &f, v);
      return;
    }
    case FieldDescriptor::CPPTYPE_MESSAGE: {
      for (const auto& item : split_nested(value))
        set_fields(f.is_repeated() ? *r.AddMessage(&m, &f) : *r.MutableMessage(&m, &f), item, client, names);
      return;
    }
    case FieldDescriptor::CPPTYPE_BOOL:
      f.is_repeated() ? r.AddBool(&m, &f, parse_yes(value, f)) : r.SetBool(&m, &f, parse_yes(value, f));
      return;
    default:
      break;
  }
  if (const std::int64_t number = parse_limited(f, value, m, whole); number >= 0)
    return put_number(m, f, number, value);
  if (const FieldDescriptor* missing = missing_for_unit(f, m, whole))
    throw usage("the unit of " + f.name() + " depends on " + missing->name() + "; give " + missing->name() +
                "=... as well");
  const Unit unit = unit_in(f, m, whole);
  if (unit == Unit::kInstantMs)
    put_number(m, f, static_cast<std::int64_t>(typed(client.zone().parse(value, client.now()))), value);
  else if (unit == Unit::kDayNumber)
    put_number(m, f, typed(client.zone().parse_day_of(value, client.now())), value);
  else
    put_number(m, f, typed(parse_quantity(unit, value)), value);
}

std::string one_text(const Message& m, const FieldDescriptor& f, int index, Client& client, Names& names,
                     const Message* whole) {
  const auto& r = *m.GetReflection();
  const bool list = f.is_repeated();
  switch (f.cpp_type()) {
    case FieldDescriptor::CPPTYPE_STRING: {
      const std::string s = list ? r.GetRepeatedString(m, &f, index) : r.GetString(m, &f);
      return f.type() == FieldDescriptor::TYPE_BYTES ? to_hex(s) : s;
    }
    case FieldDescriptor::CPPTYPE_ENUM: {
      const int number = list ? r.GetRepeatedEnumValue(m, &f, index) : r.GetEnumValue(m, &f);
      const EnumValueDescriptor* v = f.enum_type()->FindValueByNumber(number);
      return v ? spaced(enum_word(*v)) : "value " + std::to_string(number) + " of a newer release";
    }
    case FieldDescriptor::CPPTYPE_BOOL:
      return (list ? r.GetRepeatedBool(m, &f, index) : r.GetBool(m, &f)) ? "yes" : "no";
    case FieldDescriptor::CPPTYPE_MESSAGE: {
      const Message& nested = list ? r.GetRepeatedMessage(m, &f, index) : r.GetMessage(m, &f);
      if (referred_kind(f)) return names.name_of(ref_at(nested));
      if (static_cast<std::uint32_t>(f.number()) == kConfirmationField) {
        Confirmation confirmation;
        confirmation.ParseFromString(nested.SerializeAsString());
        return confirmation_text(confirmation, client, names);
      }
      std::string out;
      const Descriptor& d = *nested.GetDescriptor();
      for (int i = 0; i < d.field_count(); ++i) {
        if (!is_present(nested, *d.field(i))) continue;
        const std::string text = field_text(nested, *d.field(i), client, names);
        out += (out.empty() ? "" : ", ") +
               (d.field(i)->message_type() ? text : field_label(*d.field(i)) + " " + text);
      }
      return out;
    }
    default:
      break;
  }
  const std::int64_t v = number_at(m, f, index);
  if (const std::string word = print_limited(f, v, m, whole); !word.empty()) return spaced(word);
  const Unit unit = unit_in(f, m, whole);
  return unit == Unit::kInstantMs ? client.zone().print(static_cast<WallMs>(v)) : print_quantity(unit, v);
}

}  // namespace

bool is_present(const Message& m, const FieldDescriptor& f) {
  return f.is_repeated() ? m.GetReflection()->FieldSize(m, &f) > 0 : m.GetReflection()->HasField(m, &f);
}

Assignment split_assignment(std::string_view text) {
  const auto equals = text.find('=');
  if (equals == std::string_view::npos || equals == 0)
    throw usage("\"" + std::string(text) + "\" is not of the form name=value");
  return {std::string(text.substr(0, equals)), std::string(text.substr(equals + 1))};
}

std::string field_label(const FieldDescriptor& field) {
  const Descriptor& kind = *field.containing_type();
  // One that is written instead of another is called as that was.
  for (int i = 0; i < kind.field_count(); ++i)
    if (successor(*kind.field(i)) == &field) return field_label(*kind.field(i));
  return spaced(bare_name(field));
}

std::string field_label(std::uint32_t kind, std::uint32_t number) {
  const KindInfo* info = find_kind_info(kind);
  const FieldDescriptor* field =
      info && info->descriptor ? info->descriptor->FindFieldByNumber(static_cast<int>(number)) : nullptr;
  return field ? field_label(*field) : field_name(kind, number);
}

std::vector<const FieldDescriptor*> fields_called(const Descriptor& kind, std::string_view name) {
  const std::string wanted = lower_words(name);
  std::vector<const FieldDescriptor*> out;
  if (const FieldDescriptor* exact = kind.FindFieldByName(wanted)) {
    out.push_back(exact);
    if (const FieldDescriptor* now = successor(*exact)) out.push_back(now);
    return out;
  }
  for (int i = 0; i < kind.field_count(); ++i) {
    const std::string bare = bare_name(*kind.field(i));
    if (bare == wanted || (kind.field(i)->is_repeated() && bare == wanted + "s"))
      out.push_back(kind.field(i));
  }
  return out;
}

namespace {

// "animal_name" is the animal by its name, beside or instead of its id; so is "area", which was a text once.
const FieldDescriptor* named_reference(const Descriptor& kind, std::string_view name) {
  const FieldDescriptor* exact = kind.FindFieldByName(lower_words(name));
  if (exact) return successor(*exact);
  constexpr std::string_view kEnd = "_name";
  if (name.size() <= kEnd.size() || name.substr(name.size() - kEnd.size()) != kEnd) return nullptr;
  const FieldDescriptor* field =
      kind.FindFieldByName(std::string(name.substr(0, name.size() - kEnd.size())));
  return field && referred_kind(*field) ? field : nullptr;
}

// A name beside an id must be that record's. Where the id's record is not held here, the name decides, so that
// what was written down at another facility finds the animal of that name in this one.
void put_named(Message& m, const FieldDescriptor& f, std::string_view value, Names& names) {
  const char* kind = referred_kind(f);
  if (!*kind) throw usage(f.name() + " has no name to go by; give its id");
  if (f.is_repeated()) {
    const int given = m.GetReflection()->FieldSize(m, &f);
    bool held = given > 0;
    std::string joined;
    for (int i = 0; i < given; ++i) {
      const RecordRef ref = ref_at(m.GetReflection()->GetRepeatedMessage(m, &f, i));
      held = held && names.holds(ref);
      joined += (i ? "; " : "") + names.name_of(ref);
    }
    if (held && joined != value)
      throw usage("the ids in " + f.name() + " are those of " + joined + ", not of " + std::string(value));
    if (held) return;
    m.GetReflection()->ClearField(&m, &f);
    for (const std::string& name : split_list(value, ';')) put_ref(m, f, names.find(kind, name));
    return;
  }
  if (is_present(m, f)) {
    const RecordRef ref = ref_at(m.GetReflection()->GetMessage(m, &f));
    if (names.holds(ref)) {
      if (names.name_of(ref) == value) return;
      throw usage("the id in " + f.name() + " is that of " + names.name_of(ref) + ", not of " + std::string(value));
    }
    m.GetReflection()->ClearField(&m, &f);
  }
  put_ref(m, f, names.find(kind, value));
}

}  // namespace

void set_fields(Message& message, std::vector<Assignment> assignments, Client& client, Names& names,
                const Message* whole) {
  const auto rank = [&](const Assignment& a) {
    const auto fields = fields_called(*message.GetDescriptor(), a.name);
    return fields.empty() ? 4 : reading_order(*fields[0]);  // Names of references come after their ids.
  };
  std::stable_sort(assignments.begin(), assignments.end(),
                   [&](const Assignment& a, const Assignment& b) { return rank(a) < rank(b); });
  for (const Assignment& a : assignments) set_field(message, a.name, a.value, client, names, whole);
}

const FieldDescriptor& set_field(Message& message, std::string_view name, std::string_view value,
                                 Client& client, Names& names, const Message* whole) {
  const Descriptor& kind = *message.GetDescriptor();
  const auto candidates = fields_called(kind, name);
  if (const FieldDescriptor* reference = named_reference(kind, name)) {
    put_named(message, *reference, value, names);
    return *reference;
  }
  if (candidates.empty()) {
    std::string list;
    for (int i = 0; i < kind.field_count(); ++i)
      if (!is_built_in(*kind.field(i)))
        list += (list.empty() ? "" : ", ") + bare_name(*kind.field(i));
    throw usage("there is no field \"" + std::string(name) + "\" in " + lower_words(kind.name()) +
                "; there are " + list);
  }
  // Where fields share a name and differ in unit, the unit that was typed decides.
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    const FieldDescriptor& f = *candidates[i];
    if (is_built_in(f))
      throw usage(f.name() + " is not set like this; use `wrack strike`, `wrack fold` or `wrack accept`");
    if (candidates.size() > 1 && !parse_quantity(unit_of(f), value)) continue;
    const bool list = f.is_repeated() && (!f.message_type() || referred_kind(f));
    if (!list) put_one(message, f, value, client, names, whole);
    if (list)
      for (const std::string& item : split_list(value)) put_one(message, f, item, client, names, whole);
    return f;
  }
  std::string list;
  for (const FieldDescriptor* f : candidates) list += (list.empty() ? "" : ", ") + f->name();
  const bool is_strength = candidates[0]->name().substr(0, 8) == "strength";
  throw usage("\"" + std::string(value) + "\" has no unit that fits one of " + list + "; write it like " +
              (is_strength ? "50mg/mL or 250mg/tablet"
                           : "5mg, 0.5mL or 200 units, and where the order may go by mass 5mg/kg or 30mg/kg food"));
}

std::string field_value_text(const Message& message, const FieldDescriptor& field, int index, Client& client,
                             Names& names) {
  return one_text(message, field, std::max(index, 0), client, names, nullptr);
}

std::string field_text(const Message& message, const FieldDescriptor& field, Client& client, Names& names,
                       const Message* whole) {
  if (!is_present(message, field)) return {};
  if (!field.is_repeated()) return one_text(message, field, 0, client, names, whole);
  std::string out;
  const bool nested = field.cpp_type() == FieldDescriptor::CPPTYPE_MESSAGE && !referred_kind(field);
  for (int i = 0; i < message.GetReflection()->FieldSize(message, &field); ++i)
    out += (out.empty() ? ""
            : nested    ? " "
                        : ", ") +
           (nested ? "[" : std::string()) + one_text(message, field, i, client, names, whole) +
           (nested ? "]" : "");
  return out;
}

namespace {

void value_json(Json& json, const Message& m, const FieldDescriptor& f, int index) {
  const auto& r = *m.GetReflection();
  const bool list = f.is_repeated();
  switch (f.cpp_type()) {
    case FieldDescriptor::CPPTYPE_STRING: {
      const std::string s = list ? r.GetRepeatedString(m, &f, index) : r.GetString(m, &f);
      json.text(f.type() == FieldDescriptor::TYPE_BYTES ? to_hex(s) : s);
      return;
    }
    case FieldDescriptor::CPPTYPE_ENUM: {
      const int number = list ? r.GetRepeatedEnumValue(m, &f, index) : r.GetEnumValue(m, &f);
      const EnumValueDescriptor* v = f.enum_type()->FindValueByNumber(number);
      v ? json.text(enum_word(*v)) : json.number(number);
      return;
    }
    case FieldDescriptor::CPPTYPE_BOOL:
      json.flag(list ? r.GetRepeatedBool(m, &f, index) : r.GetBool(m, &f));
      return;
    case FieldDescriptor::CPPTYPE_MESSAGE: {
      const Message& nested = list ? r.GetRepeatedMessage(m, &f, index) : r.GetMessage(m, &f);
      if (referred_kind(f)) {
        json.text(Names::full_id(ref_at(nested)));
        return;
      }
      json.object();
      fields_json(json, nested);
      json.end();
      return;
    }
    case FieldDescriptor::CPPTYPE_UINT64:
      json.number(list ? r.GetRepeatedUInt64(m, &f, index) : r.GetUInt64(m, &f));
      return;
    default:
      break;
  }
  const std::int64_t v = number_at(m, f, index);
  unit_of(f) == Unit::kDayNumber ? json.text(print_day(static_cast<Day>(v))) : json.number(v);
}

}  // namespace

void fields_json(Json& json, const Message& message) {
  const Descriptor& d = *message.GetDescriptor();
  for (int i = 0; i < d.field_count(); ++i) {
    const FieldDescriptor& f = *d.field(i);
    if (!is_present(message, f)) continue;
    json.key(f.name());
    if (!f.is_repeated()) {
      value_json(json, message, f, 0);
      continue;
    }
    json.array();
    for (int at = 0; at < message.GetReflection()->FieldSize(message, &f); ++at)
      value_json(json, message, f, at);
    json.end();
  }
}

void record_json(Json& json, const RecordView& view, Names& names, Client& client) {
  json.object();
  json.member("record", Names::full_id(view.record())).member("short", names.short_id(view.record()));
  json.member("kind", kind_name(view.kind()));
  json.key("fields").object();
  if (const MessagePtr message = parse_fields(view.kind(), view.fields())) fields_json(json, *message);
  json.end();
  json.member("struck", view.struck());
  if (is_set(view.folded_into())) json.member("folded_into", Names::full_id(view.folded_into()));
  if (view.disagreements_size() > 0) {
    json.key("disagreements").array();
    for (std::uint32_t number : view.disagreements()) json.text(field_name(view.kind(), number));
    json.end();
  }
  json.member("edits", view.edits());
  if (is_set(view.author()))
    json.member("author", Names::full_id(view.author())).member("author_name", names.name_of(view.author())).member("authorship", authorship_text(view.authorship()));
  if (!view.area_name().empty()) json.member("area_name", view.area_name());
  if (view.entered_ms()) json.member("entered", client.zone().print_exact(view.entered_ms()));
  json.end();
}

}  // namespace wrackline::cli
