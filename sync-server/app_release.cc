#include "app_release.h"

#include <filesystem>

#include "crypto/texts.h"
#include "hex_groups.h"
#include "hosts/private_file.h"
#include "log.h"

namespace wrackline {
namespace {

constexpr char kManifestPath[] = "/release.txt";
constexpr char kSignaturePath[] = "/release.sig";
constexpr char kVersionPath[] = "/version.txt";

bool is_of_signing(const std::string& path) { return path == kManifestPath || path == kSignaturePath; }

std::map<std::string, AppManifest::File> listed(const AppFiles& files) {
  std::map<std::string, AppManifest::File> out;
  for (const auto& [path, file] : files.all()) {
    if (!is_of_signing(path)) out[path] = {sha256(file.body), file.body.size()};
  }
  return out;
}

// Everybody may read the files of the app.
Status write_beside(const std::string& path, ByteView content) {
  using std::filesystem::perms;
  WRACKLINE_TRY(replace_private_file(path, content));
  std::error_code error;
  std::filesystem::permissions(path, perms::owner_read | perms::owner_write | perms::group_read | perms::others_read, error);
  if (error) return fail(ErrorCode::kStorage, "signing the tablet app: cannot let others read " + path + ": " + error.message());
  return {};
}

Unexpected refused(const std::string& directory, const std::string& why) {
  return fail(ErrorCode::kBadSeal, "looking at the tablet app in " + directory + ": " + why);
}

// Why these are not the files of the manifest; empty when they are.
std::string difference(const AppManifest& manifest, const AppFiles& files) {
  const auto here = listed(files);
  for (const auto& [path, file] : manifest.files) {
    const auto found = here.find(path);
    if (found == here.end()) return path + " is missing";
    if (found->second.bytes != file.bytes || found->second.hash != file.hash) return path + " is not as it was signed";
  }
  for (const auto& [path, file] : here) {
    if (manifest.files.count(path) == 0) return path + " is in no manifest";
  }
  return {};
}

}  // namespace

Result<AppRelease> sign_app(const std::string& directory, Keystore& key, WallMs now) {
  AppRelease release;
  WRACKLINE_TRY_VALUE(files, AppFiles::read(directory));
  const AppFile* version = files.find(kVersionPath);
  if (version != nullptr) release.manifest.version = version->body.substr(0, version->body.find('\n'));
  if (!is_app_version(release.manifest.version)) {
    return fail(ErrorCode::kInvalid, "signing the tablet app in " + directory + ": its version.txt does not name a version, so nothing was signed; "
                                     "build the app with platform-shims/apps/tablet/build");
  }
  release.manifest.released = utc_text(now);
  release.manifest.key = key.public_key();
  release.manifest.files = listed(files);
  const Bytes text = to_text(release.manifest);
  WRACKLINE_TRY_VALUE(signature, key.sign(app_release_text(text)));
  WRACKLINE_TRY(write_beside(directory + kManifestPath, text));
  WRACKLINE_TRY(write_beside(directory + kSignaturePath, view(signature)));
  return open_app(directory, key.public_key());
}

Result<AppRelease> open_app(const std::string& directory, const PublicKey& key) {
  constexpr char kAgain[] = "; put a whole signed release there, or ask whoever built it";
  AppRelease release;
  WRACKLINE_TRY_VALUE(files, AppFiles::read(directory));
  const AppFile* manifest = files.find(kManifestPath);
  const AppFile* signature = files.find(kSignaturePath);
  if (manifest == nullptr || signature == nullptr) {
    return refused(directory, "it is not signed; sign it with `wrackline-server sign-app`, or give the directory of a signed release");
  }
  release.hash = sha256(manifest->body);
  Signature signed_by_key{};
  const bool is_good = copy_exactly(signature->body, signed_by_key) && verify_signature(key, app_release_text(manifest->body), signed_by_key);
  auto parsed = parse_app_manifest(manifest->body);
  // An unsigned text proves nothing about its key, and only hints at what went wrong.
  if (!is_good && parsed && parsed->key != key) {
    return refused(directory, "it says that it is signed by the key " + to_hex(view(parsed->key)) + ", and the one that was pinned is " + to_hex(view(key)) +
                                  "; compare with whoever built it, and pin that key with `wrackline-server pin-app` only if they say it is theirs");
  }
  if (!is_good) return refused(directory, std::string("its manifest is not as the pinned key signed it") + kAgain);
  if (!parsed) return fail(parsed.error());
  if (parsed->key != key) return refused(directory, std::string("its manifest names another key than the one that signed it") + kAgain);
  release.manifest = std::move(*parsed);
  if (const std::string why = difference(release.manifest, files); !why.empty()) return refused(directory, why + kAgain);
  release.files = std::move(files);
  return release;
}

std::string to_text(const AppRelease& release) {
  return release.manifest.version + " of " + release.manifest.released + ", manifest " + in_groups(view(release.hash));
}

}  // namespace wrackline
