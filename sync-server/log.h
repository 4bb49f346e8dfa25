// The hub's own log: one line an event, `key=value` (logfmt), for people and for tools.
//
//   ts=2026-03-09T14:05:11.042Z level=info event=request peer=192.0.2.7 method=POST path=/v1/exchange
//   status=200 ...
//
// Nothing of what a record says, no key, no token, no code is ever given to it. What a peer sent is written
// only where it is named here (its address), so a peer cannot write lines of its own.
//
// Threads: any. A line goes out in one write, and no other within it.
#pragma once

#include <cstdint>
#include <functional>
#include <mutex>
#include <string>
#include <string_view>

#include "base/ids.h"

namespace wrackline {

class Log {
 public:
  enum class Level { kInfo, kWarn, kError };
  using Sink = std::function<void(std::string_view line)>;  // The line has its newline.

  Log(Sink sink, std::function<WallMs()> wall_clock)
      : sink_(std::move(sink)), wall_clock_(std::move(wall_clock)) {}
  static Sink to_stderr();

  // One line in the making; it goes out at the end of the statement.
  class Line {
   public:
    Line(const Line&) = delete;
    Line& operator=(const Line&) = delete;
    ~Line();
    Line& with(std::string_view key, std::string_view value);
    Line& with(std::string_view key, const char* value) { return with(key, std::string_view(value)); }
    Line& with(std::string_view key, std::uint64_t value) {
      return with(key, std::string_view(std::to_string(value)));
    }

   private:
    friend class Log;
    Line(Log& log, Level level, std::string_view event);
    Log& log_;
    std::string text_;
  };
  Line info(std::string_view event) { return {*this, Level::kInfo, event}; }
  Line warn(std::string_view event) { return {*this, Level::kWarn, event}; }
  Line error(std::string_view event) { return {*this, Level::kError, event}; }

 private:
  Sink sink_;
  std::mutex writing_;
  std::function<WallMs()> wall_clock_;
};

// "2026-03-09T14:05:11.042Z".
std::string utc_text(WallMs ms);

}  // namespace wrackline
