// Goal: a certificate fits its key and says when it ends; a name cannot smuggle another into it. Method: make
// and judge. What TLS clients think of it is for tls.sh.
#include "certificate.h"

#include <catch2/catch.hpp>

#include "scratch.h"

using namespace wrackline;

namespace {
constexpr WallMs kNow = 1'800'000'000'000;
constexpr WallMs kDay = 86'400'000;
}  // namespace

TEST_CASE("a made certificate fits its key and lasts two years", "[certificate]") {
  const CertificatePair pair = must(make_self_signed({"hub.test", "192.0.2.7", "2001:db8::7"}, kNow));
  const CertificateFacts facts = must(check_pair(pair.certificate_pem, pair.key_pem));
  CHECK(facts.expires_ms == kNow + 730 * kDay);
  CHECK(facts.fingerprint.size() == 32 * 3 - 1);
  const CertificatePair other = must(make_self_signed({"hub.test"}, kNow));
  CHECK(check_pair(pair.certificate_pem, other.key_pem).error().code == ErrorCode::kInvalid);
  CHECK(must(check_pair(other.certificate_pem, other.key_pem)).fingerprint != facts.fingerprint);
}

TEST_CASE("a long name is fine, and a name that is none is refused", "[certificate]") {
  must(make_self_signed({std::string(60, 'a') + "." + std::string(60, 'b')}, kNow));
  for (const char* host :
       {"", "hub.test,DNS:bank.test", "hub test", "https://hub", "hub:8443", "*", "-x", "hub\n"}) {
    CAPTURE(host);
    CHECK(make_self_signed({host}, kNow).error().code == ErrorCode::kInvalid);
  }
}

TEST_CASE("what is no certificate or no key is told apart", "[certificate]") {
  const CertificatePair pair = must(make_self_signed({"hub.test"}, kNow));
  CHECK(check_pair("", pair.key_pem).error().message.find("certificate") != std::string::npos);
  CHECK(check_pair(pair.certificate_pem, "").error().message.find("private key") != std::string::npos);
  CHECK_FALSE(check_pair(pair.key_pem, pair.certificate_pem));
}
