// Goal: a certificate fits its key and says when it ends; a name cannot smuggle another into it. Method: make
// and judge. What TLS clients think of it is for tls.sh.
#include "certificate.h"

#include <catch2/catch.hpp>

#include "hosts/private_file.h"
#include "hosts/system_clock.h"
#include "init.h"
#include "new_certificate.h"
#include "scratch.h"
#include "tls_authority.h"

using namespace wrackline;

namespace {
constexpr WallMs kNow = 1'800'000'000'000;
constexpr WallMs kDay = 86'400'000;

CertificatePair pair_for(const std::vector<std::string>& hosts) { return must(make_certificate(must(make_tls_authority(hosts, kNow)), hosts, kNow)); }
}  // namespace

TEST_CASE("a made certificate fits its key and lasts two years", "[certificate]") {
  const CertificatePair pair = pair_for({"hub.test", "192.0.2.7", "2001:db8::7"});
  const CertificateFacts facts = must(check_pair(pair.certificate_pem, pair.key_pem));
  CHECK(facts.expires_ms == kNow + 730 * kDay);
  CHECK(facts.fingerprint.size() == 32 * 3 - 1);
  CHECK(facts.hosts == std::vector<std::string>{"hub.test", "192.0.2.7", "2001:db8::7"});
  CHECK_FALSE(facts.is_self_signed);
  const CertificatePair other = pair_for({"hub.test"});
  CHECK(check_pair(pair.certificate_pem, other.key_pem).error().code == ErrorCode::kInvalid);
  CHECK(must(check_pair(other.certificate_pem, other.key_pem)).fingerprint != facts.fingerprint);
}

TEST_CASE("a long name is fine, and a name that is none is refused", "[certificate]") {
  pair_for({std::string(60, 'a') + "." + std::string(60, 'b')});
  const CertificatePair authority = must(make_tls_authority({"hub.test"}, kNow));
  for (const char* host :
       {"", "hub.test,DNS:bank.test", "hub test", "https://hub", "hub:8443", "*", "-x", "hub\n"}) {
    CAPTURE(host);
    CHECK(make_tls_authority({host}, kNow).error().code == ErrorCode::kInvalid);
    CHECK(make_certificate(authority, {host}, kNow).error().code == ErrorCode::kInvalid);
  }
}

TEST_CASE("what is no certificate or no key is told apart", "[certificate]") {
  const CertificatePair pair = pair_for({"hub.test"});
  CHECK(check_pair("", pair.key_pem).error().message.find("certificate") != std::string::npos);
  CHECK(check_pair(pair.certificate_pem, "").error().message.find("private key") != std::string::npos);
  CHECK_FALSE(check_pair(pair.key_pem, pair.certificate_pem));
}

TEST_CASE("the next certificate is by the same authority, unless the hub is reached by other names", "[certificate]") {
  Scratch scratch;
  NewCertificateOptions options{{scratch / "hub"}, {}};
  const HubDirectory& directory = options.directory;
  must(init({directory, "Test Pier", "Europe/Oslo", {"hub.test", "192.0.2.7"}, "", "", "Ada"}));
  const std::string authority = content_of(directory.authority()), first = content_of(directory.certificate());

  NewCertificate made = must(new_certificate(options));
  CHECK_FALSE(made.is_new_authority);
  CHECK(made.facts.hosts == std::vector<std::string>{"hub.test", "192.0.2.7"});
  CHECK(content_of(directory.authority()) == authority);
  CHECK(content_of(directory.certificate()) != first);
  CHECK(must(check_pair(content_of(directory.certificate()), content_of(directory.certificate_key()))).fingerprint == made.facts.fingerprint);

  options.hosts = {"pier.test"};
  made = must(new_certificate(options));
  CHECK(made.is_new_authority);
  CHECK(made.facts.hosts == options.hosts);
  CHECK(content_of(directory.authority()) != authority);
  CHECK(must(check_pair(content_of(directory.authority()), content_of(directory.authority_key()))).is_self_signed);
}

TEST_CASE("a hub without an authority gets one, unless its certificate came from elsewhere", "[certificate]") {
  Scratch scratch;
  const NewCertificateOptions options{{scratch / "hub"}, {}};
  const HubDirectory& directory = options.directory;
  must(init({directory, "Test Pier", "Europe/Oslo", {"hub.test"}, "", "", "Ada"}));
  std::filesystem::remove(directory.authority());
  std::filesystem::remove(directory.authority_key());
  const std::string before = content_of(directory.certificate());
  CHECK(new_certificate(options).error().code == ErrorCode::kInvalid);
  CHECK(content_of(directory.certificate()) == before);
  // A release that knew of no authority made it so; here a certificate signs for itself.
  const CertificatePair alone = must(make_tls_authority({"hub.test"}, kNow));
  must(replace_private_file(directory.certificate(), alone.certificate_pem));
  must(replace_private_file(directory.certificate_key(), alone.key_pem));
  CHECK(must(new_certificate(options)).is_new_authority);
}

TEST_CASE("an authority that ends before its certificate would is made anew", "[certificate]") {
  Scratch scratch;
  const NewCertificateOptions options{{scratch / "hub"}, {}};
  must(init({options.directory, "Test Pier", "Europe/Oslo", {"hub.test"}, "", "", "Ada"}));
  const CertificatePair old = must(make_tls_authority({"hub.test"}, wall_clock_ms() - 9 * 365 * kDay));
  must(replace_private_file(options.directory.authority(), old.certificate_pem));
  must(replace_private_file(options.directory.authority_key(), old.key_pem));
  CHECK(must(new_certificate(options)).is_new_authority);
}
