#include "app_manifest.h"

#include <algorithm>
#include <charconv>

namespace wrackline {
namespace {

constexpr std::size_t kVersionBytesMax = 40;
constexpr std::string_view kTimeForm = "0000-00-00T00:00:00.000Z";

bool is_digit(char c) { return c >= '0' && c <= '9'; }

// Up to `end`, which is taken away too. Empty when there is no such end.
ByteView take_up_to(ByteView& rest, char end) {
  const std::size_t at = rest.find(end);
  if (at == ByteView::npos) return {};
  const ByteView taken = rest.substr(0, at);
  rest.remove_prefix(at + 1);
  return taken;
}

// The value of the line "NAME VALUE".
ByteView take_line(ByteView& rest, ByteView name) {
  ByteView line = take_up_to(rest, '\n');
  if (line.size() <= name.size() || line.substr(0, name.size()) != name || line[name.size()] != ' ') return {};
  return line.substr(name.size() + 1);
}

template <std::size_t N>
bool read_digits(ByteView text, std::array<unsigned char, N>& out) {
  const auto bytes = read_hex(text);
  return bytes && copy_exactly(*bytes, out);
}

bool take_file(ByteView& rest, AppManifest& manifest) {
  ByteView line = take_up_to(rest, '\n');
  AppManifest::File file;
  if (!read_digits(take_up_to(line, ' '), file.hash)) return false;
  const ByteView size = take_up_to(line, ' ');
  const auto [end, fault] = std::from_chars(size.data(), size.data() + size.size(), file.bytes);
  if (fault != std::errc() || end != size.data() + size.size() || line.empty() || line.front() != '/') return false;
  return manifest.files.emplace(line, file).second;
}

}  // namespace

bool is_app_version(std::string_view version) {
  return !version.empty() && version.size() <= kVersionBytesMax && std::all_of(version.begin(), version.end(), [](char c) {
    return is_digit(c) || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '.' || c == '-';
  });
}

bool is_release_time(std::string_view time) {
  return std::equal(time.begin(), time.end(), kTimeForm.begin(), kTimeForm.end(), [](char c, char form) { return form == '0' ? is_digit(c) : c == form; });
}

Bytes to_text(const AppManifest& manifest) {
  Bytes text = "wrackline-app 1\nversion " + manifest.version + "\nreleased " + manifest.released + "\nkey " + to_hex(view(manifest.key)) + '\n';
  for (const auto& [path, file] : manifest.files) text += to_hex(view(file.hash)) + ' ' + std::to_string(file.bytes) + ' ' + path + '\n';
  return text;
}

Result<AppManifest> parse_app_manifest(ByteView text) {
  AppManifest manifest;
  ByteView rest = text;
  bool good = take_line(rest, "wrackline-app") == "1";
  manifest.version = take_line(rest, "version");
  manifest.released = take_line(rest, "released");
  good = good && is_app_version(manifest.version) && is_release_time(manifest.released) && read_digits(take_line(rest, "key"), manifest.key);
  while (good && !rest.empty()) good = take_file(rest, manifest);
  // Written anew it is the same: no other order, no capitals, no zeros in front.
  if (!good || to_text(manifest) != text) return fail(ErrorCode::kMalformed, "reading the app's manifest: it is not in the form that `wrackline-server sign-app` writes");
  return manifest;
}

}  // namespace wrackline
