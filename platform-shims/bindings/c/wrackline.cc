#include "wrackline.h"

#include <call.pb.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstdlib>
#include <cstring>
#include <exception>
#include <memory>

#include "call/core.h"
#include "replica/fence.h"
#include "sync/hub_requests.h"

namespace wrackline {
namespace {

constexpr std::size_t kFenceBytes = 20;

// The platform as the core sees it. Callers of an earlier release give a shorter struct; what it lacks is null.
class Platform : public Keystore, public Fence {
 public:
  static std::unique_ptr<Platform> of(const wrackline_platform* given) {
    if (given == nullptr || given->struct_size < offsetof(wrackline_platform, wall_clock_ms)) return nullptr;
    auto out = std::make_unique<Platform>();
    std::memcpy(&out->given_, given, std::min(given->struct_size, sizeof out->given_));
    return out->given_.sign == nullptr ? nullptr : std::move(out);
  }

  PublicKey public_key() const override {
    PublicKey key{};
    std::memcpy(key.data(), given_.public_key, key.size());
    return key;
  }

  Result<Signature> sign(ByteView text) override {
    Signature signature{};
    const auto* bytes = reinterpret_cast<const std::uint8_t*>(text.data());
    if (given_.sign(given_.context, bytes, text.size(), signature.data()) == 1) return signature;
    return fail(ErrorCode::kKeystore, "sealing: this device's key did not sign; nothing was sent, all is kept on this device; try again "
                                      "when the key can be used");
  }

  WallMs now() const {
    if (given_.wall_clock_ms != nullptr) return given_.wall_clock_ms(given_.context);
    const auto since = std::chrono::system_clock::now().time_since_epoch();
    return static_cast<WallMs>(std::chrono::duration_cast<std::chrono::milliseconds>(since).count());
  }

  bool has_fence() const { return given_.read_fence != nullptr && given_.write_fence != nullptr; }

  std::optional<FencePoint> read() override {
    std::uint8_t bytes[kFenceBytes] = {};
    if (given_.read_fence(given_.context, bytes) != 1) return {};
    const ByteView point(reinterpret_cast<const char*>(bytes), kFenceBytes);
    return FencePoint{{load_le(point.substr(0, 8))}, static_cast<Seq>(load_le(point.substr(8, 4))), load_le(point.substr(12, 8))};
  }

  bool write(const FencePoint& point) override {
    Bytes bytes;
    append_le(bytes, point.log.value, 8);
    append_le(bytes, point.seq, 4);
    append_le(bytes, point.root, 8);
    return given_.write_fence(given_.context, reinterpret_cast<const std::uint8_t*>(bytes.data())) == 1;
  }

 private:
  wrackline_platform given_{};
};

wrackline_bytes copy_of(ByteView bytes) {
  auto* const data = static_cast<std::uint8_t*>(std::malloc(std::max<std::size_t>(bytes.size(), 1)));
  if (data == nullptr) return {nullptr, 0};
  std::copy(bytes.begin(), bytes.end(), reinterpret_cast<char*>(data));
  return {data, bytes.size()};
}

Bytes reply_of(const Error& error) {
  proto::Reply reply;
  reply.mutable_failure()->set_code(static_cast<std::uint32_t>(error.code));
  reply.mutable_failure()->set_message(error.message);
  return reply.SerializeAsString();
}

// Nothing of ours throws; what a library throws when there is no memory ends here.
template <typename Work>
wrackline_bytes answer(const Work& work) noexcept {
  try {
    return copy_of(work());
  } catch (...) {
    return {nullptr, 0};
  }
}

wrackline_bytes give(int* failed, const Result<Bytes>& bytes) {
  if (failed != nullptr) *failed = bytes ? 0 : 1;
  return copy_of(bytes ? *bytes : reply_of(bytes.error()));
}

Error misused(const char* what) { return {ErrorCode::kInvalid, std::string(what) + "; nothing was done"}; }

}  // namespace
}  // namespace wrackline

struct wrackline_core {
  std::unique_ptr<wrackline::Platform> platform;
  std::unique_ptr<wrackline::Core> core;  // Before the platform it uses.
  std::atomic_flag busy = ATOMIC_FLAG_INIT;
};

using namespace wrackline;

namespace {

// Held while a function works on a core; not held when another thread is at it.
class Turn {
 public:
  explicit Turn(wrackline_core& core) : core_(core), is_held_(!core.busy.test_and_set(std::memory_order_acquire)) {}
  ~Turn() {
    if (is_held_) core_.busy.clear(std::memory_order_release);
  }
  Turn(const Turn&) = delete;
  explicit operator bool() const { return is_held_; }

