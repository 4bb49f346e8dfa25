#include "openssl_pem.h"

#include <openssl/pem.h>

namespace wrackline {
namespace {

int no_passphrase(char*, int, int, void*) { return -1; }

BioPtr reading(ByteView pem) { return BioPtr(BIO_new_mem_buf(pem.data(), static_cast<int>(pem.size()))); }

Bytes text_of(BIO* bio) {
  char* data = nullptr;
  const long size = BIO_get_mem_data(bio, &data);
  return {data, static_cast<std::size_t>(size)};
}

}  // namespace

CertificatePtr certificate_in(ByteView pem) {
  const BioPtr bio = reading(pem);
  return CertificatePtr(bio ? PEM_read_bio_X509(bio.get(), nullptr, no_passphrase, nullptr) : nullptr);
}

KeyPtr key_in(ByteView pem) {
  const BioPtr bio = reading(pem);
  return KeyPtr(bio ? PEM_read_bio_PrivateKey(bio.get(), nullptr, no_passphrase, nullptr) : nullptr);
}

Bytes pem_of(X509* certificate) {
  const BioPtr bio(BIO_new(BIO_s_mem()));
  return bio && PEM_write_bio_X509(bio.get(), certificate) == 1 ? text_of(bio.get()) : Bytes();
}

Bytes pem_of(EVP_PKEY* key) {
  const BioPtr bio(BIO_new(BIO_s_secmem()));
  return bio && PEM_write_bio_PKCS8PrivateKey(bio.get(), key, nullptr, nullptr, 0, nullptr, nullptr) == 1 ? text_of(bio.get()) : Bytes();
}

}  // namespace wrackline
