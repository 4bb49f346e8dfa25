// A device's way to its hub: HTTPS requests, one at a time, each waited for.
//
// Nothing but the certificate given at enrolment is trusted, not the machine's own list of authorities: a hub
// stands in a back room, under a name that no public authority knows. The hub must also prove the name or
// address it was reached by. TLS 1.3 or nothing.
//
// A failure here loses nothing: what was to be sent stands in the device's own log, and every request to the
// hub may be sent again.
//
// Threads: one at a time. post() blocks, at most for the sum of the limits below; but looking up a name takes
// as long as the system's resolver does.
#pragma once

#include <functional>
#include <memory>
#include <string>

#include "base/bytes.h"
#include "base/result.h"
#include "hosts/hub_address.h"
#include "hosts/system_clock.h"
#include "sync/hub_session.h"

namespace wrackline {

class HubClient {
 public:
  struct Options {
    HubAddress hub;
    std::string
        certificate_path;  // PEM: the hub's own certificate, or those of the authority that signed it.
    // Instead of a file: the SHA-256 of the hub's certificate (DER), 64 hexadecimal digits, as an enrolment link names
    // it. The certificate that is shown must be that one, which is seen before anything is sent.
    std::string fingerprint = {};
    std::uint32_t connect_ms = 10'000;  // Until the hub's machine answers; TLS has the same again.
    std::uint32_t answer_ms = 120'000;  // To send a request and hear its answer.
    // This device takes this for the time; it is told to the hub, so that an admin sees a clock that is off.
    std::function<WallMs()> wall_clock = wall_clock_ms;
  };
  static constexpr std::size_t kAnswerBytesMax = 8 << 20;

  // Reads the certificate; connects at the first post(). Errors: kInvalid when the file is missing or holds
  // none, or the fingerprint is none.
  static Result<std::unique_ptr<HubClient>> create(Options options);
  ~HubClient();
  const Options& options() const;

  // POSTs `body` as application/x-protobuf, in `session` where one is given. Returns the answer's
  // body. The connection is kept for the next post; one that the hub has closed meanwhile is made anew once.
  // Errors: what the hub answered (see ErrorReply); kTransport when it could not be reached or trusted, did
  // not answer in time, or answered what no hub would; kTooLarge when its answer is over kAnswerBytesMax.
  Result<Bytes> post(const std::string& path, ByteView body, HubSession* session = nullptr);

  // A part of an attached file (sync-server/README.md, "Files"): PUTs `part`, which stands at `offset` in a file of `total`
  // bytes and is not empty; returns the answer's body. GETs at most `count` bytes from `offset` on. Like post() otherwise.
  Result<Bytes> put_part(const std::string& path, std::uint64_t offset, std::uint64_t total, ByteView part,
                         HubSession& session);
  Result<Bytes> get_part(const std::string& path, std::uint64_t offset, std::uint64_t count, HubSession& session);

  // The certificate that the hub showed and that was trusted, PEM; empty before the first connection.
  const std::string& certificate() const;

 private:
  class Connection;
  explicit HubClient(std::unique_ptr<Connection> connection);
  std::unique_ptr<Connection> connection_;
};

}  // namespace wrackline
