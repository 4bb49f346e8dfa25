#include "summary.h"

#include <algorithm>

#include "fields.h"
#include "quantity.h"
#include "records.pb.h"
#include "table.h"

namespace wrackline::cli {
namespace {

// The offset is told by the local time itself; a public key says nothing to a person in a list.
bool is_shown(const FieldDescriptor& field, const std::vector<std::string>& without) {
  if (is_built_in(field) || field.name() == "utc_offset_min" || field.type() == FieldDescriptor::TYPE_BYTES)
    return false;
  return std::find(without.begin(), without.end(), field.name()) == without.end();
}

// What is lined up at the right; dates and times are all of one width and read as words.
bool is_amount(const FieldDescriptor& field) {
  const Unit unit = unit_of(field.name());
  return !field.is_repeated() && field.cpp_type() != FieldDescriptor::CPPTYPE_STRING &&
         field.cpp_type() != FieldDescriptor::CPPTYPE_MESSAGE &&
         field.cpp_type() != FieldDescriptor::CPPTYPE_ENUM && unit != Unit::kDay &&
         unit != Unit::kInstantMs && unit != Unit::kClockMin;
}

// An event's day is shown by the time it happened, except where the two differ: by a change of time zone.
bool day_is_told(const RecordView& view, Client& client) {
  const MessagePtr m = parse_fields(view.kind(), view.fields());
  if (!m) return true;
  const FieldDescriptor* day = m->GetDescriptor()->FindFieldByName("day");
  const FieldDescriptor* happened = m->GetDescriptor()->FindFieldByName("happened_ms");
  if (!day || !happened || !is_present(*m, *day) || !is_present(*m, *happened)) return false;
  return client.zone().when(m->GetReflection()->GetUInt64(*m, happened)).day ==
         m->GetReflection()->GetInt32(*m, day);
}

std::string upper(std::string text) {
  for (char& c : text)
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 32);
  return text;
}

}  // namespace

std::string record_summary(const RecordView& view, Client& client, Names& names,
                           const std::vector<std::string>& without) {
  const MessagePtr message = parse_fields(view.kind(), view.fields());
  if (!message)
    return view.kind() == 0 ? "its beginning has not arrived yet" : "of a newer release; kept unread";
  std::string out;
  for (int i = 0; i < message->GetDescriptor()->field_count(); ++i) {
    const FieldDescriptor& field = *message->GetDescriptor()->field(i);
    if (!is_shown(field, without)) continue;
    const std::string text = field_text(*message, field, client, names);
    if (!text.empty()) out += (out.empty() ? "" : "; ") + field_label(field) + " " + text;
  }
  return out;
}

std::string event_text(const RecordView& view, Client& client, Names& names) {
  const MessagePtr message = parse_fields(view.kind(), view.fields());
  if (!message) return record_summary(view, client, names);
  std::string out, mark;
  for (int i = 0; i < message->GetDescriptor()->field_count(); ++i) {
    const FieldDescriptor& field = *message->GetDescriptor()->field(i);
    if (!is_shown(field, {"animal", "order", "meal", "food", "day", "due_day", "due_slot_min", "slot_min",
                          "happened_ms"}))
      continue;
    const std::string text = field_text(*message, field, client, names);
    if (text.empty()) continue;
    // These say by themselves what they are: "mass 84.2 kg", "given 0.5 mL", "appetite: slow".
    static const std::vector<std::string> kBare = {"quantity", "value",       "outcome", "given_ug",
                                                   "given_ul", "given_units", "code",    "text",
                                                   "note",     "offered_mg"};
    const bool bare = std::find(kBare.begin(), kBare.end(), field.name()) != kBare.end();
    out += (out.empty() ? "" : mark) + (bare ? text : field_label(field) + " " + text);
    mark = field.name() == "quantity" || field.name() == "outcome" ? " "
           : field.name() == "code"                                ? ": "
                                                                   : ", ";
  }
  if (kind_name(view.kind()) != "meal") return out;
  std::string foods;
  for (const RecordView& part : client.list(kind_number("portion"), view.record())) {
    Portion portion;
    if (!counts(part) || !portion.ParseFromString(part.fields())) continue;
    const std::string amounts = event_text(part, client, names);
    foods +=
        (foods.empty() ? "" : "; ") + names.name_of(portion.food()) + (amounts.empty() ? "" : " " + amounts);
    if (part.disagreements_size() > 0) foods += " (in disagreement)";
  }
  return foods + (foods.empty() || out.empty() ? "" : "; ") + out;
}

std::string records_table(const std::vector<RecordView>& views, Client& client, Names& names,
                          const std::vector<std::string>& without_these) {
  if (views.empty()) return {};
  std::vector<std::string> without = without_these;
  if (std::all_of(views.begin(), views.end(), [&](const RecordView& v) { return day_is_told(v, client); }))
    without.push_back("day");
  const KindInfo* kind = find_kind_info(views[0].kind());
  std::vector<const FieldDescriptor*> columns;
  std::vector<std::string> titles = {"RECORD"};
  if (kind && kind->descriptor)
    for (int i = 0; i < kind->descriptor->field_count(); ++i) {
      const FieldDescriptor* field = kind->descriptor->field(i);
      if (!is_shown(*field, without)) continue;
      columns.push_back(field);
      titles.push_back((is_amount(*field) ? ">" : "") + upper(field_label(*field)));
    }
  titles.push_back("STANDING");
  Table table(titles);
  for (const RecordView& view : views) {
    std::vector<std::string> cells = {names.short_id(view.record())};
    const MessagePtr message = parse_fields(view.kind(), view.fields());
    for (const FieldDescriptor* field : columns)
      cells.push_back(message ? field_text(*message, *field, client, names) : std::string());
    cells.push_back(standing_text(view, names));
    table.row(std::move(cells));
  }
  const std::string text = table.str();
  std::size_t widest = 0;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    widest = std::max(widest, text_width(std::string_view(text).substr(at, end - at)));
    at = end + 1;
  }
  if (widest <= kTableWidth) return text;

  Table paragraphs({"RECORD", ""});
  for (const RecordView& view : views) {
    const std::string standing = standing_text(view, names);
    paragraphs.row({names.short_id(view.record()), record_summary(view, client, names, without) +
                                                       (standing.empty() ? "" : "; " + standing)});
  }
  return paragraphs.str();
}

std::string standing_text(const RecordView& view, Names& names) {
  std::string out;
  const auto add = [&](const std::string& text) { out += (out.empty() ? "" : "; ") + text; };
  if (view.struck()) add("struck");
  if (is_set(view.folded_into())) add("same as " + names.short_id(view.folded_into()));
  if (view.disagreements_size() > 0) {
    std::string fields;
    for (std::uint32_t number : view.disagreements())
      fields += (fields.empty() ? "" : ", ") + field_label(view.kind(), number);
    add("in disagreement: " + fields);
  }
  return out;
}

std::string device_of(const RecordRef& record, Client& client) {
  for (const LogStatus& log : client.status().logs())
    if (log.log() == record.log() && !log.device_name().empty()) return log.device_name();
  return "log " + to_text(LogId{record.log()}).substr(0, 4);
}

}  // namespace wrackline::cli
