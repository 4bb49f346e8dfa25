// base/result.h and base/error.h: values, failures, and their way through functions.
#include "base/result.h"

#include <catch2/catch.hpp>
#include <memory>
#include <set>

using namespace wrackline;

namespace {

Result<int> halved(int number) {
  if (number % 2 != 0) return fail(ErrorCode::kInvalid, "halving: the number is odd");
  return number / 2;
}

Status check_twice_even(int number, int& calls) {
  WRACKLINE_TRY(halved(number));
  ++calls;
  WRACKLINE_TRY_VALUE(half, halved(number));
  ++calls;
  WRACKLINE_TRY(halved(half));
  ++calls;
  return {};
}

}  // namespace

TEST_CASE("a result holds its value", "[base]") {
  const Result<int> result = halved(8);
  REQUIRE(result);
  CHECK(*result == 4);
  CHECK(result.has_value());
  CHECK(result.error().code == ErrorCode::kOk);
}

TEST_CASE("a failed result holds its error", "[base]") {
  const Result<int> result = halved(7);
  REQUIRE_FALSE(result);
  CHECK(result.error().code == ErrorCode::kInvalid);
  CHECK(result.error().message == "halving: the number is odd");
}

TEST_CASE("a result holds a value that can only be moved", "[base]") {
  Result<std::unique_ptr<int>> result = std::make_unique<int>(5);
  REQUIRE(result);
  const std::unique_ptr<int> taken = std::move(*result);
  CHECK(*taken == 5);
}

TEST_CASE("a failure returns at once from the function that tries", "[base]") {
  int calls = 0;
  CHECK(check_twice_even(8, calls));
  CHECK(calls == 3);
  calls = 0;
  const Status odd = check_twice_even(7, calls);
  CHECK_FALSE(odd);
  CHECK(odd.error().code == ErrorCode::kInvalid);
  CHECK(calls == 0);
  CHECK_FALSE(check_twice_even(6, calls));
  CHECK(calls == 2);
}

TEST_CASE("every error code has a word of its own, and an unknown one says so", "[base]") {
  const std::string unknown = error_word(static_cast<ErrorCode>(9999));
  CHECK(unknown == "unknown");
  std::set<std::string> words;
  int codes = 0;
  for (std::uint32_t code = 0; code < 200; ++code) {
    const std::string word = error_word(static_cast<ErrorCode>(code));
    if (word == unknown) continue;
    ++codes;
    words.insert(word);
  }
  CHECK(words.size() == static_cast<std::size_t>(codes));
  // The numbers are on the wire: none of them may move.
  CHECK(error_word(static_cast<ErrorCode>(5)) == std::string("log_gap"));
  CHECK(error_word(static_cast<ErrorCode>(22)) == std::string("disagreement"));
  CHECK(error_word(static_cast<ErrorCode>(43)) == std::string("newer_database"));
  CHECK(error_word(static_cast<ErrorCode>(60)) == std::string("internal"));
}
