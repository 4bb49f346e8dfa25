// wrackline-server init, serve, new-certificate.
#include <iostream>
#include <memory>

#include "init.h"
#include "log.h"
#include "new_certificate.h"
#include "serve.h"
#include "server_command.h"

namespace wrackline {
namespace {

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
            << "  1. Keep a copy of the keys apart: wrackline-server backup --dir " << directory.path
            << " --to FILE --with-keys\n"
            << "     " << directory.key() << " cannot be made again.\n"
            << "  2. Start the hub:            wrackline-server serve --dir " << directory.path
            << " --listen ADDRESS:8443\n"
            << "  3. Give the certificate (never " << directory.certificate_key() << ") to each device"
            << (options.certificate_path.empty() ? "; tablets take in " + directory.authority() + ", which can vouch for this hub alone.\n" : ".\n")
            << "  4. For each device, a code:  wrackline-server code --dir " << directory.path << '\n'
            << "  5. " << options.admin_name << ", the first admin, chooses a PIN on the first device: wrack set-pin, with the one-time code\n"
            << "     " << outcome->pin_code << "  (three days; shown only here; another: wrackline-server pin-code)\n"
            << "     Then the other people are added, and have codes of their own.\n"
            << (options.proof_required ? "" : "This facility believes each device's word of who wrote what: whoever has a device can write as anybody, an admin too.\n");
  return 0;
}

void add_init(CLI::App& app, Action& chosen) {
  auto options = std::make_shared<InitOptions>();
  CLI::App* command = app.add_subcommand("init", "Make the directory of a new facility's hub");
  command->add_option("--dir", options->directory.path, "Where; must not exist or be empty")->required();
  command->add_option("--name", options->facility_name, "The facility's name")->required();
  command
      ->add_option("--time-zone", options->time_zone,
                   "IANA name, such as Europe/Oslo; husbandry days are days there")
      ->required();
  command
      ->add_option("--host", options->hosts,
                   "Name or address by which devices reach the hub; may be repeated")
      ->required();
  command->add_option("--cert", options->certificate_path,
                      "PEM certificate (chain) to use, instead of an authority of the hub's own and a certificate by it");
  command->add_option("--key", options->certificate_key_path, "Its private key, PEM without passphrase");
  command->add_option("--admin", options->admin_name, "Name of the first admin")->required();
  command->add_flag_callback("--no-proofs", [options] { options->proof_required = false; },
                             "Believe each device's word of who wrote what, for a place where everybody may do everything; it can be changed later");
  command->callback([options, &chosen] { chosen = [options] { return run_init(*options); }; });
}

int run_serve(ServeOptions& options, const std::string& listen) {
  auto address = parse_hub_address(listen);
  if (!address) return report(address.error());
  options.listen = *address;
  const auto served = serve(options);
  return served ? 0 : report(served.error());
}

void add_serve(CLI::App& app, Action& chosen) {
  auto options = std::make_shared<ServeOptions>();
  auto listen = std::make_shared<std::string>("127.0.0.1:8443");
  CLI::App* command = app.add_subcommand("serve", "Serve devices until SIGTERM or SIGINT");
  command->add_option("--dir", options->directory.path, "The hub's directory")->required();
  command->add_option("--listen", *listen, "Address and port; port 0 takes a free one")
      ->capture_default_str();
  command->add_option("--port-file", options->port_file, "Write the port to this file once it is open");
  command->add_option("--connections", options->limits.connections_max, "Open at once")
      ->check(CLI::Range(1, 100'000))
      ->capture_default_str();
  command
      ->add_option("--connections-per-address", options->limits.connections_per_address_max,
                   "Of them from one address")
      ->check(CLI::Range(1, 100'000))
      ->capture_default_str();
  command->add_option("--handshakes-per-address", options->limits.handshakes.per_second, "Connections that one address may open in a second, over time; 0 for no limit")
      ->check(CLI::Range(0, 100'000))
      ->capture_default_str();
  command->add_option("--metrics-for", options->metrics_for, "Address that may ask for /metrics, beside this machine; may be repeated");
  command->add_option("--behind", options->behind, "Address of a balancer, which says first from whom it comes (PROXY protocol, version 2); may be repeated");
  command->add_option("--blobs-max", options->blobs_bytes_max, "Bytes that files attached to records may take, all together")
      ->capture_default_str();
  command->add_option("--log", options->log,
                      "postgresql://... : the log that several hubs of this facility share; without it this hub is alone");
  command->add_option("--app", options->app, "Directory of the built tablet app (platform-shims/apps/tablet/dist), to serve it as well");
  command->add_flag("--allow-tls12", options->tls.allow_tls12, "Accept TLS 1.2 as well, for old devices");
  command->callback(
      [options, listen, &chosen] { chosen = [options, listen] { return run_serve(*options, *listen); }; });
}

int run_new_certificate(const NewCertificateOptions& options) {
  const auto made = new_certificate(options);
  if (!made) return report(made.error());
  std::cout << "Fingerprint:  " << made->facts.fingerprint << "\nThe new certificate is good until " << utc_text(made->facts.expires_ms)
            << "; a hub that serves takes it within seconds. Devices that were let in by a link fetch it with `wrack repin --link`.\n";
  if (made->is_new_authority)
    std::cout << "It is by a new authority: take " << options.directory.authority() << " in on each tablet, and the old one out.\n";
  return 0;
}

void add_new_certificate(CLI::App& app, Action& chosen) {
  auto options = std::make_shared<NewCertificateOptions>();
  CLI::App* command = app.add_subcommand("new-certificate", "Make the hub's next TLS certificate, also while it serves");
  command->add_option("--dir", options->directory.path, "The hub's directory")->required();
  command->add_option("--host", options->hosts,
                      "All names and addresses by which devices reach the hub, when they are others than before; makes a new authority too");
  command->callback([options, &chosen] { chosen = [options] { return run_new_certificate(*options); }; });
}

}  // namespace

void add_hub_commands(CLI::App& app, Action& chosen) {
  add_init(app, chosen);
  add_serve(app, chosen);
  add_new_certificate(app, chosen);
}

}  // namespace wrackline
