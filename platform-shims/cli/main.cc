// wrack: the command line of Wrackline. It holds no record logic: it reads what was typed, puts calls to the
// core (core/call/core.h), and prints the replies.
#include <cstdlib>
#include <iostream>

#include "command.h"

namespace wrackline::cli {
namespace {

constexpr char kFooter[] =
    "Numbers carry their unit: 1.2kg, 350g, 0.5mL, 08:30, 72.05%. Records go by name or by the short id that "
    "is\n"
    "printed with them (3f9a.12). Every command takes --json for programs.\n"
    "\n"
    "Exit codes: 0 ok; 1 failed; 2 usage; 3 not found or ambiguous; 4 refused by a rule or not confirmed;\n"
    "5 storage or key; 6 network or TLS; 7 something to look at (review --check, attention --check)\n";

int end_with(const Stop& stop, bool json_wanted) {
  if (json_wanted) {
    Json json;
    json.object().key("error").object().member("word", stop.word).member("exit", static_cast<int>(stop.exit));
    print(json.member("message", stop.message).end().end());
  } else {
    std::cout << std::flush;
    std::cerr << "wrack: " << stop.message << "\n";
  }
  return static_cast<int>(stop.exit);
}

std::string from_environment(const char* name) {
  const char* value = std::getenv(name);
  return value ? value : "";
}

int run(int argc, char** argv) {
  Options options;
  options.dir.path = from_environment("WRACKLINE_DIR");
  if (options.dir.path.empty() && !from_environment("HOME").empty())
    options.dir.path = from_environment("HOME") + "/.wrackline";
  options.person = from_environment("WRACKLINE_PERSON");

  CLI::App app("Wrackline's command line: what is here, what was done, what must be looked at.", "wrack");
  app.set_version_flag("--version", std::string("wrack ") + WRACKLINE_VERSION);
  app.set_help_all_flag("--help-all", "Help of every command");
  app.add_option("--dir", options.dir.path, "This device's state ($WRACKLINE_DIR, else ~/.wrackline)");
  app.add_option("--as", options.person, "Who is writing ($WRACKLINE_PERSON)");
  app.add_flag("--json", options.json, "For programs: one JSON object on standard output, errors included");
  app.add_flag("--yes", options.yes, "Answer every question with yes");
  app.add_option("--because", options.because, "Why the answer is yes; stands in the record that was asked about");
  app.require_subcommand(1);
  app.fallthrough();
  app.footer(kFooter);
  app.get_formatter()->column_width(26);

  Action chosen;
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

  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& e) {
    if (e.get_exit_code() == 0) return app.exit(e);  // --help, --version
    if (argc == 1) {
      std::cout << app.help();
      return static_cast<int>(Exit::kUsage);
    }
    const auto begun = app.get_subcommands();
    if (begun.empty() && !app.remaining().empty() && app.remaining()[0][0] != '-')
      return end_with(usage("there is no command \"" + app.remaining()[0] + "\"; see `wrack --help`"),
                      options.json);
    return end_with(usage(std::string(e.what()) + "; see `wrack " +
                          (begun.empty() ? "" : begun[0]->get_name() + " ") + "--help`"),
                    options.json);
  }
  try {
    if (options.dir.path.empty()) throw usage("where are the records? Name the directory with --dir");
    return static_cast<int>(chosen(options));
  } catch (const Stop& stop) {
    return end_with(stop, options.json);
  } catch (const std::exception& e) {
    return end_with({Exit::kFailed, std::string("this is a fault of ours: ") + e.what(), "internal"},
                    options.json);
  }
}

}  // namespace
}  // namespace wrackline::cli

int main(int argc, char** argv) { return wrackline::cli::run(argc, argv); }
