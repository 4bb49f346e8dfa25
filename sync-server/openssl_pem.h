// OpenSSL's certificates and keys as values that free themselves, out of PEM and into it.
#pragma once

#include <openssl/bio.h>
#include <openssl/evp.h>
#include <openssl/x509v3.h>

#include <memory>

#include "base/bytes.h"
#include "hosts/freer.h"

namespace wrackline {

using BioPtr = std::unique_ptr<BIO, Freer<BIO_free_all>>;
using KeyPtr = std::unique_ptr<EVP_PKEY, Freer<EVP_PKEY_free>>;
using CertificatePtr = std::unique_ptr<X509, Freer<X509_free>>;

// The first in the text; null when there is none, or only one that asks for a passphrase.
CertificatePtr certificate_in(ByteView pem);
KeyPtr key_in(ByteView pem);

// Empty when it cannot be written.
Bytes pem_of(X509* certificate);
Bytes pem_of(EVP_PKEY* key);

}  // namespace wrackline
