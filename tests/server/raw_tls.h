// A peer that says to the hub whatever bytes it is told to, over TLS or without.
#pragma once

#include <openssl/ssl.h>

#include <cstdint>
#include <string>
#include <string_view>

namespace wrackline {

class RawPeer {
 public:
  enum class Speaks { kTls, kNothing };  // kNothing: a plain TCP connection.
  struct Options {
    Speaks speaks = Speaks::kTls;
    int version = TLS1_3_VERSION;       // The only one offered.
    const char* address = "127.0.0.1";  // The address of this end.
    const char* hub = "127.0.0.1";
    std::string says_first = {};  // Before TLS.
  };
  explicit RawPeer(std::uint16_t port) : RawPeer(port, Options{}) {}
  RawPeer(std::uint16_t port, const Options& options);
  RawPeer(const RawPeer&) = delete;
  RawPeer& operator=(const RawPeer&) = delete;
  ~RawPeer();

  bool is_open() const { return open_; }  // Connected, and TLS agreed where it was asked for.
  // False when the hub has closed the connection or takes nothing for 2 s.
  bool send(std::string_view bytes);
  void half_close();  // Says nothing more; still listens.
  // All that comes until the hub closes, or nothing has come for `patience_ms`.
  std::string hear(int patience_ms = 3000);
  // The answer to one request, on a connection that may stay open: until it is whole, the hub closes, or nothing has come for `patience_ms`.
  std::string hear_answer(int patience_ms = 30'000);
  // Waits until the hub has ended the connection, and reads nothing of what it said before. False when it has not after `patience_ms`.
  bool wait_until_ended(int patience_ms);
  bool was_closed() const { return closed_; }  // hear() ended because the hub closed.

 private:
  // False when the hub has closed or nothing came in time.
  bool hear_more(std::string& heard);
  int socket_ = -1;
  SSL_CTX* context_ = nullptr;
  SSL* ssl_ = nullptr;
  bool open_ = false;
  bool closed_ = false;
};

// The status of the first HTTP answer in it; 0 when there is none.
int status_in(const std::string& heard);
// How many answers begin in it.
int answers_in(const std::string& heard);

}  // namespace wrackline
