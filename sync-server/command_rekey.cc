// wrackline-server rekey.
#include <iostream>
#include <memory>

#include "rekey.h"
#include "server_command.h"

namespace wrackline {
namespace {

int run_rekey(const RekeyOptions& options) {
  const auto outcome = rekey(options);
  if (!outcome) return report(outcome.error());
  const std::string& directory = options.directory.path;
  std::cout << "The hub's key is now " << outcome->hub_key << ".\n";
  if (outcome->dropped > 0)
    std::cout << outcome->dropped
              << " changes of the hub's own were not sealed yet and nobody could ever have verified them: "
                 "they were "
                 "dropped.\nLook at `devices`, and enrol or revoke again what is missing there.\n";
  std::cout << "What to do next:\n"
            << "  1. Make a new backup, and copy the keys apart: wrackline-server backup --dir " << directory
            << " --to FILE --with-keys\n"
            << "     Backups from before ask for the old key.\n"
            << "  2. Serve again.\n";
  if (options.is_lost)
    std::cout
        << "  3. On each device, with its person: wrack repin --hub-key " << outcome->hub_key << '\n'
        << "     or with a new link (`wrackline-server code --link`): wrack repin --link LINK\n"
        << "     Until then it sends its records, and takes none of the hub's word on devices.\n"
        << "  4. Look through `devices`: whoever had the old key may have let in devices of their own.\n";
  else
    std::cout << "  3. Devices follow with their next exchange. Destroy copies of the old key.\n";
  return 0;
}

}  // namespace

void add_rekey_command(CLI::App& app, Action& chosen) {
  auto options = std::make_shared<RekeyOptions>();
  CLI::App* command = app.add_subcommand("rekey", "Give the hub another key; not while it serves");
  command->add_option("--dir", options->directory.path, "The hub's directory")->required();
  command->add_option("--by", options->by, "Name of the admin who decides")->required();
  command->add_option("--reason", options->reason, "Why; stays in the trail")->required();
  command->add_flag(
      "--lost", options->is_lost,
      "The old key is gone, or others may have it: it signs nothing more, and each device must be told "
      "(wrack repin)");
  command->callback([options, &chosen] { chosen = [options] { return run_rekey(*options); }; });
}

}  // namespace wrackline
