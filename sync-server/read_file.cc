#include "read_file.h"

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
  Bytes content(bytes_max + 1, '\0');
  file.read(content.data(), static_cast<std::streamsize>(content.size()));
  content.resize(static_cast<std::size_t>(file.gcount()));
  if (file.bad()) return fail(ErrorCode::kStorage, "reading " + path + ": it cannot be read");
  if (content.size() > bytes_max)
    return fail(ErrorCode::kTooLarge, "reading " + path + ": it is larger than such a file can be");
  return content;
}

}  // namespace wrackline
