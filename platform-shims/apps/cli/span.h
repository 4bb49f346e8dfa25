// An animal and days: what the commands that look back are asked with.
#pragma once

#include <CLI/CLI.hpp>
#include <string>

#include "cli/client.h"
#include "cli/names.h"

namespace wrackline::cli {

// Days to look back where --from does not say.
inline constexpr int kSpanDays = 90;

struct SpanArgs {
  std::string animal, from, to;
  bool hub = false;
};

void add_span_options(CLI::App* command, SpanArgs& args);
void add_hub_option(CLI::App* command, SpanArgs& args);

// First and last day as typed; without them the kSpanDays up to the last day, which is today. Throws Stop.
struct DaySpan {
  Day first = 0, last = 0;
};
DaySpan span_typed(const SpanArgs& args, Client& client);

// Fills `animal`, `first_day` and `last_day` of a call. Throws Stop.
template <typename Call>
void set_span(Call& call, const SpanArgs& args, Client& client, Names& names) {
  *call.mutable_animal() = names.find("animal", args.animal);
  const DaySpan days = span_typed(args, client);
  call.set_first_day(days.first);
  call.set_last_day(days.last);
}

}  // namespace wrackline::cli
