// The hub of the server tests (running_hub.h), with limits that no user can set. A program of its own, since a process that was
// forked and goes on cannot be watched for races.
//
// test_hub OPTIONS-FILE LOG-FILE
#include <fcntl.h>
#include <signal.h>
#include <unistd.h>

#include "serve.h"
#include "support/failing_disk.h"
#include "test_hub_options.h"

using namespace wrackline;

namespace {

FailingDisk* disk = nullptr;  // For the whole of the process.

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) return 2;
  const int log = ::open(argv[2], O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
  if (log < 0 || ::dup2(log, STDERR_FILENO) < 0) return 3;
  const std::optional<TestHubOptions> options = TestHubOptions::read(argv[1]);
  if (!options) return 3;
  if (options->has_failing_disk) {
    disk = new FailingDisk;
    ::signal(SIGUSR1, [](int) { disk->fill_after(0); });
    ::signal(SIGUSR2, [](int) { disk->heal(); });
  }
  ServeOptions serving;
  serving.directory.path = options->directory.data();
  serving.listen = {options->address.data(), options->port};
  serving.port_file = options->port_file.data();
  if (options->behind[0] != '\0') serving.behind = {options->behind.data()};
  serving.limits = options->limits;
  serving.tls = options->tls;
  serving.blobs_bytes_max = options->blobs_bytes_max;
  return serve(serving) ? 0 : 1;
}
