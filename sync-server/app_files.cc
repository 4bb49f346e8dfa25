#include "app_files.h"

#include <filesystem>

#include "read_file.h"

namespace wrackline {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kFilesMax = 1'000;
constexpr std::size_t kBytesMax = 64u << 20;

constexpr std::pair<std::string_view, const char*> kTypes[] = {
    {".html", "text/html; charset=utf-8"},    {".js", "text/javascript; charset=utf-8"}, {".mjs", "text/javascript; charset=utf-8"},
    {".css", "text/css; charset=utf-8"},      {".wasm", "application/wasm"},             {".svg", "image/svg+xml"},
    {".png", "image/png"},                    {".ico", "image/x-icon"},                  {".json", "application/json"},
    {".webmanifest", "application/manifest+json"}, {".txt", "text/plain; charset=utf-8"}, {".sig", "application/octet-stream"}};

const char* type_of(const std::string& path) {
  const std::string end = fs::path(path).extension().string();
  for (const auto& [extension, type] : kTypes) {
    if (end == extension) return type;
  }
  return nullptr;
}

std::vector<std::pair<std::string, std::string>> headers_of(const std::string& path) {
  // The build puts a hash into the names below assets/, so what has such a name never changes.
  const bool is_named_by_content = path.rfind("/assets/", 0) == 0;
  return {{"Cache-Control", is_named_by_content ? "public, max-age=31536000, immutable" : "no-cache"},
          {"Content-Security-Policy",
           "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; connect-src 'self'; img-src 'self' blob:; "
           "style-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
          {"Cross-Origin-Opener-Policy", "same-origin"},
          {"Cross-Origin-Embedder-Policy", "require-corp"},
          {"Cross-Origin-Resource-Policy", "same-origin"},
          {"Permissions-Policy", "camera=(self), geolocation=(), microphone=(), payment=(), usb=()"},
          {"Referrer-Policy", "no-referrer"},
          {"X-Content-Type-Options", "nosniff"}};
}

}  // namespace

Result<AppFiles> AppFiles::read(const std::string& directory) {
  AppFiles out;
  std::size_t bytes = 0;
  std::error_code error;
  fs::recursive_directory_iterator at(directory, error);
  for (; !error && at != fs::recursive_directory_iterator(); at.increment(error)) {
    if (!at->is_regular_file(error) || at->is_symlink(error)) continue;
    const std::string path = "/" + at->path().lexically_relative(directory).generic_string();
    const char* type = type_of(path);
    if (type == nullptr) {
      return fail(ErrorCode::kUnsupported, "reading the app: the hub does not serve a file like " + path + "; give the built app's directory");
    }
    WRACKLINE_TRY_VALUE(body, read_file(at->path().string(), kBytesMax));
    bytes += body.size();
    if (bytes > kBytesMax || out.files_.size() >= kFilesMax) {
      return fail(ErrorCode::kTooLarge, "reading the app: " + directory + " holds more than 64 MiB or 1,000 files; give the built app's directory");
    }
    out.files_[path] = {type, std::move(body), headers_of(path)};
  }
  if (error) return fail(ErrorCode::kStorage, "reading the app: cannot read " + directory + ": " + error.message());
  if (out.files_.count("/index.html") == 0) {
    return fail(ErrorCode::kNotFound, "reading the app: there is no index.html in " + directory + "; build it first (platform-shims/apps/tablet/README.md)");
  }
  return out;
}

void AppFiles::add(const std::string& path, Bytes body) { files_[path] = {type_of(path), std::move(body), headers_of(path)}; }

const AppFile* AppFiles::find(std::string_view path) const {
  const auto found = files_.find(path == "/" ? "/index.html" : path);
  return found == files_.end() ? nullptr : &found->second;
}

}  // namespace wrackline
