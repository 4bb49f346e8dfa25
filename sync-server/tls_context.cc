#include "tls_context.h"

#include <openssl/crypto.h>
#include <openssl/ssl.h>
#include <sys/stat.h>

#include <boost/asio/buffer.hpp>

#include "hosts/private_file.h"
#include "read_file.h"

namespace wrackline {
namespace {

namespace ssl = boost::asio::ssl;

}  // namespace

Result<HubTls> make_tls(const HubDirectory& directory, const TlsOptions& options) {
  WRACKLINE_TRY_VALUE(certificate, read_file(directory.certificate(), kPemBytesMax));
  WRACKLINE_TRY_VALUE(key, read_private_file(directory.certificate_key(), kPemBytesMax));
  WRACKLINE_TRY_VALUE(facts, check_pair(certificate, key));

  HubTls tls{ssl::context(ssl::context::tls_server), facts};
  boost::system::error_code error;
  tls.context.use_certificate_chain(boost::asio::buffer(certificate), error);
  if (!error) tls.context.use_private_key(boost::asio::buffer(key), ssl::context::pem, error);
  OPENSSL_cleanse(key.data(), key.size());

  SSL_CTX* handle = tls.context.native_handle();
  const bool ok =
      !error &&
      SSL_CTX_set_min_proto_version(handle, options.allow_tls12 ? TLS1_2_VERSION : TLS1_3_VERSION) == 1 &&
      SSL_CTX_set_ciphersuites(
          handle, "TLS_AES_256_GCM_SHA384:TLS_CHACHA20_POLY1305_SHA256:TLS_AES_128_GCM_SHA256") == 1 &&
      SSL_CTX_set_cipher_list(handle, "ECDHE+AESGCM:ECDHE+CHACHA20") == 1 &&  // For 1.2.
      SSL_CTX_set1_groups_list(handle, "X25519:P-256") == 1 && SSL_CTX_set_num_tickets(handle, 0) == 1 &&
      SSL_CTX_set_max_early_data(handle, 0) == 1;
  if (!ok)
    return fail(ErrorCode::kInvalid,
                "preparing TLS with " + directory.certificate() +
                    ": the certificate or its key cannot be used by this machine's TLS library");
  SSL_CTX_set_options(handle, SSL_OP_NO_RENEGOTIATION | SSL_OP_NO_TICKET | SSL_OP_NO_COMPRESSION);
  SSL_CTX_set_session_cache_mode(handle, SSL_SESS_CACHE_OFF);
  // A connection at rest keeps no 34 kB of buffers. What could not be written at once is written again from wherever it then lies.
  SSL_CTX_set_mode(handle, SSL_MODE_RELEASE_BUFFERS | SSL_MODE_ENABLE_PARTIAL_WRITE | SSL_MODE_ACCEPT_MOVING_WRITE_BUFFER);
  SSL_CTX_set_read_ahead(handle, 1);  // Head and body of a TLS record with one look at the socket.
  return tls;
}

Result<std::unique_ptr<CurrentTls>> CurrentTls::open(const HubDirectory& directory,
                                                     const TlsOptions& options) {
  std::unique_ptr<CurrentTls> current(new CurrentTls(directory, options));
  WRACKLINE_TRY(current->look(true));
  return current;
}

std::string CurrentTls::state_of_files() const {
  std::string state;
  for (const std::string& path : {directory_.certificate(), directory_.certificate_key()}) {
    struct stat about {};
    if (::stat(path.c_str(), &about) != 0) about = {};
    state += std::to_string(about.st_ino) + ' ' + std::to_string(about.st_size) + ' ' +
             std::to_string(about.st_mode) + ' ' + std::to_string(about.st_mtim.tv_sec) + '.' +
             std::to_string(about.st_mtim.tv_nsec) + '\n';
  }
  return state;
}

Result<bool> CurrentTls::look(bool even_if_same) {
  // Read before the files are: a change in between is then seen at the next look.
  const std::string state = state_of_files();
  if (state == seen_ && !even_if_same) return false;
  seen_ = state;
  WRACKLINE_TRY_VALUE(fresh, make_tls(directory_, options_));
  auto taken = std::make_shared<HubTls>(std::move(fresh));
  const std::lock_guard<std::mutex> alone(taking_);
  tls_ = std::move(taken);
  return true;
}

}  // namespace wrackline
