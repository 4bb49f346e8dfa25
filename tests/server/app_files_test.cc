// Goal: the tablet app is served whole, with the headers that keep it apart from other pages, and no path names anything
// else. Method: directories made for the test; the hub asked without sockets.
#include "app_files.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "support/facility.h"
#include "support/must.h"

using namespace wrackline;

namespace {

void put(const std::string& path, const std::string& content) {
  std::filesystem::create_directories(std::filesystem::path(path).parent_path());
  std::ofstream(path, std::ios::binary) << content;
}

std::string header(const AppFile& file, const std::string& name) {
  for (const auto& [key, value] : file.headers) {
    if (key == name) return value;
  }
  return "";
}

}  // namespace

TEST_CASE("the app's files are found by their whole path only", "[app]") {
  ScratchFolder scratch;
  put(scratch / "app/index.html", "<!doctype html>");
  put(scratch / "app/assets/core-1a2b.wasm", std::string("\0asm", 4));
  put(scratch / "secret.json", "{}");
  std::filesystem::create_symlink(scratch / "secret.json", scratch / "app/link.json");
  const AppFiles app = must(AppFiles::read(scratch / "app"));
  REQUIRE(app.find("/") != nullptr);
  CHECK(app.find("/")->body == "<!doctype html>");
  CHECK(app.find("/")->content_type == "text/html; charset=utf-8");
  CHECK(app.find("/assets/core-1a2b.wasm")->content_type == "application/wasm");
  for (const char* path : {"", "/assets", "/assets/", "/../secret.json", "/assets/../../secret.json", "/link.json", "//index.html", "/%69ndex.html", "index.html"}) {
    INFO(path);
    CHECK(app.find(path) == nullptr);
  }
}

TEST_CASE("a file takes as much memory as it has bytes, and comes whole", "[app]") {
  ScratchFolder scratch;
  for (const std::size_t size : {0u, 1u, 65'535u, 65'536u, 65'537u, 300'000u}) {
    std::string content(size, 'x');
    if (size > 0) content.back() = 'y';
    put(scratch / "app/index.html", content);
    const AppFiles app = must(AppFiles::read(scratch / "app"));
    CHECK((app.find("/")->body == content));
    CHECK(app.find("/")->body.capacity() < size + 1024);
  }
}

TEST_CASE("files of the app go out with strict headers, and only those named by content are cached", "[app]") {
  ScratchFolder scratch;
  put(scratch / "app/index.html", "x");
  put(scratch / "app/sw.js", "x");
  put(scratch / "app/assets/main-1a2b.js", "x");
  const AppFiles app = must(AppFiles::read(scratch / "app"));
  for (const char* path : {"/", "/sw.js", "/assets/main-1a2b.js"}) {
    INFO(path);
    const AppFile& file = *app.find(path);
    CHECK(header(file, "Cross-Origin-Opener-Policy") == "same-origin");
    CHECK(header(file, "Cross-Origin-Embedder-Policy") == "require-corp");
    CHECK(header(file, "Content-Security-Policy").find("default-src 'none'") == 0);
    CHECK(header(file, "Content-Security-Policy").find("unsafe-inline") == std::string::npos);
  }
  CHECK(header(*app.find("/"), "Cache-Control") == "no-cache");
  CHECK(header(*app.find("/sw.js"), "Cache-Control") == "no-cache");
  CHECK(header(*app.find("/assets/main-1a2b.js"), "Cache-Control").find("immutable") != std::string::npos);
}

TEST_CASE("what is no built app is refused when the hub starts", "[app]") {
  ScratchFolder scratch;
  put(scratch / "empty/style.css", "x");
  CHECK(code_of(AppFiles::read(scratch / "empty")) == ErrorCode::kNotFound);
  CHECK(code_of(AppFiles::read(scratch / "nowhere")) == ErrorCode::kStorage);
  put(scratch / "keys/index.html", "x");
  put(scratch / "keys/hub.key", "secret");
  CHECK(code_of(AppFiles::read(scratch / "keys")) == ErrorCode::kUnsupported);
}
