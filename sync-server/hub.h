// This file says what the hub answers: the endpoints, without sockets.
//
// A request comes in two steps, so that nobody can make the hub read megabytes before it has looked who is
// asking: admit() judges the head and says how long a body may be; answer() takes the body.
//
// One Hub serves one facility's Replica from one thread, the desk's (desk.h). A request runs to its end before the next
// begins: an exchange page takes some milliseconds, and SQLite has one writer anyway.
#pragma once

#include <atomic>
#include <chrono>
#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "app_files.h"
#include "base/bytes.h"
#include "base/ids.h"
#include "crypto/signing.h"
#include "device_contacts.h"
#include "enrolment_codes.h"
#include "hub_files.h"
#include "log.h"
#include "metrics.h"
#include "peer_limits.h"
#include "rate_limiter.h"
#include "sessions.h"

namespace wrackline {

class Replica;

struct HubRequestHead {
  std::string method;  // "GET", "POST", "PUT"
  std::string path;    // Without a query.
  std::string content_type;
  std::string authorization;  // The header as sent (sync/hub_session.h), or empty.
  std::string peer_group;     // For counting by address: the address, or an IPv6 network (/64).
  std::string date = {};      // The header as sent: the device's time (http_date.h), or empty.
  std::string range = {};     // For a file: Range of a GET, Content-Range of a PUT, as sent.
};

struct HubAnswer {
  unsigned status = 200;
  std::string content_type = "application/x-protobuf";
  Bytes body;
  std::vector<std::pair<std::string, std::string>> headers;
};

class Hub {
 public:
  struct Options {
    std::string codes_path;
    std::string contacts_path;  // Empty: device contacts are not kept on the disk.
    std::string facility_name;  // For the answer to an enrolment.
    PeerLimits limits;
    std::function<WallMs()> wall_clock;
    std::function<Metrics::Now()> gauges;  // Its sessions_open is filled in here.
    AppFiles app = {};                     // The tablet app's; none when it is not served.
    std::function<void()> after_change = {};  // Called when the hub may have come to hold something new.
    HubFiles::Options files = {};
    // The peer groups that may ask for /metrics beside this machine, see HubRequestHead.
    std::set<std::string> metrics_for = {};
  };
  // All outlive the Hub.
  Hub(Replica& replica, Log& log, Metrics& metrics, Options options);

  enum class Route {
    kEnrol, kSession, kExchange, kQuery, kRekey, kInvite, kPresence, kChoosePin, kAct, kSignOut, kNews, kFilesHeld, kReadFile, kTakeFile, kHealth, kMetrics, kApp, kNone
  };
  struct Admitted {
    std::optional<HubAnswer> refusal;  // Set: answer with it and read no body.
    Route route = Route::kNone;
    const AppFile* file = nullptr;  // The file of the app that is asked for.
    FilePart part;                  // The part of an attached file that is asked for.
    std::size_t body_bytes_max = 0;
    PublicKey device{};        // The session's device, where the route asks for a session.
    std::optional<Hash> body;  // Likewise: that of the body, as the device has signed it.
    std::string peer_group;
    std::string device_word;                      // A short name of the device for the log.
    std::optional<std::int64_t> clock_offset_ms;  // The device's clock minus the hub's, if it told its time.
  };
  Admitted admit(const HubRequestHead& head);

  // The answer to GET /healthz from what look_at_health() found, and whether the desk has been at one piece of work for too
  // long; none for any other request. Any thread may call it.
  std::optional<HubAnswer> health_if_asked(const HubRequestHead& head, std::chrono::milliseconds busy_for) const;
  // Tries whether the records can be read; call it every few seconds.
  void look_at_health();

  // `body` is read during the call only.
  HubAnswer answer(const Admitted& admitted, ByteView body);

  // Only where the hub is one of several: takes in what the others have made known. Errors: Replica::catch_up, in the log
  // too.
  Status catch_up();

  // Writes what is kept beside the records, when it is time or `at_once`; call it every few seconds and at
  // the end.
  void write_contacts(bool at_once);

  // For bodies over the limit admit() gave.
  static HubAnswer too_large(std::size_t bytes_max);
  static HubAnswer refuse(const Error& error);

 private:
  // Finds the device of the session a request is in; sets admitted.device and admitted.body.
  Status find_device(const HubRequestHead& head, Admitted& admitted);
  Result<Bytes> enrol(const std::string& peer_group, ByteView body);
  Result<Bytes> session(ByteView body);
  Result<Bytes> exchange(const Admitted& admitted, ByteView body);
  Result<Bytes> rekey(const PublicKey& before, ByteView body);
  HubAnswer health(std::chrono::milliseconds busy_for = {}) const;
  // Decides about a part of an attached file before the body is read. Sets admitted.refusal when it is not to
  // be read.
  void admit_file(const HubRequestHead& head, Admitted& admitted);
  HubAnswer read_file(const FilePart& part);
  // Decides anew when another hub was first.
  HubAnswer answer_route(const Admitted& admitted, ByteView body);
  HubAnswer answer_once(const Admitted& admitted, ByteView body);
  Result<Bytes> news(ByteView body);
  // Refuses when the device or the address has asked for too much in a minute.
  std::optional<HubAnswer> check_rate(RateLimiter& limiter, const std::string& key);
  // The same for a request that was admitted, without taking another.
  std::optional<HubAnswer> check_overdrawn(const Admitted& admitted);
  std::optional<HubAnswer> refuse_for(WallMs wait);  // None for 0.
  RateLimiter& rate_of(Route route);                 // The limiter of a device.
  void note_contact(const Admitted& admitted, ByteView body, bool answered);
  HubAnswer refuse_and_log(const Error& error);

  Replica& replica_;
  Log& log_;
  Metrics& metrics_;
  Options options_;
  EnrolmentCodes codes_;
  Sessions sessions_;
  // Files have a budget of their own, so that a hundred photographs do not keep a device from exchanging records.
  RateLimiter device_rate_, address_rate_, file_rate_;
  HubFiles files_;
  DeviceContacts contacts_;
  std::atomic<bool> is_well_ = true;
  bool contacts_failing_ = false;  // Said in the log already.
  bool shared_log_failing_ = false;  // The same.
};

// "/v1/exchange" and its like, or "other": the only form in which a path is logged or counted.
const char* path_label(Hub::Route route);

// The facility's name as its own record has it; empty when there is none. Errors: kStorage.
Result<std::string> facility_name_of(Replica& replica);

}  // namespace wrackline
