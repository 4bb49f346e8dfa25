// crypto/signing.h against the test vectors of RFC 8032, section 7.1 (Ed25519), and what must be refused.
#include "crypto/signing.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "crypto/signature_equation.h"
#include "edge_signatures.h"
#include "support/hex.h"
#include "support/random.h"

using namespace wrackline;

namespace {

struct Vector {
  const char* name;
  const char* key;
  const char* text;
  const char* signature;
};

// Source: RFC 8032, section 7.1, tests 1 to 3 and SHA(abc). Key of test 3 computed with the openssl command from the RFC's
// secret key; the last test from memory, computed again by edge_signatures.py's arithmetic from the RFC's secret key.
const Vector kVectors[] = {
    {"test 1", "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
     "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f"
     "0595bbe246"
     "55141438e7a100b"},
    {"test 2", "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
     "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2ea"
     "eb4302aeeb0"
     "0d291612bb0c00"},
    {"test 3", "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
     "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e"
     "9716ed28dc0"
     "27beceea1ec40a"},
    {"test SHA(abc)", "ec172b93ad5e563bf4932c70e1245034c35467ef2efd4d64ebf819683467e2bf",
     "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f",
     "dc2a4459e7369633a52b1bf277839a00201009a3efbf3ecb69bea2186c26b58909351fc9ac90b3ecfdfbc7c66431e0303dca179c138ac17ad9bef1177331a704"},
};

PublicKey key_of(const Vector& vector) {
  PublicKey key;
  REQUIRE(copy_exactly(from_hex(vector.key), key));
  return key;
}

Signature signature_of(const Vector& vector) {
  Signature signature;
  REQUIRE(copy_exactly(from_hex(vector.signature), signature));
  return signature;
}

// Adds the order of the group, L = 2^252 + 27742317777372353535851937790883648493 (RFC 8032, section 5.1), to
// the number S in the second half of a signature: the same equation holds for it, but S >= L.
Signature with_order_added(Signature signature) {
  Bytes order = from_hex("edd3f55c1a631258d69cf7a2def9de14");
  order.resize(31, '\0');
  order.push_back('\x10');
  unsigned carry = 0;
  for (std::size_t i = 0; i < 32; ++i) {
    const unsigned sum = signature[32 + i] + static_cast<unsigned char>(order[i]) + carry;
    signature[32 + i] = static_cast<unsigned char>(sum);
    carry = sum >> 8;
  }
  REQUIRE(carry == 0);
  return signature;
}

}  // namespace

TEST_CASE("the signatures of RFC 8032 are good", "[crypto]") {
  for (const Vector& vector : kVectors) {
    CAPTURE(vector.name);
    CHECK(verify_signature(key_of(vector), from_hex(vector.text), signature_of(vector)));
  }
}

TEST_CASE("a signature with any one bit flipped is refused", "[crypto]") {
  const Vector& vector = kVectors[2];
  int good = 0;
  for (std::size_t bit = 0; bit < 512; ++bit) {
    Signature signature = signature_of(vector);
    signature[bit / 8] ^= static_cast<unsigned char>(1u << (bit % 8));
    if (verify_signature(key_of(vector), from_hex(vector.text), signature)) ++good;
  }
  CHECK(good == 0);
}

TEST_CASE("a signature is refused for a text with any one bit flipped, cut or lengthened", "[crypto]") {
  const Vector& vector = kVectors[2];
  const Bytes text = from_hex(vector.text);
  for (std::size_t bit = 0; bit < text.size() * 8; ++bit) {
    Bytes altered = text;
    altered[bit / 8] = static_cast<char>(altered[bit / 8] ^ (1 << (bit % 8)));
    CHECK_FALSE(verify_signature(key_of(vector), altered, signature_of(vector)));
  }
  CHECK_FALSE(verify_signature(key_of(vector), text.substr(1), signature_of(vector)));
  CHECK_FALSE(verify_signature(key_of(vector), text + '\0', signature_of(vector)));
}

TEST_CASE("a signature is refused under any other key", "[crypto]") {
  const Vector& vector = kVectors[2];
  CHECK_FALSE(verify_signature(key_of(kVectors[0]), from_hex(vector.text), signature_of(vector)));
  Random random = test_random("other keys");
  for (int i = 0; i < 100; ++i) {
    PublicKey key;  // Often not even a point of the curve.
    REQUIRE(copy_exactly(random.bytes(32), key));
    CHECK_FALSE(verify_signature(key, from_hex(vector.text), signature_of(vector)));
  }
}

// RFC 8032, section 5.1.7: S must be in 0 <= S < L. Without that check every signature could be written anew
// in a second form, and bytes that were sealed would no longer be the only bytes that pass.
TEST_CASE("a signature whose S is not below the order of the group is refused", "[crypto]") {
  for (const Vector& vector : kVectors) {
    CAPTURE(vector.name);
    CHECK_FALSE(
        verify_signature(key_of(vector), from_hex(vector.text), with_order_added(signature_of(vector))));
  }
}

// Natively the library is OpenSSL, in WebAssembly libsodium: both have to give these answers, and no other.
TEST_CASE("each platform takes the same of the signatures on the edge", "[crypto]") {
  for (const EdgeSignature& edge : kEdgeSignatures) {
    CAPTURE(edge.name);
    PublicKey key;
    Signature signature;
    REQUIRE(copy_exactly(from_hex(edge.key), key));
    REQUIRE(copy_exactly(from_hex(edge.signature), signature));
    CHECK(verify_signature(key, from_hex(edge.text), signature) == edge.is_taken);
    // A library may be stricter at the edge, never wrong about what is taken.
    if (edge.is_taken) CHECK(signature_equation_holds(key, from_hex(edge.text), signature));
    if (!edge.holds) CHECK_FALSE(signature_equation_holds(key, from_hex(edge.text), signature));
  }
}

TEST_CASE("no point of small order is a sound key, however it is written", "[crypto]") {
  for (const char* small : kSmallOrderKeys) {
    CAPTURE(small);
    PublicKey key;
    REQUIRE(copy_exactly(from_hex(small), key));
    CHECK_FALSE(is_sound_key(key));
  }
}

TEST_CASE("a key whose y is not below p is not sound, one below it is", "[crypto]") {
  PublicKey key;
  key.fill(0xff);
  for (const unsigned char sign : {0, 0x80}) {
    key[31] = static_cast<unsigned char>(0x7f | sign);
    for (int low = 0xed; low <= 0xff; ++low) {  // p to 2^255 - 1
      key[0] = static_cast<unsigned char>(low);
      CHECK_FALSE(is_sound_key(key));
    }
    key[0] = 0xeb;  // p - 2
    CHECK(is_sound_key(key));
  }
  for (const Vector& vector : kVectors) CHECK(is_sound_key(key_of(vector)));
}

TEST_CASE("random bytes come in the number asked for and differ", "[crypto]") {
  const Result<Bytes> a = random_bytes(32), b = random_bytes(32);
  REQUIRE(a);
  REQUIRE(b);
  CHECK(a->size() == 32);
  CHECK(*a != *b);  // Equal once in 2^256.
  CHECK(random_bytes(0)->empty());
}
