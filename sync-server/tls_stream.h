// The hub's end of a TLS connection, as Boost.Beast reads and writes it (an AsyncStream).
//
// Tablets rest most of the time, and boost::asio::ssl::stream keeps buffers of 34 KiB and OpenSSL's pair of pipes for each
// of them all the while. Here OpenSSL reads and writes the socket itself, and its buffers go as soon as they are empty
// (SSL_MODE_RELEASE_BUFFERS, see tls_context.cc).
//
// Threads: one at a time. Only one of reads, writes, handshake and shutdown runs at a time. SIGPIPE must be ignored.
#pragma once

#include <openssl/ssl.h>

#include <boost/asio/buffer.hpp>
#include <boost/asio/compose.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <cstddef>
#include <memory>
#include <type_traits>
#include <utility>

namespace wrackline {

class TlsStream {
 public:
  using executor_type = boost::asio::ip::tcp::socket::executor_type;
  using NetError = boost::system::error_code;

  // The context outlives it.
  TlsStream(boost::asio::ip::tcp::socket socket, SSL_CTX& context);

  executor_type get_executor() { return socket_.get_executor(); }
  boost::asio::ip::tcp::socket& socket() { return socket_; }

  // When the time is over, what is running ends with beast::error::timeout, and so does all that is begun afterwards.
  void expires_after(std::chrono::seconds limit);
  // A call that waits for the peer ends with operation_aborted.
  void cancel();

  // Handlers: void(NetError).
  template <class Token>
  auto async_handshake(Token&& token) {
    return begin<void(NetError)>({Step::What::kHandshake, {}}, token);
  }
  // Says goodbye and waits for the peer's.
  template <class Token>
  auto async_shutdown(Token&& token) {
    return begin<void(NetError)>({Step::What::kShutdown, {}}, token);
  }
  // Handlers: void(NetError, std::size_t). The first buffer that is not empty is used.
  template <class Buffers, class Token>
  auto async_read_some(const Buffers& buffers, Token&& token) {
    return begin<void(NetError, std::size_t)>({Step::What::kRead, first_of<boost::asio::mutable_buffer>(buffers)}, token);
  }
  template <class Buffers, class Token>
  auto async_write_some(const Buffers& buffers, Token&& token) {
    const auto buffer = first_of<boost::asio::const_buffer>(buffers);
    // OpenSSL only reads from it.
    return begin<void(NetError, std::size_t)>({Step::What::kWrite, {const_cast<void*>(buffer.data()), buffer.size()}}, token);
  }

 private:
  struct Step {
    enum class What { kHandshake, kShutdown, kRead, kWrite } what;
    boost::asio::mutable_buffer buffer;
  };
  enum class Wants { kNothing, kToRead, kToWrite };

  // Goes as far as it can without waiting. kNothing: it is over, with `error` or with `bytes`.
  Wants attempt(const Step& step, std::size_t& bytes, NetError& error);
  int call(const Step& step, std::size_t& bytes);

  template <class Signature>
  struct Operation {
    TlsStream& stream;
    Step step;
    NetError error = {};
    std::size_t bytes = 0;
    bool has_waited = false;
    bool is_over = false;

    template <class Self>
    void operator()(Self& self, NetError waited = {}) {
      if (!is_over) {
        error = stream.is_late_ ? late() : waited;
        switch (error ? Wants::kNothing : stream.attempt(step, bytes, error)) {
          case Wants::kToRead:
            has_waited = true;
            return stream.socket_.async_wait(boost::asio::socket_base::wait_read, std::move(self));
          case Wants::kToWrite:
            has_waited = true;
            return stream.socket_.async_wait(boost::asio::socket_base::wait_write, std::move(self));
          case Wants::kNothing:
            is_over = true;
        }
        // Never before the call that began it has returned.
        if (!has_waited) return boost::asio::post(stream.get_executor(), std::move(self));
      }
      if constexpr (std::is_same_v<Signature, void(NetError)>) {
        self.complete(error);
      } else {
        self.complete(error, bytes);
      }
    }
  };

  template <class Signature, class Token>
  auto begin(Step step, Token& token) {
    return boost::asio::async_compose<Token, Signature>(Operation<Signature>{*this, step}, token, socket_);
  }

  template <class Buffer, class Buffers>
  static Buffer first_of(const Buffers& buffers) {
    const auto end = boost::asio::buffer_sequence_end(buffers);
    for (auto it = boost::asio::buffer_sequence_begin(buffers); it != end; ++it) {
      const Buffer buffer(*it);
      if (buffer.size() > 0) return buffer;
    }
    return {};
  }

  static NetError late();

  struct Free {
    void operator()(SSL* ssl) const { SSL_free(ssl); }
  };

  boost::asio::ip::tcp::socket socket_;
  std::unique_ptr<SSL, Free> ssl_;  // Null when there was no memory for it.
  boost::asio::steady_timer timer_;
  std::shared_ptr<bool> alive_ = std::make_shared<bool>(true);  // A timer's handler may come after the stream has gone.
  bool is_late_ = false;
};

}  // namespace wrackline
