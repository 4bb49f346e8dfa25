// wrackline-server set-pin, pin-code.
#include <unistd.h>

#include <iostream>
#include <memory>

#include "hosts/hidden_typing.h"
#include "server_command.h"
#include "set_pin.h"

namespace wrackline {
namespace {

// Without showing it on a terminal; never from the command line, where every process could read it.
std::string read_pin(const std::string& question) {
  const bool is_terminal = ::isatty(STDIN_FILENO) != 0;
  if (is_terminal) std::cerr << question << ": " << std::flush;
  std::string pin;
  {
    const HiddenTyping hidden;
    std::getline(std::cin, pin);
  }
  if (is_terminal) std::cerr << '\n';
  return pin;
}

int run_set_pin(SetPinOptions options) {
  options.pin = read_pin("New PIN of " + options.person);
  if (const Status set = set_pin(options); !set) return report(set.error());
  std::cout << options.person << " has a new PIN, which is asked for on each device after its next exchange.\n";
  return 0;
}

int run_pin_code(const SetPinOptions& options) {
  const auto code = give_code(options);
  if (!code) return report(code.error());
  std::cout << *code << '\n' << std::flush;
  std::cerr << "With it " << options.person << " chooses a PIN on any device, within three days: wrack set-pin. It is shown only here; tell it to nobody else.\n";
  return 0;
}

}  // namespace

void add_set_pin_command(CLI::App& app, Action& chosen) {
  auto options = std::make_shared<SetPinOptions>();
  CLI::App* command = app.add_subcommand("set-pin", "Give somebody a PIN at the hub itself, also while it serves; the PIN is a line of standard input");
  command->add_option("--dir", options->directory.path, "The hub's directory")->required();
  command->add_option("person", options->person, "Whose, by name")->required();
  command->add_option("--reason", options->reason, "Why; stays in the trail")->required();
  command->callback([options, &chosen] { chosen = [options] { return run_set_pin(*options); }; });

  auto for_code = std::make_shared<SetPinOptions>();
  command = app.add_subcommand("pin-code", "Make a one-time code by which somebody chooses a PIN, also while the hub serves");
  command->add_option("--dir", for_code->directory.path, "The hub's directory")->required();
  command->add_option("person", for_code->person, "For whom, by name")->required();
  command->add_option("--reason", for_code->reason, "Why; stays in the trail")->required();
  command->callback([for_code, &chosen] { chosen = [for_code] { return run_pin_code(*for_code); }; });
}

}  // namespace wrackline
