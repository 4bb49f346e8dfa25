#include "hub.h"

#include <call.pb.h>
#include <exchange.pb.h>

#include <utility>

#include "act.h"
#include "base/wire.h"
#include "call/dispatch.h"
#include "choose_pin.h"
#include "crypto/texts.h"
#include "device_word.h"
#include "hosts/http_date.h"
#include "invitation.h"
#include "plain_text.h"
#include "presence_request.h"
#include "refusal.h"
#include "replica/replica.h"
#include "store/store.h"
#include "sync/exchange.h"
#include "sync/hub_requests.h"

namespace wrackline {
namespace {

constexpr std::size_t kDeviceNameBytesMax = 64;
constexpr std::size_t kCodeBytesMax = 64;
// Another hub can be first each time. After some tries the hub takes the turn, so that the next try succeeds; it needs more
// only when the turn could not be had.
constexpr int kTriesBeforeTurn = 4, kTriesMax = 16;

// The one path with something behind it: the name of a file.
constexpr char kFilePath[] = "/v1/blob/";
constexpr std::string_view kFilePathView = kFilePath;

constexpr const char* kHealthPath = "/healthz";

struct RouteRow {
  const char* path;
  const char* method;
  Hub::Route route;
  bool needs_session;
};
constexpr RouteRow kRoutes[] = {
    {"/v1/enrol", "POST", Hub::Route::kEnrol, false},
    {"/v1/session", "POST", Hub::Route::kSession, false},
    {"/v1/exchange", "POST", Hub::Route::kExchange, true},
    {"/v1/query", "POST", Hub::Route::kQuery, true},
    {"/v1/rekey", "POST", Hub::Route::kRekey, true},
    {"/v1/invite", "POST", Hub::Route::kInvite, true},
    {"/v1/presence", "POST", Hub::Route::kPresence, true},
    {"/v1/pin", "POST", Hub::Route::kChoosePin, true},
    {"/v1/act", "POST", Hub::Route::kAct, true},
    {"/v1/sign-out", "POST", Hub::Route::kSignOut, true},
    {"/v1/news", "POST", Hub::Route::kNews, true},
    {"/v1/blobs", "POST", Hub::Route::kFilesHeld, true},
    {kFilePath, "GET", Hub::Route::kReadFile, true},
    {kFilePath, "PUT", Hub::Route::kTakeFile, true},
    {kHealthPath, "GET", Hub::Route::kHealth, false},
    {"/metrics", "GET", Hub::Route::kMetrics, false},
};

// True for the peer group of this machine: 127.0.0.0/8, or ::1.
bool is_this_machine(const std::string& group) { return group.compare(0, 4, "127.") == 0 || group == "::/64"; }

bool is_at(const RouteRow& row, const std::string& path) {
  return path == row.path || (row.path == kFilePath && path.compare(0, kFilePathView.size(), kFilePathView) == 0);
}

bool is_of_file(Hub::Route route) { return route == Hub::Route::kReadFile || route == Hub::Route::kTakeFile; }

// Changes that an exchange's sender holds and this replica, after taking in the request, still does not.
std::uint64_t lacking_here(Replica& replica, ByteView exchange_request) {
  // The vector of an ExchangeRequest; the segments need not be read again.
  constexpr std::uint32_t kVectorField = 3;
  std::uint64_t lacking = 0;
  WireReader reader(exchange_request);
  WireField field;
  while (reader.next(field)) {
    proto::Vector vector;
    if (field.number != kVectorField ||
        !vector.ParseFromArray(field.bytes.data(), static_cast<int>(field.bytes.size())))
      continue;
    for (const proto::VectorEntry& entry : vector.entries()) {
      const LogEntry* log = replica.store().logs().find(LogId{entry.log()});
      const Seq held = log != nullptr && log->opening ? log->head.seq : 0;
      if (entry.seq() > held) lacking += entry.seq() - held;
    }
  }
  return lacking;
}

class Stopwatch {
 public:
  double elapsed_ms() const { return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun_).count(); }

 private:
  std::chrono::steady_clock::time_point begun_ = std::chrono::steady_clock::now();
};

Unexpected malformed(const char* what) {
  return fail(ErrorCode::kMalformed, std::string("reading a request to ") + what +
                                         ": the body is not the message it should be; nothing was kept");
}

Status check_protocol(std::uint32_t protocol, std::uint32_t here = kRequestProtocol) {
  if (protocol == here) return {};
  return fail(ErrorCode::kUnsupported, "this hub speaks protocol " + std::to_string(here) +
                                           "; bring the hub and this device to the same release");
}

bool is_as_signed(const Hub::Admitted& admitted, ByteView body) { return !admitted.body || *admitted.body == sha256(body); }

}  // namespace

