// wrack prep: what to weigh for a day, for the commissary's wall. One sheet is put together once, and shown as a
// table or as a page to print.
#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/reports/report.h"
#include "records.pb.h"
#include "text/html.h"
#include "text/message_schema.h"
#include "text/quantity.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct PrepArgs {
  std::string day = "today", area, html;
};

constexpr const char* kWeekdays[] = {"Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"};

struct Section {
  std::string heading;
  std::vector<std::string> titles;
  std::vector<std::vector<std::string>> rows;
  bool tick = false;  // On paper, a box for the pen.
};

std::string mass_text(std::uint64_t mg) { return print_quantity(Unit::kMassMg, static_cast<std::int64_t>(mg)); }

// "whole, rinsed; by hand"
std::string joined(const std::vector<std::string>& parts) {
  std::string out;
  for (const std::string& part : parts)
    if (!part.empty()) out += (out.empty() ? "" : "; ") + part;
  return out;
}

template <typename Slotted>
std::string slot_text(const Slotted& of) {
  return of.has_slot_min() ? print_quantity(Unit::kClockMin, of.slot_min()) : "any time";
}

// One section an area.
std::vector<Section> weighing(const PrepReply& reply) {
  std::vector<Section> out;
  const PrepLine* before = nullptr;
  for (const PrepLine& line : reply.lines()) {
    if (before == nullptr || before->area() != line.area())
      out.push_back({"To weigh" + (line.area().empty() ? "" : ": " + line.area()),
                     {"POOL", "ANIMAL", "MEAL", "FOOD", ">WEIGH", ">+/-", "HOW", "NOTE"}, {}, true});
    // Every line says whose it is: a page may break before any of them.
    out.back().rows.push_back({line.pool_name(), line.animal_name(), slot_text(line), line.food_name(),
                               line.has_mass_mg() ? mass_text(line.mass_mg()) : "by eye",
                               line.has_tolerance_mg() ? mass_text(line.tolerance_mg()) : "",
                               joined({line.preparation(), line.presentation()}),
                               joined({line.given() ? "given" : "", line.approved() ? "" : "plan not approved"})});
    before = &line;
  }
  return out;
}

std::string lots_text(const PrepTotal& total) {
  std::vector<std::string> parts;
  std::int64_t covered_mg = 0;
  std::int64_t past_mg = 0;
  const auto wanted_mg = static_cast<std::int64_t>(total.mass_mg());
  for (const LotView& lot : total.lots()) {
    if (lot.past_use_by()) {
      past_mg += lot.on_hand_mg();
      continue;
    }
    if (covered_mg >= wanted_mg && !parts.empty()) continue;
    covered_mg += lot.on_hand_mg();
    parts.push_back(lot.code() + (lot.has_use_by_day() ? " (use by " + print_day(lot.use_by_day()) + ", " : " (no use-by day, ") +
                    print_quantity(Unit::kMassMg, lot.on_hand_mg()) + (lot.store().empty() ? "" : ", " + lot.store()) + ")");
  }
  if (covered_mg < wanted_mg)
    parts.push_back((covered_mg == 0 ? "none in store by the book; " : "short by ") +
                    (covered_mg == 0 ? "look, and count it" : print_quantity(Unit::kMassMg, wanted_mg - covered_mg)));
  if (past_mg > 0) parts.push_back("do not use " + print_quantity(Unit::kMassMg, past_mg) + " past its use-by day");
  return joined(parts);
}

Section totals(const PrepReply& reply) {
  Section out{"Totals for the commissary", {"FOOD", ">TOTAL", "FROM, FIRST TO EXPIRE FIRST"}, {}, true};
  for (const PrepTotal& total : reply.totals())
    out.rows.push_back({total.food_name(), (total.incomplete() ? "at least " : "") + mass_text(total.mass_mg()), lots_text(total)});
  return out;
}

// "Sat 06:10": batches are of these few days.
std::string moment(WallMs at, const Zone& zone) {
  return std::string(kWeekdays[weekday_of(zone.when(at).day)]).substr(0, 3) + " " + zone.print_clock(at);
}

