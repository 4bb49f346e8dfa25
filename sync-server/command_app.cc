// wrackline-server app-key, sign-app, pin-app, show-app: whose tablet app is served.
#include <iostream>
#include <memory>

#include "app_pin.h"
#include "hex_groups.h"
#include "hosts/file_keystore.h"
#include "hosts/system_clock.h"
#include "rekey.h"
#include "server_command.h"

namespace wrackline {
namespace {

int run_app_key(const std::string& path) {
  const auto key = FileKeystore::create(path);
  if (!key) return report(key.error());
  std::cout << to_hex(view((*key)->public_key())) << '\n' << std::flush;
  std::cerr << "This is the public part of the release key in " << path << ". Keep the file where releases are signed, and away from hubs; admins pin\n"
            << "the line above with `wrackline-server pin-app`, after they have heard it from you.\n";
  return 0;
}

int run_sign_app(const std::string& app, const std::string& key_path) {
  const auto key = FileKeystore::open(key_path);
  if (!key) return report(key.error());
  const auto release = sign_app(app, **key, wall_clock_ms());
  if (!release) return report(release.error());
  std::cout << "Signed " << to_text(*release) << ".\n" << release->manifest.files.size() << " files, by the key " << to_hex(view((*key)->public_key())) << ".\n";
  return 0;
}

int run_pin_app(const HubDirectory& directory, std::string digits) {
  std::erase(digits, ' ');  // Whoever heard it may have written it in groups.
  // So that a pin is never put where no hub is.
  if (const auto hub = hub_key_of(directory); !hub) return report(hub.error());
  PublicKey key{};
  const auto bytes = read_hex(digits);
  if (!bytes || !copy_exactly(*bytes, key)) {
    return report({ErrorCode::kInvalid, "pinning the key of the tablet app: \"" + digits + "\" is no key, which is 64 digits and letters from a to f; nothing was changed"});
  }
  if (const Status pinned = pin_app_key(directory, key); !pinned) return report(pinned.error());
  std::cout << "This hub serves what the key " << digits << " has signed, from its next start on.\n";
  return 0;
}

int run_show_app(const HubDirectory& directory, const std::string& app) {
  const auto hub = hub_key_of(directory);
  if (!hub) return report(hub.error());
  std::cout << "The hub's key:     " << in_groups(*read_hex(*hub)) << '\n';
  const auto pin = read_app_pin(directory);
  if (!pin) return report(pin.error());
  std::cout << "The app's key:     " << in_groups(view(pin->key)) << '\n' << "Newest app served: " << (pin->newest.empty() ? "none yet" : pin->newest) << '\n';
  if (app.empty()) return 0;
  const auto release = open_pinned_app(directory, app);
  if (!release) return report(release.error());
  std::cout << "This app:          " << release->manifest.version << " of " << release->manifest.released << '\n'
            << "Its manifest:      " << in_groups(view(release->hash)) << '\n';
  return 0;
}

}  // namespace

void add_app_commands(CLI::App& app, Action& chosen) {
  auto directory = std::make_shared<HubDirectory>();
  auto app_directory = std::make_shared<std::string>(), key = std::make_shared<std::string>();

  CLI::App* make = app.add_subcommand("app-key", "Make a key that releases of the tablet app are signed with");
  make->add_option("--to", *key, "The file to make, private; never over another")->required();
  make->callback([key, &chosen] { chosen = [key] { return run_app_key(*key); }; });

  CLI::App* sign = app.add_subcommand("sign-app", "Sign a built tablet app");
  sign->add_option("--app", *app_directory, "Directory of the built app (platform-shims/apps/tablet/dist)")->required();
  sign->add_option("--key", *key, "File of the release key, as app-key made it")->required();
  sign->callback([app_directory, key, &chosen] { chosen = [app_directory, key] { return run_sign_app(*app_directory, *key); }; });

  CLI::App* pin = app.add_subcommand("pin-app", "Say whose tablet app this hub serves; forgets which release was the newest");
  pin->add_option("--dir", directory->path, "The hub's directory")->required();
  pin->add_option("key", *key, "The release key, 64 digits, as whoever built the app tells it")->required();
  pin->callback([directory, key, &chosen] { chosen = [directory, key] { return run_pin_app(*directory, *key); }; });

  CLI::App* show = app.add_subcommand("show-app", "Show what a tablet shows on its own screen: the hub's key, and the app's version and manifest");
  show->add_option("--dir", directory->path, "The hub's directory")->required();
  show->add_option("--app", *app_directory, "Directory of the app, to see whether this hub would serve it");
  show->callback([directory, app_directory, &chosen] { chosen = [directory, app_directory] { return run_show_app(*directory, *app_directory); }; });
}

}  // namespace wrackline