const char* path_label(Hub::Route route) {
  if (route == Hub::Route::kApp) return "app";
  for (const RouteRow& row : kRoutes) {
    if (row.route == route) return row.path;
  }
  return "other";
}

Result<std::string> facility_name_of(Replica& replica) {
  proto::Call call;
  call.mutable_status();
  proto::Reply reply;
  if (!reply.ParseFromString(dispatch(replica, call.SerializeAsString(), CallScope::kReadOnly)))
    return fail(ErrorCode::kInternal, "reading the facility's name: the core's answer cannot be read");
  if (reply.has_failure())
    return fail(static_cast<ErrorCode>(reply.failure().code()), reply.failure().message());
  return reply.status().facility_name();
}

Hub::Hub(Replica& replica, Log& log, Metrics& metrics, Options options)
    : replica_(replica),
      log_(log),
      metrics_(metrics),
      options_(std::move(options)),
      codes_(options_.codes_path),
      device_rate_(options_.limits.of_device),
      address_rate_(options_.limits.of_address),
      file_rate_(options_.limits.of_files),
      files_(replica, options_.files),
      contacts_(options_.contacts_path) {}

HubAnswer Hub::refuse(const Error& error) {
  HubAnswer answer;
  answer.status = status_of(error.code);
  answer.body = error_reply(error);
  return answer;
}

HubAnswer Hub::refuse_and_log(const Error& error) {
  if (status_of(error.code) >= 500 && !replica_.was_overtaken())
    log_.error("trouble").with("code", error_word(error.code)).with("message", error.message);
  return refuse(error);
}

HubAnswer Hub::too_large(std::size_t bytes_max) {
  return refuse({ErrorCode::kTooLarge, "reading a request: its body is over " +
                                           std::to_string(bytes_max >> 10) +
                                           " KiB, and nothing of it was kept; send it in smaller parts"});
}

Hub::Admitted Hub::admit(const HubRequestHead& head) {
  Admitted admitted;
  admitted.peer_group = head.peer_group;
  admitted.refusal = check_rate(address_rate_, head.peer_group);
  if (admitted.refusal) return admitted;
  const RouteRow* row = nullptr;
  std::string methods;
  for (const RouteRow& candidate : kRoutes) {
    if (!is_at(candidate, head.path)) continue;
    methods += (methods.empty() ? "" : ", ") + std::string(candidate.method);
    if (row == nullptr || head.method == candidate.method) row = &candidate;
  }
  admitted.file = row == nullptr && head.method == "GET" ? options_.app.find(head.path) : nullptr;
  if (admitted.file != nullptr) {
    admitted.route = Route::kApp;
    return admitted;
  }
  // A peer that it is not for hears that there is no such path.
  if (row != nullptr && row->route == Route::kMetrics && !is_this_machine(head.peer_group) && options_.metrics_for.count(head.peer_group) == 0) row = nullptr;
  if (row == nullptr) {
    admitted.refusal =
        refuse({ErrorCode::kNotFound, "this hub has nothing at that path; see its README for what it has"});
    return admitted;
  }
  admitted.route = row->route;
  if (head.method != row->method) {
    admitted.refusal =
        refuse({ErrorCode::kInvalid, std::string(row->path) + " takes " + methods + " only"});
    admitted.refusal->status = 405;
    admitted.refusal->headers.emplace_back("Allow", methods);
    return admitted;
  }
  if (row->needs_session) {
    const Status found = find_device(head, admitted);
    if (!found) {
      admitted.refusal = refuse_and_log(found.error());
      if (admitted.refusal->status == 401)
        admitted.refusal->headers.emplace_back("WWW-Authenticate", kAuthorizationScheme);
      return admitted;
    }
    admitted.device_word = device_word(admitted.device);
    if (const auto date = parse_http_date(head.date))
      admitted.clock_offset_ms =
          static_cast<std::int64_t>(*date) - static_cast<std::int64_t>(options_.wall_clock());
    admitted.refusal = check_rate(rate_of(row->route), admitted.device_word);
    if (admitted.refusal) return admitted;
  }
  if (is_of_file(row->route)) {
    admit_file(head, admitted);
    return admitted;
  }
  const bool is_post = std::string_view(row->method) == "POST";
  if (is_post && head.content_type != "application/x-protobuf") {
    // A page in some browser cannot send this type to us without being asked first.
    admitted.refusal =
        refuse({ErrorCode::kInvalid, "a request's body must be of type application/x-protobuf"});
    admitted.refusal->status = 415;
    return admitted;
  }
  if (is_post)
    admitted.body_bytes_max = row->route == Route::kExchange ? options_.limits.body_bytes_max
                              : row->route == Route::kQuery || row->route == Route::kAct ? options_.limits.query_bytes_max
                                                             : options_.limits.body_bytes_before_session_max;
  return admitted;
}

