// base/base64.h, against the vectors of RFC 4648.
#include "base/base64.h"

#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;

TEST_CASE("base 64 is that of RFC 4648", "[base64]") {
  // RFC 4648, section 10.
  const std::pair<const char*, const char*> vectors[] = {{"", ""},
                                                         {"f", "Zg=="},
                                                         {"fo", "Zm8="},
                                                         {"foo", "Zm9v"},
                                                         {"foob", "Zm9vYg=="},
                                                         {"fooba", "Zm9vYmE="},
                                                         {"foobar", "Zm9vYmFy"}};
  for (const auto& [bytes, text] : vectors) {
    CHECK(to_base64(bytes) == text);
    CHECK(from_base64(text) == Bytes(bytes));
  }
}

TEST_CASE("one run of bytes has one text: every other is refused", "[base64]") {
  for (const char* text :
       {"Zg", "Zg=", "Zg===", "Z===", "====", "Zh==", "Zm9=", "Zm9v\n", "Zm9-", "Zg==Zg==", "Z=g="}) {
    CAPTURE(text);
    CHECK_FALSE(from_base64(text));
  }
}

TEST_CASE("base 64 gives back what it was made from", "[base64]") {
  Random random = test_random("base 64 gives back");
  for (std::size_t size = 0; size < 200; ++size) {
    const Bytes bytes = random.bytes(size);
    REQUIRE(from_base64(to_base64(bytes)) == bytes);
  }
}
