// wrack intake: what an animal was offered and what it ate, day by day. Figures are the core's; the same call
// can be put to the hub's replica, and the answer is printed by the same code, to the same byte.
#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/commands/doubts.h"
#include "cli/reports/intake_figures.h"
#include "cli/span.h"
#include "text/quantity.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

std::string text_of(const IntakeReply& r, const std::string& animal, const std::vector<std::string>& notes) {
  std::string out = "Intake of " + animal +
                    (r.head_count() > 1 ? ", " + std::to_string(r.head_count()) + " heads together" : "") +
                    "\n\n";
  Table table({"DAY", ">MEALS", ">OFFERED", ">LEFT", ">EATEN", ">ENERGY", ">DRY MATTER", ">OF BODY",
               ">PLANNED", ">OF PLAN"});
  bool unweighed = false;
  for (const IntakeDay& d : r.days()) {
    if (!d.recorded()) {
      table.row({print_day(d.day()), "unrecorded", "", "", "", "", "", "",
                 mass(d.has_planned_mg(), static_cast<std::int64_t>(d.planned_mg()))});
      continue;
    }
    const bool open = d.portions_unweighed() > 0;
    unweighed = unweighed || open;
    table.row({print_day(d.day()), std::to_string(d.meals()),
               mass(d.has_offered_mg(), static_cast<std::int64_t>(d.offered_mg())),
               mass(d.has_left_mg(), static_cast<std::int64_t>(d.left_mg())),
               (open && d.has_eaten_mg() ? "*" : "") + mass(d.has_eaten_mg(), d.eaten_mg()),
               energy(d.has_energy_cal(), d.energy_cal()), mass(d.has_dry_matter_mg(), d.dry_matter_mg()),
               percent(d.has_body_mass_ppm(), d.body_mass_ppm()),
               mass(d.has_planned_mg(), static_cast<std::int64_t>(d.planned_mg())),
               percent(d.has_plan_ppm(), d.plan_ppm())});
  }
  out += table.str() + "\n";
  std::string sum = std::to_string(r.days_recorded()) + " of " + std::to_string(r.days_size()) +
                    " days recorded, " + std::to_string(r.days_complete()) + " with every leftover weighed";
  if (r.has_eaten_mean_mg())
    sum += "; over these: mean " + mass(true, r.eaten_mean_mg()) + ", median " +
           mass(r.has_eaten_median_mg(), r.eaten_median_mg()) + " eaten a day" +
           (r.has_energy_mean_cal() ? ", mean " + energy(true, r.energy_mean_cal()) : "");
  out += wrapped_lines(sum + ".");
  if (unweighed)
    out += "* of the portions whose leftover was weighed; of the others it is not known what was eaten.\n";
  for (int i = r.days_size(); i-- > 0;) {
    if (!r.days(i).has_body_mass_mg()) continue;
    out += "Body mass " + print_quantity(Unit::kMassMg, static_cast<std::int64_t>(r.days(i).body_mass_mg())) +
           " on " + print_day(r.days(i).day()) + ", " +
           (r.days(i).body_mass_age_days() == 0
                ? "weighed that day"
                : "weighed " + print_quantity(Unit::kDays, r.days(i).body_mass_age_days()) + " before") +
           ".\n";
    break;
  }
  for (const std::string& note : notes) out += wrapped_lines("To be settled, " + note + ".");
  return out + wrapped_lines(kIntakeCaution);
}

Exit intake(Client& client, const SpanArgs& args) {
  Names names(client);
  Call call;
  IntakeCall& span = *call.mutable_intake();
  set_span(span, args, client, names);
  const Ask ask = asks(client, args.hub);
  const IntakeReply reply = ask(call).intake();
  const std::vector<std::string> notes =
      unsettled_intake_sentences(span.animal(), span.first_day(), span.last_day(), true, ask);
  if (client.json()) {
    Json json;
    json.object().member("animal", Names::full_id(span.animal())).member("head_count", reply.head_count());
    json.member("days_recorded", reply.days_recorded()).member("days_complete", reply.days_complete());
    if (reply.has_eaten_mean_mg()) json.member("eaten_mean_mg", reply.eaten_mean_mg());
    if (reply.has_eaten_median_mg()) json.member("eaten_median_mg", reply.eaten_median_mg());
    if (reply.has_energy_mean_cal()) json.member("energy_mean_cal", reply.energy_mean_cal());
    json.key("days").array();
    for (const IntakeDay& d : reply.days()) day_json(json, d);
    json.end().key("to_be_settled").array();
    for (const std::string& note : notes) json.text(note);
    print(json.end().end());
  } else {
    print(text_of(reply, names.name_of(span.animal()), notes));
  }
  return Exit::kOk;
}

}  // namespace

void add_intake_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<SpanArgs>();
  CLI::App* c = app.add_subcommand(
      "intake", "What an animal was offered and ate, day by day, against plan and body mass");
  c->group("Records officer");
  add_span_options(c, *args);
  add_hub_option(c, *args);
  c->footer(kIntakeCaution);
  runs(c, chosen, args, intake);
}

}  // namespace wrackline::cli
