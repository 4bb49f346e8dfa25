#include "text/visible.h"

#include <cstdint>
#include <cstdio>

#include "log/evidence_lines.h"

namespace wrackline {
namespace {

// The code point of a whole UTF-8 character.
std::uint32_t code_point(std::string_view character) {
  const auto lead = static_cast<unsigned char>(character.front());
  std::uint32_t out = character.size() == 1 ? lead : lead & (0x7fu >> character.size());
  for (std::size_t i = 1; i < character.size(); ++i) out = out << 6 | (static_cast<unsigned char>(character[i]) & 0x3fu);
  return out;
}

bool is_control_character(std::uint32_t code) {
  return code < 0x20 || (code >= 0x7f && code < 0xa0) || code == 0x061c || code == 0x200e || code == 0x200f ||
         (code >= 0x2028 && code <= 0x202e) || (code >= 0x2066 && code <= 0x2069);
}

}  // namespace

std::string visible(std::string_view text) {
  std::string out;
  char escape[16];
  while (!text.empty()) {
    const std::size_t size = utf8_size(text);
    if (size == 0) {
      std::snprintf(escape, sizeof escape, "\\x%02x", static_cast<unsigned char>(text.front()));
      out += escape;
    } else if (const std::uint32_t code = code_point(text.substr(0, size)); is_control_character(code)) {
      std::snprintf(escape, sizeof escape, "\\u%04x", static_cast<unsigned>(code));
      out += escape;
    } else {
      out += text.substr(0, size);
    }
    text.remove_prefix(size == 0 ? 1 : size);
  }
  return out;
}

std::string visible_lines(std::string_view text) {
  std::string out;
  for (;;) {
    const std::size_t end = text.find('\n');
    out += visible(text.substr(0, end));
    if (end == std::string_view::npos) return out;
    out += '\n';
    text.remove_prefix(end + 1);
  }
}

}  // namespace wrackline
