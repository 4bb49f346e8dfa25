// `wrackline-server serve`: puts the pieces together and runs until told to stop.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "hosts/hub_address.h"
#include "hub_directory.h"
#include "hub_files.h"
#include "peer_limits.h"
#include "tls_context.h"

namespace wrackline {

struct ServeOptions {
  HubDirectory directory;
  HubAddress listen;
  TlsOptions tls;
  std::vector<std::string> behind;  // Addresses of balancers that begin with the PROXY protocol, version 2.
  std::vector<std::string> metrics_for;  // Addresses that may ask for /metrics, beside this machine's own.
  std::string port_file;  // Where to write the port; empty = nowhere.
  std::string log;        // postgresql://... of the log that several hubs share; empty = this one is alone.
  std::string app;        // The built tablet app's directory; empty = it is not served.
  PeerLimits limits;
  // The most bytes of all attached files together.
  std::uint64_t blobs_bytes_max = HubFiles::Options().bytes_max;
};

// Returns when SIGTERM or SIGINT has stopped it: it accepts no more, lets running requests end, and cuts off
// what still runs after `limits.stop`, or at a second signal. SIGHUP, or other files in their place, renew
// the certificate for new connections. Everything answered before is durable either way. Errors: what kept it
// from starting. kBusy when another process serves this directory.
Status serve(const ServeOptions& options);

}  // namespace wrackline
