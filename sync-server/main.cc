// wrackline-server: makes a hub's directory, lets devices in, serves them. See README.md.
#include <sys/stat.h>

#include <CLI/CLI.hpp>
#include <iostream>

#include "enrolment_codes.h"
#include "init.h"
#include "serve.h"
#include "system_clock.h"

namespace wrackline {
namespace {

constexpr int kExitFailed = 1;
constexpr int kExitUsage = 2;

int report(const Error& error) {
  std::cerr << "wrackline-server: " << error.message << '\n';
  return kExitFailed;
}

int run_init(const InitOptions& options) {
  auto outcome = init(options);
  if (!outcome) return report(outcome.error());
  const HubDirectory& directory = options.directory;
  std::cout << "Made the hub of " << options.facility_name << " in " << directory.path << ".\n\n"
            << "Facility:     " << outcome->facility_id << '\n'
            << "Certificate:  " << directory.certificate() << ", until " << outcome->certificate_expires
            << '\n'
            << "Fingerprint:  " << outcome->certificate_fingerprint << "\n\n"
            << "What to do next:\n"
            << "  1. Back up the directory; " << directory.key() << " cannot be made again.\n"
            << "  2. Start the hub:            wrackline-server serve --dir " << directory.path
            << " --listen ADDRESS:8443\n"
            << "  3. Give the certificate (never " << directory.certificate_key() << ") to each device.\n"
            << "  4. For each device, a code:  wrackline-server code --dir " << directory.path << '\n'
            << "The first admin, " << options.admin_name
            << ", is in the records and can add the other people.\n";
  return 0;
}

int run_code(const HubDirectory& directory, unsigned minutes) {
  struct stat about {};
  if (::stat(directory.key().c_str(), &about) != 0)
    return report(
        {ErrorCode::kNotFound, "making a code: " + directory.path +
                                   " is no hub's directory; make one with `wrackline-server init`"});
  auto code = EnrolmentCodes(directory.codes()).make(wall_clock_ms(), WallMs{minutes} * 60 * 1000);
  if (!code) return report(code.error());
  std::cout << *code << '\n' << std::flush;
  std::cerr << "Lets one device in, within " << minutes << (minutes == 1 ? " minute" : " minutes")
            << ". It is shown only here; tell it to nobody but the person who holds the device.\n";
  return 0;
}

int run(int argc, char** argv) {
  CLI::App app{
      "The hub of a facility's husbandry records: devices bring their changes here and take the others'."};
  app.name("wrackline-server");
  app.require_subcommand(1);

  InitOptions init_options;
  CLI::App* init_command = app.add_subcommand("init", "Make the directory of a new facility's hub");
  init_command->add_option("--dir", init_options.directory.path, "Where; must not exist or be empty")
      ->required();
  init_command->add_option("--name", init_options.facility_name, "The facility's name")->required();
  init_command
      ->add_option("--time-zone", init_options.time_zone,
                   "IANA name, such as Europe/Oslo; husbandry days are days there")
      ->required();
  init_command
      ->add_option("--host", init_options.hosts,
                   "Name or address by which devices reach the hub; may be repeated")
      ->required();
  init_command->add_option("--cert", init_options.certificate_path,
                           "PEM certificate (chain) to use instead of a self-signed one");
  init_command->add_option("--key", init_options.certificate_key_path,
                           "Its private key, PEM without passphrase");
  init_command->add_option("--admin", init_options.admin_name, "Name of the first admin")->required();

  HubDirectory code_directory;
  unsigned minutes = 10;
  CLI::App* code_command = app.add_subcommand("code", "Make a one-time code that lets one device in");
  code_command->add_option("--dir", code_directory.path, "The hub's directory")->required();
  code_command->add_option("--minutes", minutes, "How long it lasts")
      ->check(CLI::Range(1, 1440))
      ->capture_default_str();

  ServeOptions serve_options;
  std::string listen = "127.0.0.1:8443";
  CLI::App* serve_command = app.add_subcommand("serve", "Serve devices until SIGTERM or SIGINT");
  serve_command->add_option("--dir", serve_options.directory.path, "The hub's directory")->required();
  serve_command->add_option("--listen", listen, "Address and port; port 0 takes a free one")
      ->capture_default_str();
  serve_command->add_option("--port-file", serve_options.port_file,
                            "Write the port to this file once it is open");
  serve_command->add_flag("--allow-tls12", serve_options.tls.allow_tls12,
                          "Accept TLS 1.2 as well, for old devices");

  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : kExitUsage;  // 0: help was asked for.
  }
  if (*init_command) return run_init(init_options);
  if (*code_command) return run_code(code_directory, minutes);
  auto address = parse_hub_address(listen);
  if (!address) return report(address.error());
  serve_options.listen = *address;
  const auto served = serve(serve_options);
  return served ? 0 : report(served.error());
}

}  // namespace
}  // namespace wrackline

int main(int argc, char** argv) {
  ::umask(077);  // Everything made here is the hub's alone; SQLite asks the umask.
  try {
    return wrackline::run(argc, argv);
  } catch (const std::exception& fault) {
    std::cerr << "wrackline-server: " << fault.what() << "; what was answered before is kept\n";
    return wrackline::kExitFailed;
  }
}
