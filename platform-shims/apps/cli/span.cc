#include "cli/span.h"

namespace wrackline::cli {

void add_span_options(CLI::App* c, SpanArgs& args) {
  c->add_option("animal", args.animal, "Name or id")->required();
  c->add_option(
      "--from", args.from,
      "First day: 2026-11-24, today or yesterday; without it " + std::to_string(kSpanDays) + " days");
  c->add_option("--to", args.to, "Last day; without it today");
}

void add_hub_option(CLI::App* c, SpanArgs& args) {
  c->add_flag("--hub", args.hub, "Ask the hub's replica instead of this one");
}

DaySpan span_typed(const SpanArgs& args, Client& client) {
  const Zone& zone = client.zone();
  DaySpan out;
  out.last = args.to.empty() ? zone.today(client.now()) : typed(zone.parse_day_of(args.to, client.now()));
  out.first =
      args.from.empty() ? out.last - (kSpanDays - 1) : typed(zone.parse_day_of(args.from, client.now()));
  if (out.last < out.first) throw usage("--to is before --from");
  return out;
}

}  // namespace wrackline::cli
