#include "sync/told_vectors.h"

#include <algorithm>
#include <utility>

#include "crypto/sha256.h"

namespace wrackline {
namespace {

// An entry takes about so much in a map, and a vector so much beside its entries.
constexpr std::size_t kEntryBytes = 64, kVectorBytes = 128;

std::size_t bytes_of(const VersionVector& vector) { return kVectorBytes + vector.size() * kEntryBytes; }

}  // namespace

Bytes mark_of(const VersionVector& vector) {
  Bytes text;
  text.reserve(vector.size() * 20);
  for (const auto& [log, point] : vector) {
    append_le(text, log.value, 8);
    append_le(text, point.seq, 4);
    append_le(text, point.head, 8);
  }
  return Bytes(view(sha256("wrackline/vector/2", text)).substr(0, 16));
}

VersionVector difference(const VersionVector& vector, const VersionVector& base) {
  VersionVector out;
  for (const auto& [log, point] : vector) {
    const auto there = base.find(log);
    if (there == base.end() || there->second.seq != point.seq || there->second.head != point.head) out[log] = point;
  }
  for (const auto& [log, point] : base) {
    if (vector.count(log) == 0) out[log] = {};
  }
  return out;
}

VersionVector sum(const VersionVector& base, const VersionVector& difference) {
  VersionVector out = base;
  for (const auto& [log, point] : difference) {
    if (point.seq == 0) {
      out.erase(log);
    } else {
      out[log] = point;
    }
  }
  return out;
}

void ToldVectors::remember(const VersionVector& vector) {
  Bytes mark = mark_of(vector);
  const auto same = std::find_if(told_.begin(), told_.end(), [&](const Told& told) { return told.mark == mark; });
  if (same != told_.end()) {
    bytes_ -= bytes_of(same->vector);
    told_.erase(same);
  }
  bytes_ += bytes_of(vector);
  told_.push_back({std::move(mark), vector});
  for (; bytes_ > kBytesMax && told_.size() > 1; told_.pop_front()) bytes_ -= bytes_of(told_.front().vector);
}

const VersionVector* ToldVectors::find(ByteView mark) const {
  const auto at = std::find_if(told_.rbegin(), told_.rend(), [&](const Told& told) { return ByteView(told.mark) == mark; });
  return at == told_.rend() ? nullptr : &at->vector;
}

}  // namespace wrackline
