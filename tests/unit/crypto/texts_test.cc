// crypto/texts.h: what is signed for one purpose is never what is signed for another.
#include "crypto/texts.h"

#include <catch2/catch.hpp>
#include <set>

#include "support/hex.h"

using namespace wrackline;

TEST_CASE("a seal's text is its purpose, facility, log, seq and chain hash", "[crypto]") {
  FacilityId facility{};
  facility[0] = 0xfa;
  facility[15] = 0x01;
  Hash chain{};
  chain[0] = 0xcc;
  const Bytes text = seal_text(facility, {{0x0102030405060708}, 0x0a0b0c}, chain);
  CHECK(to_hex(text) == to_hex("wrackline/seal/1") + "fa000000000000000000000000000001" + "0807060504030201" +
                            "0c0b0a00" + "cc" + std::string(62, '0'));
}

TEST_CASE("no purpose's text begins like another's", "[crypto]") {
  const std::vector<Bytes> texts = {seal_text({}, {}, {}), receipt_text({}, {}, 0, 0), enrolment_text("", {}),
                                    session_text({}, ""), rekey_text({}, {}, {})};
  std::set<std::string> purposes;
  for (const Bytes& text : texts) {
    REQUIRE(text.substr(0, 10) == "wrackline/");
    const std::size_t end = text.find('/', 10);
    REQUIRE(end != Bytes::npos);
    purposes.insert(text.substr(0, end + 1));
  }
  CHECK(purposes.size() == texts.size());
}

TEST_CASE("each part of a text that is signed alters it", "[crypto]") {
  FacilityId facility{}, other_facility{};
  other_facility[3] = 1;
  Hash chain{}, other_chain{};
  other_chain[31] = 1;
  PublicKey key{}, other_key{};
  other_key[0] = 1;
  const ChangeId last{{7}, 8};
  CHECK(seal_text(facility, last, chain) != seal_text(other_facility, last, chain));
  CHECK(seal_text(facility, last, chain) != seal_text(facility, {{8}, 8}, chain));
  CHECK(seal_text(facility, last, chain) != seal_text(facility, {{7}, 7}, chain));
  CHECK(seal_text(facility, last, chain) != seal_text(facility, last, other_chain));
  CHECK(receipt_text(facility, last, 1, 2) != receipt_text(facility, last, 2, 1));
  CHECK(receipt_text(facility, last, 1, 2) != receipt_text(other_facility, last, 1, 2));
  CHECK(enrolment_text("code", key) != enrolment_text("code", other_key));
  CHECK(enrolment_text("code", key) != enrolment_text("c0de", key));
  CHECK(session_text(facility, "nonce") != session_text(other_facility, "nonce"));
  CHECK(session_text(facility, "nonce") != session_text(facility, "other"));
  CHECK(rekey_text(facility, key, other_key) != rekey_text(facility, other_key, key));
  CHECK(rekey_text(facility, key, other_key) != rekey_text(facility, key, key));
  CHECK(rekey_text(facility, key, other_key) != rekey_text(other_facility, key, other_key));
}
