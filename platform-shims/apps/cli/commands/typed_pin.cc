#include "cli/commands/typed_pin.h"

#include <unistd.h>

#include <iostream>

#include "hosts/hidden_typing.h"

namespace wrackline::cli {

std::string read_pin(const Options& options, const std::string& question) {
  std::string pin;
  if (options.pin_stdin) {
    std::getline(std::cin, pin);
    return pin;
  }
  if (!isatty(STDIN_FILENO))
    throw usage(question + " is typed on a terminal; for programs there is --pin-stdin, which reads a line");
  std::cerr << question << ": " << std::flush;
  {
    const HiddenTyping hidden;
    std::getline(std::cin, pin);
  }
  std::cerr << "\n";
  return pin;
}

}  // namespace wrackline::cli
