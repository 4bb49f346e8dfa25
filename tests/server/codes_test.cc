// Goal: a code lets one device in, once, in time, and stands nowhere in the clear. Method: a clock by hand,
// two objects on one file as the `code` command and the serving hub are.
#include <sys/stat.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <set>

#include "enrolment_codes.h"
#include "scratch.h"

using namespace wrackline;

namespace {

constexpr WallMs kNow = 1'800'000'000'000;
constexpr WallMs kTenMinutes = 10 * 60 * 1000;

PublicKey key(unsigned char number) {
  PublicKey made{};
  made[0] = number;
  return made;
}

}  // namespace

TEST_CASE("a code is ten clear letters in two groups, and no two are alike", "[codes]") {
  Scratch scratch;
  EnrolmentCodes codes(scratch / "codes");
  std::set<std::string> seen;
  for (int i = 0; i < 50; ++i) {
    const std::string code = must(codes.make(kNow, kTenMinutes));
    REQUIRE(code.size() == 11);
    CHECK(code[5] == '-');
    const std::string normal = normal_code(code);
    CHECK(normal.size() == 10);
    CHECK(normal.find_first_not_of("BCDFGHJKLMNPQRSTVWXZ") == std::string::npos);
    CHECK(seen.insert(code).second);
  }
}

TEST_CASE("codes stand hashed in a file of the owner's alone", "[codes]") {
  Scratch scratch;
  EnrolmentCodes codes(scratch / "codes");
  const std::string code = must(codes.make(kNow, kTenMinutes));
  const std::string content = content_of(scratch / "codes");
  CHECK(content.find(code) == std::string::npos);
  CHECK(content.find(normal_code(code)) == std::string::npos);
  struct stat about {};
  REQUIRE(::stat((scratch / "codes").c_str(), &about) == 0);
  CHECK((about.st_mode & 0777) == 0600);
}

TEST_CASE("a code made by another process lets one device in, however it is typed", "[codes]") {
  Scratch scratch;
  EnrolmentCodes maker(scratch / "codes"), hub(scratch / "codes");
  std::string typed = must(maker.make(kNow, kTenMinutes));
  std::replace(typed.begin(), typed.end(), '-', ' ');
  std::transform(typed.begin(), typed.end(), typed.begin(),
                 [](char c) { return c == ' ' ? c : static_cast<char>(c + 32); });
  must(hub.spend(" " + typed + "\n", key(1), kNow));
}

TEST_CASE("a code is for the first device that hands it in, which may ask again", "[codes]") {
  Scratch scratch;
  EnrolmentCodes codes(scratch / "codes");
  const std::string code = must(codes.make(kNow, kTenMinutes));
  must(codes.spend(code, key(1), kNow));
  const auto second = codes.spend(code, key(2), kNow);
  REQUIRE_FALSE(second);
  CHECK(second.error().code == ErrorCode::kUnauthorized);
  CHECK(second.error().message.find(code) == std::string::npos);
  must(codes.spend(code, key(1), kNow + kTenMinutes - 1));
  CHECK_FALSE(codes.spend(code, key(1), kNow + kTenMinutes));
}

TEST_CASE("unknown, empty and expired codes are refused in the same words", "[codes]") {
  Scratch scratch;
  EnrolmentCodes codes(scratch / "codes");
  const auto without_any = codes.spend("BCDFG-HJKLM", key(1), kNow);
  const std::string code = must(codes.make(kNow, kTenMinutes));
  const auto empty = codes.spend("", key(1), kNow);
  const auto expired = codes.spend(code, key(1), kNow + kTenMinutes);
  for (const auto* outcome : {&without_any, &empty, &expired}) {
    REQUIRE_FALSE(*outcome);
    CHECK(outcome->error().code == ErrorCode::kUnauthorized);
    CHECK(outcome->error().message == without_any.error().message);
  }
}

TEST_CASE("there is an end to open codes, until some expire", "[codes]") {
  Scratch scratch;
  EnrolmentCodes codes(scratch / "codes");
  for (std::size_t i = 0; i < EnrolmentCodes::kOpenMax; ++i) must(codes.make(kNow, kTenMinutes));
  const auto more = codes.make(kNow, kTenMinutes);
  REQUIRE_FALSE(more);
  CHECK(more.error().code == ErrorCode::kInvalid);
  must(codes.make(kNow + kTenMinutes, kTenMinutes));
}

TEST_CASE("a codes file that is broken or open to others lets nobody in", "[codes]") {
  Scratch scratch;
  EnrolmentCodes codes(scratch / "codes");
  const std::string code = must(codes.make(kNow, kTenMinutes));
  SECTION("another file") {
    std::ofstream(scratch / "codes") << "something else\n";
    CHECK(codes.spend(code, key(1), kNow).error().code == ErrorCode::kStorage);
  }
  SECTION("a torn line") {
    std::string content = content_of(scratch / "codes");
    std::ofstream(scratch / "codes") << content.substr(0, content.size() / 2);
    CHECK(codes.spend(code, key(1), kNow).error().code == ErrorCode::kUnauthorized);
  }
  SECTION("readable by others") {
    REQUIRE(::chmod((scratch / "codes").c_str(), 0644) == 0);
    CHECK(codes.spend(code, key(1), kNow).error().code == ErrorCode::kKeystore);
  }
}
