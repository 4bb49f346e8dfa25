// Names of things: logs, changes, records, facilities, devices.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>

namespace wrackline {

// Names a log: the first 8 bytes of a hash over its device's key and a nonce (log/seal.h). 0 names no log.
struct LogId {
  std::uint64_t value = 0;
  friend bool operator==(LogId a, LogId b) { return a.value == b.value; }
  friend bool operator!=(LogId a, LogId b) { return !(a == b); }
  friend bool operator<(LogId a, LogId b) { return a.value < b.value; }
  explicit operator bool() const { return value != 0; }
};

// Position of a change in its log, from 1 without gaps.
using Seq = std::uint32_t;

// The longest a log may grow. A device that reaches it opens another log.
inline constexpr Seq kSeqMax = (1u << 24) - 1;

// Names a change. The change that gives birth to a record names the record too.
struct ChangeId {
  LogId log;
  Seq seq = 0;
  friend bool operator==(ChangeId a, ChangeId b) { return a.log == b.log && a.seq == b.seq; }
  friend bool operator!=(ChangeId a, ChangeId b) { return !(a == b); }
  friend bool operator<(ChangeId a, ChangeId b) { return a.log == b.log ? a.seq < b.seq : a.log < b.log; }
  explicit operator bool() const { return log && seq != 0; }
};
using RecordId = ChangeId;

// Names a facility: 16 random bytes.
using FacilityId = std::array<unsigned char, 16>;

// Milliseconds since 1970-01-01 UTC, by whatever clock the context names.
using WallMs = std::uint64_t;
inline constexpr WallMs kMinuteMs = 60'000, kHourMs = 60 * kMinuteMs, kDayMs = 24 * kHourMs;

// A calendar day at the facility, counted from 1970-01-01.
using Day = std::int32_t;

// "00c0ffee00c0ffee.12": 16 hexadecimal digits of the log, a point, the seq.
std::string to_text(ChangeId id);
std::string to_text(LogId id);

// Reads the full form back. Short forms are an app's business (it knows which logs there are).
std::optional<ChangeId> parse_change_id(std::string_view text);

}  // namespace wrackline

template <>
struct std::hash<wrackline::LogId> {
  std::size_t operator()(wrackline::LogId id) const noexcept { return id.value; }
};
template <>
struct std::hash<wrackline::ChangeId> {
  std::size_t operator()(wrackline::ChangeId id) const noexcept {
    return (id.log.value ^ id.seq) * 0x9e3779b97f4a7c15ull;
  }
};
