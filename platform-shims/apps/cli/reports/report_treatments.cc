// wrack report treatments: an animal's orders over some days as a grid, a row a day and a column a slot.
#include <algorithm>
#include <map>
#include <set>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/record_fields.h"
#include "cli/reports/due_words.h"
#include "cli/reports/report.h"
#include "cli/summary.h"
#include "records.pb.h"
#include "text/csv.h"
#include "text/message_schema.h"
#include "text/quantity.h"

namespace wrackline::cli {
namespace {

struct Sheet {
  RecordView view;
  TreatmentOrder order;
  std::map<Day, std::vector<DueItem>> due;
  std::vector<RecordView> doses;  // In account, of these days.
};

std::vector<Sheet> sheets_of(Client& client, const RecordRef& animal, ReportSpan span) {
  std::vector<Sheet> out;
  for (RecordView& view : in_account(client.list(kind_number("treatment_order"), animal))) {
    Sheet sheet;
    if (!sheet.order.ParseFromString(view.fields())) continue;
    sheet.doses = in_account(client.list(kind_number("administration"), view.record(), {span.first, span.last}));
    sheet.view = std::move(view);
    out.push_back(std::move(sheet));
  }
  for (Day day = span.first; day <= span.last; ++day) {
    Call call;
    RoundCall& round = *call.mutable_round();
    round.set_day(day);
    *round.add_animals() = animal;
    put_zone(round, client.zone(), day);
    const RoundReply reply = client.call(call).round();
    for (const DueItem& item : reply.items()) {
      if (item.due_kind() != DUE_KIND_DOSE) continue;
      for (Sheet& sheet : out)
        if (same(sheet.view.record(), item.plan())) sheet.due[day].push_back(item);
    }
  }
  out.erase(std::remove_if(out.begin(), out.end(), [](const Sheet& s) { return s.due.empty() && s.doses.empty(); }), out.end());
  return out;
}

// "given 250 mg (Ines Vik)"; what is not recorded says so.
std::string cell_text(const DueItem& item, Client& client, Names& names) {
  if (!is_set(item.done_by())) return state_text(item.state());
  const RecordView view = client.get(item.done_by());
  const std::string standing = standing_text(view, names);
  return event_text(view, client, names) + " (" + author_text(view, client, names) + (standing.empty() ? "" : "; " + standing) + ")";
}

ReportSection section_of(const Sheet& sheet, Client& client, Names& names) {
  ReportSection out;
  out.heading = sheet.order.preparation();
  out.notes = {record_summary(sheet.view, client, names, {"animal", "preparation"}) + "."};
  const std::string standing = standing_text(sheet.view, names);
  if (!standing.empty()) out.notes.push_back("The order is " + standing + ".");
  // There is a column for each slot where the order has slots; one column where it goes by hours.
  const std::set<std::uint32_t> slots(sheet.order.slots_min().begin(), sheet.order.slots_min().end());
  std::set<ChangeId> shown;
  out.titles = {"DAY"};
  for (const std::uint32_t slot : slots) out.titles.push_back(print_quantity(Unit::kClockMin, slot));
  out.titles.push_back(slots.empty() ? "DOSES" : "AT OTHER TIMES");
  std::map<Day, std::vector<std::string>> rows;
  const auto cell = [&](Day day, std::optional<std::uint32_t> slot) -> std::string& {
    std::vector<std::string>& row = rows[day];
    if (row.empty()) {
      row.resize(out.titles.size());
      row[0] = print_day(day);
    }
    const auto at = slot ? slots.find(*slot) : slots.end();
    return row[static_cast<std::size_t>(std::distance(slots.begin(), at)) + 1];
  };
  const auto put = [](std::string& text, const std::string& more) { text += (text.empty() ? "" : "; ") + more; };
  for (const auto& [day, items] : sheet.due) {
    for (const DueItem& item : items) {
      const std::optional<std::uint32_t> slot = item.has_slot_min() ? std::optional<std::uint32_t>(item.slot_min()) : std::nullopt;
      const bool known_slot = slot && slots.count(*slot) != 0;
      put(cell(day, slot), (known_slot || !item.has_due_ms() ? "" : client.zone().print_clock(item.due_ms()) + " ") +
                               cell_text(item, client, names));
      if (is_set(item.done_by())) shown.insert(id_of(item.done_by()));
    }
  }
  // A dose beside the order's times, or a second one in a slot: never out of sight.
  for (const RecordView& view : sheet.doses) {
    Administration dose;
    if (shown.count(id_of(view.record())) != 0 || !dose.ParseFromString(view.fields())) continue;
    const Day day = dose.has_due_day() ? dose.due_day() : client.zone().when(dose.happened_ms()).day;
    const std::optional<std::uint32_t> slot = dose.has_due_slot_min() ? std::optional<std::uint32_t>(dose.due_slot_min()) : std::nullopt;
    put(cell(day, slot), client.zone().print_clock(dose.happened_ms()) + " " + event_text(view, client, names) + " (" +
                             author_text(view, client, names) + ")");
  }
  for (auto& [day, row] : rows) out.rows.push_back(std::move(row));
  return out;
}

// A line a dose that was due, and one for each beside the order's times.
std::string csv_of(const std::vector<Sheet>& sheets, Client& client, Names& names) {
  std::string out = csv_line({"order", "preparation", "due_day", "due_ms", "state", "dose", "happened_ms", "outcome"});
  for (const Sheet& sheet : sheets) {
    std::map<ChangeId, const RecordView*> left;
    for (const RecordView& view : sheet.doses) left[id_of(view.record())] = &view;
    const auto line = [&](const std::string& day, const DueItem* item, const RecordView* view) {
      Administration dose;
      if (view) dose.ParseFromString(view->fields());
      out += csv_line({Names::full_id(sheet.view.record()), csv_cell(sheet.order.preparation()), day,
                       csv_figure(item && item->has_due_ms(), item ? item->due_ms() : 0),
                       item ? csv_cell(state_text(item->state())) : "", view ? Names::full_id(view->record()) : "",
                       csv_figure(dose.has_happened_ms(), dose.happened_ms()), view ? csv_cell(event_text(*view, client, names)) : ""});
    };
    for (const auto& [day, items] : sheet.due) {
      for (const DueItem& item : items) {
        RecordView done;
        const bool has = is_set(item.done_by());
        if (has) done = client.get(item.done_by());
        left.erase(id_of(item.done_by()));
        line(print_day(day), &item, has ? &done : nullptr);
      }
    }
    for (const auto& [id, view] : left) line("", nullptr, view);
  }
  return out;
}

void sheets_json(const std::vector<Sheet>& sheets, const RecordRef& animal, ReportSpan span, Client& client, Names& names) {
  Json json;
  json.object().member("animal", Names::full_id(animal)).member("first_day", print_day(span.first)).member("last_day", print_day(span.last));
  json.member("known_as_of_ms", known_as_of(client)).key("orders").array();
  for (const Sheet& sheet : sheets) {
    json.object().key("order");
    record_json(json, sheet.view, names, client);
    json.key("due").array();
    for (const auto& [day, items] : sheet.due) {
      for (const DueItem& item : items) {
        json.object().member("day", print_day(day));
        if (item.has_slot_min()) json.member("slot_min", item.slot_min());
        if (item.has_due_ms()) json.member("due_ms", item.due_ms());
        json.member("state", state_text(item.state()));
        if (is_set(item.done_by())) json.member("done_by", Names::full_id(item.done_by()));
        json.end();
      }
    }
    json.end().key("doses").array();
    for (const RecordView& view : sheet.doses) record_json(json, view, names, client);
    json.end().end();
  }
  print(json.end().end());
}

}  // namespace

Exit report_treatments(Client& client, const ReportArgs& args) {
  Names names(client);
  const RecordRef animal = names.find("animal", args.subject);
  const ReportSpan span = report_span(client, args.from, args.to, 14);
  const std::vector<Sheet> sheets = sheets_of(client, animal, span);
  Report report;
  report.title = "Treatments of " + names.name_of(animal) + ", " + print_day(span.first) + " to " + print_day(span.last);
  for (const Sheet& sheet : sheets) report.sections.push_back(section_of(sheet, client, names));
  if (sheets.empty())
    report.sections.push_back({"Orders", {"No order is in force in these days by what is known here, and no dose is recorded."}, {}, {}, {}});
  report.cautions = {kDoseCaution};
  report.csv = csv_of(sheets, client, names);
  show_report(client, report, args);
  if (client.json()) sheets_json(sheets, animal, span, client, names);
  return Exit::kOk;
}

}  // namespace wrackline::cli
