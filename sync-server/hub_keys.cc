#include "hub_keys.h"

#include <openssl/crypto.h>

#include <charconv>

#include "private_file.h"
#include "read_file.h"

namespace wrackline {
namespace {

constexpr std::string_view kKeysFirstLine = "wrackline-hub-keys 1\n";
constexpr std::size_t kKeyBytesMax = 4 << 10;
constexpr std::size_t kKeysBytesMax = 600 << 10;

struct Part {
  std::string_view name;
  Bytes HubKeys::*content;
};
constexpr Part kParts[] = {{"hub.key", &HubKeys::hub_key},
                           {"tls-cert.pem", &HubKeys::certificate},
                           {"tls-key.pem", &HubKeys::certificate_key}};

Unexpected malformed(const std::string& path) {
  return fail(ErrorCode::kMalformed,
              "reading " + path + ": it is no file of a hub's keys, or cut short; nothing was changed");
}

// "NAME SIZE\n", then as many bytes.
bool take_part(ByteView& rest, std::string_view name, Bytes& out) {
  const std::size_t line_end = rest.find('\n');
  if (line_end == ByteView::npos) return false;
  const ByteView line = rest.substr(0, line_end);
  if (line.size() <= name.size() + 1 || line.substr(0, name.size()) != name || line[name.size()] != ' ')
    return false;
  const ByteView digits = line.substr(name.size() + 1);
  std::size_t size = 0;
  const auto [end, fault] = std::from_chars(digits.data(), digits.data() + digits.size(), size);
  rest.remove_prefix(line_end + 1);
  if (fault != std::errc() || end != digits.data() + digits.size() || size > rest.size()) return false;
  out = Bytes(rest.substr(0, size));
  rest.remove_prefix(size);
  return true;
}

}  // namespace

Result<HubKeys> read_hub_keys(const HubDirectory& directory) {
  HubKeys keys;
  WRACKLINE_TRY_VALUE(hub_key, read_private_file(directory.key(), kKeyBytesMax));
  keys.hub_key = std::move(hub_key);
  WRACKLINE_TRY_VALUE(certificate, read_private_file(directory.certificate(), kPemBytesMax));
  keys.certificate = std::move(certificate);
  WRACKLINE_TRY_VALUE(certificate_key, read_private_file(directory.certificate_key(), kPemBytesMax));
  keys.certificate_key = std::move(certificate_key);
  return keys;
}

Status write_hub_keys(const HubKeys& keys, const HubDirectory& directory) {
  WRACKLINE_TRY(create_private_file(directory.key(), keys.hub_key));
  WRACKLINE_TRY(create_private_file(directory.certificate(), keys.certificate));
  return create_private_file(directory.certificate_key(), keys.certificate_key);
}

Status write_keys_file(const HubKeys& keys, const std::string& path) {
  Bytes content(kKeysFirstLine);
  for (const Part& part : kParts) {
    const Bytes& bytes = keys.*part.content;
    content += std::string(part.name) + ' ' + std::to_string(bytes.size()) + '\n' + bytes;
  }
  const Status written = create_private_file(path, content);
  OPENSSL_cleanse(content.data(), content.size());
  return written;
}

Result<HubKeys> read_keys_file(const std::string& path) {
  WRACKLINE_TRY_VALUE(content, read_private_file(path, kKeysBytesMax));
  HubKeys keys;
  ByteView rest = content;
  bool good = rest.substr(0, kKeysFirstLine.size()) == kKeysFirstLine;
  if (good) rest.remove_prefix(kKeysFirstLine.size());
  for (const Part& part : kParts) good = good && take_part(rest, part.name, keys.*part.content);
  good = good && rest.empty();
  OPENSSL_cleanse(content.data(), content.size());
  if (good) return keys;
  wipe(keys);
  return malformed(path);
}

void wipe(HubKeys& keys) {
  for (const Part& part : kParts) {
    Bytes& bytes = keys.*part.content;
    OPENSSL_cleanse(bytes.data(), bytes.size());
  }
}

}  // namespace wrackline
