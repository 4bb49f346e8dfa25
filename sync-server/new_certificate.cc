#include "new_certificate.h"

#include "hosts/private_file.h"
#include "hosts/system_clock.h"
#include "read_file.h"
#include "tls_authority.h"

namespace wrackline {
namespace {

// The key first: a hub that looks in between finds that they are no pair, and stays with what it has.
Status put(const CertificatePair& pair, const std::string& certificate_path, const std::string& key_path) {
  WRACKLINE_TRY(replace_private_file(key_path, pair.key_pem));
  return replace_private_file(certificate_path, pair.certificate_pem);
}

// The authority that is there; nothing in it when there is none.
Result<CertificatePair> present_authority(const HubDirectory& directory) {
  auto certificate = read_private_file(directory.authority(), kPemBytesMax);
  if (!certificate && certificate.error().code == ErrorCode::kNotFound) return CertificatePair{};
  if (!certificate) return fail(certificate.error());
  WRACKLINE_TRY_VALUE(key, read_private_file(directory.authority_key(), kPemBytesMax));
  return CertificatePair{std::move(*certificate), std::move(key)};
}

bool is_good_until(const CertificatePair& authority, WallMs end) {
  const auto facts = check_pair(authority.certificate_pem, authority.key_pem);
  return facts && facts->expires_ms >= end;
}

}  // namespace

Result<NewCertificate> new_certificate(const NewCertificateOptions& options) {
  const HubDirectory& directory = options.directory;
  const WallMs now = wall_clock_ms();
  WRACKLINE_TRY_VALUE(certificate, read_file(directory.certificate(), kPemBytesMax));
  WRACKLINE_TRY_VALUE(key, read_private_file(directory.certificate_key(), kPemBytesMax));
  WRACKLINE_TRY_VALUE(before, check_pair(certificate, key));
  WRACKLINE_TRY_VALUE(authority, present_authority(directory));
  if (authority.key_pem.empty() && !before.is_self_signed) {
    return fail(ErrorCode::kInvalid, "making a new certificate: the one in " + directory.certificate() +
                                         " is from an authority elsewhere, so nothing was changed; have that authority sign the next one, and put it there with its key");
  }
  const std::vector<std::string>& hosts = options.hosts.empty() ? before.hosts : options.hosts;
  NewCertificate out;
  out.is_new_authority = !options.hosts.empty() || !is_good_until(authority, now + kCertificateLastsMs);
  if (out.is_new_authority) {
    WRACKLINE_TRY_VALUE(made, make_tls_authority(hosts, now));
    authority = std::move(made);
  }
  WRACKLINE_TRY_VALUE(next, make_certificate(authority, hosts, now));
  WRACKLINE_TRY_VALUE(facts, check_pair(next.certificate_pem, next.key_pem));
  out.facts = facts;
  if (out.is_new_authority) WRACKLINE_TRY(put(authority, directory.authority(), directory.authority_key()));
  WRACKLINE_TRY(put(next, directory.certificate(), directory.certificate_key()));
  return out;
}

}  // namespace wrackline
