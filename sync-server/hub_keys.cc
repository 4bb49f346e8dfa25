#include "hub_keys.h"

#include <openssl/crypto.h>

#include <charconv>

#include "hosts/private_file.h"
#include "read_file.h"

namespace wrackline {
namespace {

constexpr std::string_view kKeysFirstLine = "wrackline-hub-keys 2\n";
// Release 0.1 knew of no authority, and wrote only the parts that no hub lacks.
constexpr std::string_view kOldFirstLine = "wrackline-hub-keys 1\n";
constexpr std::size_t kKeyBytesMax = 4 << 10;
constexpr std::size_t kKeysBytesMax = 1200 << 10;

struct Part {
  std::string_view name;
  Bytes HubKeys::*content;
  std::string (HubDirectory::*path)() const;
  std::size_t bytes_max;
  bool may_lack = false;
};
constexpr Part kParts[] = {
    {"hub.key", &HubKeys::hub_key, &HubDirectory::key, kKeyBytesMax},
    {"tls-cert.pem", &HubKeys::certificate, &HubDirectory::certificate, kPemBytesMax},
    {"tls-key.pem", &HubKeys::certificate_key, &HubDirectory::certificate_key, kPemBytesMax},
    {"tls-authority.pem", &HubKeys::authority, &HubDirectory::authority, kPemBytesMax, true},
    {"tls-authority-key.pem", &HubKeys::authority_key, &HubDirectory::authority_key, kPemBytesMax, true}};

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
  for (const Part& part : kParts) {
    auto content = read_private_file((directory.*part.path)(), part.bytes_max);
    if (!content && part.may_lack && content.error().code == ErrorCode::kNotFound) continue;
    if (!content) return fail(content.error());
    keys.*part.content = std::move(*content);
  }
  return keys;
}

Status write_hub_keys(const HubKeys& keys, const HubDirectory& directory) {
  for (const Part& part : kParts) {
    if (!part.may_lack || !(keys.*part.content).empty()) WRACKLINE_TRY(create_private_file((directory.*part.path)(), keys.*part.content));
  }
  return {};
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
  const ByteView first_line = rest.substr(0, kKeysFirstLine.size());
  const bool is_old = first_line == kOldFirstLine;
  bool good = is_old || first_line == kKeysFirstLine;
  if (good) rest.remove_prefix(first_line.size());
  for (const Part& part : kParts) good = good && ((is_old && part.may_lack) || take_part(rest, part.name, keys.*part.content));
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
