// Names that people give to things, before they are written anywhere.
#pragma once

#include <string_view>

namespace wrackline {

// 1 to `bytes_max` bytes of well-formed UTF-8, neither blank nor with control characters.
bool is_plain_text(std::string_view text, std::size_t bytes_max);

}  // namespace wrackline
