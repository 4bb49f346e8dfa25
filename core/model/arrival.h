// A change in the hub's log of arrivals says which changes of which logs the hub came to hold with one exchange.
// The change itself says when, by the hub's clock. Such a change is no record: nothing edits, lists or reviews it.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"

namespace wrackline {

// In the place of a record's kind (Change::kind); no kind of record has this number.
inline constexpr std::uint32_t kArrivalKind = 63;

struct ArrivedSpan {
  LogId log;
  Seq first = 0;
  Seq last = 0;
  std::array<unsigned char, 32> root{};  // The root of the log's tree at `last`.
};

// Spans that cannot be read are left out.
std::vector<ArrivedSpan> arrived_spans(ByteView fields);
Bytes arrival_fields(const std::vector<ArrivedSpan>& spans);

}  // namespace wrackline
