#include "hosts/hub_client.h"

#include <exchange.pb.h>
#include <openssl/crypto.h>
#include <openssl/pem.h>
#include <openssl/x509.h>

#include <boost/asio/connect.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ssl.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>
#include <boost/beast/ssl.hpp>
#include <array>
#include <chrono>
#include <optional>

#include "hosts/http_date.h"

namespace wrackline {
namespace {

namespace net = boost::asio;
namespace ssl = boost::asio::ssl;
namespace beast = boost::beast;
namespace http = boost::beast::http;
using tcp = net::ip::tcp;
using Stream = beast::ssl_stream<beast::tcp_stream>;
using ErrorCondition = boost::system::error_code;

constexpr std::uint32_t kAnswerHeaderBytesMax = 16 << 10;

bool is_ip_address(const std::string& host) {
  ErrorCondition error;
  net::ip::make_address(host, error);
  return !error;
}

// Says what a keeper can do about a certificate that was not accepted.
std::string certificate_trouble(long verify_result) {
  switch (verify_result) {
    case X509_V_ERR_CERT_HAS_EXPIRED:
      return "its certificate has expired; first see whether this device's clock is right, then ask an admin "
             "to renew it";
    case X509_V_ERR_CERT_NOT_YET_VALID:
      return "its certificate is not valid yet, so this device's clock is probably behind; set the clock";
    case X509_V_ERR_HOSTNAME_MISMATCH:
    case X509_V_ERR_IP_ADDRESS_MISMATCH:
      return "its certificate is for another name or address; use the address the admin gave, or ask for a "
             "certificate "
             "with this one in it";
    case X509_V_ERR_CERT_REJECTED:
      return "its certificate is not the one that the link names; it may be another machine that answers under the "
             "hub's address, or the link is from before the hub's certificate was renewed. Ask an admin for a new link";
    case X509_V_ERR_DEPTH_ZERO_SELF_SIGNED_CERT:
    case X509_V_ERR_SELF_SIGNED_CERT_IN_CHAIN:
    case X509_V_ERR_UNABLE_TO_GET_ISSUER_CERT:
    case X509_V_ERR_UNABLE_TO_GET_ISSUER_CERT_LOCALLY:
    case X509_V_ERR_UNABLE_TO_VERIFY_LEAF_SIGNATURE:
    case X509_V_ERR_CERT_SIGNATURE_FAILURE:
      return "it does not show the certificate this device trusts; it may be another machine that answers "
             "under the "
             "hub's address. If the hub's certificate was renewed, get the new one from an admin";
    default:
      return std::string("its certificate was not accepted (") +
             X509_verify_cert_error_string(verify_result) + ")";
  }
}

constexpr std::size_t kFingerprintBytes = 32;

bool read_fingerprint(std::string_view digits, std::array<unsigned char, kFingerprintBytes>& out) {
  const auto value = [](char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    if (c >= 'A' && c <= 'F') return c - 'A' + 10;
    return -1;
  };
  if (digits.size() != 2 * kFingerprintBytes) return false;
  for (std::size_t i = 0; i < kFingerprintBytes; ++i) {
    const int high = value(digits[2 * i]), low = value(digits[2 * i + 1]);
    if (high < 0 || low < 0) return false;
    out[i] = static_cast<unsigned char>(high * 16 + low);
  }
  return true;
}

// Trusts the certificate that is shown when its fingerprint is the wanted one, and then verifies it as any other: its
// time, its name. Called in the handshake, so before this side has sent anything that it keeps to itself.
int verify_by_fingerprint(X509_STORE_CTX* verification, void* wanted) {
  X509* shown = X509_STORE_CTX_get0_cert(verification);
  unsigned char digest[EVP_MAX_MD_SIZE];
  unsigned int size = 0;
  if (shown == nullptr || X509_digest(shown, EVP_sha256(), digest, &size) != 1 || size != kFingerprintBytes ||
      CRYPTO_memcmp(digest, wanted, kFingerprintBytes) != 0) {
    X509_STORE_CTX_set_error(verification, X509_V_ERR_CERT_REJECTED);
    return 0;
  }
  STACK_OF(X509)* trusted = sk_X509_new_null();
  if (trusted == nullptr || sk_X509_push(trusted, shown) == 0) {
    sk_X509_free(trusted);
    X509_STORE_CTX_set_error(verification, X509_V_ERR_OUT_OF_MEM);
    return 0;
  }
  X509_STORE_CTX_set0_trusted_stack(verification, trusted);
  const int verified = X509_verify_cert(verification);
  sk_X509_free(trusted);
  return verified;
}

std::string to_pem(SSL* handle) {
  std::string out;
  X509* shown = SSL_get1_peer_certificate(handle);
  BIO* bio = BIO_new(BIO_s_mem());
  if (shown != nullptr && bio != nullptr && PEM_write_bio_X509(bio, shown) == 1) {
    char* pem = nullptr;
    const long size = BIO_get_mem_data(bio, &pem);
    out.assign(pem, static_cast<std::size_t>(size));
  }
  BIO_free(bio);
  X509_free(shown);
  return out;
}

}  // namespace

// A question to the hub; it borrows from the caller.
struct HubQuestion {
  http::verb verb = http::verb::post;
  const std::string& path;
  ByteView body;
  HubSession* session;  // Or null.
  // Only for a file: which part, as Content-Range or as Range.
  std::string range = {};
  bool is_of_file() const { return !range.empty(); }
};

constexpr char kMessageType[] = "application/x-protobuf";
constexpr char kFileType[] = "application/octet-stream";

class HubClient::Connection {
 public:
  Connection(Options options, ssl::context context)
      : options_(std::move(options)), context_(std::move(context)) {
    if (read_fingerprint(options_.fingerprint, fingerprint_))
      SSL_CTX_set_cert_verify_callback(context_.native_handle(), verify_by_fingerprint, fingerprint_.data());
  }
  const std::string& certificate() const { return certificate_; }
  const Options& options() const { return options_; }

