// The bytes of a connection as the hub's parser takes them, and what the Hub answers. Oracle: each request gets an answer or a
// refusal with a documented status, a refusal says why and leaves the records as they were, and whatever was taken in leaves a
// hub that is whole.
//
// Tokens are random, so an input that wants a session says "Wrackline SESSION", and the header of one of the north tablet's is put
// in its place.
#include <exchange.pb.h>

#include <boost/asio/buffer.hpp>
#include <boost/asio/error.hpp>
#include <boost/beast/http/read.hpp>
#include <algorithm>
#include <array>
#include <optional>

#include "crypto/texts.h"
#include "fuzz_oracles.h"
#include "request_head.h"
#include "sealed_mutator.h"
#include "sync/hub_session.h"
#include "wire_mutator.h"

namespace wrackline::fuzz {
namespace {

namespace http = boost::beast::http;

constexpr ByteView kSessionWord = "Wrackline SESSION";
constexpr int kRequestsMax = 8;  // The most requests in one input.

// The hub and its README document these; none of the 5xx, since this hub has no trouble of its own.
constexpr std::array<unsigned, 11> kStatuses = {200, 400, 401, 403, 404, 405, 409, 413, 415, 429, 431};

// A peer sends these bytes and then ends the connection.
class PeerBytes {
 public:
  explicit PeerBytes(ByteView bytes) : rest_(bytes) {}
  template <typename Buffers>
  std::size_t read_some(const Buffers& buffers) {
    boost::beast::error_code ignored;
    return read_some(buffers, ignored);
  }
  template <typename Buffers>
  std::size_t read_some(const Buffers& buffers, boost::beast::error_code& error) {
    if (rest_.empty()) {
      error = boost::asio::error::eof;
      return 0;
    }
    error = {};
    // A few at a time, as they may come over the network.
    const std::size_t count = boost::asio::buffer_copy(buffers, boost::asio::buffer(rest_.data(), std::min<std::size_t>(rest_.size(), 512)));
    rest_.remove_prefix(count);
    return count;
  }

 private:
  ByteView rest_;
};

// A hub on the world's records.
class HubAtWork {
 public:
  explicit HubAtWork(Replica& replica) {
    Hub::Options options;
    options.codes_path = folder_ / "codes";
    options.facility_name = "Test Pier";
    options.wall_clock = [] { return Facility::kStartMs; };
    hub_ = std::make_unique<Hub>(replica, log_, metrics_, options);
  }
  Hub& hub() { return *hub_; }
  const PeerLimits& limits() const { return limits_; }

  // A session that the north tablet opens, as it would.
  HubSession open_session() {
    proto::SessionRequest request;
    Keystore& north = World::get().keystore(Role::kNorth);
    request.set_protocol(1);
    request.set_device_key(Bytes(view(north.public_key())));
    proto::SessionReply reply;
    insist(reply.ParseFromString(ask(request)), "a challenge can be read");
    request.set_nonce(reply.nonce());
    request.set_signature(Bytes(view(*north.sign(session_text(World::get().facility(), reply.nonce())))));
    insist(reply.ParseFromString(ask(request)) && !reply.token().empty(), "an enrolled device can open a session");
    return HubSession(World::get().facility(), north, reply.token());
  }

