// wrack report day: the whole collection's day on one page.
#include <algorithm>
#include <map>
#include <set>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/commands/close_words.h"
#include "cli/record_fields.h"
#include "cli/reports/due_words.h"
#include "cli/reports/intake_figures.h"
#include "cli/reports/report.h"
#include "cli/summary.h"
#include "records.pb.h"
#include "text/csv.h"
#include "text/message_schema.h"
#include "text/quantity.h"

namespace wrackline::cli {
namespace {

struct TheDay {
  Day day = 0;
  std::string area;
  CollectionDayReply animals;
  std::vector<DueItem> due;             // Doses only.
  std::vector<RecordView> doses;        // Recorded of this day, by order or beside it.
  std::vector<RecordView> observations;
  std::vector<ReviewItem> to_settle;    // The items that concern this day.
  int to_settle_elsewhere = 0;
  ClosesReply closes;
};

// The husbandry day an event is of; a dose's is the one it was due on. Absent for what is of no one day.
std::optional<Day> day_of(const RecordView& view) {
  const MessagePtr m = parse_fields(view.kind(), view.fields());
  if (!m) return {};
  for (const char* name : {"due_day", "day"}) {
    const FieldDescriptor* f = m->GetDescriptor()->FindFieldByName(name);
    if (f && m->GetReflection()->HasField(*m, f)) return m->GetReflection()->GetInt32(*m, f);
  }
  return {};
}

bool is_of(const ReviewItem& item, Day day, Client& client) {
  return std::any_of(item.records().begin(), item.records().end(), [&](const RecordRef& record) {
    RecordView view = client.get(record);
    if (kind_name(view.kind()) == "portion") {
      Portion portion;
      portion.ParseFromString(view.fields());
      if (is_set(portion.meal())) view = client.get(portion.meal());
    }
    return day_of(view) == std::optional<Day>(day);
  });
}

RecordRef animal_of_dose(const RecordView& view, Names& names, Client& client) {
  Administration dose;
  dose.ParseFromString(view.fields());
  if (!names.holds(dose.order())) return {};
  TreatmentOrder order;
  order.ParseFromString(client.get(dose.order()).fields());
  return order.animal();
}

TheDay the_day(Client& client, Names& names, const ReportArgs& args) {
  TheDay d;
  d.day = typed(client.zone().parse_day_of(args.from, client.now()));
  d.area = args.area;
  Call animals;
  animals.mutable_collection_day()->set_day(d.day);
  animals.mutable_collection_day()->set_area(d.area);
  d.animals = client.call(animals).collection_day();
  Call round;
  round.mutable_round()->set_day(d.day);
  round.mutable_round()->set_area(d.area);
  put_zone(*round.mutable_round(), client.zone(), d.day);
  const RoundReply reply = client.call(round).round();
  for (const DueItem& item : reply.items())
    if (item.due_kind() == DUE_KIND_DOSE) d.due.push_back(item);
  std::set<ChangeId> here;
  for (const AnimalDay& animal : d.animals.animals()) here.insert(id_of(animal.animal()));
  // An event whose animal is not known here is shown rather than lost.
  const auto shown = [&](const RecordRef& animal) { return d.area.empty() || !is_set(animal) || here.count(id_of(animal)) != 0; };
  for (RecordView& view : in_account(client.list(kind_number("administration"), {}, {d.day, d.day})))
    if (shown(animal_of_dose(view, names, client))) d.doses.push_back(std::move(view));
  for (RecordView& view : in_account(client.list(kind_number("observation"), {}, {d.day, d.day}))) {
    Observation seen;
    if (seen.ParseFromString(view.fields()) && shown(seen.animal())) d.observations.push_back(std::move(view));
  }
  Call review;
  review.mutable_review();
  const ReviewReply queue = client.call(review).review();
  for (const ReviewItem& item : queue.items()) {
    if (is_of(item, d.day, client)) {
      d.to_settle.push_back(item);
    } else {
      ++d.to_settle_elsewhere;
    }
  }
  d.closes = closes_of(client, d.area, d.day, d.day);
  return d;
}

ReportSection intake_section(const TheDay& d) {
  ReportSection out{"Intake", {}, {}, {"AREA", "POOL", "ANIMAL", ">HEADS", ">MEALS", ">OFFERED", ">EATEN", ">PLANNED", ">OF PLAN", ">OF BODY"}, {}};
  bool unweighed = false;
  int unrecorded = 0;
  const auto whole = [](std::uint64_t v) { return static_cast<std::int64_t>(v); };
  for (const AnimalDay& a : d.animals.animals()) {
    const IntakeDay& i = a.intake();
    const bool open = i.portions_unweighed() > 0;
    unweighed = unweighed || open;
    unrecorded += i.recorded() ? 0 : 1;
    out.rows.push_back({a.area(), a.pool_name(), a.animal_name(), a.head_count() > 1 ? std::to_string(a.head_count()) : "",
                        i.recorded() ? std::to_string(i.meals()) : "unrecorded", mass(i.has_offered_mg(), whole(i.offered_mg())),
                        (open && i.has_eaten_mg() ? "*" : "") + mass(i.has_eaten_mg(), i.eaten_mg()),
                        mass(i.has_planned_mg(), whole(i.planned_mg())), percent(i.has_plan_ppm(), i.plan_ppm()),
                        percent(i.has_body_mass_ppm(), i.body_mass_ppm())});
  }
  out.notes.push_back(std::to_string(d.animals.animals_size() - unrecorded) + " of " + std::to_string(d.animals.animals_size()) +
                      " animals and groups have a meal recorded.");
  if (unweighed) out.notes.push_back("* of the portions whose leftover was weighed; of the others it is not known what was eaten.");
  return out;
}

// Goes through the orders: which doses were due and how each ended; then what was given beside any order's
// times.
ReportSection doses_section(const TheDay& d, Client& client, Names& names) {
  ReportSection out{"Doses", {}, {}, {"DUE", "ANIMAL", "PREPARATION", "HOW IT STANDS", "WHAT CAME OF IT", "AT", "BY", "STANDING"}, {}};
  std::map<ChangeId, const RecordView*> left;
  for (const RecordView& view : d.doses) left[id_of(view.record())] = &view;
  const auto row = [&](const DueItem* item, const RecordView* view) {
    Administration dose;
    if (view) dose.ParseFromString(view->fields());
    const RecordRef animal = view && !item ? animal_of_dose(*view, names, client) : RecordRef();
    out.rows.push_back({item ? (item->has_due_ms() ? client.zone().print_clock(item->due_ms()) : "any time") : "no time of the order",
                        item ? item->subject_name() : names.name_of(animal),
                        item ? item->what() : names.name_of(dose.order()), item && item->state() != DUE_STATE_DONE ? state_text(item->state()) : "recorded",
                        view ? event_text(*view, client, names) : "", view ? client.zone().print_clock(dose.happened_ms()) : "",
                        view ? author_text(*view, client, names) : "", view ? standing_text(*view, names) : ""});
  };
  for (const DueItem& item : d.due) {
    RecordView done;
    const bool has = is_set(item.done_by());
    if (has) done = client.get(item.done_by());
    left.erase(id_of(item.done_by()));
    row(&item, has ? &done : nullptr);
  }
  for (const auto& [id, view] : left) row(nullptr, view);
  return out;
}

ReportSection observations_section(const TheDay& d, Client& client, Names& names) {
  ReportSection out{"What was seen", {}, {}, {"AT", "ANIMAL", "WHAT", "BY", "RECORD", "STANDING"}, {}};
  for (const RecordView& view : d.observations) {
    Observation seen;
    if (!seen.ParseFromString(view.fields())) continue;
    out.rows.push_back({client.zone().print_clock(seen.happened_ms()), names.name_of(seen.animal()), event_text(view, client, names),
                        author_text(view, client, names), names.short_id(view.record()), standing_text(view, names)});
  }
  if (out.rows.empty()) out.notes.push_back("Nothing is recorded; that is not the same as nothing seen.");
  return out;
}

ReportSection settle_section(const TheDay& d, Names& names) {
  ReportSection out{"To be settled", {}, {}, {"", "WHAT", "ABOUT", "RECORDS"}, {}};
  for (const ReviewItem& item : d.to_settle) {
    std::string ids;
    for (const RecordRef& record : item.records()) ids += (ids.empty() ? "" : " ") + names.short_id(record);
    out.rows.push_back({item.level() == REVIEW_LEVEL_URGENT ? "URGENT" : "", item.rule_name(),
                        item.records_size() > 0 ? names.call_it(item.records(0)) : "", ids});
  }
  if (out.rows.empty()) out.notes.push_back("Nothing of this day.");
  if (d.to_settle_elsewhere > 0)
    out.notes.push_back(std::to_string(d.to_settle_elsewhere) + " of other days or of none; see `wrack review`.");
  return out;
}

// A line an animal; the other sections are in --json.
std::string csv_of(const TheDay& d) {
  std::string out = csv_line({"day", "animal", "animal_name", "pool_name", "area", "head_count", "recorded", "meals", "portions_unweighed",
                              "offered_mg", "left_mg", "eaten_mg", "planned_mg", "plan_ppm", "body_mass_ppm"});
  for (const AnimalDay& a : d.animals.animals()) {
    const IntakeDay& i = a.intake();
    out += csv_line({print_day(d.day), Names::full_id(a.animal()), csv_cell(a.animal_name()), csv_cell(a.pool_name()), csv_cell(a.area()),
                     std::to_string(a.head_count()), i.recorded() ? "yes" : "no", csv_figure(i.recorded(), i.meals()),
                     csv_figure(i.recorded(), i.portions_unweighed()), csv_figure(i.has_offered_mg(), i.offered_mg()),
                     csv_figure(i.has_left_mg(), i.left_mg()), csv_figure(i.has_eaten_mg(), i.eaten_mg()),
                     csv_figure(i.has_planned_mg(), i.planned_mg()), csv_figure(i.has_plan_ppm(), i.plan_ppm()),
                     csv_figure(i.has_body_mass_ppm(), i.body_mass_ppm())});
  }
  return out;
}

void day_report_json(const TheDay& d, Client& client, Names& names) {
  Json json;
  json.object().member("day", print_day(d.day)).member("known_as_of_ms", known_as_of(client)).key("animals").array();
  for (const AnimalDay& a : d.animals.animals()) {
    json.object().member("animal", Names::full_id(a.animal())).member("animal_name", a.animal_name());
    json.member("pool_name", a.pool_name()).member("area", a.area()).member("head_count", a.head_count()).key("intake");
    day_json(json, a.intake());
    json.end();
  }
  json.end().key("doses_due").array();
  for (const DueItem& item : d.due) {
    json.object().member("order", Names::full_id(item.plan())).member("animal", Names::full_id(item.subject()));
    json.member("animal_name", item.subject_name()).member("preparation", item.what());
    if (item.has_due_ms()) json.member("due_ms", item.due_ms());
    json.member("state", state_text(item.state()));
    if (is_set(item.done_by())) json.member("done_by", Names::full_id(item.done_by()));
    json.end();
  }
  json.end().key("doses").array();
  for (const RecordView& view : d.doses) record_json(json, view, names, client);
  json.end().key("observations").array();
  for (const RecordView& view : d.observations) record_json(json, view, names, client);
  json.end().key("to_be_settled").array();
  for (const ReviewItem& item : d.to_settle) {
    json.object().member("rule", item.rule_name()).member("urgent", item.level() == REVIEW_LEVEL_URGENT).key("records").array();
    for (const RecordRef& record : item.records()) json.text(Names::full_id(record));
    json.end().end();
  }
  json.end().member("to_be_settled_of_other_days", d.to_settle_elsewhere).key("closes").array();
  TrailWords words(client, names);
  for (const CloseView& close : d.closes.closes()) {
    json.object();
    put_close_json(json, close, client, words);
    json.end();
  }
  print(json.end().end());
}

}  // namespace

Exit report_day(Client& client, const ReportArgs& args) {
  Names names(client);
  const TheDay d = the_day(client, names, args);
  Report report;
  report.title = "Day report, " + print_day(d.day) + (d.area.empty() ? "" : ", " + d.area);
  report.sections = {intake_section(d), doses_section(d, client, names), observations_section(d, client, names),
                     settle_section(d, names)};
  TrailWords words(client, names);
  for (const CloseView& close : d.closes.closes()) report.sections.push_back(close_section(close, client, names, words));
  if (d.closes.closes_size() == 0) report.sections.push_back({"Closed", {"The day is not closed, by what is known here."}, {}, {}, {}});
  report.cautions = {kIntakeCaution};
  if (!d.due.empty() || !d.doses.empty()) report.cautions.push_back(kDoseCaution);
  report.csv = csv_of(d);
  show_report(client, report, args);
  if (client.json()) day_report_json(d, client, names);
  return Exit::kOk;
}

}  // namespace wrackline::cli
