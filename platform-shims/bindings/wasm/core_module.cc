// The core as a module for a browser's worker: open it, call it, close it. The one call is proto/call.proto's; every function
// answers with a serialised Reply, so that a failure looks the same wherever it comes from.
//
// The worker gives in Module: `files` (opfs_vfs.h), `publicKey` (32 bytes), and `sign(text)`, which returns the 64 bytes of the
// device's signature or null. The private key stays in WebCrypto, where nothing can export it.
//
// Threads: one worker, one core.
#include <call.pb.h>
#include <emscripten.h>

#include <chrono>
#include <memory>

#include "call/core.h"
#include "model/attachment.h"
#include "sync/hub_requests.h"

// clang-format off
EM_JS(void, wrackline_public_key, (void* out), { HEAPU8.set(Module["publicKey"], out); });
EM_JS(int, wrackline_sign, (const void* text, int size, void* out), {
  const signature = Module["sign"](HEAPU8.slice(text, text + size));
  if (!signature) return 0;
  HEAPU8.set(signature, out);
  return 1;
});
// clang-format on

namespace wrackline {
namespace {

constexpr const char* kPath = "/records.db";

class WorkerKeystore : public Keystore {
 public:
  PublicKey public_key() const override {
    PublicKey key{};
    wrackline_public_key(key.data());
    return key;
  }
  Result<Signature> sign(ByteView text) override {
    Signature signature{};
    if (wrackline_sign(text.data(), static_cast<int>(text.size()), signature.data()) != 1) {
      return fail(ErrorCode::kKeystore, "sealing: this browser did not sign; nothing was sent, all is kept on this device; "
                                        "open the app again");
    }
    return signature;
  }
};

WallMs wall_clock() {
  return static_cast<WallMs>(
      std::chrono::duration_cast<std::chrono::milliseconds>(std::chrono::system_clock::now().time_since_epoch()).count());
}

struct Module {
  WorkerKeystore keystore;
  std::unique_ptr<Core> core;
  Bytes reply;

  const char* answer(const Error* error) {
    proto::Reply message;
    if (error != nullptr) {
      message.mutable_failure()->set_code(static_cast<std::uint32_t>(error->code));
      message.mutable_failure()->set_message(error->message);
    }
    reply = message.SerializeAsString();
    return reply.data();
  }
  const char* keep(Result<std::unique_ptr<Core>> opened) {
    if (!opened) return answer(&opened.error());
    core = std::move(*opened);
    return answer(nullptr);
  }
  const char* give(Result<Bytes> bytes) {
    reply = bytes ? std::move(*bytes) : Bytes();
    return reply.data();
  }
  Replica::Options options() { return {kPath, &keystore, wall_clock}; }
};

Module& module() {
  static Module module;
  return module;
}

}  // namespace
}  // namespace wrackline

using namespace wrackline;

extern "C" {

// The size of the reply that the last function here has answered with; its bytes are good until the next
// call.
EMSCRIPTEN_KEEPALIVE std::size_t wrackline_reply_size() { return module().reply.size(); }

// Opens the records of this browser; nothing is done when they are open. kNotFound: there are none yet; enrol, then create.
EMSCRIPTEN_KEEPALIVE const char* wrackline_open() {
  // Two connections to the same handles would each believe to be alone.
  if (module().core) return module().answer(nullptr);
  return module().keep(Core::open(module().options()));
}

// Makes them, from the hub's EnrolReply as it came.
EMSCRIPTEN_KEEPALIVE const char* wrackline_create(const char* reply, std::size_t size, const char* name, std::size_t name_size) {
  const auto enrolment = read_enrol_reply({reply, size});
  if (!enrolment) {
    const Error error{ErrorCode::kMalformed, "enrolling: the hub's answer cannot be read; nothing was made; try again"};
    return module().answer(&error);
  }
  return module().keep(Core::create(
      module().options(), {enrolment->facility, enrolment->hub_key, std::string(name, name_size)}));
}

// Bodies of requests to the hub (sync/hub_requests.h). These answer with the bytes themselves; none when this browser did
// not sign.
EMSCRIPTEN_KEEPALIVE const char* wrackline_enrol_request(const char* code, std::size_t size, const char* name, std::size_t name_size) {
  return module().give(enrol_request({code, size}, module().keystore, std::string(name, name_size)));
}
EMSCRIPTEN_KEEPALIVE const char* wrackline_session_request(const char* nonce, std::size_t size) {
  if (!module().core) return module().give(Bytes());
  return module().give(session_request(module().core->membership().facility, module().keystore, {nonce, size}));
}

// Takes another key for the hub's, 32 bytes, after a person has compared it. Answers with a Reply, which has a failure when nothing
// was changed.
EMSCRIPTEN_KEEPALIVE const char* wrackline_repin(const char* hub_key, std::size_t size) {
  PublicKey key{};
  if (!module().core || size != key.size()) {
    const Error error{ErrorCode::kInvalid, "pinning the hub's key: no records are open, or the key is not 32 bytes; nothing was done"};
    return module().answer(&error);
  }
  std::copy(hub_key, hub_key + size, key.begin());
  const Status pinned = module().core->repin(key);
  return module().answer(pinned ? nullptr : &pinned.error());
}

// A serialised Call in, a serialised Reply out.
EMSCRIPTEN_KEEPALIVE const char* wrackline_call(const char* call, std::size_t size) {
  if (!module().core) {
    const Error error{ErrorCode::kNotFound, "calling the core: no records are open; nothing was done; open them first"};
    return module().answer(&error);
  }
  module().reply = module().core->call({call, size});
  return module().reply.data();
}

// The media type of a file by what is in it, as text; none for one that may not be attached (model/attachment.h).
EMSCRIPTEN_KEEPALIVE const char* wrackline_media_type(const char* content, std::size_t size) {
  return module().give(Bytes(media_type_of({content, size})));
}

EMSCRIPTEN_KEEPALIVE void wrackline_close() { module().core.reset(); }

}
