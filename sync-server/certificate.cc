#include "certificate.h"

#include <arpa/inet.h>

#include <algorithm>
#include <ctime>

#include "openssl_pem.h"

namespace wrackline {
namespace {

// "" for a kind of name that no machine is reached by.
std::string host_of(const GENERAL_NAME* name) {
  int type = 0;
  const auto* text = static_cast<const ASN1_STRING*>(GENERAL_NAME_get0_value(name, &type));
  const auto* bytes = ASN1_STRING_get0_data(text);
  if (type == GEN_DNS) return {reinterpret_cast<const char*>(bytes), static_cast<std::size_t>(ASN1_STRING_length(text))};
  if (type != GEN_IPADD) return {};
  char shown[INET6_ADDRSTRLEN] = "";
  const int family = ASN1_STRING_length(text) == 4 ? AF_INET : AF_INET6;
  return ::inet_ntop(family, bytes, shown, sizeof shown) != nullptr ? shown : "";
}

std::vector<std::string> hosts_of(X509* certificate) {
  const std::unique_ptr<GENERAL_NAMES, Freer<GENERAL_NAMES_free>> names(
      static_cast<GENERAL_NAMES*>(X509_get_ext_d2i(certificate, NID_subject_alt_name, nullptr, nullptr)));
  std::vector<std::string> hosts;
  for (int i = 0; names && i < sk_GENERAL_NAME_num(names.get()); ++i) {
    const std::string host = host_of(sk_GENERAL_NAME_value(names.get(), i));
    if (!host.empty() && std::find(std::begin(kOwnNames), std::end(kOwnNames), host) == std::end(kOwnNames)) hosts.push_back(host);
  }
  return hosts;
}

}  // namespace

Result<CertificateFacts> check_pair(ByteView certificate_pem, ByteView key_pem) {
  const CertificatePtr certificate = certificate_in(certificate_pem);
  if (!certificate)
    return fail(ErrorCode::kInvalid, "reading the TLS certificate: it is no certificate in PEM form");
  const KeyPtr key = key_in(key_pem);
  if (!key)
    return fail(ErrorCode::kInvalid,
                "reading the TLS key: it is no private key in PEM form without a passphrase");
  if (X509_check_private_key(certificate.get(), key.get()) != 1)
    return fail(ErrorCode::kInvalid, "reading the TLS certificate: the key is that of another certificate");
  CertificateFacts facts;
  facts.hosts = hosts_of(certificate.get());
  facts.is_self_signed = X509_self_signed(certificate.get(), 1) == 1;
  std::tm end{};
  if (ASN1_TIME_to_tm(X509_get0_notAfter(certificate.get()), &end) == 1) {
    const std::time_t seconds = ::timegm(&end);
    facts.expires_ms = seconds > 0 ? static_cast<WallMs>(seconds) * 1000 : 0;
  }
  unsigned char digest[EVP_MAX_MD_SIZE];
  unsigned int size = 0;
  if (X509_digest(certificate.get(), EVP_sha256(), digest, &size) == 1) {
    for (unsigned int i = 0; i < size; ++i) {
      static constexpr char kDigits[] = "0123456789ABCDEF";
      if (i > 0) facts.fingerprint += ':';
      facts.fingerprint += kDigits[digest[i] >> 4];
      facts.fingerprint += kDigits[digest[i] & 15];
    }
  }
  return facts;
}

}  // namespace wrackline
