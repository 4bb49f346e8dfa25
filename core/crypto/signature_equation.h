// The answer of the platform's library about a signature (openssl.cc, sodium.cc). Only signing.cc asks: it looks first at
// what libraries do not agree about.
#pragma once

#include "crypto/signing.h"

namespace wrackline {

// Whether S B = R + h A, without the cofactor.
bool signature_equation_holds(const PublicKey& key, ByteView text, const Signature& signature);

}  // namespace wrackline
