#include "base/ids.h"

#include <charconv>

#include "base/bytes.h"

namespace wrackline {

std::string to_text(LogId id) {
  Bytes big_endian;
  for (int shift = 56; shift >= 0; shift -= 8) big_endian.push_back(static_cast<char>(id.value >> shift));
  return to_hex(big_endian);
}

std::string to_text(ChangeId id) { return to_text(id.log) + "." + std::to_string(id.seq); }

std::optional<ChangeId> parse_change_id(std::string_view text) {
  if (text.size() < 18 || text[16] != '.') return std::nullopt;
  ChangeId id;
  const char* log_end = text.data() + 16;
  const char* end = text.data() + text.size();
  auto [log_stop, log_error] = std::from_chars(text.data(), log_end, id.log.value, 16);
  auto [seq_stop, seq_error] = std::from_chars(log_end + 1, end, id.seq, 10);
  if (log_error != std::errc() || seq_error != std::errc() || log_stop != log_end || seq_stop != end) {
    return std::nullopt;
  }
  if (!id || id.seq > kSeqMax) return std::nullopt;
  return id;
}

}  // namespace wrackline
