#include "hub_process.h"

#include <chrono>
#include <filesystem>
#include <thread>

#include "enrolment_codes.h"
#include "hosts/system_clock.h"
#include "hub_backup.h"
#include "init.h"
#include "restore.h"
#include "support/must.h"

namespace wrackline {

HubProcess::HubProcess(std::string log) : shared_log_(std::move(log)) {
  InitOptions options;
  options.directory.path = scratch / "hub";
  options.facility_name = "Test Pier";
  options.time_zone = "Europe/Oslo";
  options.hosts = {"127.0.0.1"};
  options.admin_name = "Ada";
  options.proof_required = false;
  must(init(options));
  directory = options.directory;
}

HubProcess::HubProcess(const HubProcess& first, std::string log) : shared_log_(std::move(log)) {
  BackupOptions backing;
  backing.directory = first.directory;
  backing.to = scratch / "backup";
  backing.with_keys = true;
  must(back_up(backing, {}));
  RestoreOptions restoring;
  restoring.directory.path = scratch / "hub";
  restoring.from = backing.to;
  must(restore(restoring, {}));
  directory = restoring.directory;
}

bool HubProcess::try_start() {
  const std::string port_file = scratch / "port";
  std::filesystem::remove(port_file);
  // All tablets of a test come from one address, and try again many times a second: no quota for an address.
  std::vector<std::string> command{WRACKLINE_SERVER, "serve",     "--dir", directory.path, "--listen", "127.0.0.1:" + std::to_string(port_),
                                   "--port-file",    port_file,   "--handshakes-per-address", "0"};
  if (!shared_log_.empty()) command.insert(command.end(), {"--log", shared_log_});
  child_ = Child(command, scratch / "log");
  for (int i = 0; i < 1500 && child_.is_running(); ++i) {
    const std::string port = std::filesystem::exists(port_file) ? content_of(port_file) : "";
    if (!port.empty() && port.back() == '\n') {
      port_ = static_cast<std::uint16_t>(std::stoi(port));
      return true;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  return false;
}

void HubProcess::start() {
  if (!try_start()) FAIL("the hub does not start: " << log());
}

void HubProcess::kill(int signal) {
  child_.kill(signal);
  child_.wait();
}

HubClient::Options HubProcess::client_options() const {
  HubClient::Options options;
  options.hub = {"127.0.0.1", port_};
  options.certificate_path = directory.certificate();
  options.connect_ms = 10'000;
  options.answer_ms = 30'000;
  return options;
}

std::string HubProcess::new_code() const { return must(EnrolmentCodes(directory.codes()).make(wall_clock_ms(), 600'000)); }

}  // namespace wrackline
