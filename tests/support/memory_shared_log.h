// A shared log in memory, that fails, forgets its end and answers late when a test says so.
#pragma once

#include <algorithm>
#include <functional>
#include <memory>
#include <utility>
#include <vector>

#include "sync/shared_log.h"

namespace wrackline {

// The hubs of a test share these.
struct SharedBatches {
  std::vector<Bytes> batches;
  // Forgets the last batches, like a standby that takes over before it has heard of them.
  void forget(std::size_t last) { batches.resize(batches.size() - std::min(last, batches.size())); }
};

// One hub's way to it.
class MemorySharedLog : public SharedLog {
 public:
  enum class Fault { kNone, kUnreachable, kKeptUnheard };
  explicit MemorySharedLog(std::shared_ptr<SharedBatches> shared) : shared_(std::move(shared)) {}

  Fault next_append = Fault::kNone;  // The fault of the next append only.
  std::function<void()> before_append = {};

  Result<std::vector<Bytes>> read(const SharedEnd& after, std::size_t bytes_max) override {
    SharedEnd end;
    while (end.batches < after.batches && end.batches < shared_->batches.size()) end = behind(end, shared_->batches[end.batches]);
    if (end.batches != after.batches || end.chain != after.chain) return fail(ErrorCode::kFork, "there is no such place");
    std::vector<Bytes> out;
    std::size_t bytes = 0;
    for (std::size_t i = after.batches; i < shared_->batches.size() && (out.empty() || bytes < bytes_max); ++i) {
      out.push_back(shared_->batches[i]);
      bytes += out.back().size();
    }
    return out;
  }

  Status append(const SharedEnd& after, ByteView batch) override {
    if (before_append) std::exchange(before_append, {})();
    const Fault fault = std::exchange(next_append, Fault::kNone);
    if (fault == Fault::kUnreachable) return fail(ErrorCode::kTransport, "nobody is there");
    SharedEnd end;
    for (const Bytes& each : shared_->batches) end = behind(end, each);
    if (end.batches != after.batches || end.chain != after.chain) return fail(ErrorCode::kBusy, "another was first");
    shared_->batches.push_back(Bytes(batch));
    if (fault == Fault::kKeptUnheard) return fail(ErrorCode::kTransport, "the answer was lost");
    return {};
  }

 private:
  std::shared_ptr<SharedBatches> shared_;
};

}  // namespace wrackline
