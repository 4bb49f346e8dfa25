// A program of its own, as long as the object lives.
#pragma once

#include <signal.h>
#include <sys/types.h>

#include <string>
#include <vector>

namespace wrackline {

class Child {
 public:
  Child() = default;
  // Appends what it says to `log`. `user` empty: as whoever runs the tests.
  Child(const std::vector<std::string>& command, const std::string& log, const std::string& user = {});
  Child(Child&& other) noexcept;
  Child& operator=(Child&& other) noexcept;
  ~Child();  // Kills the child by SIGKILL.

  bool is_running();
  void kill(int signal);
  // Its exit status; -1 when it ended by a signal or was none.
  int wait();
  pid_t pid() const { return pid_; }

 private:
  pid_t pid_ = -1;
};

// Runs it to its end; its exit status.
int run_child(const std::vector<std::string>& command, const std::string& log, const std::string& user = {});

}  // namespace wrackline
