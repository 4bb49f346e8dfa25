// This file says what stands in a hub's directory (mode 0700). README.md says what each is worth and how it is backed up.
#pragma once

#include <string>

namespace wrackline {

struct HubDirectory {
  std::string path;
  std::string key() const { return path + "/hub.key"; }     // The hub's Ed25519 key; pinned by every device.
  std::string records() const { return path + "/hub.db"; }  // SQLite; -wal and -shm beside it while serving.
  std::string fence() const { return path + "/hub.fence"; }  // How far the hub's own logs have gone; a backup leaves it out.
  std::string certificate() const { return path + "/tls-cert.pem"; }  // Given to devices.
  std::string certificate_key() const { return path + "/tls-key.pem"; }
  std::string authority() const { return path + "/tls-authority.pem"; }  // Taken in by tablets; none where the certificate came from elsewhere.
  std::string authority_key() const { return path + "/tls-authority-key.pem"; }
  std::string codes() const { return path + "/enrolment-codes"; }  // Hashes of the open one-time codes.
  std::string contacts() const { return path + "/device-contacts"; }  // When each device last came.
  std::string blobs() const { return path + "/blobs"; }  // The files of attachment records, by their hashes.
  std::string retention_acts() const { return path + "/retention-acts"; }  // Looks at what is past its minimum.
  // Names the key whose releases of the tablet app are served, and the newest release served.
  std::string app_pin() const { return path + "/app-pin"; }
  std::string serve_lock() const { return path + "/serve.lock"; }  // Held by the one process that serves.
};

}  // namespace wrackline
