// An enrolled device with records of its own, over real TLS.
#pragma once

#include <memory>
#include <string>

#include "hosts/device_requests.h"
#include "hosts/file_keystore.h"
#include "replica/replica.h"
#include "running_hub.h"

namespace wrackline {

class TestDevice {
 public:
  // Enrols with a fresh code and exchanges once. `clock_ahead_ms` is how far its clock is off.
  TestDevice(RunningHub& hub, std::string name, std::int64_t clock_ahead_ms = 0);
  // The same with a code of a hub that runs elsewhere; key and records go into `folder`.
  TestDevice(const Scratch& folder, HubClient::Options hub, const std::string& code, std::string name, std::int64_t clock_ahead_ms = 0);
  // From here on it speaks to another hub of its facility.
  void go_to(HubClient::Options hub);

  // One whole exchange; opens a session when there is none any more. The error is the hub's or the network's.
  Status exchange();
  // Logs people with names of their own, by the admin. After the first time it may run in a thread of its
  // own.
  void log_people(int count);

  std::string digest();
  std::string hub_digest();  // The hub's replica, asked by this device.
  std::uint64_t changes();  // Without the hub's words of when they came.
  Result<Bytes> post(const std::string& path, ByteView body) { return client_->post(path, body, &session_); }

  Replica& replica() { return *replica_; }
  FileKeystore& key() { return *key_; }
  const Enrolment& enrolment() const { return enrolment_; }
  HubSession& session() { return session_; }
  const std::string& name() const { return name_; }
  const std::vector<Error>& refusals() const { return refusals_; }  // The refusals of the last exchange.

 private:
  RecordId find_admin();
  std::string name_;
  std::function<WallMs()> clock_;
  std::unique_ptr<HubClient> client_;
  std::unique_ptr<FileKeystore> key_;
  Enrolment enrolment_;
  std::unique_ptr<Replica> replica_;
  HubSession session_;
  std::vector<Error> refusals_;
  RecordId admin_;
  int logged_ = 0;
};

}  // namespace wrackline
