// A run of changes as columns: shapes and values apart. See change_run.h for why.
#pragma once

#include "base/bytes.h"
#include "log/change_run.h"

namespace wrackline {

// No run within its limits becomes more than this as columns.
inline constexpr std::size_t kColumnsBytesMax = 2 * kRunBytesMax;

// False when a change is not written in the one shortest way (a foreign writer's varints, say), so that
// joining could not give its exact bytes back; and when one is larger than any change may be. `work` is how many steps
// unpacking will be, the bytes of the columns included.
bool split_columns(const ChangeRun& run, Bytes& columns, std::size_t& work);

// The exact changes again, or false: `columns` is damaged, holds more than a run may, or is more work than is allowed.
// Whoever has unpacked the columns has counted their bytes.
bool join_columns(ByteView columns, std::size_t count, ChangeRun& run, UnpackWork& work);

}  // namespace wrackline
