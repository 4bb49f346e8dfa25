#include "running_hub.h"

#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <thread>

#include "enrolment_codes.h"
#include "hosts/system_clock.h"
#include "init.h"
#include "test_hub_options.h"

namespace wrackline {
namespace {

TestHubOptions::Text text(const std::string& from) {
  TestHubOptions::Text out{};
  REQUIRE(from.size() < out.size());
  std::copy(from.begin(), from.end(), out.begin());
  return out;
}

}  // namespace

RunningHub::RunningHub(Options options) : options_(std::move(options)) {
  InitOptions init_options;
  init_options.directory.path = scratch / "hub";
  init_options.facility_name = "Test Pier";
  init_options.time_zone = "Europe/Oslo";
  init_options.hosts = {"127.0.0.1"};
  init_options.admin_name = "Ada";
  init_options.proof_required = options_.proof_required;
  must(init(init_options));
  directory = init_options.directory;
  start();
}

RunningHub::~RunningHub() { stop(); }

void RunningHub::start() {
  std::filesystem::remove(scratch / "port");
  TestHubOptions told;
  told.directory = text(directory.path);
  told.address = text(options_.address);
  told.port_file = text(scratch / "port");
  told.behind = text(options_.behind);
  told.port = port_;
  told.limits = options_.limits;
  told.tls = options_.tls;
  told.blobs_bytes_max = options_.blobs_bytes_max;
  told.has_failing_disk = options_.has_failing_disk;
  const std::string options = scratch / "options", log = scratch / "log";
  told.write(options);
  child_ = ::fork();
  REQUIRE(child_ >= 0);
  if (child_ == 0) {
    ::prctl(PR_SET_PDEATHSIG, SIGKILL);  // A test that ends by a signal leaves no hub behind.
    ::execl(WRACKLINE_TEST_HUB, WRACKLINE_TEST_HUB, options.c_str(), log.c_str(), nullptr);
    ::_exit(3);
  }
  for (int i = 0; i < 1500 && !std::filesystem::exists(scratch / "port"); ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  port_ = static_cast<std::uint16_t>(std::stoi("0" + content_of(scratch / "port")));
  REQUIRE(port_ != 0);
}

int RunningHub::stop(int signal) {
  if (child_ <= 0) return -1;
  ::kill(child_, signal);
  int status = 0;
  ::waitpid(child_, &status, 0);
  child_ = -1;
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

bool RunningHub::is_running() const { return child_ > 0 && ::waitpid(child_, nullptr, WNOHANG) == 0; }

HubClient::Options RunningHub::client_options() const {
  HubClient::Options options;
  options.hub = {options_.address, port_};
  options.certificate_path = directory.certificate();
  options.connect_ms = 10'000;
  options.answer_ms = 30'000;
  return options;
}

std::string RunningHub::new_code() const {
  return must(EnrolmentCodes(directory.codes()).make(wall_clock_ms(), 600'000));
}

std::string RunningHub::log() const { return content_of(scratch / "log"); }

}  // namespace wrackline
