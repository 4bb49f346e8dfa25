// Goal: what a camera reads leads to the right hub or to a refusal. Method: links by hand; the pictures
// themselves are read by another program in life.sh.
#include "hosts/enrolment_link.h"

#include <catch2/catch.hpp>

#include "qr_picture.h"
#include "support/random.h"

using namespace wrackline;

namespace {

const std::string kFingerprint(64, 'A');

}  // namespace

TEST_CASE("an enrolment link comes back as it was written, whatever its case", "[link]") {
  for (const char* hub : {"hub.example.org:8443", "192.0.2.7:9000", "[2001:db8::7]:443"}) {
    HubAddress address;
    if (auto parsed = parse_hub_address(hub)) address = *parsed;
    std::string text = to_text(EnrolmentLink{address, kFingerprint, "BCDFGHJKLM"});
    for (int lower = 0; lower < 2; ++lower) {
      const auto link = parse_enrolment_link(text);
      REQUIRE(link);
      CHECK(to_text(link->hub) == hub);
      CHECK(link->fingerprint == kFingerprint);
      CHECK(link->code == "BCDFGHJKLM");
      for (char& c : text) c = static_cast<char>(std::tolower(c));
    }
  }
}

TEST_CASE("a link that is cut, of another kind, or nonsense is refused with what is wrong", "[link]") {
  const std::string good = "WRACKLINE://HUB.EXAMPLE.ORG:8443/ENROL/" + kFingerprint + "/BCDFGHJKLM";
  REQUIRE(parse_enrolment_link(good));
  for (const std::string& bad :
       {std::string(), std::string("https://hub.example.org:8443/enrol/") + kFingerprint + "/BCDFGHJKLM",
        "WRACKLINE:///ENROL/" + kFingerprint + "/BCDFGHJKLM", "WRACKLINE://HUB/OTHER/" + kFingerprint + "/B",
        "WRACKLINE://HUB/ENROL/" + std::string(64, 'G') + "/BCDFGHJKLM", good + "/", good + "?x",
        good + std::string(600, 'B'), "WRACKLINE://HUB:99999/ENROL/" + kFingerprint + "/BCDFGHJKLM"})
    CHECK(parse_enrolment_link(bad).error().code == ErrorCode::kInvalid);
  for (std::size_t size = 0; size <= good.size() - 10; ++size)
    CHECK_FALSE(parse_enrolment_link(good.substr(0, size)));
  Random random = test_random("links");
  for (int i = 0; i < 2000; ++i) {
    std::string text = good;
    text[static_cast<std::size_t>(random.below(text.size()))] = static_cast<char>(random.below(256));
    const auto link = parse_enrolment_link(text);
    if (!link) CHECK_FALSE(link.error().message.empty());
  }
}

TEST_CASE("a picture has finder patterns in three corners and a quiet zone around", "[link]") {
  const auto picture = qr_of("WRACKLINE://HUB:1/ENROL/X/Y");
  REQUIRE(picture);
  // ISO/IEC 18004, 6.3.3: a ring of 7, dark; one of 5, light; a block of 3, dark.
  const int far = picture->width - 7;
  for (const auto& [x, y] : {std::pair{0, 0}, std::pair{far, 0}, std::pair{0, far}}) {
    CHECK(picture->is_dark(x, y));
    CHECK_FALSE(picture->is_dark(x + 1, y + 1));
    CHECK(picture->is_dark(x + 3, y + 3));
  }
  CHECK((picture->width - 17) % 4 == 0);
  CHECK_FALSE(picture->is_dark(-1, 0));
  CHECK_FALSE(picture->is_dark(0, picture->width));
  CHECK(qr_of(std::string(8000, 'x')).error().code == ErrorCode::kTooLarge);
  CHECK(qr_as_svg(*picture).find("viewBox=\"0 0 " + std::to_string(picture->width + 8)) != std::string::npos);
}