std::string until_text(const ThawView& thaw, const Zone& zone) {
  if (thaw.past()) return "PAST since " + moment(thaw.use_until_ms(), zone) + ": discard";
  if (thaw.use_until_ms() != 0) return moment(thaw.use_until_ms(), zone);
  return "24 h from when it is thawed: look, and say so with `wrack thawed`";
}

Section thaws(const PrepReply& reply, const Zone& zone, Names& names) {
  Section out{"Out of the freezer", {"BATCH", "FOOD", "LOT", ">MASS", "IN", "OUT", "THAWED", "USE UNTIL"}, {}};
  for (const ThawView& thaw : reply.thaws())
    out.rows.push_back({names.short_id(thaw.batch()), thaw.food_name(), thaw.lot_code(),
                        thaw.has_mass_mg() ? mass_text(thaw.mass_mg()) : "",
                        thaw.method() == THAW_METHOD_REFRIGERATOR ? "refrigerator" : "cold water", moment(thaw.out_ms(), zone),
                        thaw.thawed_ms() != 0 ? moment(thaw.thawed_ms(), zone) : "", until_text(thaw, zone)});
  return out;
}

std::string dose_text(const PrepDose& dose) {
  if (dose.has_dose_ug()) return print_quantity(Unit::kDoseUg, static_cast<std::int64_t>(dose.dose_ug()));
  if (dose.has_dose_units()) return print_quantity(Unit::kUnits, static_cast<std::int64_t>(dose.dose_units()));
  return "not reckoned: the food is not known; ask the vet";
}

Section doses(const PrepReply& reply) {
  Section out{"Doses reckoned from the food planned", {"ANIMAL", "TIME", "PREPARATION", ">FOOD", "DOSE", "OF", "ORDERED BY"}, {}, true};
  for (const PrepDose& dose : reply.doses())
    out.rows.push_back({dose.animal_name(), slot_text(dose), dose.preparation(), dose.food_mg() > 0 ? mass_text(dose.food_mg()) : "",
                        dose_text(dose), dose.substance(), dose.ordered_by()});
  return out;
}

void prep_json(const PrepReply& reply, Day day, Names& names) {
  Json json;
  json.object().member("day", print_day(day)).member("known_as_of_ms", reply.known_as_of_ms()).key("lines").array();
  for (const PrepLine& line : reply.lines()) {
    json.object().member("animal", Names::full_id(line.animal())).member("animal_name", line.animal_name());
    json.member("pool_name", line.pool_name()).member("area", line.area());
    if (line.has_slot_min()) json.member("slot_min", line.slot_min());
    json.member("food", Names::full_id(line.food())).member("food_name", line.food_name());
    if (line.has_mass_mg()) json.member("mass_mg", line.mass_mg());
    if (line.has_tolerance_mg()) json.member("tolerance_mg", line.tolerance_mg());
    json.member("preparation", line.preparation()).member("presentation", line.presentation());
    json.member("plan", Names::full_id(line.plan())).member("approved", line.approved()).member("given", line.given()).end();
  }
  json.end().key("totals").array();
  for (const PrepTotal& total : reply.totals()) {
    json.object().member("food", Names::full_id(total.food())).member("food_name", total.food_name());
    json.member("mass_mg", total.mass_mg()).member("incomplete", total.incomplete()).key("lots").array();
    for (const LotView& lot : total.lots()) {
      json.object().member("lot", Names::full_id(lot.lot())).member("code", lot.code()).member("store", lot.store());
      if (lot.has_use_by_day()) json.member("use_by_day", print_day(lot.use_by_day()));
      json.member("past_use_by", lot.past_use_by()).member("on_hand_mg", lot.on_hand_mg()).end();
    }
    json.end().end();
  }
  json.end().key("thaws").array();
  for (const ThawView& thaw : reply.thaws()) {
    json.object().member("batch", Names::full_id(thaw.batch())).member("short", names.short_id(thaw.batch()));
    json.member("food_name", thaw.food_name()).member("lot_code", thaw.lot_code());
    if (thaw.has_mass_mg()) json.member("mass_mg", thaw.mass_mg());
    json.member("method", thaw.method() == THAW_METHOD_REFRIGERATOR ? "refrigerator" : "cold_water");
    json.member("out_ms", thaw.out_ms());
    if (thaw.thawed_ms() != 0) json.member("thawed_ms", thaw.thawed_ms());
    if (thaw.use_until_ms() != 0) json.member("use_until_ms", thaw.use_until_ms());
    json.member("past", thaw.past()).end();
  }
  json.end().key("doses").array();
  for (const PrepDose& dose : reply.doses()) {
    json.object().member("order", Names::full_id(dose.order())).member("animal", Names::full_id(dose.animal()));
    json.member("animal_name", dose.animal_name()).member("preparation", dose.preparation());
    if (dose.has_slot_min()) json.member("slot_min", dose.slot_min());
    if (dose.food_mg() > 0) json.member("food_mg", dose.food_mg());
    if (dose.has_dose_ug()) json.member("dose_ug", dose.dose_ug());
    if (dose.has_dose_units()) json.member("dose_units", dose.dose_units());
    json.member("substance", dose.substance()).member("ordered_by", dose.ordered_by()).end();
  }
  print(json.end().end());
}

