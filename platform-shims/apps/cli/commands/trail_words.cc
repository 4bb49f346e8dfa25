#include "cli/commands/trail_words.h"

#include "base/built_in_fields.h"
#include "cli/record_fields.h"
#include "cli/summary.h"

namespace wrackline::cli {

using google::protobuf::Message;

// The meaning of a value may turn on the record it stands in. Null for one that is held, or not here.
const Message* TrailWords::whole(const RecordRef& record) {
  const auto [it, is_new] = wholes_.try_emplace(id_of(record));
  if (is_new) {
    try {
      const RecordView view = client_.get(record);
      it->second = parse_fields(view.kind(), view.fields());
    } catch (const Stop&) {
    }
  }
  return it->second.get();
}

std::string TrailWords::value(const TrailEntry& entry, const std::string& partial) {
  if (entry.field() == kStandingField && partial.empty()) return "in account";
  if (partial.empty()) return "absent";
  const MessagePtr message = parse_fields(entry.kind(), partial);
  const FieldDescriptor* field =
      message ? message->GetDescriptor()->FindFieldByNumber(static_cast<int>(entry.field())) : nullptr;
  if (!field) return std::to_string(partial.size()) + " bytes of a newer release";
  // A close lists the records of each log for programs, which is too much to print.
  if (field->is_repeated() && is_signed(*field))
    return std::to_string(message->GetReflection()->FieldSize(*message, field)) + " logs";
  const std::string text = field_text(*message, *field, client_, names_, whole(entry.record()));
  if (!text.empty()) return text;
  return entry.field() == kStandingField ? "in account" : "absent";
}

std::string TrailWords::old_values(const TrailEntry& entry) {
  std::string out;
  for (const std::string& old : entry.replaced()) out += (out.empty() ? "" : " and ") + value(entry, old);
  return out;
}

std::string TrailWords::step(const TrailEntry& entry) {
  const std::string old = old_values(entry);
  return (old.empty() ? "" : old + " -> ") + new_value(entry);
}

const char* TrailWords::state(const TrailEntry& e) {
  return e.held() ? "HELD" : e.disagrees() ? "disagrees" : e.head() ? "stands" : "replaced";
}

std::string TrailWords::marks(const TrailEntry& e) {
  std::string out;
  const auto add = [&out](bool is_so, const char* word) {
    if (is_so) out += (out.empty() ? "" : ", ") + std::string(word);
  };
  add(e.held(), "HELD by the hub");
  add(e.clock_suspect(), "CLOCK SUSPECT");
  add(e.late(), "LATE");
  add(e.after_close(), e.came_later() ? "after close (came later)" : "after close");
  add(e.struck(), "struck");
  add(e.folded(), "folded");
  return out;
}

std::string TrailWords::device(const TrailEntry& e) {
  const std::string name = e.device_name().empty() ? device_of(e.change(), client_) : e.device_name();
  return e.asked_from().empty() ? name : name + ", asked from " + e.asked_from();
}

std::string TrailWords::origin(const TrailEntry& e) {
  return std::string(e.birth() ? "born " : "edited ") + client_.zone().print(e.entered_ms()) + " by " + author(e) + " on " + device(e);
}

std::string TrailWords::record_name(const TrailEntry& e) {
  const auto [it, is_new] = record_names_.try_emplace(id_of(e.record()));
  if (is_new) it->second = names_.call_it(e.record());
  return it->second;
}

void TrailWords::put_json(Json& json, const TrailEntry& e) {
  const Zone& zone = client_.zone();
  json.object().member("change", Names::full_id(e.change())).member("record", Names::full_id(e.record()));
  json.member("kind", kind_name(e.kind())).member("field", field_name(e.kind(), e.field()));
  json.member("value", new_value(e)).key("replaced").array();
  for (const std::string& old : e.replaced()) json.text(value(e, old));
  json.end().member("state", state(e)).member("author_name", e.author_name());
  if (is_set(e.author())) json.member("author", Names::full_id(e.author()));
  json.member("device", e.device_name()).member("authorship", authorship_text(e.authorship()));
  if (!e.asked_from().empty()) json.member("asked_from", e.asked_from());
  if (e.happened_ms()) json.member("happened", zone.print_exact(e.happened_ms()));
  json.member("entered", zone.print_exact(e.entered_ms())).key("held_by_hub");
  e.held_ms() ? json.text(zone.print_exact(e.held_ms())) : json.null();
  json.member("reason", e.reason()).member("clock_suspect", e.clock_suspect()).member("birth", e.birth());
  json.member("late", e.late()).member("after_close", e.after_close()).member("came_later", e.came_later());
  if (is_set(e.close())) json.member("close", Names::full_id(e.close()));
  json.member("struck", e.struck()).member("folded", e.folded()).member("held", e.held()).end();
}

}  // namespace wrackline::cli
