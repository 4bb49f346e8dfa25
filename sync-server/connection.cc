#include "connection.h"

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/core/error.hpp>
#include <boost/beast/http.hpp>
#include <boost/beast/version.hpp>

#include "request_head.h"

namespace wrackline {
namespace {

namespace net = boost::asio;
namespace beast = boost::beast;
namespace http = boost::beast::http;
// Failures of the network are ordinary here, so they come back as values.
constexpr auto kAwait = net::as_tuple(net::use_awaitable);

// A browser that has seen the hub with a certificate it trusts asks it over TLS alone for a month from its last visit, and lets nobody
// click a warning away. A month, so that a name that goes to something else is free again soon; and that one name, since others
// below it are not the hub's.
constexpr const char* kHttpsOnly = "max-age=2592000";

constexpr std::size_t kDiscardedBytesMax = 8 << 20;

}  // namespace

Connection::Connection(Shared shared, net::ip::tcp::socket socket, std::string peer, std::string peer_group,
                       ConnectionTable::Ticket ticket)
    : shared_(shared),
      peer_(std::move(peer)),
      peer_group_(std::move(peer_group)),
      ticket_(std::move(ticket)),
      waiter_(socket.get_executor()),
      tls_(shared_.tls.now()),
      stream_(std::move(socket), *tls_->context.native_handle()) {
  shared_.table.add(*this);
}

Connection::~Connection() { shared_.table.remove(*this); }

void Connection::set_deadline(std::chrono::seconds limit) {
  stream_.expires_after(limit);
}

void Connection::stop() {
  stopping_ = true;
  if (resting_) stream_.cancel();
  waiter_.end();
}

void Connection::give_way() {
  stopping_ = gave_way_ = true;
  shared_.metrics.count(Metrics::Counter::kConnectionsGaveWay);
  stream_.cancel();
}

template <typename Outcome>
net::awaitable<Outcome> Connection::at_desk(const std::function<Outcome()>& work) {
  is_at_desk_ = true;
  Outcome outcome = co_await shared_.desk.run(work);
  is_at_desk_ = false;
  co_return outcome;
}

net::awaitable<void> Connection::run() {
  boost::system::error_code ignored;
  stream_.socket().set_option(net::ip::tcp::no_delay(true), ignored);
  const bool is_secure = co_await handshake();
  if (!is_secure) co_return;
  std::chrono::seconds header_deadline = shared_.limits.header;
  while (!stopping_) {
    const Next next = co_await serve_one(header_deadline);
    if (next == Next::kCloseUnread && !gave_way_) co_await discard_rest();
    if (next != Next::kServeAnother) break;
    header_deadline = shared_.limits.idle;
  }
  if (!gave_way_) co_await say_goodbye();
}

net::awaitable<bool> Connection::handshake() {
  set_deadline(shared_.limits.handshake);
  auto [error] = co_await stream_.async_handshake(kAwait);
  if (!error) co_return true;
  if (gave_way_) co_return false;
  shared_.metrics.count(Metrics::Counter::kHandshakesFailed);
  shared_.log.info("tls_refused").with("peer", peer_).with("reason", error.message());
  co_return false;
}

net::awaitable<Connection::Next> Connection::serve_one(std::chrono::seconds header_deadline) {
  RequestParser parser;
  prepare(parser, shared_.limits);
  resting_ = true;
  buffer_.begin_head();
  if (buffer_.size() == 0) buffer_.shrink_to_fit();  // It may rest for long, and a body was large.
  set_deadline(header_deadline);
  auto [header_error, header_bytes] = co_await http::async_read_header(stream_, buffer_, parser, kAwait);
  static_cast<void>(header_bytes);
  resting_ = false;
  const auto begun = std::chrono::steady_clock::now();
  if (const auto broken = find_broken_head(header_error, parser, buffer_)) {
    const Next next = co_await refuse_broken(broken->status, broken->error);
    co_return next;
  }
  if (header_error) {
    if (header_error == beast::error::timeout && parser.got_some()) {
      shared_.metrics.count(Metrics::Counter::kRequestsBroken);
      shared_.log.info("request_late").with("peer", peer_).with("part", "header");
    }
    co_return Next::kClose;
  }

  const auto& request = parser.get();
  const HubRequestHead head = head_of(parser, peer_group_);
  Hub::Admitted admitted;
  if (auto health = shared_.hub.health_if_asked(head, shared_.desk.busy_for())) {
    admitted.route = Hub::Route::kHealth;
    admitted.refusal = std::move(*health);
  } else {
    set_deadline(shared_.limits.body);  // The header came in time; that others are before it is not this peer's fault.
    const std::function<Hub::Admitted()> judge = [this, &head] { return shared_.hub.admit(head); };
    admitted = co_await at_desk(judge);
    is_proven_ = is_proven_ || !admitted.device_word.empty();
  }
  const unsigned version = request.version();
  const bool keep_alive = request.keep_alive();
  const char* method = head.method == "POST"  ? "POST"
                       : head.method == "GET" ? "GET"
                       : head.method == "PUT" ? "PUT"
                                              : "other";

  const auto declared = parser.content_length();
  if (!admitted.refusal && declared && *declared > admitted.body_bytes_max)
    admitted.refusal = Hub::too_large(admitted.body_bytes_max);
  if (admitted.refusal) {
    // With the body unread, the next request's beginning is not known: this one is the last.
    const bool unread = !parser.is_done() && (declared ? *declared > 0 : parser.chunked());
    const bool sent = co_await send(*admitted.refusal, version, keep_alive && !unread);
    note_request(method, admitted, *admitted.refusal, begun, 0);
    if (!sent) co_return Next::kClose;
    co_return unread ? Next::kCloseUnread : keep_alive ? Next::kServeAnother : Next::kClose;
  }

  const bool in_session = !admitted.device_word.empty();
  set_deadline(in_session ? shared_.limits.body : shared_.limits.body_before_session);
  if (beast::iequals(request[http::field::expect], "100-continue")) {
    static constexpr std::string_view kContinue = "HTTP/1.1 100 Continue\r\n\r\n";
    auto [write_error, written] = co_await net::async_write(stream_, net::buffer(kContinue), kAwait);
    static_cast<void>(written);
    if (write_error) co_return Next::kClose;
  }
  parser.body_limit(admitted.body_bytes_max);
  if (!parser.is_done()) {
    auto [body_error, body_bytes] = co_await http::async_read(stream_, buffer_, parser, kAwait);
    static_cast<void>(body_bytes);
    if (body_error == http::error::body_limit) {  // It came in chunks of no declared sum.
      const HubAnswer refusal = Hub::too_large(admitted.body_bytes_max);
      const bool sent = co_await send(refusal, version, false);
      note_request(method, admitted, refusal, begun, admitted.body_bytes_max);
      co_return sent ? Next::kCloseUnread : Next::kClose;
    }
    if (body_error) {
      shared_.metrics.count(Metrics::Counter::kRequestsBroken);
      shared_.log.info("request_broken")
          .with("peer", peer_)
          .with("path", path_label(admitted.route))
          .with("reason", body_error.message());
      co_return Next::kClose;
    }
  }

  if (admitted.route == Hub::Route::kNews && !stopping_)
    co_await shared_.news.wait(waiter_, parser.get().body(), shared_.limits.news);
  set_deadline(shared_.limits.write);
  const std::function<HubAnswer()> work = [&] { return shared_.hub.answer(admitted, parser.get().body()); };
  const HubAnswer answer = co_await at_desk(work);
  const bool sent = co_await send(answer, version, keep_alive);
  note_request(method, admitted, answer, begun, parser.get().body().size());
  co_return sent&& keep_alive && !stopping_ ? Next::kServeAnother : Next::kClose;
}

net::awaitable<bool> Connection::send(const HubAnswer& answer, unsigned http_version, bool keep_alive) {
  Response response{static_cast<http::status>(answer.status), http_version};
  response.set(http::field::server, "wrackline");
  response.set(http::field::content_type, answer.content_type);
  response.set(http::field::cache_control, "no-store");
  response.set("X-Content-Type-Options", "nosniff");
  response.set(http::field::strict_transport_security, kHttpsOnly);
  for (const auto& [name, value] : answer.headers) response.set(name, value);
  response.keep_alive(keep_alive && !stopping_);
  response.body() = answer.body;
  response.prepare_payload();
  set_deadline(shared_.limits.write);
  auto [error, bytes] = co_await http::async_write(stream_, response, kAwait);
  static_cast<void>(bytes);
  co_return !error;
}

net::awaitable<Connection::Next> Connection::refuse_broken(unsigned status, const Error& error) {
  shared_.metrics.count(Metrics::Counter::kRequestsBroken);
  shared_.log.info("request_broken").with("peer", peer_).with("status", std::uint64_t{status});
  HubAnswer answer = Hub::refuse(error);
  answer.status = status;
  const bool sent = co_await send(answer, 11, false);
  co_return sent ? Next::kCloseUnread : Next::kClose;
}

// Closing while the peer still sends would reset the connection, and the peer would lose our answer with it.
net::awaitable<void> Connection::discard_rest() {
  set_deadline(shared_.limits.farewell);
  buffer_.clear();
  std::array<char, 16 << 10> scratch;
  for (std::size_t total = 0; total < kDiscardedBytesMax;) {
    auto [error, bytes] = co_await stream_.async_read_some(net::buffer(scratch), kAwait);
    if (error) co_return;
    total += bytes;
  }
}

net::awaitable<void> Connection::say_goodbye() {
  resting_ = false;  // A stop must not cut this short; it has its own deadline.
  set_deadline(shared_.limits.farewell);
  auto [error] = co_await stream_.async_shutdown(kAwait);
  static_cast<void>(error);  // Most peers have gone by now.
}

void Connection::note_request(const char* method, const Hub::Admitted& admitted, const HubAnswer& answer,
                              std::chrono::steady_clock::time_point begun, std::size_t bytes_in) {
  const auto elapsed = std::chrono::steady_clock::now() - begun;
  const char* path = path_label(admitted.route);
  shared_.metrics.count_request(path, answer.status, std::chrono::duration<double>(elapsed).count(), bytes_in,
                                answer.body.size());
  Log::Line line = answer.status >= 500 ? shared_.log.error("request") : shared_.log.info("request");
  line.with("peer", peer_)
      .with("method", method)
      .with("path", path)
      .with("status", std::uint64_t{answer.status})
      .with("ms", static_cast<std::uint64_t>(
                      std::chrono::duration_cast<std::chrono::milliseconds>(elapsed).count()))
      .with("bytes_in", std::uint64_t{bytes_in})
      .with("bytes", std::uint64_t{answer.body.size()});
  if (!admitted.device_word.empty()) line.with("device", admitted.device_word);
}

}  // namespace wrackline
