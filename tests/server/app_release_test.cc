// Goal: a hub serves the tablet app that its admin's pinned key has signed, whole and as it was signed, and never an older one
// than before. Method: apps made for the test, each changed in one way.
#include "app_release.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "app_pin.h"
#include "crypto/texts.h"
#include "log.h"
#include "support/facility.h"
#include "support/must.h"
#include "support/seeded_keystore.h"

using namespace wrackline;

namespace {

namespace fs = std::filesystem;

constexpr WallMs kDay1 = 1'800'000'000'000, kDay2 = kDay1 + kDayMs;

std::string read(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}
void put(const std::string& path, const std::string& content) {
  fs::create_directories(fs::path(path).parent_path());
  std::ofstream(path, std::ios::binary) << content;
}

struct App {
  ScratchFolder scratch;
  std::string directory = scratch / "app";
  HubDirectory hub{scratch / "hub"};
  SeededKeystore key{71}, other{72};

  App() {
    fs::create_directories(hub.path);
    put(directory + "/index.html", "<!doctype html>");
    put(directory + "/assets/core-1a2b.wasm", std::string("\0asm", 4));
    put(directory + "/version.txt", "0.1.0\n");
  }
  AppRelease sign(WallMs now = kDay1) { return must(sign_app(directory, key, now)); }
  // Another manifest under the signature of `by`.
  void forge(Keystore& by, const Bytes& manifest) {
    put(directory + "/release.txt", manifest);
    put(directory + "/release.sig", Bytes(view(must(by.sign(app_release_text(manifest))))));
  }
  // The words of the refusal, after its code was looked at; "" when it is taken.
  std::string refusal() {
    const auto opened = open_app(directory, key.public_key());
    if (opened) return "";
    CHECK(opened.error().code == ErrorCode::kBadSeal);
    return opened.error().message;
  }
};

void says(const std::string& text, const std::string& words) {
  INFO(text);
  CHECK(text.find(words) != std::string::npos);
}

}  // namespace

TEST_CASE("an app as it was signed is opened, with its version and one hash for all of it", "[app]") {
  App app;
  const AppRelease signed_release = app.sign();
  const AppRelease opened = must(open_app(app.directory, app.key.public_key()));
  CHECK(opened.manifest.version == "0.1.0");
  CHECK(opened.manifest.files.size() == 3);
  CHECK(opened.hash == signed_release.hash);
  CHECK(opened.hash == sha256(read(app.directory + "/release.txt")));
  CHECK(opened.files.find("/")->body == "<!doctype html>");
  // Whoever serves it may be another user than the one who signed it.
  CHECK((fs::status(app.directory + "/release.sig").permissions() & fs::perms::others_read) != fs::perms::none);
}

TEST_CASE("an app that is not as it was signed is refused, and the file named", "[app]") {
  App app;
  says(app.refusal(), "it is not signed");
  app.sign();
  REQUIRE(app.refusal().empty());
  SECTION("a bit of each file altered") {
    for (const char* name : {"/index.html", "/assets/core-1a2b.wasm", "/version.txt"}) {
      const std::string path = app.directory + name, before = read(path);
      std::string altered = before;
      altered[1] = static_cast<char>(altered[1] ^ 1);
      put(path, altered);
      says(app.refusal(), std::string(name) + " is not as it was signed");
      put(path, before);
    }
    REQUIRE(app.refusal().empty());
  }
  SECTION("a byte more") {
    put(app.directory + "/index.html", "<!doctype html> ");
    says(app.refusal(), "/index.html is not as it was signed");
  }
  SECTION("a file missing") {
    fs::remove(app.directory + "/assets/core-1a2b.wasm");
    says(app.refusal(), "/assets/core-1a2b.wasm is missing");
  }
  SECTION("a file more") {
    put(app.directory + "/assets/more.js", "fetch('/')");
    says(app.refusal(), "/assets/more.js is in no manifest");
  }
  SECTION("an empty file more") {
    put(app.directory + "/assets/more.js", "");
    says(app.refusal(), "/assets/more.js is in no manifest");
  }
  SECTION("its content under the name of another") {
    fs::rename(app.directory + "/version.txt", app.directory + "/other.txt");
    says(app.refusal(), "/version.txt is missing");
  }
  SECTION("no manifest, or no signature") {
    const std::string gone = app.directory + GENERATE("/release.txt", "/release.sig");
    fs::remove(gone);
    says(app.refusal(), "it is not signed");
  }
}

