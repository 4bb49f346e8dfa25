#include "listener.h"

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <chrono>
#include <exception>

#include "proxy_header.h"

namespace wrackline {
namespace {

namespace net = boost::asio;
using tcp = net::ip::tcp;

constexpr auto kAwait = net::as_tuple(net::use_awaitable);
constexpr std::chrono::milliseconds kBreath{100};

// A v4 client of a v6 socket is that v4 client.
net::ip::address plain(const net::ip::address& address) {
  if (address.is_v6() && address.to_v6().is_v4_mapped())
    return net::ip::make_address_v4(net::ip::v4_mapped, address.to_v6());
  return address;
}

}  // namespace

std::string peer_group_of(const net::ip::address& address) {
  const net::ip::address peer = plain(address);
  if (peer.is_v4()) return peer.to_string();
  auto bytes = peer.to_v6().to_bytes();
  for (std::size_t i = 8; i < bytes.size(); ++i) bytes[i] = 0;
  return net::ip::address_v6(bytes).to_string() + "/64";
}

Result<std::set<std::string>> peer_groups_of(const std::vector<std::string>& addresses, const char* doing) {
  std::set<std::string> out;
  for (const std::string& address : addresses) {
    boost::system::error_code error;
    const auto ip = net::ip::make_address(address, error);
    if (error) return fail(ErrorCode::kInvalid, std::string(doing) + " for " + address + ": name an address, such as 192.0.2.10; nothing was begun");
    out.insert(peer_group_of(ip));
  }
  return out;
}

Result<std::unique_ptr<Listener>> Listener::open(net::io_context& io, const HubAddress& address,
                                                 const std::vector<std::string>& balancers, Connection::Shared shared) {
  boost::system::error_code error;
  const auto ip = net::ip::make_address(address.host == "localhost" ? "127.0.0.1" : address.host, error);
  if (error)
    return fail(ErrorCode::kInvalid,
                "listening on " + to_text(address) +
                    ": name an address of this machine, such as 127.0.0.1:8443, or 0.0.0.0:8443 for all");
  std::unique_ptr<Listener> listener(new Listener(io, shared));
  for (const std::string& balancer : balancers) {
    listener->balancers_.insert(plain(net::ip::make_address(balancer, error)));
    if (error) return fail(ErrorCode::kInvalid, "listening behind " + balancer + ": name the balancer's address, such as 192.0.2.10; nothing was begun");
  }
  tcp::acceptor& acceptor = listener->acceptor_;
  const tcp::endpoint endpoint(ip, address.port);
  acceptor.open(endpoint.protocol(), error);
  // So that a restarted hub need not wait for the old one's last packets.
  if (!error) acceptor.set_option(net::socket_base::reuse_address(true), error);
  if (!error) acceptor.bind(endpoint, error);
  if (!error) acceptor.listen(net::socket_base::max_listen_connections, error);
  if (error) return fail(ErrorCode::kTransport, "listening on " + to_text(address) + ": " + error.message());
  return listener;
}

HubAddress Listener::address() const {
  boost::system::error_code error;
  const tcp::endpoint endpoint = acceptor_.local_endpoint(error);
  return {endpoint.address().to_string(), endpoint.port()};
}

void Listener::stop() {
  boost::system::error_code ignored;
  acceptor_.close(ignored);
  for (tcp::socket* socket : hearing_) socket->cancel(ignored);
}

net::awaitable<void> Listener::run() {
  net::steady_timer timer(acceptor_.get_executor());
  while (acceptor_.is_open()) {
    auto [error, socket] = co_await acceptor_.async_accept(kAwait);
    if (!acceptor_.is_open()) co_return;
    if (error) {
      // Out of file descriptors, most likely: others must close first, and asking at once would only burn
      // time.
      shared_.log.warn("accept_failed").with("reason", error.message());
      timer.expires_after(kBreath);
      auto [timer_error] = co_await timer.async_wait(kAwait);
      static_cast<void>(timer_error);
      continue;
    }
    const tcp::endpoint endpoint = socket.remote_endpoint(error);
    if (error) continue;  // Gone already.
    const net::ip::address peer = plain(endpoint.address());
    if (balancers_.count(peer) == 0) {
      welcome(std::move(socket), peer);
    } else {
      net::co_spawn(acceptor_.get_executor(), hear_balancer(std::move(socket)), net::detached);
    }
  }
}

net::awaitable<void> Listener::hear_balancer(tcp::socket socket) {
  boost::system::error_code error;
  const net::ip::address balancer = plain(socket.remote_endpoint(error).address());
  if (error) co_return;
  hearing_.insert(&socket);
  net::steady_timer deadline(socket.get_executor(), shared_.limits.header);
  deadline.async_wait([&socket](boost::system::error_code ended) {
    boost::system::error_code ignored;
    if (!ended) socket.cancel(ignored);
  });
  Bytes bytes(ProxyHeader::kFirstBytes, '\0');
  auto [first_error, first_size] = co_await net::async_read(socket, net::buffer(bytes), kAwait);
  auto header = first_error ? Result<ProxyHeader>(fail(ErrorCode::kMalformed, first_error.message())) : ProxyHeader::begin(ByteView(bytes).substr(0, first_size));
  Result<std::optional<net::ip::address>> peer = header ? std::optional<net::ip::address>() : Result<std::optional<net::ip::address>>(fail(header.error()));
  if (header) {
    bytes.resize(header->rest_bytes());
    auto [rest_error, rest_size] = co_await net::async_read(socket, net::buffer(bytes), kAwait);
    peer = rest_error ? Result<std::optional<net::ip::address>>(fail(ErrorCode::kMalformed, rest_error.message())) : header->peer(ByteView(bytes).substr(0, rest_size));
  }
  deadline.cancel();
  hearing_.erase(&socket);
  if (!acceptor_.is_open()) co_return;  // It stops.
  if (!peer) {
    shared_.metrics.count(Metrics::Counter::kHandshakesFailed);
    shared_.log.warn("balancer_not_understood").with("peer", balancer.to_string()).with("reason", peer.error().message);
    co_return;
  }
  welcome(std::move(socket), plain(peer->value_or(balancer)));
}

void Listener::welcome(tcp::socket socket, const net::ip::address& from) {
  const std::string peer = from.to_string();
  std::string group = peer_group_of(from);
  const auto now = static_cast<WallMs>(
      std::chrono::duration_cast<std::chrono::milliseconds>(std::chrono::steady_clock::now().time_since_epoch()).count());
  if (!quota_.take(group, now)) {
    shared_.metrics.count(Metrics::Counter::kHandshakesOverQuota);
    if (quota_.is_to_be_told(group, now)) shared_.log.warn("over_quota").with("peer", peer).with("did", "closes its new connections before TLS");
    return;
  }
  auto ticket = shared_.table.enter(group);
  if (!ticket) {
    shared_.metrics.count(Metrics::Counter::kConnectionsTurnedAway);
    shared_.log.warn("turned_away").with("peer", peer).with("open", std::uint64_t{shared_.table.open()});
    return;
  }
  shared_.metrics.count(Metrics::Counter::kConnectionsAccepted);
  auto connection =
      std::make_shared<Connection>(shared_, std::move(socket), peer, std::move(group), std::move(*ticket));
  net::co_spawn(acceptor_.get_executor(), connection->run(),
                [connection, &log = shared_.log](std::exception_ptr thrown) {
                  if (!thrown) return;
                  // Out of memory, or a fault of ours: it costs this peer its connection and nobody else's.
                  try {
                    std::rethrow_exception(thrown);
                  } catch (const std::exception& fault) {
                    log.error("connection_fault").with("reason", fault.what());
                  }
                });
}

}  // namespace wrackline
