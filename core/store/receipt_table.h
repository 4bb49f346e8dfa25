// The hub's receipts: when it first held each log, and up to where.
#pragma once

#include <optional>
#include <vector>

#include "base/result.h"
#include "crypto/signing.h"
#include "store/log_table.h"
#include "store/sqlite.h"

namespace wrackline {

struct Receipt {
  Seq seq = 0;
  WallMs held_ms = 0;
  std::uint64_t head = 0;  // first8(h(seq))
  Signature signature{};
};

class ReceiptTable {
 public:
  explicit ReceiptTable(Database& database);
  // Keeps it unless one for the same seq is there. Raises the log's `receipted`.
  Status add(LogEntry& log, const Receipt& receipt);
  // By seq. A signature that is damaged here comes as zeros, which hold nowhere.
  Result<std::vector<Receipt>> after(const LogEntry& log, Seq seq);
  // When the hub first held this change: by the earliest receipt that covers it.
  Result<std::optional<WallMs>> held_ms(Place change);

 private:
  Statement insert_, after_;
};

}  // namespace wrackline
