#include "running_hub.h"

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <thread>

#include "enrolment_codes.h"
#include "init.h"
#include "serve.h"
#include "system_clock.h"

namespace wrackline {

RunningHub::RunningHub(Options options) : options_(std::move(options)) {
  InitOptions init_options;
  init_options.directory.path = scratch / "hub";
  init_options.facility_name = "Test Pier";
  init_options.time_zone = "Europe/Oslo";
  init_options.hosts = {"127.0.0.1"};
  init_options.admin_name = "Ada";
  must(init(init_options));
  directory = init_options.directory;
  start();
}

RunningHub::~RunningHub() { stop(); }

void RunningHub::start() {
  std::filesystem::remove(scratch / "port");
  child_ = ::fork();
  REQUIRE(child_ >= 0);
  if (child_ == 0) {
    const int log = ::open((scratch / "log").c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    if (log < 0 || ::dup2(log, STDERR_FILENO) < 0) ::_exit(3);
    if (options_.in_child) options_.in_child();
    ServeOptions serving;
    serving.directory = directory;
    serving.listen = {options_.address, port_};
    serving.port_file = scratch / "port";
    serving.limits = options_.limits;
    serving.tls = options_.tls;
    serving.blobs_bytes_max = options_.blobs_bytes_max;
    ::_exit(serve(serving) ? 0 : 1);
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