TEST_CASE("an app under another signature than the pinned key's is refused", "[app]") {
  App app;
  const Bytes manifest = to_text(app.sign().manifest);
  const std::string path = app.directory + "/release.sig";
  const Bytes good = read(path);
  SECTION("properly signed by another key") {
    must(sign_app(app.directory, app.other, kDay2));
    says(app.refusal(), to_hex(view(app.other.public_key())));
    // The other key's signature over a manifest that names the pinned one.
    app.forge(app.other, manifest);
    says(app.refusal(), "not as the pinned key signed it");
  }
  SECTION("the pinned key's signature over a manifest that names another") {
    AppManifest lie = must(parse_app_manifest(manifest));
    lie.key = app.other.public_key();
    app.forge(app.key, to_text(lie));
    says(app.refusal(), "names another key");
  }
  SECTION("the pinned key's signature for another purpose") {
    put(path, Bytes(view(must(app.key.sign(manifest)))));
    says(app.refusal(), "not as the pinned key signed it");
  }
  SECTION("a bit of signature or manifest altered") {
    for (std::size_t at : {0u, 31u, 32u, 63u}) {
      Bytes altered = good;
      altered[at] = static_cast<char>(altered[at] ^ 1);
      put(path, altered);
      says(app.refusal(), "not as the pinned key signed it");
    }
    put(path, good);
    Bytes altered = manifest;
    altered[altered.find("0.1.0")] = '9';
    put(app.directory + "/release.txt", altered);
    says(app.refusal(), "not as the pinned key signed it");
  }
  SECTION("cut short, longer, or empty") {
    for (const Bytes& other : {good.substr(0, 63), good + '\0', Bytes()}) {
      put(path, other);
      says(app.refusal(), "not as the pinned key signed it");
    }
  }
  SECTION("S as large as the group's order allows it to be written twice") {
    // L of Ed25519, little-endian (RFC 8032, section 5.1): S + L is the same number to a careless verifier.
    const Bytes order = *read_hex("edd3f55c1a631258d69cf7a2def9de1400000000000000000000000000000010");
    Bytes twice = good;
    unsigned carry = 0;
    for (std::size_t i = 0; i < order.size(); ++i) {
      const unsigned sum = static_cast<unsigned char>(good[32 + i]) + static_cast<unsigned char>(order[i]) + carry;
      twice[32 + i] = static_cast<char>(sum);
      carry = sum >> 8;
    }
    REQUIRE(carry == 0);
    put(path, twice);
    says(app.refusal(), "not as the pinned key signed it");
  }
}

TEST_CASE("a key under which anybody could sign is neither pinned nor believed", "[app]") {
  App app;
  app.sign();
  // The neutral element; with R the same and S = 0 the equation holds for every text.
  PublicKey nobody{};
  nobody[0] = 1;
  CHECK(code_of(pin_app_key(app.hub, nobody)) == ErrorCode::kInvalid);
  CHECK(code_of(read_app_pin(app.hub)) == ErrorCode::kNotFound);
  Bytes signature(64, '\0');
  signature[0] = 1;
  put(app.directory + "/release.sig", signature);
  CHECK(code_of(open_app(app.directory, nobody)) == ErrorCode::kBadSeal);
  says(app.refusal(), "not as the pinned key signed it");
}

