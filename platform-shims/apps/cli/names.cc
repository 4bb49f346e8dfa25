#include "cli/names.h"

#include <algorithm>
#include <vector>

#include "model/kinds.h"
#include "records.pb.h"
#include "text/lower_case.h"
#include "text/message_schema.h"
#include "text/quantity.h"

namespace wrackline::cli {
namespace {

// The name a record goes by, or "" for kinds that have none.
std::string own_name(const RecordView& view) {
  const KindRow* row = find_kind(view.kind());
  const MessagePtr message = row && !row->called.empty() ? parse_fields(view.kind(), view.fields()) : nullptr;
  const FieldDescriptor* field = message ? message->GetDescriptor()->FindFieldByName(std::string(row->called)) : nullptr;
  return field ? message->GetReflection()->GetString(*message, field) : std::string();
}

}  // namespace

std::string Names::short_id(const RecordRef& record) {
  const std::string full = to_text(LogId{record.log()});
  std::size_t digits = 4;
  for (const LogStatus& log : client_.status().logs()) {
    if (log.log() == record.log()) continue;
    const std::string other = to_text(LogId{log.log()});
    const auto parted =
        static_cast<std::size_t>(std::mismatch(full.begin(), full.end(), other.begin()).first - full.begin());
    digits = std::max(digits, std::min(parted + 1, full.size()));
  }
  return full.substr(0, digits) + "." + std::to_string(record.seq());
}

bool Names::looks_like_id(std::string_view text) {
  const auto point = text.find('.');
  if (point == std::string_view::npos || point < 4 || point > 16 || point + 1 >= text.size()) return false;
  return text.substr(0, point).find_first_not_of("0123456789abcdefABCDEF") == std::string_view::npos &&
         text.substr(point + 1).find_first_not_of("0123456789") == std::string_view::npos &&
         text.size() - point - 1 <= 8;
}

RecordRef Names::record(std::string_view text) {
  if (!looks_like_id(text))
    throw usage("\"" + std::string(text) +
                "\" is not a record id; ids look like 3f9a.12 (see `wrack list KIND`)");
  const auto point = text.find('.');
  const std::string prefix = lower_case(text.substr(0, point));
  const auto seq = static_cast<Seq>(std::stoul(std::string(text.substr(point + 1))));
  std::vector<RecordRef> fits;
  for (const LogStatus& log : client_.status().logs()) {
    if (to_text(LogId{log.log()}).substr(0, prefix.size()) == prefix)
      fits.push_back(ref_of({{log.log()}, seq}));
  }
  if (fits.size() > 1) {
    std::string list;
    for (const RecordRef& f : fits) list += (list.empty() ? "" : ", ") + short_id(f);
    throw ambiguous("\"" + std::string(text) + "\" fits " + list + "; write more of it");
  }
  if (fits.empty() && prefix.size() == 16) return ref_of({{std::stoull(prefix, nullptr, 16)}, seq});
  if (fits.empty())
    throw not_found("no log here begins with \"" + prefix + "\", so there is no record " + std::string(text) +
                    "; exchange first, or look with `wrack list KIND`");
  return fits[0];
}

RecordRef Names::find(std::string_view kind, std::string_view text) {
  if (looks_like_id(text)) return record(text);
  const std::string wanted = lower_case(text);
  std::vector<RecordView> exact, beginning, word;
  for (const RecordView& v : of_kind(kind)) {
    if (!counts(v)) continue;
    const std::string name = lower_case(own_name(v));
    if (name == wanted) exact.push_back(v);
    if (wanted.empty()) continue;
    if (name.substr(0, wanted.size()) == wanted) beginning.push_back(v);
    if ((" " + name).find(" " + wanted) != std::string::npos) word.push_back(v);
  }
  const std::vector<RecordView>& fits = !exact.empty() ? exact : !beginning.empty() ? beginning : word;
  const std::string what = kind == "treatment_order" ? "treatment order" : std::string(kind);
  if (fits.empty())
    throw not_found("no " + what + " here is called \"" + std::string(text) + "\"; see `wrack list " +
                    std::string(kind.substr(0, kind.find(' '))) + "`, or exchange if it was added elsewhere" +
                    (kind == "area" ? "; an officer adds it by `wrack add area`" : ""));
  if (fits.size() > 1) {
    std::string list;
    for (const RecordView& v : fits) list += "\n  " + short_id(v.record()) + "  " + own_name(v);
    throw ambiguous("\"" + std::string(text) +
                    "\" could be any of these; use the id or more of the name:" + list);
  }
  return fits[0].record();
}

const std::vector<RecordView>& Names::of_kind(std::string_view kind) {
  if (const auto known = of_kind_.find(kind); known != of_kind_.end()) return known->second;
  std::vector<RecordView>& out = of_kind_[std::string(kind)];
  for (std::string_view rest = kind; !rest.empty();) {
    const std::size_t end = std::min(rest.find(" or "), rest.size());
    for (RecordView& v : client_.list(kind_number(rest.substr(0, end)))) out.push_back(std::move(v));
    rest.remove_prefix(std::min(end + 4, rest.size()));
  }
  return out;
}

const RecordView* Names::view(const RecordRef& record) {
  const ChangeId id = id_of(record);
  auto at = views_.find(id);
  if (at == views_.end()) {
    Call call;
    *call.mutable_get()->mutable_record() = record;
    Bytes bytes;
    call.SerializeToString(&bytes);
    Reply reply;
    // A record that has not arrived yet is no failure here: it is called by its id.
    if (!reply.ParseFromString(client_.call_bytes(bytes)) || reply.has_failure()) return nullptr;
    at = views_.emplace(id, reply.get().record()).first;
  }
  return &at->second;
}

std::string Names::name_of(const RecordRef& record) {
  if (!is_set(record)) return {};
  const RecordView* v = view(record);
  const std::string name = v ? own_name(*v) : std::string();
  return name.empty() ? short_id(record) : name;
}

std::string Names::known_name(const RecordRef& record) {
  const RecordView* v = is_set(record) ? view(record) : nullptr;
  return v ? own_name(*v) : std::string();
}

std::string Names::call_it(const RecordRef& record) {
  const RecordView* v = view(record);
  if (!v) return short_id(record);
  const std::string kind = kind_name(v->kind());
  const auto day = [](Day d) { return print_day(d); };
  const auto clock = [](std::uint32_t m) { return print_quantity(Unit::kClockMin, m); };
  if (kind == "meal") {
    Meal m;
    if (m.ParseFromString(v->fields()))
      return "meal " + (m.has_slot_min() ? clock(m.slot_min()) + " " : "") + "of " + name_of(m.animal()) +
             ", " + day(m.day());
  }
  if (kind == "portion") {
    Portion p;
    if (p.ParseFromString(v->fields())) return name_of(p.food()) + " in " + call_it(p.meal());
  }
  if (kind == "administration") {
    Administration a;
    if (a.ParseFromString(v->fields()))
      return "dose " + clock(a.due_slot_min()) + " of " + call_it(a.order()) + ", " + day(a.due_day());
  }
  if (kind == "treatment_order") {
    TreatmentOrder o;
    if (o.ParseFromString(v->fields())) return o.preparation() + " for " + name_of(o.animal());
  }
  if (kind == "diet_plan") {
    DietPlan p;
    if (p.ParseFromString(v->fields()))
      return "diet plan of " + name_of(p.animal()) + " from " + day(p.first_day());
  }
  if (kind == "measure") {
    Measure m;
    if (m.ParseFromString(v->fields())) return "measure of " + name_of(m.animal()) + ", " + day(m.day());
  }
  if (kind == "observation") {
    Observation o;
    if (o.ParseFromString(v->fields())) return "observation of " + name_of(o.animal()) + ", " + day(o.day());
  }
  std::string words = kind;
  std::replace(words.begin(), words.end(), '_', ' ');
  const std::string name = own_name(*v);
  if (!name.empty()) return words + " " + name;
  const KindRow* row = find_kind(v->kind());
  if (!row || !parse_fields(v->kind(), v->fields())) return words + " " + short_id(record);
  const RecordKey key = record_key(*row, v->fields());
  const std::string& area = v->area_name();
  const std::string whose = key.subject ? name_of(ref_of(key.subject)) : area.empty() ? short_id(record) : area;
  return words + (key.subject || !area.empty() ? " of " : " ") + whose + (row->key.day ? ", " + day(key.day) : "");
}

}  // namespace wrackline::cli
