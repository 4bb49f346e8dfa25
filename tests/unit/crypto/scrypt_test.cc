// crypto/scrypt.h against RFC 7914, and crypto/pin_hash.h on top of it.
#include "crypto/scrypt.h"

#include <catch2/catch.hpp>

#include "crypto/pin_hash.h"
#include "support/must.h"

using namespace wrackline;

namespace {

const RecordId kIda{{7}, 12}, kOle{{7}, 13};
const Bytes kKey(32, 'k');

}  // namespace

// Source: RFC 7914, section 12; checked against Python's hashlib.scrypt.
TEST_CASE("scrypt gives the test vectors of RFC 7914", "[crypto]") {
  CHECK(to_hex(must(scrypt("", "", {16, 1, 1}, 64))) ==
        "77d6576238657b203b19ca42c18a0497f16b4844e3074ae8dfdffa3fede21442"
        "fcd0069ded0948f8326a753a0fc81f17e8d3e0fb2e0d3628cf35e20c38d18906");
  CHECK(to_hex(must(scrypt("password", "NaCl", {1024, 8, 16}, 64))) ==
        "fdbabe1c9d3472007856e7190d01e9fe7c6ad7cbc8237830e77376634b373162"
        "2eaf30d92e22a3886ff109279d9830dac727afb94a83ee6d8360cbdfa2cc0640");
  CHECK(to_hex(must(scrypt("pleaseletmein", "SodiumChloride", {16384, 8, 1}, 64))) ==
        "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2"
        "d5432955613f0fcf62d49705242a9af9e61e85dc0d651e40dfcf017b45575887");
}

TEST_CASE("a cost that a hostile record could name is refused, not paid", "[crypto]") {
  CHECK(code_of(scrypt("1", "", {0, 8, 1}, 32)) == ErrorCode::kInvalid);
  CHECK(code_of(scrypt("1", "", {1, 8, 1}, 32)) == ErrorCode::kInvalid);
  CHECK(code_of(scrypt("1", "", {1000, 8, 1}, 32)) == ErrorCode::kInvalid);
  CHECK(code_of(scrypt("1", "", {1u << 31, 8, 1}, 32)) == ErrorCode::kInvalid);
  CHECK(code_of(scrypt("1", "", {1024, 0, 1}, 32)) == ErrorCode::kInvalid);
  CHECK(code_of(scrypt("1", "", {1024, 8, 0}, 32)) == ErrorCode::kInvalid);
  CHECK(code_of(scrypt("1", "", {1024, 8, 255}, 32)) == ErrorCode::kInvalid);
}

TEST_CASE("a PIN fits its own hash, for its own person, with the facility's key", "[crypto]") {
  const Bytes hash = must(make_pin_hash("2580", kIda, kKey));
  CHECK(must(pin_fits(hash, "2580", kIda, kKey)));
  CHECK_FALSE(must(pin_fits(hash, "2581", kIda, kKey)));
  CHECK_FALSE(must(pin_fits(hash, "", kIda, kKey)));
  CHECK_FALSE(must(pin_fits(hash, "2580", kOle, kKey)));
  CHECK_FALSE(must(pin_fits(hash, "2580", kIda, Bytes(32, 'x'))));
  CHECK(must(make_pin_hash("2580", kIda, kKey)) != hash);  // Another salt.
}

TEST_CASE("what is no hash of a PIN is refused and fits nothing", "[crypto]") {
  const Bytes hash = must(make_pin_hash("2580", kIda, kKey));
  for (std::size_t size = 0; size < hash.size(); ++size) {
    CHECK(code_of(pin_fits(hash.substr(0, size), "2580", kIda, kKey)) == ErrorCode::kInvalid);
  }
  Bytes newer = hash;
  newer[0] = 2;
  CHECK(code_of(pin_fits(newer, "2580", kIda, kKey)) == ErrorCode::kInvalid);
  // A record does not say what checking it may cost: neither more, which would stop a hub, nor less.
  for (const std::size_t at : {1u, 2u, 3u}) {
    for (int cost = 0; cost < 256; ++cost) {
      Bytes other = hash;
      other[at] = static_cast<char>(cost);
      if (other != hash) CHECK(code_of(pin_fits(other, "2580", kIda, kKey)) == ErrorCode::kInvalid);
    }
  }
}
