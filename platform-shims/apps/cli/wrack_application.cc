// This file says what wrack understands: its options, and every command.
#include "cli/wrack_application.h"

#include <string>

namespace wrackline::cli {
namespace {

constexpr char kFooter[] =
    "Numbers carry their unit: 1.2kg, 350g, 0.5mL, 08:30, 72.05%. Records go by name or by the short id that "
    "is\n"
    "printed with them (3f9a.12). Every command takes --json for programs.\n"
    "\n"
    "Exit codes: 0 ok; 1 failed; 2 usage; 3 not found or ambiguous; 4 refused by a rule or not confirmed;\n"
    "5 storage or key; 6 network or TLS; 7 something to look at (review --check, attention --check)\n";

}  // namespace

void define_application(CLI::App& app, Options& options, Action& chosen) {
  app.set_version_flag("--version", std::string("wrack ") + WRACKLINE_VERSION);
  app.set_help_all_flag("--help-all", "Help of every command");
  app.add_option("--dir", options.dir.path, "This device's state ($WRACKLINE_DIR, else ~/.wrackline)");
  app.add_option("--as", options.person, "Who is writing ($WRACKLINE_PERSON)");
  app.add_flag("--json", options.json, "For programs: one JSON object on standard output, errors included");
  app.add_flag("--yes", options.yes, "Answer every question with yes");
  app.add_option("--because", options.because, "Why the answer is yes; stands in the record that was asked about");
  app.add_flag("--pin-stdin", options.pin_stdin, "Read PINs from lines of standard input, where a terminal would ask for them");
  app.require_subcommand(1);
  app.fallthrough();
  app.footer(kFooter);
  app.get_formatter()->column_width(26);

  add_here_command(app, chosen);
  add_round_command(app, chosen);
  add_day_command(app, chosen);
  add_feeding_commands(app, chosen);
  add_prep_command(app, chosen);
  add_store_commands(app, chosen);
  add_dose_command(app, chosen);
  add_observing_commands(app, chosen);
  add_enriching_commands(app, chosen);
  add_training_commands(app, chosen);
  add_scan_commands(app, chosen);
  add_record_commands(app, chosen);
  add_attaching_commands(app, chosen);
  add_signing_in_commands(app, chosen);
  add_exchange_command(app, chosen);
  add_changed_command(app, chosen);
  add_enrolling_commands(app, chosen);
  add_bundle_commands(app, chosen);
  add_review_command(app, chosen);
  add_deciding_commands(app, chosen);
  add_confirming_command(app, chosen);
  add_closing_commands(app, chosen);
  add_holding_commands(app, chosen);
  add_sheet_command(app, chosen);
  add_table_commands(app, chosen);
  add_foods_command(app, chosen);
  add_intake_command(app, chosen);
  add_water_commands(app, chosen);
  add_attention_command(app, chosen);
  add_trend_command(app, chosen);
  add_body_command(app, chosen);
  add_report_commands(app, chosen);
  add_trail_command(app, chosen);
  add_verify_command(app, chosen);
  add_evidence_command(app, chosen);
  add_proof_commands(app, chosen);
  add_call_command(app, chosen);
}

}  // namespace wrackline::cli
