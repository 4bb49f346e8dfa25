// This file says what may be attached to a record: how large a file may be, and of which kinds.
//
// Few kinds of files at first, each of which any tablet can show by itself and none of which carries a program to run.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

#include "base/bytes.h"

namespace wrackline {

inline constexpr std::uint64_t kAttachmentBytesMax = 64ull << 20;
inline constexpr std::size_t kAttachmentNameBytesMax = 255;

// For messages.
inline constexpr char kMediaTypesTaken[] = "image/jpeg, image/png, image/webp, application/pdf, text/plain";

bool is_media_type_taken(std::string_view media_type);

// The type of a file by what is in it, since the end of a name proves nothing; empty when it is none of those taken.
std::string_view media_type_of(ByteView content);

}  // namespace wrackline
