// The record core for C++ apps, over the C interface (wrackline.h) and the messages of proto/call.proto: typed calls, handles that
// end by themselves, failures as values.
//
//   auto records = wrackline::Records::open(device, "records.db");
//   if (!records) return show(records.failure().message());
//   auto status = records->status({});
//   if (!status) return show(status.failure().message());
//
// Durability and lifetimes are those of wrackline.h. The device outlives the records.
//
// Threads: any; calls on the same records wait for each other. as() and confirm() are for the thread that calls next.
#pragma once

#include <call.pb.h>

#include <array>
#include <chrono>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>

#include "wrackline.h"

namespace wrackline {

// A value, or why there is none: Failure.code() is a number of core/base/error.h, its message says what was kept and what to do.
template <typename T>
class Result {
 public:
  Result(T value) : state_(std::move(value)) {}
  Result(proto::Failure failure) : state_(std::move(failure)) {}
  explicit operator bool() const { return state_.index() == 0; }
  T& operator*() & { return value(); }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(value()); }
  T* operator->() & { return &value(); }
  const T* operator->() const& { return &value(); }
  // A loop over what stands in a result that nobody holds would go on after its end: give the result a name first.
  T* operator->() && = delete;
  const proto::Failure& failure() const { return std::get<1>(state_); }

 private:
  // To ask a failure for its value is a mistake of the program, which ends with the failure's sentence.
  void require() const {
    if (state_.index() == 0) return;
    std::fprintf(stderr, "wrackline: there is no value: %s\n", failure().message().c_str());
    std::abort();
  }
  T& value() { return require(), std::get<0>(state_); }
  const T& value() const { return require(), std::get<0>(state_); }

  std::variant<T, proto::Failure> state_;
};

// The app gives these: this device's key, its clock, and the fence, if it has a place for one (see wrackline.h). Nothing in
// here may throw: it is called through C, so that a throw ends the program.
class Device {
 public:
  using Key = std::array<std::uint8_t, 32>;
  using Signature = std::array<std::uint8_t, 64>;
  using FencePoint = std::array<std::uint8_t, 20>;
  virtual ~Device() = default;
  virtual Key public_key() const = 0;
  virtual std::optional<Signature> sign(std::string_view text) = 0;
  virtual std::uint64_t wall_clock_ms() {
    const auto since = std::chrono::system_clock::now().time_since_epoch();
    return static_cast<std::uint64_t>(std::chrono::duration_cast<std::chrono::milliseconds>(since).count());
  }
  virtual bool has_fence() const { return false; }
  virtual std::optional<FencePoint> read_fence() { return std::nullopt; }
  virtual bool write_fence(const FencePoint&) { return false; }
};

class Records {
 public:
  // Code 20 (not found): this device has no records yet; enrol it, then create() them.
  static Result<Records> open(Device& device, const std::string& path) {
    const wrackline_platform platform = platform_of(device);
    wrackline_core* core = nullptr;
    const wrackline_bytes answer = wrackline_open(&platform, path.c_str(), &core);
    return made(answer, core);
  }
  // From the hub's answer to the enrolment, byte for byte.
  static Result<Records> create(Device& device, const std::string& path, std::string_view enrol_reply, const std::string& device_name) {
    const wrackline_platform platform = platform_of(device);
    wrackline_core* core = nullptr;
    const wrackline_bytes answer =
        wrackline_create(&platform, path.c_str(), bytes_of(enrol_reply), enrol_reply.size(), device_name.c_str(), &core);
    return made(answer, core);
  }

  // Bodies for the hub; see wrackline.h.
  static Result<std::string> enrol_request(Device& device, const std::string& code, const std::string& device_name) {
    const wrackline_platform platform = platform_of(device);
    int failed = 0;
    const wrackline_bytes answer = wrackline_enrol_request(&platform, code.c_str(), device_name.c_str(), &failed);
    return request_body(answer, failed);
  }
  Result<std::string> session_request(std::string_view nonce) {
    const std::lock_guard<std::mutex> turn(*turn_);
    int failed = 0;
    const wrackline_bytes answer = wrackline_session_request(core_.get(), bytes_of(nonce), nonce.size(), &failed);
    return request_body(answer, failed);
  }

  // Any call, as it is. The typed ones below are this, with the part of the reply that answers them.
  Result<proto::Reply> call(const proto::Call& call) {
    const std::string bytes = call.SerializeAsString();
    const std::lock_guard<std::mutex> turn(*turn_);
    return parsed(take(wrackline_call(core_.get(), bytes_of(bytes), bytes.size())));
  }

