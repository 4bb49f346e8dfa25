#include "log/evidence_lines.h"

namespace wrackline {

std::size_t utf8_size(ByteView text) {
  if (text.empty()) return 0;
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char lead = byte(0);
  if (lead < 0x80) return 1;
  const std::size_t size = lead >= 0xc2 && lead <= 0xdf   ? 2
                           : (lead & 0xf0) == 0xe0        ? 3
                           : lead >= 0xf0 && lead <= 0xf4 ? 4
                                                          : 0;
  if (size == 0 || text.size() < size) return 0;
  for (std::size_t i = 1; i < size; ++i) {
    if ((byte(i) & 0xc0) != 0x80) return 0;
  }
  const bool is_overlong = (lead == 0xe0 && byte(1) < 0xa0) || (lead == 0xf0 && byte(1) < 0x90);
  const bool is_no_character = (lead == 0xed && byte(1) > 0x9f) || (lead == 0xf4 && byte(1) > 0x8f);
  return is_overlong || is_no_character ? 0 : size;
}

std::string json_string(ByteView text) {
  std::string out = "\"";
  while (!text.empty()) {
    const std::size_t size = utf8_size(text);
    const auto lead = static_cast<unsigned char>(text.front());
    if (size == 0) {
      out += "\\ufffd";
    } else if (lead == '"' || lead == '\\') {
      out += {'\\', static_cast<char>(lead)};
    } else if (lead < 0x20 || lead == 0x7f) {
      out += "\\u00" + to_hex(text.substr(0, 1));
    } else {
      out += text.substr(0, size);
    }
    text.remove_prefix(size == 0 ? 1 : size);
  }
  return out + "\"";
}

}  // namespace wrackline
