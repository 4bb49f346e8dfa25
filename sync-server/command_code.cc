// wrackline-server code: a one-time code, for a voice or for a camera.
#include <sys/stat.h>

#include <algorithm>
#include <iostream>
#include <memory>

#include "certificate.h"
#include "enrolment_codes.h"
#include "hex_groups.h"
#include "hosts/enrolment_link.h"
#include "hosts/private_file.h"
#include "hosts/system_clock.h"
#include "hub_directory.h"
#include "qr_picture.h"
#include "read_file.h"
#include "rekey.h"
#include "server_command.h"

namespace wrackline {
namespace {


struct CodeArgs {
  HubDirectory directory;
  unsigned minutes = 10;
  std::string hub;  // For the link; empty = from the certificate.
  bool link = false, qr = false, inverted = false;
  std::string svg_path;
  bool wants_link() const { return link || qr || !svg_path.empty(); }
};

Result<CertificateFacts> certificate_of(const HubDirectory& directory) {
  WRACKLINE_TRY_VALUE(certificate, read_file(directory.certificate(), kPemBytesMax));
  WRACKLINE_TRY_VALUE(key, read_private_file(directory.certificate_key(), kPemBytesMax));
  return check_pair(certificate, key);
}

// Everything of the link but the code, before a code is made for nothing.
Result<EnrolmentLink> prepare_link(const CodeArgs& args) {
  WRACKLINE_TRY_VALUE(facts, certificate_of(args.directory));
  if (args.hub.empty() && facts.hosts.empty())
    return fail(
        ErrorCode::kInvalid,
        "making a link: the certificate names no host that devices could reach; say it with --hub HOST:PORT");
  EnrolmentLink link;
  const std::string typed = args.hub.empty() ? facts.hosts.front() : args.hub;
  link.fingerprint = facts.fingerprint;
  std::erase(link.fingerprint, ':');
  if (args.hub.empty()) {
    link.hub = {typed, kHubPort};
  } else {
    WRACKLINE_TRY_VALUE(address, parse_hub_address(typed));
    link.hub = address;
  }
  return link;
}

Status show_link(const CodeArgs& args, const std::string& link) {
  if (args.link) std::cout << link << '\n';
  if (!args.qr && args.svg_path.empty()) return {};
  WRACKLINE_TRY_VALUE(picture, qr_of(link));
  if (args.qr) std::cout << qr_for_terminal(picture, args.inverted);
  if (!args.svg_path.empty()) WRACKLINE_TRY(create_private_file(args.svg_path, qr_as_svg(picture)));
  return {};
}

int run_code(const CodeArgs& args) {
  struct stat about {};
  if (::stat(args.directory.key().c_str(), &about) != 0)
    return report(
        {ErrorCode::kNotFound, "making a code: " + args.directory.path +
                                   " is no hub's directory; make one with `wrackline-server init`"});
  EnrolmentLink link;
  if (args.wants_link()) {
    auto prepared = prepare_link(args);
    if (!prepared) return report(prepared.error());
    link = *prepared;
  }
  auto code = EnrolmentCodes(args.directory.codes()).make(wall_clock_ms(), WallMs{args.minutes} * 60 * 1000);
  if (!code) return report(code.error());
  std::cout << *code << '\n' << std::flush;
  if (args.wants_link()) {
    link.code = normal_code(*code);
    if (auto shown = show_link(args, to_text(link)); !shown) return report(shown.error());
    std::cout << std::flush;
  }
  if (const auto hub = hub_key_of(args.directory); hub) std::cerr << "The device shows the hub's key before it goes in. It must be " << in_groups(*read_hex(*hub)) << '\n';
  std::cerr << "Lets one device in, within " << args.minutes << (args.minutes == 1 ? " minute" : " minutes")
            << ". It is shown only here; tell it to nobody but the person who holds the device.\n";
  return 0;
}

}  // namespace

void add_code_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<CodeArgs>();
  CLI::App* command = app.add_subcommand("code", "Make a one-time code that lets one device in");
  command->add_option("--dir", args->directory.path, "The hub's directory")->required();
  command->add_option("--minutes", args->minutes, "How long it lasts")
      ->check(CLI::Range(1, 1440))
      ->capture_default_str();
  command->add_option("--hub", args->hub,
                      "HOST:PORT for the link, when it is not the certificate's first host and port 8443");
  command->add_flag("--link", args->link,
                    "Also the line that says where the hub is, who it is, and the code");
  command->add_flag("--qr", args->qr, "That line as a QR picture, in the terminal");
  command->add_flag("--inverted", args->inverted, "For a terminal with dark letters on a light ground");
  command->add_option("--qr-svg", args->svg_path,
                      "That picture as an SVG file; delete it when the device is in");
  command->callback([args, &chosen] { chosen = [args] { return run_code(*args); }; });
}

}  // namespace wrackline
