// wrackline-server retention.
#include <iomanip>
#include <iostream>
#include <memory>

#include "base/counted.h"
#include "hosts/system_clock.h"
#include "retention_review.h"
#include "server_command.h"

namespace wrackline {
namespace {


struct RetentionArgs {
  HubDirectory directory;
  std::string by, reason;
};

int run_retention(const RetentionArgs& args) {
  const WallMs now = wall_clock_ms();
  const auto rows = list_retention(args.directory, static_cast<std::int32_t>(now / kDayMs));
  if (!rows) return report(rows.error());
  const auto line = [](const std::string& kind, const std::string& events, const std::string& past,
                       const std::string& minimum, const std::string& source) {
    std::cout << std::left << std::setw(20) << kind << std::right << std::setw(10) << events << std::setw(14)
              << past << std::setw(10) << minimum << "  " << source << '\n';
  };
  line("kind", "events", "past minimum", "minimum", "source");
  for (const RetentionRow& row : *rows)
    line(row.kind_name, std::to_string(row.events), std::to_string(row.past_minimum),
         std::to_string(row.rule.years_min) + " y", row.rule.source);
  const auto files = count_files(args.directory, static_cast<std::int32_t>(now / kDayMs));
  if (!files) return report(files.error());
  if (files->files > 0)
    std::cout << "\nAttachments name " << counted(files->files, "file") << " of " << files->bytes << " bytes, "
              << files->files_past_minimum << " of them (" << files->bytes_past_minimum
              << " bytes) past the minimum. In " << args.directory.blobs() << ": " << counted(files->files_here, "file")
              << " of " << files->bytes_here << " bytes; others have not been brought yet.\n";
  std::cout
      << "\nNothing is removed in this release; README.md says why. Records of an animal are kept at least a "
         "year "
         "after it has\nleft, and longer where other law says so: ask before anything is taken out of use.\n";
  if (args.by.empty() && args.reason.empty()) return 0;
  const Status logged = log_retention_act(args.directory, *rows, args.by, args.reason, now);
  if (!logged) return report(logged.error());
  std::cout << "Written down in " << args.directory.retention_acts() << ".\n";
  return 0;
}

}  // namespace

void add_retention_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<RetentionArgs>();
  CLI::App* command =
      app.add_subcommand("retention", "List how long events must be kept and how many are older");
  command->add_option("--dir", args->directory.path, "The hub's directory")->required();
  command->add_option("--by", args->by, "Name of the admin whose look at the list is to be written down");
  command->add_option("--reason", args->reason, "What for");
  command->callback([args, &chosen] { chosen = [args] { return run_retention(*args); }; });
}

}  // namespace wrackline
