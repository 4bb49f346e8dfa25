// wrackline-server devices, revoke.
#include <iomanip>
#include <iostream>
#include <memory>

#include "devices.h"
#include "log.h"
#include "rekey.h"
#include "server_command.h"

namespace wrackline {
namespace {

std::string minute_text(WallMs ms) { return ms == 0 ? "-" : utc_text(ms).substr(0, 16) + 'Z'; }

std::string offset_text(const std::optional<DeviceContact>& contact) {
  if (!contact || !contact->clock_offset_ms) return "-";
  const std::int64_t seconds = *contact->clock_offset_ms / 1000;
  return (seconds > 0 ? "+" : "") + std::to_string(seconds) + " s";
}

std::string standing_text(const DeviceRow& row) {
  const std::string chain = row.continues.empty() ? "" : ", continues " + row.continues;
  if (row.is_hub) return (row.revoked ? "hub, before" : "hub") + chain;
  if (!row.revoked) return "enrolled" + chain;
  return "revoked " + minute_text(row.revoked_ms) + ": " + row.revoked_reason + chain;
}

int run_devices(const HubDirectory& directory) {
  const auto rows = list_devices(directory);
  if (!rows) return report(rows.error());
  const auto hub_key = hub_key_of(directory);
  if (!hub_key) return report(hub_key.error());
  const auto line = [](const std::string& word, const std::string& name, const std::string& enrolled,
                       const std::string& last, const std::string& unsent, const std::string& clock,
                       const std::string& address, const std::string& standing) {
    // Characters are not bytes: the column that people name comes late, where a shift harms least.
    std::cout << std::left << std::setw(10) << word << std::setw(19) << enrolled << std::setw(19) << last
              << std::setw(8) << unsent << std::setw(9) << clock << std::setw(18) << address << name << "  ("
              << standing << ")\n";
  };
  line("word", "name", "enrolled", "last contact", "unsent", "clock", "address", "standing");
  for (const DeviceRow& row : *rows) {
    const auto& contact = row.contact;
    line(row.word, row.name, minute_text(row.enrolled_ms), minute_text(contact ? contact->last_ms : 0),
         contact && contact->unsent ? std::to_string(*contact->unsent) : "-", offset_text(contact),
         contact ? contact->address_group : "-", standing_text(row));
  }
  std::cout << "\nTimes are UTC. unsent: changes the device held and the hub did not, at the end of its last "
               "exchange; "
               "what it\nhas written since is not known here. clock: the device's minus the hub's, then.\n"
               "continues: the same device under the key whose word is given.\n"
            << "The hub's key is " << *hub_key << ".\n";
  return 0;
}

int run_revoke(const RevokeOptions& options) {
  const auto row = revoke(options);
  if (!row) return report(row.error());
  std::cout << "Revoked " << row->name << " (" << row->word
            << "). From its next request on the hub refuses it; other devices hear of it with their next "
               "exchange.\n"
            << "What it sealed before stays good. What it had not sent is on it alone.\n";
  return 0;
}

}  // namespace

void add_device_commands(CLI::App& app, Action& chosen) {
  auto directory = std::make_shared<HubDirectory>();
  CLI::App* list = app.add_subcommand("devices", "List the devices and when they last came");
  list->add_option("--dir", directory->path, "The hub's directory")->required();
  list->callback([directory, &chosen] { chosen = [directory] { return run_devices(*directory); }; });

  auto options = std::make_shared<RevokeOptions>();
  CLI::App* r = app.add_subcommand("revoke", "End a device's access, also while the hub serves");
  r->add_option("--dir", options->directory.path, "The hub's directory")->required();
  r->add_option("device", options->device, "Its name, or its word as `devices` shows it")->required();
  r->add_option("--reason", options->reason, "Why; stays in the trail")->required();
  r->add_option("--by", options->by,
                "Name of the admin who decides; without it the trail names the hub alone");
  r->callback([options, &chosen] { chosen = [options] { return run_revoke(*options); }; });
}

}  // namespace wrackline
