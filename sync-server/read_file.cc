#include "read_file.h"

#include <array>
#include <cerrno>
#include <cstring>
#include <fstream>

namespace wrackline {

Result<Bytes> read_file(const std::string& path, std::size_t bytes_max) {
  std::ifstream file(path, std::ios::binary);
  if (!file) {
    return fail(errno == ENOENT ? ErrorCode::kNotFound : ErrorCode::kStorage,
                "reading " + path + ": " + std::strerror(errno));
  }
  // In pieces, so that it takes no more room than the file: what is read may be kept for as long as the hub serves.
  Bytes content;
  std::array<char, 64 << 10> piece;
  while (content.size() <= bytes_max && file.read(piece.data(), piece.size()).gcount() > 0) content.append(piece.data(), static_cast<std::size_t>(file.gcount()));
  content.shrink_to_fit();
  if (file.bad()) return fail(ErrorCode::kStorage, "reading " + path + ": it cannot be read");
  if (content.size() > bytes_max)
    return fail(ErrorCode::kTooLarge, "reading " + path + ": it is larger than such a file can be");
  return content;
}

}  // namespace wrackline
