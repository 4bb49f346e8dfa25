// wrack: the command line of Wrackline. It holds no record logic: it reads what was typed, puts calls to the
// core (core/call/core.h), and prints the replies.
#include <cstdlib>
#include <iostream>

#include "cli/wrack_application.h"
#include "text/visible.h"

namespace wrackline::cli {
namespace {

int end_with(const Stop& stop, bool json_wanted) {
  if (json_wanted) {
    Json json;
    json.object().key("error").object().member("word", stop.word).member("exit", static_cast<int>(stop.exit));
    print(json.member("message", stop.message).end().end());
  } else {
    std::cout << std::flush;
    std::cerr << "wrack: " << visible_lines(stop.message) << "\n";
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

  CLI::App app(kAbout, "wrack");
  Action chosen;
  define_application(app, options, chosen);

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