Exit prep(Client& client, const PrepArgs& args) {
  Names names(client);
  const Day day = typed(client.zone().parse_day_of(args.day, client.now()));
  Call call;
  PrepCall& ask = *call.mutable_prep();
  ask.set_day(day);
  ask.set_area(args.area);
  const PrepReply reply = client.call(call).prep();

  const std::string title = std::string("Food for ") + kWeekdays[weekday_of(day)] + " " + print_day(day) +
                            (args.area.empty() ? "" : ", " + args.area);
  std::vector<Section> sections = weighing(reply);
  sections.push_back(totals(reply));
  sections.push_back(thaws(reply, client.zone(), names));
  sections.push_back(doses(reply));
  const std::string known = known_text(client, reply.known_as_of_ms());
  if (!args.html.empty()) {
    HtmlPage page(client.status().facility_name(), title, "Made " + client.zone().print(client.now()) + ". " + known);
    if (reply.lines().empty()) page.paragraph("No plan in force asks for food on this day here.");
    for (const Section& section : sections) {
      if (section.rows.empty()) continue;
      page.heading(section.heading).table(section.titles, section.rows, section.tick);
    }
    page.caution(kPrepCaution);
    if (!reply.doses().empty()) page.caution(kDoseCaution);
    write_file(args.html, page.str(), "the page");
  }
  if (client.json()) {
    prep_json(reply, day, names);
  } else if (!args.html.empty()) {
    print("written to " + args.html + "; open it in a browser and print it\n");
  } else {
    print(title + "\n" + known + "\n");
    if (reply.lines().empty()) print("\nno plan in force asks for food on this day here\n");
    for (const Section& section : sections) {
      if (section.rows.empty()) continue;
      Table table(section.titles);
      for (const std::vector<std::string>& row : section.rows) table.row(row);
      print("\n" + section.heading + "\n" + table.str(2));
    }
    print("\n" + wrapped_lines(kPrepCaution));
    if (!reply.doses().empty()) print(wrapped_lines(kDoseCaution));
  }
  return Exit::kOk;
}

}  // namespace

void add_prep_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<PrepArgs>();
  CLI::App* c = app.add_subcommand("prep", "What to weigh for a day, from which lots, and what is thawing");
  c->group("Keeper");
  c->add_option("--day", args->day, "today, or 2026-11-24")->capture_default_str();
  c->add_option("--area", args->area, "Only this area");
  c->add_option("--html", args->html, "Write a page to print into this file");
  c->footer(kPrepCaution);
  runs(c, chosen, args, prep);
}

}  // namespace wrackline::cli