 private:
  wrackline_core& core_;
  const bool is_held_;
};

const Error kBusyHere{ErrorCode::kBusy, "calling the core: another thread is in a call on it; nothing was done; one at a time"};

template <typename Make>
wrackline_bytes open_with(const wrackline_platform* given, const char* path, wrackline_core** out, const Make& make) {
  if (out != nullptr) *out = nullptr;
  return answer([&]() -> Bytes {
    auto platform = Platform::of(given);
    if (platform == nullptr || path == nullptr || out == nullptr) {
      return reply_of(misused("opening the records: no platform with a key that signs, no path, or no place for the core"));
    }
    auto core = std::make_unique<wrackline_core>();
    Platform& it = *platform;
    core->platform = std::move(platform);
    Result<std::unique_ptr<Core>> opened = make(Replica::Options{path, &it, [&it] { return it.now(); }, it.has_fence() ? &it : nullptr});
    if (!opened) return reply_of(opened.error());
    core->core = std::move(*opened);
    *out = core.release();
    return {};
  });
}

}  // namespace

extern "C" {

const char* wrackline_version(void) { return WRACKLINE_VERSION; }

wrackline_bytes wrackline_open(const wrackline_platform* platform, const char* path, wrackline_core** core) {
  return open_with(platform, path, core, [](Replica::Options options) { return Core::open(std::move(options)); });
}

wrackline_bytes wrackline_create(const wrackline_platform* platform, const char* path, const uint8_t* enrol_reply, size_t size,
                                 const char* device_name, wrackline_core** core) {
  return open_with(platform, path, core, [&](Replica::Options options) -> Result<std::unique_ptr<Core>> {
    const auto enrolment = enrol_reply == nullptr || device_name == nullptr
                               ? std::nullopt
                               : read_enrol_reply({reinterpret_cast<const char*>(enrol_reply), size});
    if (!enrolment) {
      return fail(ErrorCode::kMalformed, "making the records: the hub's answer to the enrolment cannot be read, or the device has no name; "
                                         "nothing was made; enrol again");
    }
    return Core::create(std::move(options), {enrolment->facility, enrolment->hub_key, device_name});
  });
}

wrackline_bytes wrackline_enrol_request(const wrackline_platform* given, const char* code, const char* device_name, int* failed) {
  if (failed != nullptr) *failed = 1;
  try {
    const auto platform = Platform::of(given);
    if (platform == nullptr || code == nullptr || device_name == nullptr) {
      return copy_of(reply_of(misused("enrolling: no platform with a key that signs, no code, or no name")));
    }
    return give(failed, enrol_request(code, *platform, device_name));
  } catch (...) {
    return {nullptr, 0};
  }
}

wrackline_bytes wrackline_session_request(wrackline_core* core, const uint8_t* nonce, size_t size, int* failed) {
  if (failed != nullptr) *failed = 1;
  try {
    if (core == nullptr || (nonce == nullptr && size > 0)) return copy_of(reply_of(misused("opening a session: no core, or no nonce")));
    const Turn turn(*core);
    if (!turn) return copy_of(reply_of(kBusyHere));
    const ByteView bytes(size == 0 ? "" : reinterpret_cast<const char*>(nonce), size);
    return give(failed, session_request(core->core->membership().facility, *core->platform, bytes));
  } catch (...) {
    return {nullptr, 0};
  }
}

wrackline_bytes wrackline_call(wrackline_core* core, const uint8_t* call, size_t size) {
  return answer([&]() -> Bytes {
    if (core == nullptr || (call == nullptr && size > 0)) return reply_of(misused("calling the core: no core, or no call"));
    const Turn turn(*core);
    if (!turn) return reply_of(kBusyHere);
    return core->core->call({size == 0 ? "" : reinterpret_cast<const char*>(call), size});
  });
}

wrackline_bytes wrackline_repin(wrackline_core* core, const uint8_t hub_key[32]) {
  return answer([&]() -> Bytes {
    if (core == nullptr || hub_key == nullptr) return reply_of(misused("pinning the hub's key: no core, or no key"));
    const Turn turn(*core);
    if (!turn) return reply_of(kBusyHere);
    PublicKey key{};
    std::copy(hub_key, hub_key + key.size(), key.begin());
    const Status pinned = core->core->repin(key);
    return pinned ? Bytes() : reply_of(pinned.error());
  });
}

void wrackline_free(wrackline_bytes bytes) { std::free(bytes.data); }

void wrackline_close(wrackline_core* core) { delete core; }

}  // extern "C"
