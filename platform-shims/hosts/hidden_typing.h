// Keeps what is typed on the terminal of standard input from showing, for as long as it lives. Does nothing where there is no terminal.
#pragma once

#include <termios.h>
#include <unistd.h>

namespace wrackline {

class HiddenTyping {
 public:
  HiddenTyping() {
    if (::tcgetattr(STDIN_FILENO, &before_) != 0) return;
    termios hidden = before_;
    hidden.c_lflag &= ~static_cast<tcflag_t>(ECHO);
    is_hidden_ = ::tcsetattr(STDIN_FILENO, TCSAFLUSH, &hidden) == 0;
  }
  HiddenTyping(const HiddenTyping&) = delete;
  HiddenTyping& operator=(const HiddenTyping&) = delete;
  ~HiddenTyping() {
    if (is_hidden_) ::tcsetattr(STDIN_FILENO, TCSAFLUSH, &before_);
  }

 private:
  termios before_{};
  bool is_hidden_ = false;
};

}  // namespace wrackline
