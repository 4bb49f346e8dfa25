// The date form of HTTP headers: "Sun, 06 Nov 1994 08:49:37 GMT" (RFC 9110, 5.6.7, IMF-fixdate). Locale plays
// no part in it, so the system's own functions cannot be used.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/ids.h"

namespace wrackline {

// Whole seconds: what is over is cut off.
std::string http_date(WallMs ms);
// Nothing when it is not exactly that form, or before 1970. The two obsolete forms are not read, since only
// our own clients are listened to.
std::optional<WallMs> parse_http_date(std::string_view text);

}  // namespace wrackline
