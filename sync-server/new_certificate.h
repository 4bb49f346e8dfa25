// `wrackline-server new-certificate`: the hub's next TLS certificate, by the same authority where that can be.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "certificate.h"
#include "hub_directory.h"

namespace wrackline {

struct NewCertificateOptions {
  HubDirectory directory;
  std::vector<std::string> hosts;  // Empty: those of the certificate that is there.
};
struct NewCertificate {
  CertificateFacts facts;
  bool is_new_authority = false;  // Tablets have to take it in.
};

// A new authority is made when there is none (the hub is of a release that had none), when it ends before the new certificate does, and
// for other hosts, since it may vouch for its own alone. A hub that serves meanwhile takes the new files by itself.
// Errors: kInvalid where the certificate is from an authority elsewhere, or a host is none; kNotFound, kKeystore, kStorage and kin.
Result<NewCertificate> new_certificate(const NewCertificateOptions& options);

}  // namespace wrackline