void Hub::admit_file(const HubRequestHead& head, Admitted& admitted) {
  const std::string_view name = std::string_view(head.path).substr(kFilePathView.size());
  const bool is_taken = admitted.route == Route::kTakeFile;
  if (is_taken && head.content_type != "application/octet-stream") {
    admitted.refusal = refuse({ErrorCode::kInvalid, "a part of a file must be of type application/octet-stream"});
    admitted.refusal->status = 415;
    return;
  }
  const auto part = is_taken ? files_.part_to_take(name, head.range) : files_.part_to_read(name, head.range);
  if (!part) {
    admitted.refusal = refuse_and_log(part.error());
    return;
  }
  admitted.part = *part;
  if (is_taken) admitted.body_bytes_max = static_cast<std::size_t>(part->count);
}

HubAnswer Hub::read_file(const FilePart& part) {
  auto read = files_.read(part);
  if (!read) return refuse_and_log(read.error());
  HubAnswer answer;
  answer.status = 206;
  answer.content_type = "application/octet-stream";
  answer.headers.emplace_back("Content-Range", "bytes " + std::to_string(part.first) + "-" +
                                                   std::to_string(part.first + read->bytes.size() - 1) + "/" +
                                                   std::to_string(read->total));
  answer.body = std::move(read->bytes);
  return answer;
}

RateLimiter& Hub::rate_of(Route route) { return is_of_file(route) ? file_rate_ : device_rate_; }

std::optional<HubAnswer> Hub::check_rate(RateLimiter& limiter, const std::string& key) { return refuse_for(limiter.take(key, options_.wall_clock())); }

std::optional<HubAnswer> Hub::check_overdrawn(const Admitted& admitted) {
  const WallMs now = options_.wall_clock();
  WallMs wait = is_of_file(admitted.route) ? 0 : address_rate_.overdrawn(admitted.peer_group, now);
  if (!admitted.device_word.empty()) wait = std::max(wait, rate_of(admitted.route).overdrawn(admitted.device_word, now));
  return refuse_for(wait);
}

std::optional<HubAnswer> Hub::refuse_for(WallMs wait) {
  if (wait == 0) return std::nullopt;
  metrics_.count(Metrics::Counter::kRateLimited);
  HubAnswer refusal = refuse({ErrorCode::kRateLimited,
                              "this device or its address has asked for more than the hub gives in a minute; "
                              "nothing of this request was kept. Wait and ask again"});
  refusal.headers.emplace_back("Retry-After", std::to_string((wait + 999) / 1000));
  return refusal;
}

void Hub::note_contact(const Admitted& admitted, ByteView body, bool answered) {
  DeviceContact contact;
  contact.last_ms = options_.wall_clock();
  contact.clock_offset_ms = admitted.clock_offset_ms;
  contact.address_group = admitted.peer_group;
  if (answered && admitted.route == Route::kExchange) contact.unsent = lacking_here(replica_, body);
  contacts_.note(admitted.device, contact);
}

void Hub::write_contacts(bool at_once) {
  if (options_.contacts_path.empty()) return;
  const Status written = contacts_.write(options_.wall_clock(), at_once);
  if (!written && !contacts_failing_)
    log_.warn("contacts_not_written").with("reason", error_word(written.error().code));
  contacts_failing_ = !written;
}

HubAnswer Hub::answer(const Admitted& admitted, ByteView body) {
  // It was admitted before others were answered that came with it: many at once get no more than one after the other.
  if (auto refusal = check_overdrawn(admitted)) return std::move(*refusal);
  const Stopwatch begun;
  HubAnswer answer = is_as_signed(admitted, body) ? answer_route(admitted, body)
                                                  : refuse({ErrorCode::kBadSeal, "reading a request: its body is not the one that its device signed; nothing of it was kept"});
  const std::uint64_t bytes = body.size() + answer.body.size();
  const double work_ms = begun.elapsed_ms();
  if (!is_of_file(admitted.route)) address_rate_.note_cost(admitted.peer_group, bytes, work_ms);
  if (!admitted.device_word.empty()) {
    rate_of(admitted.route).note_cost(admitted.device_word, bytes, work_ms);
    note_contact(admitted, body, answer.status == 200);
  }
  return answer;
}

