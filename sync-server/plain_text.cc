#include "plain_text.h"

#include <cstdint>

namespace wrackline {

bool is_plain_text(std::string_view text, std::size_t bytes_max) {
  if (text.empty() || text.size() > bytes_max) return false;
  bool blank = true;
  for (std::size_t i = 0; i < text.size();) {
    const auto first = static_cast<unsigned char>(text[i]);
    const std::size_t size = first < 0x80         ? 1
                             : first >> 5 == 0x6  ? 2
                             : first >> 4 == 0xe  ? 3
                             : first >> 3 == 0x1e ? 4
                                                  : 0;
    if (size == 0 || i + size > text.size()) return false;
    std::uint32_t point = size == 1 ? first : first & (0x7f >> size);
    for (std::size_t j = 1; j < size; ++j) {
      const auto next = static_cast<unsigned char>(text[i + j]);
      if (next >> 6 != 0x2) return false;
      point = point << 6 | (next & 0x3f);
    }
    static constexpr std::uint32_t kSmallest[] = {0, 0, 0x80, 0x800, 0x10000};
    if (point < kSmallest[size] || point > 0x10ffff || (point >= 0xd800 && point < 0xe000)) return false;
    if (point < 0x20 || (point >= 0x7f && point < 0xa0)) return false;
    if (point != ' ') blank = false;
    i += size;
  }
  return !blank;
}

}  // namespace wrackline
