#include "tls_stream.h"

#include <openssl/err.h>

#include <boost/asio/error.hpp>
#include <boost/asio/ssl/error.hpp>
#include <boost/beast/core/error.hpp>
#include <cerrno>

namespace wrackline {
namespace {

namespace net = boost::asio;

// The error of a call that neither went through nor has to wait.
boost::system::error_code error_of(int outcome, int system_error) {
  const unsigned long reason = ERR_get_error();
  if (outcome == SSL_ERROR_ZERO_RETURN) return net::error::eof;
  if (outcome == SSL_ERROR_SYSCALL && system_error != 0) return {system_error, boost::system::system_category()};
  const bool has_ended = outcome == SSL_ERROR_SYSCALL || ERR_GET_REASON(reason) == SSL_R_UNEXPECTED_EOF_WHILE_READING;
  if (has_ended) return net::ssl::error::stream_truncated;
  return {static_cast<int>(reason), net::error::get_ssl_category()};
}

}  // namespace

TlsStream::TlsStream(net::ip::tcp::socket socket, SSL_CTX& context)
    : socket_(std::move(socket)), ssl_(SSL_new(&context)), timer_(socket_.get_executor()) {
  boost::system::error_code error;
  socket_.native_non_blocking(true, error);
  if (error || !ssl_ || SSL_set_fd(ssl_.get(), socket_.native_handle()) != 1) ssl_.reset();
}

void TlsStream::expires_after(std::chrono::seconds limit) {
  timer_.expires_after(limit);
  timer_.async_wait([this, alive = std::weak_ptr<bool>(alive_)](const NetError& error) {
    // Set anew after this was on its way already: that one counts.
    if (error || alive.expired() || timer_.expiry() > std::chrono::steady_clock::now()) return;
    is_late_ = true;
    cancel();
  });
}

void TlsStream::cancel() {
  boost::system::error_code ignored;
  socket_.cancel(ignored);
}

boost::system::error_code TlsStream::late() { return boost::beast::error::timeout; }

int TlsStream::call(const Step& step, std::size_t& bytes) {
  switch (step.what) {
    case Step::What::kHandshake:
      return SSL_accept(ssl_.get());
    case Step::What::kShutdown: {
      const int said = SSL_shutdown(ssl_.get());
      return said == 0 ? SSL_shutdown(ssl_.get()) : said;
    }
    case Step::What::kRead:
      return SSL_read_ex(ssl_.get(), step.buffer.data(), step.buffer.size(), &bytes);
    case Step::What::kWrite:
      return SSL_write_ex(ssl_.get(), step.buffer.data(), step.buffer.size(), &bytes);
  }
  return -1;
}

TlsStream::Wants TlsStream::attempt(const Step& step, std::size_t& bytes, NetError& error) {
  if (!ssl_) {
    error = net::error::no_memory;
    return Wants::kNothing;
  }
  const bool moves_bytes = step.what == Step::What::kRead || step.what == Step::What::kWrite;
  if (moves_bytes && step.buffer.size() == 0) return Wants::kNothing;
  ERR_clear_error();
  errno = 0;
  const int result = call(step, bytes);
  const int system_error = errno;
  if (result == 1) return Wants::kNothing;
  const int outcome = SSL_get_error(ssl_.get(), result);
  if (outcome == SSL_ERROR_WANT_READ) return Wants::kToRead;
  if (outcome == SSL_ERROR_WANT_WRITE) return Wants::kToWrite;
  error = error_of(outcome, system_error);
  return Wants::kNothing;
}

}  // namespace wrackline