HubAnswer Hub::answer_route(const Admitted& admitted, ByteView body) {
  switch (admitted.route) {
    case Route::kEnrol:
    case Route::kSession:
    case Route::kExchange:
    case Route::kRekey:
    case Route::kInvite:  // A wrong PIN may be written down.
    case Route::kPresence:
    case Route::kChoosePin:
    case Route::kAct:
      break;
    default:
      return answer_once(admitted, body);
  }
  for (int tries = 1;; ++tries) {
    if (tries > kTriesBeforeTurn) replica_.take_turn();
    const Status caught_up = catch_up();
    HubAnswer answer = caught_up ? answer_once(admitted, body) : refuse(caught_up.error());
    replica_.end_turn();
    if (!caught_up) return answer;
    if (replica_.was_overtaken() && tries < kTriesMax) continue;
    if (options_.after_change) options_.after_change();
    return answer;
  }
}

Status Hub::catch_up() {
  auto changes = replica_.catch_up();
  if (changes && !replica_.is_hub())
    changes = fail(ErrorCode::kKeystore,
                   "following the shared log: the hub goes on under another key, which this one does not have; nothing is answered "
                   "here; make this hub anew from a backup with the new key");
  if (replica_.was_shared_log_put_back_since_asked())
    log_.warn("shared_log_went_back").with("did", "brought it what it lacked");
  if (!changes) {
    // Once: it is tried again every second, and each request that is refused for it has a line of its own.
    if (!std::exchange(shared_log_failing_, true))
      log_.error("trouble").with("code", error_word(changes.error().code)).with("message", changes.error().message);
    return fail(changes.error());
  }
  if (std::exchange(shared_log_failing_, false)) log_.info("shared_log_followed_again");
  if (*changes > 0 && options_.after_change) options_.after_change();
  return {};
}

Result<Bytes> Hub::news(ByteView body) {
  proto::NewsRequest request;
  if (!request.ParseFromArray(body.data(), static_cast<int>(body.size()))) return malformed("hear of news");
  WRACKLINE_TRY(check_protocol(request.protocol(), kProtocol));
  WRACKLINE_TRY(replica_.store().refresh());
  proto::NewsReply reply;
  reply.set_is_news(ByteView(request.mark()) != ByteView(mark_of(vector_of(replica_.store()))));
  return reply.SerializeAsString();
}

HubAnswer Hub::answer_once(const Admitted& admitted, ByteView body) {
  HubAnswer answer;
  const auto of_result = [&](Result<Bytes> result) {
    if (!result) return refuse_and_log(result.error());
    answer.body = std::move(*result);
    return answer;
  };
  switch (admitted.route) {
    case Route::kEnrol:
      return of_result(enrol(admitted.peer_group, body));
    case Route::kSession:
      return of_result(session(body));
    case Route::kExchange:
      return of_result(exchange(admitted, body));
    case Route::kRekey:
      return of_result(rekey(admitted.device, body));
    case Route::kInvite: {
      auto reply = invite(replica_, codes_, admitted.device, body, options_.wall_clock());
      log_.info(reply ? "code_made" : "code_refused").with("device", admitted.device_word);
      return of_result(std::move(reply));
    }
    case Route::kPresence: {
      auto reply = prove_presence(replica_, admitted.device, body);
      log_.info(reply ? "person_proven" : "person_refused").with("device", admitted.device_word);
      return of_result(std::move(reply));
    }
    case Route::kChoosePin: {
      auto reply = choose_pin_at(replica_, admitted.device, body);
      log_.info(reply ? "pin_chosen" : "pin_refused").with("device", admitted.device_word);
      return of_result(std::move(reply));
    }
    case Route::kAct: {
      auto reply = act(replica_, admitted.device, body);
      log_.info(reply ? "act_answered" : "act_refused").with("device", admitted.device_word);
      return of_result(std::move(reply));
    }
    case Route::kSignOut:
      sessions_.end_all_of(admitted.device);
      return answer;
    case Route::kNews:
      return of_result(news(body));
    case Route::kFilesHeld:
      return of_result(files_.held(body));
    case Route::kReadFile:
      return read_file(admitted.part);
    case Route::kTakeFile:
      return of_result(files_.take(admitted.part, body));
    case Route::kQuery:
      answer.body = dispatch(replica_, body, CallScope::kReadOnly);
      return answer;
    case Route::kHealth:
      look_at_health();
      return health();
    case Route::kMetrics: {
      Metrics::Now now = options_.gauges ? options_.gauges() : Metrics::Now{};
      now.sessions_open = sessions_.open_count(options_.wall_clock());
      answer.content_type = "text/plain; version=0.0.4; charset=utf-8";
      answer.body = metrics_.text(now);
      return answer;
    }
    case Route::kApp:
      answer.content_type = admitted.file->content_type;
      answer.body = admitted.file->body;
      answer.headers = admitted.file->headers;
      return answer;
    case Route::kNone:
      break;
  }
  return refuse({ErrorCode::kInternal, "a request without a route came to be answered"});
}

