// `wrackline-server retention`: how long each kind of event must be kept, and how many are older than that.
//
// Nothing is removed. A log is a chain: taking a change out of it breaks every seal behind it, and with them
// the proof that the rest was not altered. So the release counts, and writes down an admin's look at the
// counts; what removal would take stands in README.md, for decision.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/result.h"
#include "hub_directory.h"
#include "model/kinds.h"

namespace wrackline {

struct RetentionRule {
  Kind kind;
  int years_min;       // Full years from the day of the event.
  const char* source;  // The source of the period.
};
// For a kind without a row: kGeneralRule. Periods are minimums for exhibitors in the United States (9 CFR);
// where other law asks for more, that holds.
const RetentionRule& retention_rule(Kind kind);

struct RetentionRow {
  std::string kind_name;
  RetentionRule rule;
  std::uint64_t events = 0;
  std::uint64_t past_minimum = 0;  // The day of the event is further back than the minimum.
};

// Kinds that happen on a day and have events here. `today` is days since 1970-01-01. Errors: kNotFound,
// kStorage and kin.
Result<std::vector<RetentionRow>> list_retention(const HubDirectory& directory, std::int32_t today);

// The files that attachment records name, each counted once.
struct FilesKept {
  std::uint64_t files = 0, bytes = 0;
  std::uint64_t files_past_minimum = 0, bytes_past_minimum = 0;  // Named only by records past their minimum.
  std::uint64_t files_here = 0, bytes_here = 0;                  // Whole in the hub's folder; the others have not come yet.
};
// Errors: as list_retention().
Result<FilesKept> count_files(const HubDirectory& directory, std::int32_t today);

// Writes down that `by` has looked at the list and why, as a line of DIR/retention-acts that the hub signs.
// Errors: kInvalid when name or reason is missing; kKeystore, kStorage and kin.
Status log_retention_act(const HubDirectory& directory, const std::vector<RetentionRow>& rows,
                         const std::string& by, const std::string& reason, WallMs now);

// The text of a line that its signature is over: all before " signature=".
inline constexpr std::string_view kRetentionSignature = " signature=";

}  // namespace wrackline
