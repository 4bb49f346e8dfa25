// The command line of wrackline-evidence: main() reads what was typed with it, the manual page and the completion are made from
// it (platform-shims/packages/manual).
#pragma once

#include <CLI/CLI.hpp>
#include <string>

namespace wrackline::evidence {

inline constexpr char kAbout[] =
    "Checks a file that `wrack evidence` wrote: that every change in it is as its device sealed it, that the hub had\n"
    "enrolled the device, and when the hub held it. Then tells the history of the records it is about.\n"
    "Only the hub's public key, known from elsewhere, tells a true file from one that somebody made up whole.";

struct Arguments {
  std::string path;
  std::string hub_key;  // The key as typed.
};

// `app` keeps a reference to `arguments`, which are filled after its parse().
inline void define_application(CLI::App& app, Arguments& arguments) {
  app.add_option("file", arguments.path, "The evidence file")->required();
  app.add_option("--hub-key", arguments.hub_key,
                 "A public key of the hub's, 64 digits, as you know it from elsewhere; keys that the hub had before or after follow "
                 "from it. Without it the file's own word is taken, and whoever made the whole file up could have made up the key");
  app.footer("Exit codes: 0 all holds; 1 it does not, or the file cannot be read; 2 usage; 3 all holds by the file's own word, but "
             "no --hub-key was given");
}

}  // namespace wrackline::evidence