Status Hub::find_device(const HubRequestHead& head, Admitted& admitted) {
  const auto said = read_authorization(head.authorization);
  const auto device = said ? sessions_.find(replica_.membership().facility, *said, {head.method, head.path, head.range}, options_.wall_clock()) : std::nullopt;
  if (!device) {
    return fail(ErrorCode::kUnauthorized,
                "this request is in no open session of the device that signed it; nothing was done. Open another session and ask again");
  }
  admitted.device = *device;
  admitted.body = said->body;
  WRACKLINE_TRY_VALUE(standing, replica_.device_standing(*device));
  if (standing == DeviceStanding::kEnrolled) return {};
  // The answer to a change of key may have been lost: the same request is looked at once more.
  if (standing == DeviceStanding::kRevoked && admitted.route == Route::kRekey) return {};
  sessions_.end_all_of(*device);
  log_.warn("device_refused").with("device", device_word(*device)).with("reason", "revoked");
  return fail(
      ErrorCode::kRevokedDevice,
      "this device has been revoked by an admin; what is on it is kept there. Hand it to a records officer");
}

Result<Bytes> Hub::enrol(const std::string& peer_group, ByteView body) {
  proto::EnrolRequest request;
  if (!request.ParseFromArray(body.data(), static_cast<int>(body.size()))) return malformed("enrol");
  WRACKLINE_TRY(check_protocol(request.protocol()));
  PublicKey key;
  Signature signature;
  if (!copy_exactly(request.device_key(), key) || !copy_exactly(request.signature(), signature) ||
      request.code().empty() || request.code().size() > kCodeBytesMax)
    return malformed("enrol");
  if (!is_plain_text(request.device_name(), kDeviceNameBytesMax))
    return fail(ErrorCode::kInvalid, "enrolling a device: it needs a name of 1 to " +
                                         std::to_string(kDeviceNameBytesMax) + " bytes without line breaks");
  if (!verify_signature(key, enrolment_text(request.code(), key), signature))
    return fail(ErrorCode::kBadSeal,
                "enrolling a device: the request is not signed with the key in it; nothing was changed");

  auto spent = codes_.spend(request.code(), key, options_.wall_clock());
  if (!spent && spent.error().code == ErrorCode::kUnauthorized) {
    metrics_.count(Metrics::Counter::kCodesWrong);
    log_.warn("wrong_code").with("peer", peer_group);
  }
  WRACKLINE_TRY_VALUE(inviter, std::move(spent));

  WRACKLINE_TRY_VALUE(standing, replica_.device_standing(key));
  switch (standing) {
    case DeviceStanding::kRevoked:
      return fail(ErrorCode::kRevokedDevice,
                  "enrolling a device: its key was revoked; make a new key on it first");
    case DeviceStanding::kEnrolled:
      break;  // The answer to an earlier request was lost on the way.
    case DeviceStanding::kUnknown: {
      WRACKLINE_TRY(replica_.admit_device(request.device_name(), key, {inviter.person, inviter.device}));
      metrics_.count(Metrics::Counter::kDevicesAdmitted);
      log_.info("device_admitted").with("device", device_word(key)).with("peer", peer_group);
    }
  }
  proto::EnrolReply reply;
  reply.set_facility(Bytes(view(replica_.membership().facility)));
  reply.set_facility_name(options_.facility_name);
  reply.set_hub_key(Bytes(view(replica_.membership().hub_key)));
  return reply.SerializeAsString();
}

