// A whole small file, such as a certificate.
#pragma once

#include <string>

#include "base/bytes.h"
#include "base/result.h"

namespace wrackline {

// Keys and certificates with their chain, in PEM.
inline constexpr std::size_t kPemBytesMax = 256 << 10;

// Errors: kNotFound, kTooLarge, kStorage.
Result<Bytes> read_file(const std::string& path, std::size_t bytes_max);

}  // namespace wrackline
