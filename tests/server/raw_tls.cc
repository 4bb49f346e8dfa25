#include "raw_tls.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <csignal>

namespace wrackline {
namespace {

constexpr int kPatienceMs = 30'000;  // A hub on a loaded machine needs its time for a handshake; who is refused hears so at once.

sockaddr_in endpoint(const char* address, std::uint16_t port) {
  sockaddr_in out{};
  out.sin_family = AF_INET;
  out.sin_port = htons(port);
  ::inet_pton(AF_INET, address, &out.sin_addr);
  return out;
}

void set_patience(int socket, int ms) {
  const timeval limit{ms / 1000, (ms % 1000) * 1000};
  ::setsockopt(socket, SOL_SOCKET, SO_RCVTIMEO, &limit, sizeof limit);
}

}  // namespace

RawPeer::RawPeer(std::uint16_t port, const Options& options) {
  std::signal(SIGPIPE, SIG_IGN);
  socket_ = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  set_patience(socket_, kPatienceMs);
  const timeval send_limit{2, 0};
  ::setsockopt(socket_, SOL_SOCKET, SO_SNDTIMEO, &send_limit, sizeof send_limit);
  // The second piece of a message is not held back until the hub has confirmed the first.
  const int at_once = 1;
  ::setsockopt(socket_, IPPROTO_TCP, TCP_NODELAY, &at_once, sizeof at_once);
  const sockaddr_in here = endpoint(options.address, 0), there = endpoint(options.hub, port);
  if (::bind(socket_, reinterpret_cast<const sockaddr*>(&here), sizeof here) != 0 ||
      ::connect(socket_, reinterpret_cast<const sockaddr*>(&there), sizeof there) != 0)
    return;
  open_ = options.says_first.empty() || send(options.says_first);
  if (!open_) return;
  if (options.speaks == Speaks::kNothing) return;
  context_ = SSL_CTX_new(TLS_client_method());
  SSL_CTX_set_security_level(context_, 0);  // Old versions are to be refused by the hub, not by this end.
  SSL_CTX_set_min_proto_version(context_, options.version);
  SSL_CTX_set_max_proto_version(context_, options.version);
  ssl_ = SSL_new(context_);
  SSL_set_fd(ssl_, socket_);
  open_ = SSL_connect(ssl_) == 1;
}

RawPeer::~RawPeer() {
  SSL_free(ssl_);
  SSL_CTX_free(context_);
  if (socket_ >= 0) ::close(socket_);
}

bool RawPeer::send(std::string_view bytes) {
  while (!bytes.empty()) {
    const long sent = ssl_ != nullptr ? SSL_write(ssl_, bytes.data(), static_cast<int>(bytes.size()))
                                      : ::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
    if (sent <= 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(sent));
  }
  return true;
}

void RawPeer::half_close() {
  if (ssl_ != nullptr) SSL_shutdown(ssl_);
  ::shutdown(socket_, SHUT_WR);
}

bool RawPeer::hear_more(std::string& heard) {
  char buffer[16 << 10];
  const long got = ssl_ != nullptr ? SSL_read(ssl_, buffer, sizeof buffer) : ::recv(socket_, buffer, sizeof buffer, 0);
  if (got > 0) {
    heard.append(buffer, static_cast<std::size_t>(got));
    return true;
  }
  const bool waited_in_vain = ssl_ != nullptr ? SSL_get_error(ssl_, static_cast<int>(got)) == SSL_ERROR_WANT_READ : got < 0 && errno == EAGAIN;
  closed_ = !waited_in_vain;
  return false;
}

std::string RawPeer::hear(int patience_ms) {
  set_patience(socket_, patience_ms);
  std::string heard;
  while (hear_more(heard)) {
  }
  return heard;
}

std::string RawPeer::hear_answer(int patience_ms) {
  set_patience(socket_, patience_ms);
  static constexpr std::string_view kEnd = "\r\n\r\n", kLength = "Content-Length: ";
  std::string heard;
  for (;;) {
    const std::size_t head = heard.find(kEnd), length = heard.find(kLength);
    if (head != std::string::npos && length < head) {
      const std::size_t body = std::stoull(heard.substr(length + kLength.size()));
      if (heard.size() >= head + kEnd.size() + body) return heard;
    }
    if (!hear_more(heard)) return heard;
  }
}

bool RawPeer::wait_until_ended(int patience_ms) {
  pollfd ended{socket_, POLLRDHUP, 0};  // POLLERR and POLLHUP are always told of.
  return ::poll(&ended, 1, patience_ms) == 1;
}

int status_in(const std::string& heard) {
  return heard.compare(0, 7, "HTTP/1.") == 0 && heard.size() > 12 ? std::atoi(heard.c_str() + 9) : 0;
}

int answers_in(const std::string& heard) {
  int count = 0;
  for (std::size_t at = heard.find("HTTP/1."); at != std::string::npos; at = heard.find("HTTP/1.", at + 1))
    ++count;
  return count;
}

}  // namespace wrackline