Result<Bytes> Hub::session(ByteView body) {
  proto::SessionRequest request;
  if (!request.ParseFromArray(body.data(), static_cast<int>(body.size()))) return malformed("open a session");
  WRACKLINE_TRY(check_protocol(request.protocol()));
  PublicKey key;
  if (!copy_exactly(request.device_key(), key)) return malformed("open a session");
  WRACKLINE_TRY_VALUE(standing, replica_.device_standing(key));
  if (standing != DeviceStanding::kEnrolled) {
    log_.warn("device_refused").with("device", device_word(key)).with("reason", standing == DeviceStanding::kRevoked ? "revoked" : "unknown");
  }
  switch (standing) {
    case DeviceStanding::kUnknown:
      return fail(ErrorCode::kUnknownDevice,
                  "opening a session: this hub does not know this device; enrol it with a one-time code");
    case DeviceStanding::kRevoked:
      return fail(ErrorCode::kRevokedDevice,
                  "opening a session: this device has been revoked by an admin; what is on "
                  "it is kept there. Hand it to a records officer");
    case DeviceStanding::kEnrolled:
      break;
  }
  const WallMs now = options_.wall_clock();
  proto::SessionReply reply;
  if (request.nonce().empty()) {
    WRACKLINE_TRY_VALUE(nonce, sessions_.challenge(key, now));
    reply.set_nonce(nonce);
    return reply.SerializeAsString();
  }
  Signature signature;
  if (!copy_exactly(request.signature(), signature)) return malformed("open a session");
  if (!verify_signature(key, session_text(replica_.membership().facility, request.nonce()), signature) ||
      !sessions_.take_nonce(key, request.nonce(), now))
    return fail(ErrorCode::kUnauthorized,
                "opening a session: the answer to the hub's challenge does not fit or came late; try again");
  WRACKLINE_TRY_VALUE(opened, sessions_.open(key, now, static_cast<WallMs>(options_.limits.session.count())));
  metrics_.count(Metrics::Counter::kSessionsOpened);
  log_.info("session_opened").with("device", device_word(key));
  reply.set_token(opened.token);
  reply.set_expires_ms(opened.expires_ms);
  return reply.SerializeAsString();
}

Result<Bytes> Hub::exchange(const Admitted& admitted, ByteView body) {
  const Stopwatch begun;
  const double most = static_cast<double>(options_.limits.exchange.count());
  auto answer = replica_.answer_exchange(body, admitted.device, [&] { return begun.elapsed_ms() >= most; });
  if (answer && replica_.trouble())
    log_.error("trouble")
        .with("code", error_word(replica_.trouble()->code))
        .with("message", replica_.trouble()->message);
  return answer;
}

Result<Bytes> Hub::rekey(const PublicKey& before, ByteView body) {
  proto::RekeyRequest request;
  if (!request.ParseFromArray(body.data(), static_cast<int>(body.size()))) return malformed("change a key");
  WRACKLINE_TRY(check_protocol(request.protocol()));
  PublicKey next;
  Signature by_next, by_before;
  if (!copy_exactly(request.new_key(), next) || !copy_exactly(request.new_signature(), by_next) ||
      !copy_exactly(request.old_signature(), by_before))
    return malformed("change a key");
  const Bytes text = rekey_text(replica_.membership().facility, before, next);
  if (!verify_signature(next, text, by_next) || !verify_signature(before, text, by_before))
    return fail(ErrorCode::kBadSeal,
                "changing a device's key: the request is not signed with both the old key and the new; nothing was "
                "changed");
  WRACKLINE_TRY(replica_.rekey_device(before, next));
  log_.info("device_rekeyed").with("device", device_word(before)).with("now", device_word(next));
  proto::RekeyReply reply;
  reply.set_device_key(Bytes(view(next)));
  return reply.SerializeAsString();
}

void Hub::look_at_health() {
  // Looking a device up reads the records, so this fails when they cannot be read.
  is_well_ = replica_.device_standing(PublicKey{}).has_value();
}

std::optional<HubAnswer> Hub::health_if_asked(const HubRequestHead& head, std::chrono::milliseconds busy_for) const {
  if (head.path != kHealthPath || head.method != "GET") return std::nullopt;
  return health(busy_for);
}

HubAnswer Hub::health(std::chrono::milliseconds busy_for) const {
  HubAnswer answer;
  answer.content_type = "text/plain; charset=utf-8";
  const bool is_stuck = busy_for > options_.limits.stuck;
  answer.status = is_well_ && !is_stuck ? 200 : 503;
  answer.body = !is_well_ ? "the records cannot be read\n" : is_stuck ? "one request has kept the hub busy for very long\n" : "ok\n";
  answer.headers.emplace_back("Cache-Control", "no-store");
  return answer;
}

}  // namespace wrackline
