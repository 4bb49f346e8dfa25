#include "store/receipt_table.h"

#include <algorithm>

namespace wrackline {

ReceiptTable::ReceiptTable(Database& database)
    : insert_(database, "INSERT OR IGNORE INTO receipt VALUES(?,?,?,?)"),
      after_(database, "SELECT place,held_ms,head,signature FROM receipt WHERE place>? AND place<=? ORDER BY place") {}

Status ReceiptTable::add(LogEntry& log, const Receipt& receipt) {
  WRACKLINE_TRY(insert_.with(place_of(log.no, receipt.seq), receipt.held_ms, receipt.head, view(receipt.signature)).run());
  log.receipted = std::max(log.receipted, receipt.seq);
  return {};
}

Result<std::vector<Receipt>> ReceiptTable::after(const LogEntry& log, Seq seq) {
  std::vector<Receipt> out;
  Statement& rows = after_.with(place_of(log.no, seq), place_of(log.no, kSeqMax));
  for (;;) {
    WRACKLINE_TRY_VALUE(row, rows.step());
    if (!row) break;
    Receipt receipt{seq_of(rows.integer(0)), static_cast<WallMs>(rows.integer(1)),
                    static_cast<std::uint64_t>(rows.integer(2)), {}};
    (void)copy_exactly(rows.blob(3), receipt.signature);
    out.push_back(receipt);
  }
  rows.reset();
  return out;
}

Result<std::optional<WallMs>> ReceiptTable::held_ms(Place change) {
  Statement& rows = after_.with(change - 1, place_of(log_no_of(change), kSeqMax));
  WRACKLINE_TRY_VALUE(row, rows.step());
  std::optional<WallMs> held;
  if (row) held = static_cast<WallMs>(rows.integer(1));
  rows.reset();
  return held;
}

}  // namespace wrackline
