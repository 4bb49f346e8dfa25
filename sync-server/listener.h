// Accepts connections and starts each on its own coroutine.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <string>

#include "base/result.h"
#include "connection.h"
#include "hub_address.h"

namespace wrackline {

class Listener {
 public:
  // Listens on an address of this machine; port 0 takes a free one. Errors: kInvalid for a name that is no
  // address, kTransport when it cannot be had.
  static Result<std::unique_ptr<Listener>> open(boost::asio::io_context& io, const HubAddress& address,
                                                Connection::Shared shared);

  HubAddress address() const;  // With the port it really has.
  boost::asio::awaitable<void> run();
  void stop();

 private:
  Listener(boost::asio::io_context& io, Connection::Shared shared) : acceptor_(io), shared_(shared) {}
  void welcome(boost::asio::ip::tcp::socket socket);
  boost::asio::ip::tcp::acceptor acceptor_;
  Connection::Shared shared_;
};

// What wrong tries and connections are counted by: an IPv4 address, or the /64 network of an IPv6 address,
// since whoever has one of its addresses has them all.
std::string peer_group_of(const boost::asio::ip::address& address);

}  // namespace wrackline
