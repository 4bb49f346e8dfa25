// Comparing secrets.
#pragma once

#include "base/bytes.h"

namespace wrackline {

// Equal, in a time that tells nothing of where they differ. The size is no secret.
bool equal_in_constant_time(ByteView a, ByteView b);

}  // namespace wrackline