  Result<Bytes> ask(const HubQuestion& question) {
    const bool reused = stream_.has_value();
    auto answer = attempt(question);
    // The hub closes connections that rest. Every request to it may be repeated, so this asks nobody.
    if (!answer && reused && was_closed_) answer = attempt(question);
    return answer;
  }

 private:
  // Starts one asynchronous operation and waits for its end: only those keep to a deadline.
  template <typename Start>
  ErrorCondition wait_for(Start start) {
    ErrorCondition outcome;
    start([&outcome](ErrorCondition error, auto&&...) { outcome = error; });
    io_.restart();
    io_.run();
    return outcome;
  }

  void set_deadline(std::uint32_t ms) {
    beast::get_lowest_layer(*stream_).expires_after(std::chrono::milliseconds(ms));
  }

  std::string hub_words() const { return "the hub at " + to_text(options_.hub); }

  Unexpected unreachable(const std::string& doing, const ErrorCondition& error) {
    stream_.reset();
    std::string what = error == beast::error::timeout ? "it did not answer in time" : error.message();
    return fail(ErrorCode::kTransport,
                doing + " " + hub_words() + ": " + what +
                    ". Everything entered is kept on this device; try again when the network is there");
  }

  Status connect() {
    tcp::resolver resolver(io_);
    tcp::resolver::results_type targets;
    ErrorCondition error = wait_for([&](auto done) {
      resolver.async_resolve(
          options_.hub.host, std::to_string(options_.hub.port),
          [&targets, done](ErrorCondition outcome, tcp::resolver::results_type found) mutable {
            targets = std::move(found);
            done(outcome);
          });
    });
    stream_.emplace(io_, context_);
    if (error) return unreachable("looking up", error);

    set_deadline(options_.connect_ms);
    error = wait_for([&](auto done) { beast::get_lowest_layer(*stream_).async_connect(targets, done); });
    if (error) return unreachable("reaching", error);
    beast::get_lowest_layer(*stream_).socket().set_option(tcp::no_delay(true), error);

    SSL* handle = stream_->native_handle();
    X509_VERIFY_PARAM* check = SSL_get0_param(handle);
    const std::string& host = options_.hub.host;
    bool ready;
    if (is_ip_address(host)) {
      ready = X509_VERIFY_PARAM_set1_ip_asc(check, host.c_str()) == 1;
    } else {
      X509_VERIFY_PARAM_set_hostflags(check, X509_CHECK_FLAG_NO_PARTIAL_WILDCARDS);
      ready = X509_VERIFY_PARAM_set1_host(check, host.c_str(), host.size()) == 1 &&
              SSL_set_tlsext_host_name(handle, host.c_str()) == 1;
    }
    if (!ready) {
      stream_.reset();
      return fail(ErrorCode::kTransport,
                  "reaching " + hub_words() + ": its name cannot be checked; use another");
    }
    set_deadline(options_.connect_ms);
    error = wait_for([&](auto done) { stream_->async_handshake(ssl::stream_base::client, done); });
    if (error) {
      const long verified = SSL_get_verify_result(handle);
      if (verified != X509_V_OK) {
        stream_.reset();
        return fail(ErrorCode::kTransport,
                    hub_words() + " was not trusted, and nothing was sent: " + certificate_trouble(verified));
      }
      return unreachable("making a secure connection to", error);
    }
    buffer_.clear();
    certificate_ = to_pem(handle);
    return {};
  }

