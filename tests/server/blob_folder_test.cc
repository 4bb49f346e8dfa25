// Goal: a file under a hash is that file, whatever parts came in which order and wherever it was cut off. Method: random
// files in random parts, with parts that come twice, too early, torn or altered; then the disk refuses.
#include "hosts/blob_folder.h"

#include <sys/resource.h>
#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <filesystem>

#include "scratch.h"
#include "support/random.h"

using namespace wrackline;

namespace {

namespace fs = std::filesystem;

unsigned mode_of(const std::string& path) {
  struct stat about {};
  REQUIRE(::lstat(path.c_str(), &about) == 0);
  return about.st_mode & 0777;
}

std::size_t files_in(const std::string& path) {
  std::size_t count = 0;
  if (!fs::exists(path)) return 0;
  for (const auto& entry : fs::recursive_directory_iterator(path)) count += entry.is_regular_file();
  return count;
}

}  // namespace

TEST_CASE("a name is 64 hexadecimal digits in lower case and nothing else", "[files]") {
  const Hash hash = sha256("seal");
  const std::string name = blob_name(hash);
  REQUIRE(parse_blob_name(name) == hash);
  std::string capitals = name;
  for (char& c : capitals) c = static_cast<char>(std::toupper(c));
  for (const std::string& other :
       {std::string(), name.substr(1), name + "0", capitals, " " + name.substr(1), "../" + name.substr(3), name.substr(0, 63) + "/",
        name.substr(0, 63) + std::string(1, '\0'), "0x" + name.substr(2), std::string(64, '.'), name + ".part"})
    CHECK_FALSE(parse_blob_name(other));
}

