#include "tls_authority.h"

#include <arpa/inet.h>

#include <algorithm>
#include <ctime>

#include "certificate.h"
#include "crypto/signing.h"
#include "openssl_pem.h"

namespace wrackline {
namespace {

constexpr long kValidBeforeSeconds = 60 * 60;
constexpr WallMs kAuthorityLastsMs = 5 * kCertificateLastsMs;

bool is_address(int family, const std::string& host) {
  unsigned char bytes[16];
  return ::inet_pton(family, host.c_str(), bytes) == 1;
}

// Strict, because the name becomes part of an extension's text: a comma would begin another name.
bool is_host_name(const std::string& host) {
  return !host.empty() && host.size() <= 253 && host.front() != '.' && host.front() != '-' &&
         std::all_of(host.begin(), host.end(), [](char c) {
           return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
                  c == '.';
         });
}

// With the machine's own names, each once.
Result<std::vector<std::string>> names_of(const std::vector<std::string>& hosts) {
  std::vector<std::string> names;
  const auto add = [&](const std::string& name) {
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  };
  for (const std::string& host : hosts) {
    if (!is_address(AF_INET, host) && !is_address(AF_INET6, host) && !is_host_name(host))
      return fail(ErrorCode::kInvalid,
                  "making a certificate: \"" + host +
                      "\" is neither a machine's name nor an address; name the hub as devices "
                      "will reach it, without https:// and port");
    add(host);
  }
  for (const char* own : kOwnNames) add(own);
  return names;
}

std::string joined(const std::vector<std::string>& parts) {
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "" : ",") + part;
  return text;
}

std::string alternative_names(const std::vector<std::string>& names) {
  std::vector<std::string> parts;
  for (const std::string& name : names) parts.push_back((is_address(AF_INET, name) || is_address(AF_INET6, name) ? "IP:" : "DNS:") + name);
  return joined(parts);
}

// There is always a name and an address to permit, so that neither kind is left free.
std::string name_constraints(const std::vector<std::string>& names) {
  std::vector<std::string> parts = {"critical"};
  for (const std::string& name : names) {
    if (is_address(AF_INET, name)) {
      parts.push_back("permitted;IP:" + name + "/255.255.255.255");
    } else if (is_address(AF_INET6, name)) {
      parts.push_back("permitted;IP:" + name + "/ffff:ffff:ffff:ffff:ffff:ffff:ffff:ffff");
    } else {
      parts.push_back("permitted;DNS:" + name);
    }
  }
  return joined(parts);
}

struct Wanted {
  std::string name;  // People see this name; machines look at the extensions.
  WallMs lasts_ms = 0;
  std::vector<std::pair<int, std::string>> extensions;
};

bool add_extension(X509* certificate, X509* issuer, int nid, const std::string& value) {
  X509V3_CTX context;
  X509V3_set_ctx_nodb(&context);
  X509V3_set_ctx(&context, issuer, certificate, nullptr, nullptr, 0);
  const std::unique_ptr<X509_EXTENSION, Freer<X509_EXTENSION_free>> extension(X509V3_EXT_conf_nid(nullptr, &context, nid, value.c_str()));
  return extension && X509_add_ext(certificate, extension.get(), -1) == 1;
}

// Signed by `issuer`; by itself when that is null.
Result<CertificatePair> make(const Wanted& wanted, WallMs now, const CertificatePair* issuer) {
  const auto failed = [] { return fail(ErrorCode::kKeystore, "making a certificate: it could not be made; nothing was written"); };
  // 159 bits, so that it is positive and never repeats: two certificates of one issuer must not share a serial.
  WRACKLINE_TRY_VALUE(serial, random_bytes(20));
  serial[0] = static_cast<char>(serial[0] & 0x7f);
  const KeyPtr key(EVP_PKEY_Q_keygen(nullptr, nullptr, "EC", "P-256"));
  const CertificatePtr certificate(X509_new());
  const CertificatePtr issuer_certificate = issuer != nullptr ? certificate_in(issuer->certificate_pem) : nullptr;
  const KeyPtr issuer_key = issuer != nullptr ? key_in(issuer->key_pem) : nullptr;
  if (!key || !certificate || (issuer != nullptr && (!issuer_certificate || !issuer_key))) return failed();
  X509* c = certificate.get();
  X509* by = issuer_certificate ? issuer_certificate.get() : c;

  const std::unique_ptr<BIGNUM, Freer<BN_free>> number(
      BN_bin2bn(reinterpret_cast<const unsigned char*>(serial.data()), static_cast<int>(serial.size()), nullptr));
  const std::string shown = wanted.name.substr(0, 64);
  std::time_t begins = static_cast<std::time_t>(now / 1000);
  bool ok = number && BN_to_ASN1_INTEGER(number.get(), X509_get_serialNumber(c)) != nullptr && X509_set_version(c, X509_VERSION_3) == 1 &&
            X509_time_adj_ex(X509_getm_notBefore(c), 0, -kValidBeforeSeconds, &begins) != nullptr &&
            X509_time_adj_ex(X509_getm_notAfter(c), 0, static_cast<long>(wanted.lasts_ms / 1000), &begins) != nullptr && X509_set_pubkey(c, key.get()) == 1 &&
            X509_NAME_add_entry_by_txt(X509_get_subject_name(c), "CN", MBSTRING_UTF8, reinterpret_cast<const unsigned char*>(shown.data()),
                                       static_cast<int>(shown.size()), -1, 0) == 1 &&
            X509_set_issuer_name(c, X509_get_subject_name(by)) == 1;
  for (const auto& [nid, value] : wanted.extensions) ok = ok && add_extension(c, by, nid, value);
  if (!ok || X509_sign(c, issuer_key ? issuer_key.get() : key.get(), EVP_sha256()) <= 0) return failed();
  CertificatePair pair{pem_of(c), pem_of(key.get())};
  if (pair.certificate_pem.empty() || pair.key_pem.empty()) return failed();
  return pair;
}

}  // namespace

Result<CertificatePair> make_tls_authority(const std::vector<std::string>& hosts, WallMs now) {
  WRACKLINE_TRY_VALUE(names, names_of(hosts));
  return make({"Authority of " + names.front() + " alone",
               kAuthorityLastsMs,
               {{NID_basic_constraints, "critical,CA:TRUE,pathlen:0"},
                {NID_key_usage, "critical,keyCertSign"},
                {NID_ext_key_usage, "serverAuth"},
                {NID_subject_key_identifier, "hash"},
                {NID_name_constraints, name_constraints(names)}}},
              now, nullptr);
}

Result<CertificatePair> make_certificate(const CertificatePair& authority, const std::vector<std::string>& hosts, WallMs now) {
  WRACKLINE_TRY_VALUE(names, names_of(hosts));
  return make({names.front(),
               kCertificateLastsMs,
               {{NID_basic_constraints, "critical,CA:FALSE"},
                {NID_key_usage, "critical,digitalSignature"},
                {NID_ext_key_usage, "serverAuth"},
                {NID_subject_key_identifier, "hash"},
                {NID_authority_key_identifier, "keyid:always"},
                {NID_subject_alt_name, alternative_names(names)}}},
              now, &authority);
}

}  // namespace wrackline