 private:
  Bytes ask(const proto::SessionRequest& request) {
    HubRequestHead head{"POST", "/v1/session", "application/x-protobuf", "", "192.0.2.9"};
    return hub_->answer(hub_->admit(head), request.SerializeAsString()).body;
  }
  ScratchFolder folder_;
  PeerLimits limits_;
  Log log_{[](std::string_view) {}, [] { return Facility::kStartMs; }};
  Metrics metrics_;
  std::unique_ptr<Hub> hub_;
};

void insist_answer(const HubAnswer& answer) {
  insist(std::find(kStatuses.begin(), kStatuses.end(), answer.status) != kStatuses.end(),
         "an answer has a documented status, not " + std::to_string(answer.status));
  if (answer.status == 200) return;
  proto::ErrorReply reply;
  insist(reply.ParseFromString(answer.body) && reply.code() != 0 && !reply.message().empty(), "a refusal says why");
}

// Whether another request may follow on the connection. The order of steps is that of Connection::serve_one.
bool serve_one(HubAtWork& at_work, Replica& records, PeerBytes& peer, HeadBuffer& buffer, HubSession& session) {
  RequestParser parser;
  prepare(parser, at_work.limits());
  buffer.begin_head();
  boost::beast::error_code error;
  http::read_header(peer, buffer, parser, error);
  if (const auto broken = find_broken_head(error, parser, buffer)) {
    insist(broken->status == 400 || broken->status == 431, "a broken head is refused with 400 or 431");
    return false;
  }
  if (error) return false;  // The peer went away.
  const Standing before = standing_of(records);
  HubRequestHead head = head_of(parser, "192.0.2.7");
  const bool is_in_session = head.authorization == kSessionWord;
  if (is_in_session) head.authorization = *session.authorize({head.method, head.path, head.range}, {});
  Hub::Admitted admitted = at_work.hub().admit(head);
  const auto declared = parser.content_length();
  std::optional<HubAnswer> refusal = admitted.refusal;
  if (!refusal && declared && *declared > admitted.body_bytes_max) refusal = Hub::too_large(admitted.body_bytes_max);
  if (refusal) {
    insist(refusal->status != 200, "a refusal is none that says OK");
    insist_answer(*refusal);
    insist(standing_of(records) == before, "a request that was refused before its body changes nothing");
    return parser.get().keep_alive() && (parser.is_done() || !(declared ? *declared > 0 : parser.chunked()));
  }
  parser.body_limit(admitted.body_bytes_max);
  if (!parser.is_done()) http::read(peer, buffer, parser, error);
  if (error == http::error::body_limit) insist_answer(Hub::too_large(admitted.body_bytes_max));
  if (error) return false;
  insist(parser.get().body().size() <= admitted.body_bytes_max, "no body passes the limit of its route");
  if (is_in_session) admitted.body = sha256(parser.get().body());  // A device signs the hash of its body.
  const HubAnswer answer = at_work.hub().answer(admitted, parser.get().body());
  insist_answer(answer);
  if (answer.status != 200) insist(standing_of(records) == before, "a request that was refused changes nothing");
  return parser.get().keep_alive();
}

void run(ByteView input) {
  World& world = World::get();
  Replica& records = world.use(Role::kHub);
  HubAtWork at_work(records);
  HubSession session = input.find(kSessionWord) == ByteView::npos ? HubSession() : at_work.open_session();
  PeerBytes peer(input);
  HeadBuffer buffer;
  for (int i = 0; i < kRequestsMax && serve_one(at_work, records, peer, buffer, session); ++i) {
  }
  insist_sound(records, Role::kHub, "serving a peer");
}

Bytes request_of(ByteView path, ByteView body, bool in_session) {
  Bytes out = "POST ";
  out += path;
  out += " HTTP/1.1\r\nHost: hub.test\r\nContent-Type: application/x-protobuf\r\n";
  if (in_session) out += "Authorization: Wrackline SESSION\r\n";
  out += "Content-Length: " + std::to_string(body.size()) + "\r\n\r\n";
  out += body;
  return out;
}

// The body changed as the message it is, with a length that fits; or the head by words that mean something in it.
Bytes mutate(ByteView input, Random& random) {
  static const std::vector<Bytes> words = {
      "POST ", "GET ", "PUT ", "/v1/enrol", "/v1/session", "/v1/exchange", "/v1/query", "/v1/rekey", "/v1/invite", "/healthz", "/metrics", "/",
      " HTTP/1.1\r\n", " HTTP/1.0\r\n", "Host: a\r\n", "Content-Length: 0\r\n", "Content-Length: 99999999999999999999\r\n",
      "Transfer-Encoding: chunked\r\n", "Transfer-Encoding: gzip, chunked\r\n", "Expect: 100-continue\r\n", "Connection: close\r\n",
      "Connection: upgrade\r\n", "Authorization: Wrackline SESSION\r\n", "Authorization: Wrackline x\r\n", "Content-Type: application/x-protobuf\r\n",
      "Date: Thu, 26 Nov 2026 08:00:00 GMT\r\n", "Date: Thu, 99 Xxx 0000 25:61:61 GMT\r\n", "\r\n\r\n", "\r\n ", "\r\n\t", "0\r\n\r\n",
      "5\r\nabcde\r\n", "ffffffffffffffff\r\n", "?x=1", "%00", "/../"};
  const std::size_t body_at = input.find("\r\n\r\n");
  if (body_at != ByteView::npos && body_at + 4 < input.size() && random.once_in(2)) {
    Bytes head(input.substr(0, body_at + 4));
    const ByteView rest = input.substr(body_at + 4);
    Bytes body;
    proto::ExchangeRequest request;
    if (head.find("/v1/exchange") != Bytes::npos && request.ParseFromArray(rest.data(), static_cast<int>(rest.size())) &&
        !request.segments().empty() && random.once_in(2)) {
      mutate_segments(*request.mutable_segments(), random);
      body = request.SerializeAsString();
    } else {
      body = mutate_message(rest, random);
    }
    static constexpr ByteView kLength = "Content-Length: ";
    if (const std::size_t at = head.find(kLength); at != Bytes::npos) {
      const std::size_t number = at + kLength.size();
      head.replace(number, head.find("\r\n", number) - number, std::to_string(body.size()));
    }
    return head + body;
  }
  Bytes out(input);
  const std::size_t head_size = body_at == ByteView::npos ? out.size() : body_at + 2;
  const auto at = static_cast<std::size_t>(random.below(head_size + 1));
  if (random.once_in(3)) return mutate_bytes(input, random);
  if (random.once_in(2)) {  // At the start of a line.
    const std::size_t line = out.find("\r\n", at);
    out.insert(line == Bytes::npos ? 0 : line + 2, random.pick(words));
  } else {
    out.insert(std::min(at, out.size()), random.pick(words));
  }
  return out;
}

std::vector<Seed> seeds() {
  World& world = World::get();
  std::vector<Seed> out;
  out.push_back({"health", "GET /healthz HTTP/1.1\r\nHost: hub.test\r\n\r\nGET /metrics HTTP/1.1\r\nHost: hub.test\r\n\r\n"});
  for (const Bytes& request : world.north_requests()) out.push_back({"exchange", request_of("/v1/exchange", request, true)});
  out.push_back({"stranger", request_of("/v1/exchange", world.north_requests().front(), false)});
  proto::SessionRequest session;
  session.set_protocol(1);
  session.set_device_key(Bytes(view(world.keystore(Role::kSouth).public_key())));
  out.push_back({"session", request_of("/v1/session", session.SerializeAsString(), false)});
  proto::EnrolRequest enrol;
  enrol.set_protocol(1);
  enrol.set_code("ABCDEFGHJK");
  SeededKeystore stranger(99);
  enrol.set_device_key(Bytes(view(stranger.public_key())));
  enrol.set_device_name("Pool tablet");
  enrol.set_signature(Bytes(view(*stranger.sign(enrolment_text(enrol.code(), stranger.public_key())))));
  out.push_back({"enrol", request_of("/v1/enrol", enrol.SerializeAsString(), false)});
  out.push_back({"query", request_of("/v1/query", Bytes("\x12\x00", 2), true)});
  proto::RekeyRequest rekey;
  rekey.set_protocol(1);
  rekey.set_new_key(enrol.device_key());
  const Bytes text = rekey_text(world.facility(), world.keystore(Role::kNorth).public_key(), stranger.public_key());
  rekey.set_new_signature(Bytes(view(*stranger.sign(text))));
  rekey.set_old_signature(Bytes(view(*world.keystore(Role::kNorth).sign(text))));
  out.push_back({"rekey", request_of("/v1/rekey", rekey.SerializeAsString(), true)});
  out.push_back({"chunked",
                 "POST /v1/query HTTP/1.1\r\nHost: hub.test\r\nContent-Type: application/x-protobuf\r\nAuthorization: Wrackline SESSION\r\n"
                 "Transfer-Encoding: chunked\r\n\r\n2\r\n" + Bytes("\x12\x00", 2) + "\r\n0\r\n\r\n"});
  return out;
}

}  // namespace

const Target kHttpTarget{"http", run, mutate, seeds};

}  // namespace wrackline::fuzz