TEST_CASE("a file put in parts of any size, in any order and with interruptions, is that file", "[files]") {
  Random random = test_random("parts");
  INFO("WRACKLINE_SEED=" << test_seed());
  Scratch scratch;
  for (int round = 0; round < 60; ++round) {
    const Bytes content = random.bytes(1 + static_cast<std::size_t>(random.below(40'000)));
    const Hash hash = sha256(content);
    int refused = 0;
    for (bool whole = false; !whole;) {
      BlobFolder folder(scratch / "blobs");  // Each part may be of another process.
      const auto there = must(folder.held(hash));
      REQUIRE_FALSE(there.whole);
      REQUIRE(there.bytes < content.size());
      // Mostly where it goes on; else anywhere, so also over what is there and beyond it.
      const std::uint64_t offset = random.once_in(3) ? random.below(content.size()) : there.bytes;
      const auto part = ByteView(content).substr(static_cast<std::size_t>(offset), 1 + static_cast<std::size_t>(random.below(9000)));
      const auto put = folder.put(hash, offset, content.size(), part);
      if (offset > there.bytes) {
        CHECK(code_of(put) == ErrorCode::kInvalid);
        CHECK(must(folder.held(hash)).bytes == there.bytes);
        ++refused;
        continue;
      }
      REQUIRE(must(put).bytes == std::max<std::uint64_t>(there.bytes, offset + part.size()));
      whole = put->whole;
      CHECK(whole == (put->bytes == content.size()));
      CHECK(code_of(folder.read(hash, 0, 10)) == (whole ? ErrorCode::kOk : ErrorCode::kNotFound));
    }
    BlobFolder folder(scratch / "blobs");
    CHECK(must(folder.read(hash, 0, content.size() + 10)) == content);
    const std::uint64_t from = random.below(content.size() + 5);
    CHECK(must(folder.read(hash, from, 100)) == Bytes(ByteView(content).substr(std::min<std::size_t>(content.size(), from), 100)));
    // Once it is whole, nothing that comes changes it.
    CHECK(must(folder.put(hash, 0, content.size(), Bytes(content.size(), 'x'))).whole);
    CHECK(must(folder.read(hash, 0, content.size())) == content);
    CHECK(refused < 1000);
  }
  CHECK(files_in(scratch / "blobs") == 60);
}

TEST_CASE("what does not have the hash leaves nothing behind, and may be put anew", "[files]") {
  Scratch scratch;
  BlobFolder folder(scratch / "blobs");
  const Bytes content = "left flipper, before the bath";
  const Hash hash = sha256(content);
  Bytes altered = content;
  altered[3] ^= 1;
  must(folder.put(hash, 0, content.size(), ByteView(altered).substr(0, 10)));
  CHECK(code_of(folder.put(hash, 10, content.size(), ByteView(altered).substr(10))) == ErrorCode::kMalformed);
  CHECK(files_in(scratch / "blobs") == 0);
  CHECK(must(folder.held(hash)).bytes == 0);
  CHECK(must(folder.put(hash, 0, content.size(), content)).whole);

  // Its size was given wrong.
  const Hash other = sha256("other");
  CHECK(code_of(folder.put(other, 0, 4, "othe")) == ErrorCode::kMalformed);
  CHECK(code_of(folder.put(other, 0, 4, "other")) == ErrorCode::kInvalid);
  CHECK(code_of(folder.put(other, ~std::uint64_t{0}, 4, "o")) == ErrorCode::kInvalid);
  CHECK(code_of(folder.put(other, 5, ~std::uint64_t{0}, "o")) == ErrorCode::kInvalid);
  must(folder.put(other, 0, 40, "other than it was"));
  // The part that was there is longer than the whole file, so it went.
  CHECK(code_of(folder.put(other, 2, 5, "her")) == ErrorCode::kInvalid);
  CHECK(must(folder.held(other)).bytes == 0);
  CHECK(must(folder.put(other, 0, 5, "other")).whole);
}

TEST_CASE("a part that a stop left complete or torn is finished or found out", "[files]") {
  Scratch scratch;
  BlobFolder folder(scratch / "blobs");
  const Bytes content = "weighed 12.4 kg, teeth good";
  const Hash hash = sha256(content);
  must(folder.put(hash, 0, content.size(), ByteView(content).substr(0, 5)));
  const std::string part = scratch / "blobs" + "/" + blob_name(hash).substr(0, 2) + "/" + blob_name(hash) + ".part";
  std::ofstream(part, std::ios::binary) << content;  // All is there, and the name was not given.
  CHECK(must(folder.held(hash)).bytes == content.size());
  CHECK_FALSE(must(folder.held(hash)).whole);
  CHECK(must(folder.put(hash, content.size() - 1, content.size(), ByteView(content).substr(content.size() - 1))).whole);

  const Hash second = sha256("torn by a power cut");
  must(folder.put(second, 0, 19, "torn by"));
  const std::string torn = scratch / "blobs" + "/" + blob_name(second).substr(0, 2) + "/" + blob_name(second) + ".part";
  std::ofstream(torn, std::ios::binary) << std::string(7, '\0');
  CHECK(code_of(folder.put(second, 7, 19, " a power cut")) == ErrorCode::kMalformed);
  CHECK(must(folder.put(second, 0, 19, "torn by a power cut")).whole);
}

TEST_CASE("files are their owner's alone, and a link or folder in a file's place is not followed", "[files]") {
  Scratch scratch;
  const mode_t before = ::umask(0);
  BlobFolder folder(scratch / "blobs");
  const Hash whole = sha256("whole"), part = sha256("part of it");
  must(folder.put(whole, 0, 5, "whole"));
  must(folder.put(part, 0, 10, "part"));
  ::umask(before);
  CHECK(mode_of(scratch / "blobs") == 0700);
  for (const auto& entry : fs::recursive_directory_iterator(scratch / "blobs"))
    CHECK(mode_of(entry.path()) == (entry.is_directory() ? 0700u : 0600u));
  CHECK(must(folder.bytes_used()) == 9);

  std::ofstream(scratch / "secret") << "secret";
  const Hash linked = sha256("linked"), foldered = sha256("foldered");
  for (const Hash& hash : {linked, foldered}) fs::create_directories(scratch / "blobs" + "/" + blob_name(hash).substr(0, 2));
  fs::create_symlink(scratch / "secret", scratch / "blobs" + "/" + blob_name(linked).substr(0, 2) + "/" + blob_name(linked));
  CHECK(code_of(folder.read(linked, 0, 100)) == ErrorCode::kStorage);
  CHECK(code_of(folder.put(linked, 0, 6, "linked")) == ErrorCode::kStorage);
  fs::create_directories(scratch / "blobs" + "/" + blob_name(foldered).substr(0, 2) + "/" + blob_name(foldered) + ".part");
  CHECK(code_of(folder.put(foldered, 0, 8, "foldered")) == ErrorCode::kStorage);
  CHECK(content_of(scratch / "secret") == "secret");
}

TEST_CASE("a disk that takes no more is an error, and what was there stays", "[files]") {
  Scratch scratch;
  BlobFolder folder(scratch / "blobs");
  const Bytes content(100'000, 'c');
  const Hash hash = sha256(content);
  must(folder.put(hash, 0, content.size(), ByteView(content).substr(0, 40'000)));
  // The kernel refuses to let a file grow beyond this, in the middle of the part.
  rlimit limit{};
  REQUIRE(::getrlimit(RLIMIT_FSIZE, &limit) == 0);
  const rlimit former = limit;
  const auto handler = std::signal(SIGXFSZ, SIG_IGN);
  limit.rlim_cur = 60'000;
  REQUIRE(::setrlimit(RLIMIT_FSIZE, &limit) == 0);
  const auto refused = folder.put(hash, 40'000, content.size(), ByteView(content).substr(40'000));
  REQUIRE(::setrlimit(RLIMIT_FSIZE, &former) == 0);
  std::signal(SIGXFSZ, handler);
  CHECK(code_of(refused) == ErrorCode::kDiskFull);
  CHECK(must(folder.held(hash)).bytes == 40'000);
  CHECK(must(folder.put(hash, 40'000, content.size(), ByteView(content).substr(40'000))).whole);
  CHECK(must(folder.read(hash, 0, content.size())) == content);
}
