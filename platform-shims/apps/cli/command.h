// This file says what the commands share: how one is chosen, and how what was written is told.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <memory>
#include <string>
#include <utility>

#include "cli/client.h"
#include "cli/names.h"
#include "text/json.h"

namespace wrackline::cli {

// The command the line asked for; run by main() once the whole line is understood.
using Action = std::function<Exit(const Options&)>;

// Lets `command` run `run(client, args)` on this device's records.
template <typename Args>
void runs(CLI::App* command, Action& chosen, std::shared_ptr<Args> args, Exit (*run)(Client&, const Args&)) {
  command->callback([&chosen, args, run] {
    chosen = [args, run](const Options& options) {
      Client client(options);
      return run(client, *args);
    };
  });
}

void add_here_command(CLI::App& app, Action& chosen);        // here.cc
void add_day_command(CLI::App& app, Action& chosen);         // day.cc
void add_record_commands(CLI::App& app, Action& chosen);     // records.cc: add list show correct strike
void add_feeding_commands(CLI::App& app, Action& chosen);    // feeding.cc: meal left
void add_round_command(CLI::App& app, Action& chosen);       // round.cc
void add_prep_command(CLI::App& app, Action& chosen);        // prep.cc
void add_store_commands(CLI::App& app, Action& chosen);      // stores.cc: stock receive use discard count thaw thawed
void add_dose_command(CLI::App& app, Action& chosen);        // dosing.cc
void add_observing_commands(CLI::App& app, Action& chosen);  // observing.cc: measure observe
void add_signing_in_commands(CLI::App& app, Action& chosen);  // signing_in.cc: sign-in sign-out set-pin pin-code
void add_attaching_commands(CLI::App& app, Action& chosen);  // attaching.cc: attach attachments fetch
void add_exchange_command(CLI::App& app, Action& chosen);    // exchange.cc
void add_changed_command(CLI::App& app, Action& chosen);     // changed.cc
void add_enrolling_commands(CLI::App& app, Action& chosen);  // enrolling.cc: enrol rekey repin
void add_call_command(CLI::App& app, Action& chosen);        // calling.cc
void add_bundle_commands(CLI::App& app, Action& chosen);     // bundle.cc
void add_holding_commands(CLI::App& app, Action& chosen);    // holding.cc: held take-in leave-out
void add_review_command(CLI::App& app, Action& chosen);      // review.cc
void add_deciding_commands(CLI::App& app, Action& chosen);   // deciding.cc: settle fold accept
void add_confirming_command(CLI::App& app, Action& chosen);   // confirming.cc
void add_closing_commands(CLI::App& app, Action& chosen);    // closing.cc: close closes
void add_sheet_command(CLI::App& app, Action& chosen);       // sheet.cc: import-sheet
void add_table_commands(CLI::App& app, Action& chosen);      // tables.cc: export import
void add_foods_command(CLI::App& app, Action& chosen);       // foods.cc
void add_trail_command(CLI::App& app, Action& chosen);       // trail.cc
void add_proof_commands(CLI::App& app, Action& chosen);      // proof.cc: rebuild digest people devices
void add_verify_command(CLI::App& app, Action& chosen);      // verifying.cc
void add_evidence_command(CLI::App& app, Action& chosen);    // evidence.cc
void add_intake_command(CLI::App& app, Action& chosen);      // intake.cc
void add_water_commands(CLI::App& app, Action& chosen);      // water.cc: water read limits
void add_attention_command(CLI::App& app, Action& chosen);   // attention.cc
void add_trend_command(CLI::App& app, Action& chosen);       // trend.cc
void add_body_command(CLI::App& app, Action& chosen);        // body.cc
void add_enriching_commands(CLI::App& app, Action& chosen);  // enriching.cc: enrich inspect
void add_training_commands(CLI::App& app, Action& chosen);   // training.cc: train training
void add_scan_commands(CLI::App& app, Action& chosen);       // scanning.cc: scan scans
void add_report_commands(CLI::App& app, Action& chosen);      // reporting.cc

// Prints to standard output: finished JSON with a line end, or text, of which nothing that stands in a record steers the terminal
// (visible.h).
void print(const Json& json);
void print(const std::string& text);

// Tells what a LogCall made: one line a record, or {"logged": [...]}.
Exit tell_logged(Client& client, Names& names, const LogCall& call, const LogReply& reply);
// Tells of a written edit, strike, fold or acceptance.
Exit tell_edited(Client& client, Names& names, const RecordRef& record, const RecordRef& change,
                 const std::string& what);

// Fills happened_ms, utc_offset_min and, where it is the record's own, day.
template <typename Event>
void set_time(Event& event, const When& when) {
  event.set_happened_ms(when.happened_ms);
  event.set_utc_offset_min(when.utc_offset_min);
}

}  // namespace wrackline::cli
