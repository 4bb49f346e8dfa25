// Accepts connections and starts each on its own coroutine. Those of a configured balancer say first from whom they come.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "base/result.h"
#include "connection.h"
#include "handshake_quota.h"
#include "hosts/hub_address.h"

namespace wrackline {

class Listener {
 public:
  // Listens on an address of this machine; port 0 takes a free one. `balancers` are the addresses from which each connection begins
  // with a header of the PROXY protocol. Errors: kInvalid for a name that is no address, kTransport when it cannot be had.
  static Result<std::unique_ptr<Listener>> open(boost::asio::io_context& io, const HubAddress& address,
                                                const std::vector<std::string>& balancers, Connection::Shared shared);

  HubAddress address() const;  // With the port it really has.
  boost::asio::awaitable<void> run();
  void stop();

 private:
  Listener(boost::asio::io_context& io, Connection::Shared shared) : acceptor_(io), shared_(shared), quota_(shared.limits.handshakes) {}
  // Hears from a balancer for whom its connection is.
  boost::asio::awaitable<void> hear_balancer(boost::asio::ip::tcp::socket socket);
  void welcome(boost::asio::ip::tcp::socket socket, const boost::asio::ip::address& peer);
  boost::asio::ip::tcp::acceptor acceptor_;
  Connection::Shared shared_;
  HandshakeQuota quota_;
  std::set<boost::asio::ip::address> balancers_;
  std::set<boost::asio::ip::tcp::socket*> hearing_;  // Balancers' that have not said yet from whom they come.
};

// Wrong tries and connections are counted by this: an IPv4 address, or the /64 network of an IPv6 address,
// since whoever has one of its addresses has them all.
std::string peer_group_of(const boost::asio::ip::address& address);
// Reads the groups of addresses as people write them. `doing` begins what a failure says. Errors: kInvalid for
// what is no address.
Result<std::set<std::string>> peer_groups_of(const std::vector<std::string>& addresses, const char* doing);

}  // namespace wrackline
