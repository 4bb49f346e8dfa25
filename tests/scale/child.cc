#include "child.h"

#include <fcntl.h>
#include <grp.h>
#include <pwd.h>
#include <sys/wait.h>
#include <unistd.h>

#include <utility>

namespace wrackline {

Child::Child(const std::vector<std::string>& command, const std::string& log, const std::string& user) {
  // Everything that takes memory or a lock comes before the fork: other threads of this program are running.
  std::vector<char*> arguments;
  for (const std::string& word : command) arguments.push_back(const_cast<char*>(word.c_str()));
  arguments.push_back(nullptr);
  uid_t uid = 0;
  gid_t gid = 0;
  const bool changes_user = !user.empty() && ::geteuid() == 0;
  if (changes_user) {
    const passwd* entry = ::getpwnam(user.c_str());
    if (entry == nullptr) return;
    uid = entry->pw_uid;
    gid = entry->pw_gid;
  }
  pid_ = ::fork();
  if (pid_ != 0) return;
  const int out = ::open(log.c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0666);
  if (out < 0 || ::dup2(out, STDERR_FILENO) < 0 || ::dup2(out, STDOUT_FILENO) < 0) ::_exit(126);
  if (changes_user && (::setgroups(0, nullptr) != 0 || ::setgid(gid) != 0 || ::setuid(uid) != 0)) ::_exit(126);
  ::execvp(arguments[0], arguments.data());
  ::_exit(127);
}

Child::Child(Child&& other) noexcept : pid_(std::exchange(other.pid_, -1)) {}
Child& Child::operator=(Child&& other) noexcept {
  std::swap(pid_, other.pid_);
  return *this;
}

Child::~Child() {
  kill(SIGKILL);
  wait();
}

void Child::kill(int signal) {
  if (pid_ > 0) ::kill(pid_, signal);
}

bool Child::is_running() {
  if (pid_ <= 0) return false;
  if (::waitpid(pid_, nullptr, WNOHANG) == 0) return true;
  pid_ = -1;
  return false;
}

int Child::wait() {
  if (pid_ <= 0) return -1;
  int status = 0;
  ::waitpid(std::exchange(pid_, -1), &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

int run_child(const std::vector<std::string>& command, const std::string& log, const std::string& user) {
  Child child(command, log, user);
  return child.wait();
}

}  // namespace wrackline
