#include "app_pin.h"

#include "hosts/private_file.h"

namespace wrackline {
namespace {

constexpr std::size_t kPinBytesMax = 1 << 10;
constexpr std::string_view kKeyLine = "key ", kNewestLine = "newest ";

Bytes to_text(const AppPin& pin) {
  Bytes text = Bytes(kKeyLine) + to_hex(view(pin.key)) + '\n';
  if (!pin.newest.empty()) text += Bytes(kNewestLine) + pin.newest + '\n';
  return text;
}

std::string how_to_pin(const HubDirectory& directory) {
  return "`wrackline-server pin-app --dir " + directory.path + " KEY`, with the 64 digits that whoever built the app tells you";
}

}  // namespace

Status pin_app_key(const HubDirectory& directory, const PublicKey& key) {
  if (!is_sound_key(key)) {
    return fail(ErrorCode::kInvalid, "pinning the key of the tablet app: anybody could sign under this one; nothing was changed; compare it once more");
  }
  return replace_private_file(directory.app_pin(), to_text(AppPin{key, {}}));
}

Result<AppPin> read_app_pin(const HubDirectory& directory) {
  const auto text = read_private_file(directory.app_pin(), kPinBytesMax);
  if (!text && text.error().code == ErrorCode::kNotFound) {
    return fail(ErrorCode::kNotFound, "looking for the key of the tablet app: none is pinned at this hub; pin it with " + how_to_pin(directory));
  }
  if (!text) return fail(text.error());
  AppPin pin;
  ByteView rest = *text;
  constexpr std::size_t kDigits = 2 * PublicKey().size();
  const auto key = rest.substr(0, kKeyLine.size()) == kKeyLine ? read_hex(rest.substr(kKeyLine.size(), kDigits)) : std::nullopt;
  if (const std::size_t at = rest.find(kNewestLine); at != ByteView::npos) pin.newest = rest.substr(at + kNewestLine.size(), rest.size() - at - kNewestLine.size() - 1);
  if (!key || !copy_exactly(*key, pin.key) || !is_sound_key(pin.key) || (!pin.newest.empty() && !is_release_time(pin.newest)) || to_text(pin) != *text) {
    return fail(ErrorCode::kMalformed, "reading " + directory.app_pin() + ": it is not as it was written; pin the key of the tablet app anew with " + how_to_pin(directory));
  }
  return pin;
}

Result<AppRelease> open_pinned_app(const HubDirectory& directory, const std::string& app) {
  WRACKLINE_TRY_VALUE(pin, read_app_pin(directory));
  WRACKLINE_TRY_VALUE(release, open_app(app, pin.key));
  if (release.manifest.released < pin.newest) {
    return fail(ErrorCode::kInvalid, "looking at the tablet app in " + app + ": it was released on " + release.manifest.released + ", and this hub has served one of " + pin.newest +
                                         "; give the newer one, or, to go back on purpose, pin the same key once more with `wrackline-server pin-app`");
  }
  return release;
}

Status note_served(const HubDirectory& directory, const AppRelease& release) {
  WRACKLINE_TRY_VALUE(pin, read_app_pin(directory));
  if (release.manifest.released <= pin.newest) return {};
  pin.newest = release.manifest.released;
  return replace_private_file(directory.app_pin(), to_text(pin));
}

}  // namespace wrackline
