#include "certificate.h"

#include <arpa/inet.h>
#include <openssl/bio.h>
#include <openssl/evp.h>
#include <openssl/pem.h>
#include <openssl/x509.h>
#include <openssl/x509v3.h>

#include <algorithm>
#include <ctime>
#include <memory>

#include "crypto/signing.h"

namespace wrackline {
namespace {

template <auto free_function>
struct Freer {
  template <typename T>
  void operator()(T* pointer) const {
    free_function(pointer);
  }
};
using BioPtr = std::unique_ptr<BIO, Freer<BIO_free_all>>;
using KeyPtr = std::unique_ptr<EVP_PKEY, Freer<EVP_PKEY_free>>;
using CertificatePtr = std::unique_ptr<X509, Freer<X509_free>>;
using ExtensionPtr = std::unique_ptr<X509_EXTENSION, Freer<X509_EXTENSION_free>>;

constexpr long kValidBeforeSeconds = 60 * 60;
constexpr long kValidSeconds = 2L * 365 * 24 * 60 * 60;

bool is_ip_address(const std::string& host) {
  unsigned char bytes[16];
  return ::inet_pton(AF_INET, host.c_str(), bytes) == 1 || ::inet_pton(AF_INET6, host.c_str(), bytes) == 1;
}

// Strict, because the name becomes part of an extension's text: a comma would begin another name.
bool is_host_name(const std::string& host) {
  return !host.empty() && host.size() <= 253 && host.front() != '.' && host.front() != '-' &&
         std::all_of(host.begin(), host.end(), [](char c) {
           return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
                  c == '.';
         });
}

Result<std::string> alternative_names(std::vector<std::string> hosts) {
  for (const char* always : {"localhost", "127.0.0.1", "::1"}) hosts.emplace_back(always);
  std::string text;
  std::vector<std::string> seen;
  for (const std::string& host : hosts) {
    const bool is_ip = is_ip_address(host);
    if (!is_ip && !is_host_name(host))
      return fail(ErrorCode::kInvalid,
                  "making a certificate: \"" + host +
                      "\" is neither a machine's name nor an address; name the hub as devices "
                      "will reach it, without https:// and port");
    if (std::find(seen.begin(), seen.end(), host) != seen.end()) continue;
    seen.push_back(host);
    text += (text.empty() ? "" : ",") + std::string(is_ip ? "IP:" : "DNS:") + host;
  }
  return text;
}

bool add_extension(X509* certificate, int nid, const std::string& value) {
  X509V3_CTX context;
  X509V3_set_ctx_nodb(&context);
  X509V3_set_ctx(&context, certificate, certificate, nullptr, nullptr, 0);
  const ExtensionPtr extension(X509V3_EXT_conf_nid(nullptr, &context, nid, value.c_str()));
  return extension && X509_add_ext(certificate, extension.get(), -1) == 1;
}

Bytes text_of(BIO* bio) {
  char* data = nullptr;
  const long size = BIO_get_mem_data(bio, &data);
  return {data, static_cast<std::size_t>(size)};
}

CertificatePtr parse_certificate(ByteView pem) {
  const BioPtr bio(BIO_new_mem_buf(pem.data(), static_cast<int>(pem.size())));
  return CertificatePtr(bio ? PEM_read_bio_X509(bio.get(), nullptr, nullptr, nullptr) : nullptr);
}

std::string first_host(X509* certificate) {
  std::unique_ptr<GENERAL_NAMES, Freer<GENERAL_NAMES_free>> names(
      static_cast<GENERAL_NAMES*>(X509_get_ext_d2i(certificate, NID_subject_alt_name, nullptr, nullptr)));
  for (int i = 0; names && i < sk_GENERAL_NAME_num(names.get()); ++i) {
    int type = 0;
    const auto* text = static_cast<const ASN1_STRING*>(
        GENERAL_NAME_get0_value(sk_GENERAL_NAME_value(names.get(), i), &type));
    const auto* bytes = ASN1_STRING_get0_data(text);
    std::string host;
    if (type == GEN_DNS) {
      host.assign(reinterpret_cast<const char*>(bytes), static_cast<std::size_t>(ASN1_STRING_length(text)));
    } else if (type == GEN_IPADD) {
      char shown[INET6_ADDRSTRLEN] = "";
      const int family = ASN1_STRING_length(text) == 4 ? AF_INET : AF_INET6;
      if (::inet_ntop(family, bytes, shown, sizeof shown) != nullptr) host = shown;
    }
    if (!host.empty() && host != "localhost" && host != "127.0.0.1" && host != "::1") return host;
  }
  return {};
}

int no_passphrase(char*, int, int, void*) { return -1; }

KeyPtr parse_key(ByteView pem) {
  const BioPtr bio(BIO_new_mem_buf(pem.data(), static_cast<int>(pem.size())));
  return KeyPtr(bio ? PEM_read_bio_PrivateKey(bio.get(), nullptr, no_passphrase, nullptr) : nullptr);
}

}  // namespace

Result<CertificatePair> make_self_signed(const std::vector<std::string>& hosts, WallMs now) {
  WRACKLINE_TRY_VALUE(names, alternative_names(hosts));
  // 159 bits, so that it is positive and never repeats: two certificates of one issuer must not share a
  // serial.
  WRACKLINE_TRY_VALUE(serial, random_bytes(20));
  serial[0] = static_cast<char>(serial[0] & 0x7f);
  const KeyPtr key(EVP_PKEY_Q_keygen(nullptr, nullptr, "EC", "P-256"));
  const CertificatePtr certificate(X509_new());
  const BioPtr certificate_out(BIO_new(BIO_s_mem())), key_out(BIO_new(BIO_s_secmem()));
  // The subject is only what people see; devices look at the alternative names.
  const std::string& first = hosts.empty() ? "localhost" : hosts.front();
  const std::string shown = first.substr(0, 64);
  std::time_t begins = static_cast<std::time_t>(now / 1000);

  bool ok = key && certificate && certificate_out && key_out;
  if (ok) {
    X509* c = certificate.get();
    X509_NAME* subject = X509_get_subject_name(c);
    std::unique_ptr<BIGNUM, Freer<BN_free>> number(BN_bin2bn(
        reinterpret_cast<const unsigned char*>(serial.data()), static_cast<int>(serial.size()), nullptr));
    ok = number && BN_to_ASN1_INTEGER(number.get(), X509_get_serialNumber(c)) != nullptr &&
         X509_set_version(c, X509_VERSION_3) == 1 &&
         X509_time_adj_ex(X509_getm_notBefore(c), 0, -kValidBeforeSeconds, &begins) != nullptr &&
         X509_time_adj_ex(X509_getm_notAfter(c), 0, kValidSeconds, &begins) != nullptr &&
         X509_set_pubkey(c, key.get()) == 1 &&
         X509_NAME_add_entry_by_txt(subject, "CN", MBSTRING_UTF8,
                                    reinterpret_cast<const unsigned char*>(shown.data()),
                                    static_cast<int>(shown.size()), -1, 0) == 1 &&
         X509_set_issuer_name(c, subject) == 1 &&
         add_extension(c, NID_basic_constraints, "critical,CA:FALSE") &&
         add_extension(c, NID_key_usage, "critical,digitalSignature") &&
         add_extension(c, NID_ext_key_usage, "serverAuth") &&
         add_extension(c, NID_subject_key_identifier, "hash") &&
         add_extension(c, NID_subject_alt_name, names) && X509_sign(c, key.get(), EVP_sha256()) > 0 &&
         PEM_write_bio_X509(certificate_out.get(), c) == 1 &&
         PEM_write_bio_PKCS8PrivateKey(key_out.get(), key.get(), nullptr, nullptr, 0, nullptr, nullptr) == 1;
  }
  if (!ok)
    return fail(ErrorCode::kKeystore, "making a certificate: it could not be made; nothing was written");
  return CertificatePair{text_of(certificate_out.get()), text_of(key_out.get())};
}

Result<CertificateFacts> check_pair(ByteView certificate_pem, ByteView key_pem) {
  const CertificatePtr certificate = parse_certificate(certificate_pem);
  if (!certificate)
    return fail(ErrorCode::kInvalid, "reading the TLS certificate: it is no certificate in PEM form");
  const KeyPtr key = parse_key(key_pem);
  if (!key)
    return fail(ErrorCode::kInvalid,
                "reading the TLS key: it is no private key in PEM form without a passphrase");
  if (X509_check_private_key(certificate.get(), key.get()) != 1)
    return fail(ErrorCode::kInvalid, "reading the TLS certificate: the key is that of another certificate");
  CertificateFacts facts;
  facts.host = first_host(certificate.get());
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
