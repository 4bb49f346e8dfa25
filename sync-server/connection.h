// One peer's connection: TLS, then requests one after the other, each with its deadlines and limits.
//
// Whatever a peer does wrong ends its own connection and no other. Nothing a peer sends is logged but its
// address.
#pragma once

#include <boost/asio/awaitable.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/beast/http/message.hpp>
#include <boost/beast/http/string_body.hpp>
#include <chrono>
#include <functional>
#include <memory>
#include <string>

#include "connection_table.h"
#include "desk.h"
#include "head_buffer.h"
#include "hub.h"
#include "news.h"
#include "tls_context.h"
#include "tls_stream.h"

namespace wrackline {

class Connection {
 public:
  // Connections share these; all of them outlive the connections.
  struct Shared {
    Hub& hub;    // Its work is done at the desk.
    Desk& desk;
    Log& log;
    Metrics& metrics;
    ConnectionTable& table;
    const PeerLimits& limits;
    CurrentTls& tls;
    News& news;
  };

  Connection(Shared shared, boost::asio::ip::tcp::socket socket, std::string peer, std::string peer_group,
             ConnectionTable::Ticket ticket);
  Connection(const Connection&) = delete;
  Connection& operator=(const Connection&) = delete;
  ~Connection();

  // Serves the peer until either side has had enough. The Connection outlives it.
  boost::asio::awaitable<void> run();

  // Ends the connection at once when it is between requests, or else after the running one.
  void stop();

  // No device has shown a session in it, and what it waits for is its peer. Whoever gives way is closed, whatever it was at.
  bool can_give_way() const { return !is_proven_ && !is_at_desk_ && !gave_way_; }
  void give_way();
  const std::string& peer_group() const { return peer_group_; }

 private:
  using Response = boost::beast::http::response<boost::beast::http::string_body>;
  enum class Next { kServeAnother, kClose, kCloseUnread };

  // At the desk, as Desk::run.
  template <typename Outcome>
  boost::asio::awaitable<Outcome> at_desk(const std::function<Outcome()>& work);
  boost::asio::awaitable<bool> handshake();
  boost::asio::awaitable<Next> serve_one(std::chrono::seconds header_deadline);
  boost::asio::awaitable<bool> send(const HubAnswer& answer, unsigned http_version, bool keep_alive);
  boost::asio::awaitable<void> discard_rest();
  boost::asio::awaitable<void> say_goodbye();
  boost::asio::awaitable<Next> refuse_broken(unsigned status, const Error& error);
  void set_deadline(std::chrono::seconds limit);
  void note_request(const char* method, const Hub::Admitted& admitted, const HubAnswer& answer,
                    std::chrono::steady_clock::time_point begun, std::size_t bytes_in);

  Shared shared_;
  std::string peer_;
  std::string peer_group_;
  ConnectionTable::Ticket ticket_;
  News::Waiter waiter_;
  std::shared_ptr<HubTls> tls_;  // The TLS settings it began with, whatever is renewed meanwhile.
  TlsStream stream_;
  HeadBuffer buffer_;
  bool resting_ = true;  // No request is being answered.
  bool stopping_ = false;
  bool is_proven_ = false;  // A session was shown in it.
  bool is_at_desk_ = false;
  bool gave_way_ = false;
};

}  // namespace wrackline
