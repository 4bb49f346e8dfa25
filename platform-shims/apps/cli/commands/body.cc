// wrack body: what was measured of a body, how fast it changed, mass for length.
#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/hub_access.h"
#include "cli/record_fields.h"
#include "cli/span.h"
#include "records.pb.h"
#include "text/decimal.h"
#include "text/figures.h"
#include "text/message_schema.h"
#include "text/quantity.h"

namespace wrackline::cli {
namespace {

// Makes a record of it, since the unit of its value depends on its quantity.
MessagePtr measure_of(const BodyPoint& p) {
  Measure measure;
  measure.set_quantity(p.quantity());
  measure.set_value(p.value());
  return parse_fields(kind_number("measure"), measure.SerializeAsString());
}

std::string field_of(const google::protobuf::Message& measure, const char* field, Client& client,
                     Names& names) {
  return field_text(measure, *measure.GetDescriptor()->FindFieldByName(field), client, names);
}

std::string signed_text(std::int64_t value, const std::string& text) { return (value > 0 ? "+" : "") + text; }

std::string text_of(const BodyReply& r, const BodyCall& span, Client& client, Names& names) {
  std::string out = "Body of " + names.name_of(span.animal()) +
                    (r.head_count() > 1 ? ", " + std::to_string(r.head_count()) + " heads together" : "") +
                    ", " + print_day(span.first_day()) + " to " + print_day(span.last_day()) + "\n\n";
  Table table({"DAY", "WHAT", ">VALUE", "METHOD", ""});
  for (const BodyPoint& p : r.points()) {
    const MessagePtr measure = measure_of(p);
    table.row({print_day(p.day()), field_of(*measure, "quantity", client, names),
               field_of(*measure, "value", client, names), p.method(),
               p.disagrees() ? "in disagreement (`wrack review`)" : ""});
  }
  out += table.empty() ? "Nothing was measured in these days.\n" : table.str() + "\n";
  if (r.has_change_ppm()) {
    std::string growth = "Mass from the first to the last weighing: " +
                         signed_text(r.change_ppm(), percent_figure(r.change_ppm()));
    if (r.has_growth_mg_per_day())
      growth += ", " + signed_text(r.growth_mg_per_day(), mass_figure(r.growth_mg_per_day())) + " a day";
    if (r.has_growth_ppm_per_day())
      growth += ", specific growth rate " +
                signed_text(r.growth_ppm_per_day(), print_decimal(rounded(r.growth_ppm_per_day(), 10), 4)) +
                " % a day (difference of natural logarithms)";
    out += wrapped_lines(growth + ".");
  }
  if (r.has_mass_mg()) {
    std::string mass =
        "Mass on " + print_day(span.last_day()) + ": " + mass_figure(static_cast<std::int64_t>(r.mass_mg()));
    if (r.mass_between())
      mass += ", by a straight line between two weighings";
    else if (r.has_mass_age_days())
      mass += r.mass_age_days() == 0
                  ? ", weighed that day"
                  : ", weighed " + print_quantity(Unit::kDays, r.mass_age_days()) + " before";
    if (r.head_count() > 1 && r.has_mass_per_head_mg())
      mass += "; " + mass_figure(static_cast<std::int64_t>(r.mass_per_head_mg())) + " a head";
    out += wrapped_lines(mass + ".");
  }
  if (r.has_fulton_millionths() && r.has_condition_millionths())
    out += wrapped_lines("Mass for length on " + print_day(r.condition_day()) + ": Fulton's K " +
                         print_decimal(rounded(r.fulton_millionths(), 1000), 6) +
                         " (100 g/cm^3), condition index " +
                         print_decimal(rounded(r.condition_millionths(), 1000), 6) +
                         " (10^4 kg/cm^3), by the straight length.");
  return out + wrapped_lines(kBodyCaution);
}

Json json_of(const BodyReply& r, const BodyCall& span, Client& client, Names& names) {
  Json json;
  json.object().member("animal", Names::full_id(span.animal())).member("head_count", r.head_count());
  json.member("first_day", print_day(span.first_day())).member("last_day", print_day(span.last_day()));
  json.key("points").array();
  for (const BodyPoint& p : r.points()) {
    json.object().member("day", print_day(p.day()));
    json.member("quantity", field_of(*measure_of(p), "quantity", client, names)).member("value", p.value());
    json.member("method", p.method())
        .member("record", Names::full_id(p.record()))
        .member("disagrees", p.disagrees())
        .end();
  }
  json.end();
  if (r.has_change_ppm()) json.member("change_ppm", r.change_ppm());
  if (r.has_growth_ppm_per_day()) json.member("growth_ppm_per_day", r.growth_ppm_per_day());
  if (r.has_growth_mg_per_day()) json.member("growth_mg_per_day", r.growth_mg_per_day());
  if (r.has_mass_mg()) json.member("mass_mg", r.mass_mg()).member("mass_between", r.mass_between());
  if (r.has_mass_age_days()) json.member("mass_age_days", r.mass_age_days());
  if (r.has_mass_per_head_mg()) json.member("mass_per_head_mg", r.mass_per_head_mg());
  if (r.has_fulton_millionths()) json.member("fulton_millionths", r.fulton_millionths());
  if (r.has_condition_millionths()) json.member("condition_millionths", r.condition_millionths());
  if (r.has_condition_day()) json.member("condition_day", print_day(r.condition_day()));
  json.end();
  return json;
}

Exit body(Client& client, const SpanArgs& args) {
  Names names(client);
  Call call;
  set_span(*call.mutable_body(), args, client, names);
  const BodyReply reply = asks(client, args.hub)(call).body();
  if (client.json())
    print(json_of(reply, call.body(), client, names));
  else
    print(text_of(reply, call.body(), client, names));
  return Exit::kOk;
}

}  // namespace

void add_body_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<SpanArgs>();
  CLI::App* c = app.add_subcommand("body", "What was measured of an animal, growth, mass for length");
  c->group("Records officer");
  add_span_options(c, *args);
  add_hub_option(c, *args);
  c->footer(kBodyCaution);
  runs(c, chosen, args, body);
}

}  // namespace wrackline::cli