  Result<Bytes> attempt(const HubQuestion& question) {
    was_closed_ = false;
    if (!stream_) WRACKLINE_TRY(connect());

    http::request<http::span_body<const char>> request{question.verb, question.path, 11};
    request.set(http::field::host, to_text(options_.hub));
    if (question.verb != http::verb::get) request.set(http::field::content_type, question.is_of_file() ? kFileType : kMessageType);
    if (question.is_of_file())
      request.set(question.verb == http::verb::get ? http::field::range : http::field::content_range, question.range);
    request.set(http::field::date, http_date(options_.wall_clock()));
    if (question.session != nullptr) {
      WRACKLINE_TRY_VALUE(header, question.session->authorize({http::to_string(question.verb), question.path, question.range}, question.body));
      if (!header.empty()) request.set(http::field::authorization, header);
    }
    request.body() = {question.body.data(), question.body.size()};
    request.prepare_payload();
    set_deadline(options_.answer_ms);
    const ErrorCondition sent = wait_for([&](auto done) { http::async_write(*stream_, request, done); });

    // A hub that refuses a request early says why before it has read all of it: look for its word also when
    // sending failed.
    http::response_parser<http::string_body> parser;
    parser.header_limit(kAnswerHeaderBytesMax);
    parser.body_limit(kAnswerBytesMax);
    ErrorCondition error = sent == beast::error::timeout ? sent : wait_for([&](auto done) {
      http::async_read(*stream_, buffer_, parser, done);
    });
    was_closed_ = error && error != beast::error::timeout && !parser.got_some();
    if (error == http::error::body_limit) {
      stream_.reset();
      return fail(ErrorCode::kTooLarge, "asking " + hub_words() + ": its answer is over " +
                                            std::to_string(kAnswerBytesMax >> 20) +
                                            " MiB; ask for less at once");
    }
    if (error) return unreachable("asking", sent ? sent : error);
    if (!parser.get().keep_alive()) stream_.reset();
    return take_answer(parser.get());
  }

  Result<Bytes> take_answer(http::response<http::string_body>& response) {
    const bool is_ours = response[http::field::content_type] == kMessageType;
    const bool is_part = response.result() == http::status::partial_content && response[http::field::content_type] == kFileType;
    if ((response.result() == http::status::ok && is_ours) || is_part) return std::move(response.body());
    proto::ErrorReply reply;
    if (response.result() != http::status::ok && is_ours && reply.ParseFromString(response.body()) &&
        reply.code() != 0)
      return fail(static_cast<ErrorCode>(reply.code()), reply.message());
    return fail(ErrorCode::kTransport, "asking " + hub_words() + ": it answered with HTTP status " +
                                           std::to_string(response.result_int()) +
                                           " and no word of a hub's; check that the address is the hub's");
  }

  Options options_;
  ssl::context context_;
  std::array<unsigned char, kFingerprintBytes> fingerprint_{};
  std::string certificate_;
  net::io_context io_{1};
  std::optional<Stream> stream_;  // Absent when there is no connection.
  beast::flat_buffer buffer_;
  bool was_closed_ = false;  // The last request found its connection closed, and nothing was heard of it.
};

HubClient::HubClient(std::unique_ptr<Connection> connection) : connection_(std::move(connection)) {}
HubClient::~HubClient() = default;
const HubClient::Options& HubClient::options() const { return connection_->options(); }

Result<std::unique_ptr<HubClient>> HubClient::create(Options options) {
  ssl::context context(ssl::context::tls_client);
  SSL_CTX* handle = context.native_handle();
  SSL_CTX_set_min_proto_version(handle, TLS1_3_VERSION);
  SSL_CTX_set_verify(handle, SSL_VERIFY_PEER, nullptr);
  // The hub's own certificate is as good an anchor as that of an authority.
  X509_VERIFY_PARAM_set_flags(SSL_CTX_get0_param(handle), X509_V_FLAG_PARTIAL_CHAIN);
  std::array<unsigned char, kFingerprintBytes> fingerprint;
  if (!options.fingerprint.empty() && !read_fingerprint(options.fingerprint, fingerprint))
    return fail(ErrorCode::kInvalid, "reaching a hub: the fingerprint of its certificate is not 64 hexadecimal digits");
  ErrorCondition error;
  if (options.fingerprint.empty()) context.load_verify_file(options.certificate_path, error);
  if (error) {
    return fail(ErrorCode::kInvalid,
                "reading the hub's certificate " + options.certificate_path +
                    ": there is no certificate in PEM form; get the hub's from an admin");
  }
  return std::unique_ptr<HubClient>(
      new HubClient(std::make_unique<Connection>(std::move(options), std::move(context))));
}

const std::string& HubClient::certificate() const { return connection_->certificate(); }

Result<Bytes> HubClient::post(const std::string& path, ByteView body, HubSession* session) {
  return connection_->ask({http::verb::post, path, body, session});
}

Result<Bytes> HubClient::put_part(const std::string& path, std::uint64_t offset, std::uint64_t total, ByteView part,
                                  HubSession& session) {
  return connection_->ask({http::verb::put, path, part, &session,
                           "bytes " + std::to_string(offset) + "-" + std::to_string(offset + part.size() - 1) + "/" + std::to_string(total)});
}

Result<Bytes> HubClient::get_part(const std::string& path, std::uint64_t offset, std::uint64_t count, HubSession& session) {
  return connection_->ask(
      {http::verb::get, path, {}, &session, "bytes=" + std::to_string(offset) + "-" + std::to_string(offset + count - 1)});
}

}  // namespace wrackline
