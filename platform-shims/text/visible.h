// Text that others wrote, before it goes to a terminal: nothing in it may steer that, or make one line look like two.
#pragma once

#include <string>
#include <string_view>

namespace wrackline {

// Control characters (C0, DEL, C1), the characters that turn the direction of writing (Unicode Standard Annex 9, section 2),
// separators of lines and paragraphs, and bytes that are no UTF-8 as escapes that can be seen: \u001b, \xff.
std::string visible(std::string_view text);
// The same but for line feeds, for text that is put together of several lines.
std::string visible_lines(std::string_view text);

}  // namespace wrackline