TEST_CASE("a manifest has one form", "[app]") {
  App app;
  const Bytes manifest = to_text(app.sign().manifest);
  CHECK(to_text(must(parse_app_manifest(manifest))) == manifest);
  const auto with = [&](const std::string& from, const std::string& to) {
    Bytes text = manifest;
    text.replace(text.find(from), from.size(), to);
    return text;
  };
  const std::string line = manifest.substr(manifest.rfind('\n', manifest.size() - 2) + 1);
  for (const Bytes& other :
       {Bytes(), manifest.substr(0, manifest.size() - 1), manifest + '\n', manifest + line, line + manifest, with("wrackline-app 1", "wrackline-app 2"),
        with("version 0.1.0", "version "), with("version 0.1.0", "version 0 1"), with("T", " "), with(" 15 ", " 015 "), with(" 15 ", " +15 "),
        with(" 15 ", " 99999999999999999999 "), with(" /index.html", " index.html"), with("key ", "Key "), with("\n", "\r\n")}) {
    INFO(other);
    CHECK(code_of(parse_app_manifest(other)) == ErrorCode::kMalformed);
  }
  // A signature does not make it another form.
  app.forge(app.key, manifest + line);
  CHECK(code_of(open_app(app.directory, app.key.public_key())) == ErrorCode::kMalformed);
}

TEST_CASE("a build that names no version is not signed", "[app]") {
  App app;
  for (const std::string& version : {std::string(), std::string("\n0.1.0"), std::string("0.1.0 beta"), std::string("<b>"), std::string(41, '1')}) {
    INFO(version);
    put(app.directory + "/version.txt", version);
    CHECK(code_of(sign_app(app.directory, app.key, kDay1)) == ErrorCode::kInvalid);
    CHECK_FALSE(fs::exists(app.directory + "/release.txt"));
  }
}

TEST_CASE("a hub serves what the pinned key signed, and no older release than before", "[app]") {
  App app;
  const AppRelease first = app.sign(kDay1);
  says(open_pinned_app(app.hub, app.directory).error().message, "pin-app");
  must(pin_app_key(app.hub, app.key.public_key()));
  must(note_served(app.hub, must(open_pinned_app(app.hub, app.directory))));

  const Bytes old_manifest = read(app.directory + "/release.txt"), old_signature = read(app.directory + "/release.sig");
  app.sign(kDay2);
  must(note_served(app.hub, must(open_pinned_app(app.hub, app.directory))));
  must(note_served(app.hub, must(open_pinned_app(app.hub, app.directory))));
  CHECK(must(read_app_pin(app.hub)).newest == utc_text(kDay2));

  put(app.directory + "/release.txt", old_manifest);
  put(app.directory + "/release.sig", old_signature);
  const auto refused = open_pinned_app(app.hub, app.directory);
  CHECK(code_of(refused) == ErrorCode::kInvalid);
  says(refused.error().message, utc_text(kDay2));
  // A note on an older release does not make it the newest.
  must(note_served(app.hub, first));
  CHECK(must(read_app_pin(app.hub)).newest == utc_text(kDay2));

  // The admin goes back on purpose.
  must(pin_app_key(app.hub, app.key.public_key()));
  CHECK(must(open_pinned_app(app.hub, app.directory)).hash == first.hash);

  // Another key is another word.
  must(pin_app_key(app.hub, app.other.public_key()));
  CHECK(code_of(open_pinned_app(app.hub, app.directory)) == ErrorCode::kBadSeal);
}

TEST_CASE("a pin that is not as it was written is not guessed at", "[app]") {
  App app;
  must(pin_app_key(app.hub, app.key.public_key()));
  const Bytes good = read(app.hub.app_pin());
  for (const Bytes& other : {Bytes(), good.substr(0, 20), good + good, good + "newest \n", good + "newest yesterday\n", good + "newest", "KEY" + good.substr(3)}) {
    INFO(other);
    put(app.hub.app_pin(), other);
    const auto pin = read_app_pin(app.hub);
    CHECK(code_of(pin) == ErrorCode::kMalformed);
    if (!pin) says(pin.error().message, "pin-app");
  }
  put(app.hub.app_pin(), good);
  CHECK(must(read_app_pin(app.hub)).key == app.key.public_key());
  // Another user of the machine could have put a key of theirs there.
  fs::permissions(app.hub.app_pin(), fs::perms::others_write, fs::perm_options::add);
  CHECK(code_of(read_app_pin(app.hub)) == ErrorCode::kKeystore);
}
