// wrack enrich, wrack inspect: what an animal might be offered next, what it was offered, whether that is
// safe.
#include <iostream>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/record_fields.h"
#include "records.pb.h"
#include "text/decimal.h"
#include "text/message_schema.h"

namespace wrackline::cli {
namespace {

struct EnrichArgs {
  std::string animal, enricher, response, minutes, at, note;
};

struct InspectArgs {
  std::string enricher, safe, findings, at;
};

constexpr std::uint32_t kSpanDays = 28;

const char* state_word(EnricherState state) {
  switch (state) {
    case ENRICHER_STATE_READY:
      return "ready";
    case ENRICHER_STATE_TOO_SOON:
      return "too soon";
    case ENRICHER_STATE_INSPECTION_DUE:
      return "inspection due";
    case ENRICHER_STATE_UNSAFE:
      return "unsafe";
    default:
      return "not known";
  }
}

std::string state_text(const EnricherChoice& c) {
  return state_word(c.state()) + (c.has_ready_day() ? ", from " + print_day(c.ready_day()) : std::string());
}

std::string response_text(const EnricherChoice& c) {
  return c.has_response_thousandths() ? print_decimal((c.response_thousandths() + 50) / 100, 1) + " of 4 (" +
                                            std::to_string(c.watched()) + ")"
                                      : "";
}

std::string counted(std::uint32_t n, const char* what) {
  return std::to_string(n) + " " + what + (n == 1 ? "" : "s");
}

// Why the first choice stands first, by the core's order.
std::string suggestion(const EnrichmentReply& r) {
  if (r.choices_size() == 0)
    return "No enricher is recorded that this animal may have; see `wrack list enricher`.";
  const EnricherChoice& first = r.choices(0);
  if (first.state() != ENRICHER_STATE_READY)
    return "Nothing is ready: what stands in the way of each is in the table.";
  return "Suggestion: " + first.name() + ". It is ready, and of those that are it was " +
         (first.has_last_day() ? "used longest ago (" + print_day(first.last_day()) + ")"
                               : "never used with this animal") +
         (first.goal().empty() ? "." : "; it is for: " + first.goal() + ".");
}

std::string choices_text(const EnrichmentReply& r, const std::string& animal, Day day) {
  std::string out = "Enrichment for " + animal + ", " + print_day(day) + "\n\n";
  Table table({"ENRICHER", "STATE", ">USES", "LAST USE", ">RESPONSE", "GOAL", "CAUTION"});
  for (const EnricherChoice& c : r.choices())
    table.row({c.name(), state_text(c), std::to_string(c.uses()),
               c.has_last_day() ? print_day(c.last_day()) : "never", response_text(c), c.goal(),
               c.caution()});
  if (!table.empty()) out += table.str() + "\n";
  out += wrapped_lines(suggestion(r));
  std::string sum = counted(r.uses(), "use") + " in " + std::to_string(kSpanDays) + " days";
  // Shannon's index is 0 for one enricher alone and the logarithm of their number when all are used alike.
  if (r.has_variety_millionths())
    sum += ", variety " + print_decimal((r.variety_millionths() + 5'000) / 10'000, 2) +
           " (Shannon, natural logarithm; 0 is always the same)";
  sum += "; this week " + std::to_string(r.uses_this_week()) +
         (r.has_planned_per_week() ? " of " + std::to_string(r.planned_per_week()) + " planned."
                                   : ", no plan is in force.");
  return out + wrapped_lines(sum) +
         wrapped_lines(
             "RESPONSE: mean of the uses that were watched, and how many; 0 none, 4 used it for long.") +
         wrapped_lines(kEnrichmentCaution);
}

void choices_json(Json& json, const EnrichmentReply& r, const RecordRef& animal, Day day) {
  json.object()
      .member("animal", Names::full_id(animal))
      .member("day", print_day(day))
      .member("span_days", kSpanDays);
  json.key("choices").array();
  for (const EnricherChoice& c : r.choices()) {
    json.object().member("enricher", Names::full_id(c.enricher())).member("name", c.name());
    json.member("state", state_word(c.state())).member("uses", c.uses()).member("watched", c.watched());
    if (c.has_last_day()) json.member("last_day", print_day(c.last_day()));
    if (c.has_response_thousandths()) json.member("response_thousandths", c.response_thousandths());
    if (c.has_ready_day()) json.member("ready_day", print_day(c.ready_day()));
    json.member("goal", c.goal()).member("caution", c.caution()).end();
  }
  json.end().member("uses", r.uses()).member("uses_this_week", r.uses_this_week());
  if (r.has_variety_millionths()) json.member("variety_millionths", r.variety_millionths());
  if (r.has_planned_per_week()) json.member("planned_per_week", r.planned_per_week());
  json.member("suggestion", suggestion(r)).end();
}

EnrichmentReply choices(Client& client, const RecordRef& animal, Day day) {
  Call call;
  *call.mutable_enrichment()->mutable_animal() = animal;
  call.mutable_enrichment()->set_day(day);
  call.mutable_enrichment()->set_span_days(kSpanDays);
  return client.call(call).enrichment();
}

// The reason against this use; "" when nothing does.
std::string objection(const EnrichmentReply& r, const RecordRef& enricher, const std::string& name,
                      const std::string& animal) {
  for (const EnricherChoice& c : r.choices()) {
    if (!same(c.enricher(), enricher)) continue;
    switch (c.state()) {
      case ENRICHER_STATE_TOO_SOON:
        return name + " is too soon for " + animal + ": last used " + print_day(c.last_day()) +
               (c.has_ready_day() ? ", ready from " + print_day(c.ready_day()) : "") + ".";
      case ENRICHER_STATE_INSPECTION_DUE:
        return "the inspection of " + name + " is due; see `wrack inspect`.";
      case ENRICHER_STATE_UNSAFE:
        return "the last inspection found " + name + " unsafe.";
      default:
        return "";
    }
  }
  return name + " is not among the enrichers that are allowed and planned for " + animal + ".";
}

Exit log_use(Client& client, Names& names, const EnrichArgs& args, const RecordRef& animal) {
  Call call = client.authored();
  const RecordRef enricher = names.find("enricher", args.enricher);
  const When when = client.event_time(args.at);
  const MessagePtr fields = blank(kind_typed("enrichment_use"));
  if (!args.response.empty()) set_field(*fields, "response", args.response, client, names);
  if (!args.minutes.empty()) set_field(*fields, "minutes", args.minutes, client, names);
  EnrichmentUse use;
  use.ParseFromString(fields->SerializeAsString());
  *use.mutable_animal() = animal;
  *use.mutable_enricher() = enricher;
  use.set_day(when.day);
  set_time(use, when);
  use.set_note(args.note);

  const EnrichmentReply known = choices(client, animal, when.day);
  for (const EnricherChoice& c : known.choices()) {
    if (client.json() || !same(c.enricher(), enricher) || c.caution().empty()) continue;
    print(wrapped_lines(c.name() + ": " + c.caution()));
    std::cout << std::flush;
  }
  const std::string against = objection(known, enricher, names.name_of(enricher), names.name_of(animal));
  if (!against.empty()) confirm(client.options(), against + " Log this use all the same?");

  NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(kind_number("enrichment_use"));
  record.set_fields(use.SerializeAsString());
  const Reply reply = client.call(call);
  return tell_logged(client, names, call.log(), reply.log());
}

Exit enrich(Client& client, const EnrichArgs& args) {
  Names names(client);
  const RecordRef animal = names.find("animal", args.animal);
  if (!args.enricher.empty()) return log_use(client, names, args, animal);
  if (!args.response.empty() || !args.minutes.empty() || !args.note.empty())
    throw usage("which enricher was it? Name it after the animal; see `wrack enrich " + args.animal + "`");
  const Zone& zone = client.zone();
  const Day day =
      args.at.empty() ? zone.today(client.now()) : zone.when(typed(zone.parse(args.at, client.now()))).day;
  const EnrichmentReply reply = choices(client, animal, day);
  if (client.json()) {
    Json json;
    choices_json(json, reply, animal, day);
    print(json);
  } else {
    print(choices_text(reply, names.name_of(animal), day));
  }
  return Exit::kOk;
}

Exit inspect(Client& client, const InspectArgs& args) {
  Names names(client);
  Call call = client.authored();
  const RecordRef enricher = names.find("enricher", args.enricher);
  const When when = client.event_time(args.at);
  const MessagePtr fields = blank(kind_typed("inspection"));
  set_field(*fields, "safe", args.safe, client, names);
  Inspection look;
  look.ParseFromString(fields->SerializeAsString());
  *look.mutable_enricher() = enricher;
  look.set_day(when.day);
  set_time(look, when);
  look.set_findings(args.findings);
  NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(kind_number("inspection"));
  record.set_fields(look.SerializeAsString());
  const Reply reply = client.call(call);
  tell_logged(client, names, call.log(), reply.log());
  if (!client.json() && !look.safe())
    print("  not safe: take it away from the animals until it is mended and inspected anew\n");
  return Exit::kOk;
}

}  // namespace

void add_enriching_commands(CLI::App& app, Action& chosen) {
  auto enrich_args = std::make_shared<EnrichArgs>();
  CLI::App* e =
      app.add_subcommand("enrich", "What an animal might be offered next; with an enricher, log that it was");
  e->group("Keeper");
  e->add_option("animal", enrich_args->animal, "Name or id")->required();
  e->add_option("enricher", enrich_args->enricher,
                "What was offered; asks first when it is too soon, not inspected or unsafe");
  e->add_option("--response", enrich_args->response,
                "0 none, 1 looked, 2 touched, 3 used it for a while, 4 used it for long; leave out when "
                "nobody watched");
  e->add_option("--minutes", enrich_args->minutes, "For how long: 10 or 10min");
  e->add_option("--at", enrich_args->at, "When it was, if not now");
  e->add_option("--note", enrich_args->note, "Anything worth knowing");
  e->footer(kEnrichmentCaution);
  runs(e, chosen, enrich_args, enrich);

  auto inspect_args = std::make_shared<InspectArgs>();
  CLI::App* i = app.add_subcommand("inspect", "Log a look at an enricher: is it whole, clean and safe?");
  i->group("Keeper");
  i->add_option("enricher", inspect_args->enricher, "Name or id")->required();
  i->add_option("findings", inspect_args->findings, "What was found; needed when it is not safe");
  i->add_option("--safe", inspect_args->safe, "yes or no")->required();
  i->add_option("--at", inspect_args->at, "When it was, if not now");
  runs(i, chosen, inspect_args, inspect);
}

}  // namespace wrackline::cli
