#include "cli/summary.h"

#include <algorithm>
#include <functional>

#include "cli/record_fields.h"
#include "records.pb.h"
#include "text/quantity.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

using google::protobuf::Message;

// The offset is told by the local time itself; a public key says nothing to a person in a list.
bool is_shown(const FieldDescriptor& field, const std::vector<std::string>& without) {
  if (is_built_in(field) || field.name() == "utc_offset_min" || field.type() == FieldDescriptor::TYPE_BYTES)
    return false;
  return std::find(without.begin(), without.end(), field.name()) == without.end();
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

std::string number_of(const Message& m, const char* name, const std::function<std::string(std::int64_t)>& print) {
  const FieldDescriptor* f = m.GetDescriptor()->FindFieldByName(name);
  if (!f || !is_present(m, *f)) return {};
  const auto& r = *m.GetReflection();
  return print(f->cpp_type() == FieldDescriptor::CPPTYPE_UINT64   ? static_cast<std::int64_t>(r.GetUInt64(m, f))
               : f->cpp_type() == FieldDescriptor::CPPTYPE_UINT32 ? std::int64_t{r.GetUInt32(m, f)}
                                                                  : std::int64_t{r.GetInt32(m, f)});
}
std::string day_text(std::int64_t day) { return print_day(static_cast<Day>(day)); }

std::string joined(const std::string& a, const char* mark, const std::string& b) {
  return a.empty() || b.empty() ? a + b : a + mark + b;
}

// An event's time; its day where that is all there is, or where it is another one.
std::string when_text(const RecordView& view, const Message& m, Client& client) {
  const std::string at = number_of(m, "happened_ms", [&](std::int64_t ms) {
    return client.zone().print(static_cast<WallMs>(ms));
  });
  if (!at.empty() && (day_is_told(view, client) || !m.GetDescriptor()->FindFieldByName("day"))) return at;
  const std::string day = number_of(m, "day", day_text);
  return at.empty() ? day : at + " (day " + day + ")";
}

// A list shows this text for nested messages: "Herring 1.2 kg 08:30; Squid 300 g 16:30 mon,thu".
std::string nested_text(const Message& m, const FieldDescriptor& field, Client& client, Names& names) {
  std::string out;
  for (int at = 0; at < m.GetReflection()->FieldSize(m, &field); ++at) {
    const Message& item = m.GetReflection()->GetRepeatedMessage(m, &field, at);
    std::string words;
    for (int i = 0; i < item.GetDescriptor()->field_count(); ++i) {
      const FieldDescriptor& f = *item.GetDescriptor()->field(i);
      if (!says_of(f).is_long) words = joined(words, " ", field_text(item, f, client, names));
    }
    out = joined(out, "; ", words);
  }
  return out;
}

std::string cell_text(const RecordView& view, const Message& m, std::string_view name, Client& client,
                      Names& names) {
  if (name == "when") return when_text(view, m, client);
  if (name == "portions") return portions_text(view, client, names);
  if (name == "due") {
    const auto clock = [](std::int64_t v) { return print_quantity(Unit::kClockMin, v); };
    return joined(number_of(m, "due_day", day_text), " ", number_of(m, "due_slot_min", clock));
  }
  if (name == "in_area" && !view.area_name().empty()) return view.area_name();
  const FieldDescriptor* field = m.GetDescriptor()->FindFieldByName(std::string(name));
  if (!field) return {};
  if (name == "meal" || name == "order" || name == "session") {
    RecordRef ref;
    ref.ParseFromString(m.GetReflection()->GetMessage(m, field).SerializeAsString());
    return is_set(ref) ? names.call_it(ref) : std::string();
  }
  if (field->is_repeated() && field->message_type() && !referred_kind(*field))
    return nested_text(m, *field, client, names);
  return field_text(m, *field, client, names);
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
  const std::string foods = portions_text(view, client, names);
  return foods + (foods.empty() || out.empty() ? "" : "; ") + out;
}

std::string portions_text(const RecordView& view, Client& client, Names& names) {
  std::string foods;
  for (const RecordView& part : client.list(kind_number("portion"), view.record())) {
    Portion portion;
    if (!counts(part) || !portion.ParseFromString(part.fields())) continue;
    const std::string amounts = event_text(part, client, names);
    foods +=
        (foods.empty() ? "" : "; ") + names.name_of(portion.food()) + (amounts.empty() ? "" : " " + amounts);
    if (part.disagreements_size() > 0) foods += " (in disagreement)";
  }
  return foods;
}

std::string records_table(const std::vector<RecordView>& views, Client& client, Names& names,
                          const std::vector<std::string>& without) {
  if (views.empty()) return {};
  const auto is_without = [&](std::string_view field) {
    return std::find(without.begin(), without.end(), field) != without.end();
  };
  std::vector<ListColumn> columns;
  std::vector<std::string> titles = {"RECORD"};
  for (const ListColumn& column : list_columns(kind_name(views[0].kind()))) {
    if (std::all_of(column.fields.begin(), column.fields.end(), is_without)) continue;
    columns.push_back(column);
    titles.emplace_back(column.title);
  }
  const bool is_known = !columns.empty();
  if (!is_known) titles.push_back("");
  titles.push_back("STANDING");
  Table table(titles);
  for (const RecordView& view : views) {
    std::vector<std::string> cells = {names.short_id(view.record())};
    const MessagePtr message = parse_fields(view.kind(), view.fields());
    for (const ListColumn& column : columns) {
      std::string cell;
      for (const std::string_view field : column.fields)
        if (message) cell = joined(cell, ", ", cell_text(view, *message, field, client, names));
      cells.push_back(std::move(cell));
    }
    if (!is_known) cells.push_back(record_summary(view, client, names, without));
    cells.push_back(standing_text(view, names));
    table.row(std::move(cells));
  }
  return table.str();
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

const char* authorship_text(proto::Authorship authorship) {
  switch (authorship) {
    case proto::AUTHORSHIP_HUB: return "written at the hub";
    case proto::AUTHORSHIP_PROVEN: return "proven";
    default: return "by the device's word";
  }
}

namespace {

std::string marked_if_unproven(const std::string& name, proto::Authorship authorship, Client& client) {
  return name + (authorship == proto::AUTHORSHIP_DEVICE && client.asks_for_proofs() ? " (not proven)" : "");
}

}  // namespace

std::string author_text(const RecordView& view, Client& client, Names& names) {
  return marked_if_unproven(names.name_of(view.author()), view.authorship(), client);
}

std::string author_text(const TrailEntry& entry, Client& client) {
  return marked_if_unproven(entry.author_name().empty() ? "the hub" : entry.author_name(), entry.authorship(), client);
}

std::string device_of(const RecordRef& record, Client& client) {
  for (const LogStatus& log : client.status().logs())
    if (log.log() == record.log() && !log.device_name().empty()) return log.device_name();
  return "log " + to_text(LogId{record.log()}).substr(0, 4);
}

}  // namespace wrackline::cli