  // Takes another key for the hub's, after a person has compared it (ExchangeStep.unknown_hub_key). Absent when it is done.
  std::optional<proto::Failure> repin(const Device::Key& hub_key) {
    const std::lock_guard<std::mutex> turn(*turn_);
    const std::optional<std::string> answer = take(wrackline_repin(core_.get(), hub_key.data()));
    if (answer && answer->empty()) return std::nullopt;
    return parsed(answer).failure();
  }

  // In whose name the writing calls below are, and the token of their session (SignInReply); until it is said anew.
  void as(const proto::RecordRef& author, std::string session = {}) {
    author_ = author;
    session_ = std::move(session);
  }
  // With what the next call that is written in somebody's name is confirmed: the questions that the one before was refused with.
  void confirm(proto::Confirmation confirmation) { confirmed_ = std::move(confirmation); }

#define WRACKLINE_TYPED(name, Asked, answer, Answered, beginning) \
  Result<proto::Answered> name(const proto::Asked& asked) {       \
    proto::Call c = beginning();                                  \
    *c.mutable_##name() = asked;                                  \
    Result<proto::Reply> reply = call(c);                         \
    if (!reply) return reply.failure();                           \
    return std::move(*reply->mutable_##answer());                 \
  }
#define WRACKLINE_CALL(name, Asked, answer, Answered) WRACKLINE_TYPED(name, Asked, answer, Answered, begin)
#define WRACKLINE_WRITE(name, Asked, answer, Answered) WRACKLINE_TYPED(name, Asked, answer, Answered, begin_write)
  WRACKLINE_CALL(status, StatusCall, status, StatusReply)
  WRACKLINE_WRITE(log, LogCall, log, LogReply)
  WRACKLINE_WRITE(edit, EditCall, edit, EditReply)
  WRACKLINE_WRITE(strike, StrikeCall, edit, EditReply)
  WRACKLINE_WRITE(fold, FoldCall, edit, EditReply)
  WRACKLINE_WRITE(accept, AcceptCall, edit, EditReply)
  WRACKLINE_CALL(get, GetCall, get, GetReply)
  WRACKLINE_CALL(list, ListCall, list, ListReply)
  WRACKLINE_CALL(trail, TrailCall, trail, TrailReply)
  WRACKLINE_CALL(trail_search, TrailSearchCall, trail_search, TrailSearchReply)
  WRACKLINE_CALL(review, ReviewCall, review, ReviewReply)
  WRACKLINE_CALL(review_detail, ReviewDetailCall, review_detail, ReviewDetailReply)
  WRACKLINE_CALL(held, HeldCall, held, HeldReply)
  WRACKLINE_CALL(intake, IntakeCall, intake, IntakeReply)
  WRACKLINE_CALL(intake_trend, IntakeTrendCall, intake_trend, IntakeTrendReply)
  WRACKLINE_CALL(collection_day, CollectionDayCall, collection_day, CollectionDayReply)
  WRACKLINE_CALL(exchange, ExchangeCall, exchange, ExchangeStep)
  WRACKLINE_CALL(bundle_export, BundleExportCall, bundle_export, BundleExportReply)
  WRACKLINE_CALL(bundle_import, BundleImportCall, bundle_import, BundleImportReply)
  WRACKLINE_CALL(verify, VerifyCall, verify, VerifyReply)
  WRACKLINE_CALL(rebuild, RebuildCall, rebuild, RebuildReply)
  WRACKLINE_CALL(digest, DigestCall, digest, DigestReply)
  WRACKLINE_CALL(round, RoundCall, round, RoundReply)
  WRACKLINE_CALL(prep, PrepCall, prep, PrepReply)
  WRACKLINE_CALL(substitute, SubstituteCall, substitute, SubstituteReply)
  WRACKLINE_CALL(dose_check, DoseCheckCall, dose_check, DoseCheckReply)
  WRACKLINE_CALL(enrichment, EnrichmentCall, enrichment, EnrichmentReply)
  WRACKLINE_CALL(training, TrainingCall, training, TrainingReply)
  WRACKLINE_CALL(body, BodyCall, body, BodyReply)
  WRACKLINE_CALL(scan, ScanCall, scan, ScanReply)
  WRACKLINE_CALL(attention, AttentionCall, attention, AttentionReply)
  WRACKLINE_CALL(water, WaterCall, water, WaterReply)
  WRACKLINE_CALL(stock, StockCall, stock, StockReply)
  WRACKLINE_CALL(evidence, EvidenceCall, evidence, EvidenceReply)
  WRACKLINE_CALL(sign_in, SignInCall, sign_in, SignInReply)
  WRACKLINE_CALL(sign_out, SignOutCall, sign_out, SignOutReply)
  WRACKLINE_CALL(prove, ProveCall, prove, ProveReply)
  WRACKLINE_CALL(authorize, AuthorizeCall, authorize, AuthorizeReply)
  WRACKLINE_CALL(report, ReportCall, report, ReportReply)
  WRACKLINE_CALL(csv, CsvCall, csv, CsvReply)
  WRACKLINE_WRITE(day_close, DayCloseCall, day_close, DayCloseReply)
  WRACKLINE_CALL(closes, ClosesCall, closes, ClosesReply)
  WRACKLINE_CALL(changed, ChangedCall, changed, ChangedReply)
  WRACKLINE_CALL(news, NewsCall, news, NewsStep)
#undef WRACKLINE_WRITE
#undef WRACKLINE_CALL
#undef WRACKLINE_TYPED

 private:
  struct Close {
    void operator()(wrackline_core* core) const { wrackline_close(core); }
  };

  explicit Records(wrackline_core* core) : core_(core) {}

  static const std::uint8_t* bytes_of(std::string_view text) { return reinterpret_cast<const std::uint8_t*>(text.data()); }

  static wrackline_platform platform_of(Device& device) {
    wrackline_platform out{};
    out.struct_size = sizeof out;
    out.context = &device;
    const Device::Key key = device.public_key();
    std::memcpy(out.public_key, key.data(), key.size());
    out.sign = [](void* context, const std::uint8_t* text, std::size_t size, std::uint8_t signature[64]) noexcept -> int {
      const auto made = static_cast<Device*>(context)->sign({reinterpret_cast<const char*>(text), size});
      if (made) std::memcpy(signature, made->data(), made->size());
      return made ? 1 : 0;
    };
    out.wall_clock_ms = [](void* context) noexcept { return static_cast<Device*>(context)->wall_clock_ms(); };
    if (!device.has_fence()) return out;
    out.read_fence = [](void* context, std::uint8_t point[20]) noexcept -> int {
      const auto read = static_cast<Device*>(context)->read_fence();
      if (read) std::memcpy(point, read->data(), read->size());
      return read ? 1 : 0;
    };
    out.write_fence = [](void* context, const std::uint8_t point[20]) noexcept -> int {
      Device::FencePoint copy{};
      std::memcpy(copy.data(), point, copy.size());
      return static_cast<Device*>(context)->write_fence(copy) ? 1 : 0;
    };
    return out;
  }

  static std::optional<std::string> take(wrackline_bytes bytes) {
    if (bytes.data == nullptr) return std::nullopt;
    std::string out(reinterpret_cast<const char*>(bytes.data), bytes.size);
    wrackline_free(bytes);
    return out;
  }
  static Result<proto::Reply> parsed(const std::optional<std::string>& bytes) {
    proto::Reply reply;
    if (bytes && reply.ParseFromString(*bytes) && !reply.has_failure()) return reply;
    if (reply.has_failure()) return std::move(*reply.mutable_failure());
    proto::Failure failure;
    failure.set_code(60);
    failure.set_message("calling the core: there was no memory for its answer, or it is of another release");
    return failure;
  }
  static Result<Records> made(wrackline_bytes answer, wrackline_core* core) {
    Records records(core);
    Result<proto::Reply> reply = parsed(take(answer));
    if (!reply) return reply.failure();
    return records;
  }
  static Result<std::string> request_body(wrackline_bytes answer, int failed) {
    std::optional<std::string> bytes = take(answer);
    if (failed == 0 && bytes) return std::move(*bytes);
    return parsed(bytes).failure();
  }

  proto::Call begin() {
    proto::Call out;
    if (author_.seq() != 0) *out.mutable_author() = author_;
    out.set_session(session_);
    return out;
  }
  proto::Call begin_write() {
    proto::Call out = begin();
    *out.mutable_confirmed() = std::exchange(confirmed_, {});
    return out;
  }

  std::unique_ptr<wrackline_core, Close> core_;
  std::unique_ptr<std::mutex> turn_ = std::make_unique<std::mutex>();
  proto::RecordRef author_;
  std::string session_;
  proto::Confirmation confirmed_;
};

}  // namespace wrackline
