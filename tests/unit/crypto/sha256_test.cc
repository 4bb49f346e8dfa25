// crypto/sha256.h against the examples of FIPS 180-4.
#include "crypto/sha256.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;

// Source of the digests: NIST's example values for FIPS 180-4 (SHA-256), which agree with Python's hashlib.
TEST_CASE("SHA-256 gives the digests of FIPS 180-4", "[crypto]") {
  CHECK(to_hex(view(sha256(""))) == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(to_hex(view(sha256("abc"))) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(to_hex(view(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"))) ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(to_hex(view(sha256(Bytes(1'000'000, 'a')))) ==
        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("SHA-256 of parts is that of the parts joined, wherever they are cut", "[crypto]") {
  Random random = test_random("sha256 parts");
  for (int i = 0; i < 300; ++i) {
    const Bytes whole = random.bytes(static_cast<std::size_t>(random.below(300)));
    const ByteView rest(whole);
    std::size_t cuts[3];
    for (std::size_t& cut : cuts) cut = static_cast<std::size_t>(random.below(whole.size() + 1));
    std::sort(std::begin(cuts), std::end(cuts));
    REQUIRE(sha256(rest.substr(0, cuts[0]), rest.substr(cuts[0], cuts[1] - cuts[0]),
                   rest.substr(cuts[1], cuts[2] - cuts[1]), rest.substr(cuts[2])) == sha256(whole));
  }
}

TEST_CASE("the short names of a hash are its first bytes, least significant first", "[crypto]") {
  const Hash hash = sha256("abc");  // ba7816bf8f01cfea...
  CHECK(first4(hash) == 0xbf1678bau);
  CHECK(first8(hash) == 0xeacf018fbf1678baull);
}
