#include "log.h"

#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <ctime>

namespace wrackline {

std::string utc_text(WallMs ms) {
  const std::time_t seconds = static_cast<std::time_t>(ms / 1000);
  std::tm parts{};
  ::gmtime_r(&seconds, &parts);
  char day[32];
  std::strftime(day, sizeof day, "%Y-%m-%dT%H:%M:%S", &parts);
  char text[48];
  std::snprintf(text, sizeof text, "%s.%03uZ", day, static_cast<unsigned>(ms % 1000));
  return text;
}

Log::Sink Log::to_stderr() {
  return [](std::string_view line) {
    // A log that cannot be written (a closed pipe, a full disk) is no reason to stop serving.
    [[maybe_unused]] const auto written = ::write(STDERR_FILENO, line.data(), line.size());
  };
}

Log::Line::Line(Log& log, Level level, std::string_view event) : log_(log) {
  static constexpr const char* kWords[] = {"info", "warn", "error"};
  text_ = "ts=" + utc_text(log_.wall_clock_()) + " level=" + kWords[static_cast<int>(level)];
  with("event", event);
}

Log::Line::~Line() {
  text_ += '\n';
  const std::lock_guard<std::mutex> alone(log_.writing_);
  log_.sink_(text_);
}

Log::Line& Log::Line::with(std::string_view key, std::string_view value) {
  text_ += ' ';
  text_ += key;
  text_ += '=';
  const bool plain = !value.empty() && std::all_of(value.begin(), value.end(), [](unsigned char c) {
    return c > ' ' && c < 0x7f && c != '"' && c != '=' && c != '\\';
  });
  if (plain) {
    text_ += value;
    return *this;
  }
  text_ += '"';
  for (const char c : value) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      text_ += '\\';
      text_ += c;
    } else if (byte < ' ' || byte == 0x7f) {
      char escaped[8];
      std::snprintf(escaped, sizeof escaped, "\\x%02x", byte);
      text_ += escaped;
    } else {
      text_ += c;
    }
  }
  text_ += '"';
  return *this;
}

}  // namespace wrackline
