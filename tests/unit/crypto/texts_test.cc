// crypto/texts.h: what is signed for one purpose is never what is signed for another.
#include "crypto/texts.h"

#include <catch2/catch.hpp>
#include <set>

#include "log/seal.h"

using namespace wrackline;

TEST_CASE("no purpose's text begins like another's", "[crypto]") {
  const std::vector<Bytes> texts = {seal_text({}, {}, {}, {}), enrolment_text("", {}),
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
  PublicKey key{}, other_key{};
  other_key[0] = 1;
  CHECK(enrolment_text("code", key) != enrolment_text("code", other_key));
  CHECK(enrolment_text("code", key) != enrolment_text("c0de", key));
  CHECK(session_text(facility, "nonce") != session_text(other_facility, "nonce"));
  CHECK(session_text(facility, "nonce") != session_text(facility, "other"));
  CHECK(rekey_text(facility, key, other_key) != rekey_text(facility, other_key, key));
  CHECK(rekey_text(facility, key, other_key) != rekey_text(facility, key, key));
  CHECK(rekey_text(facility, key, other_key) != rekey_text(other_facility, key, other_key));
}
