#include "retention.h"

#include <filesystem>

#include "file_keystore.h"
#include "key_change.h"
#include "log.h"
#include "plain_text.h"
#include "private_file.h"
#include "replica/replica.h"
#include "store/store.h"
#include "system_clock.h"

namespace wrackline {
namespace {

constexpr std::size_t kActsBytesMax = 16 << 20;
constexpr std::size_t kTextBytesMax = 500;
constexpr Day kFirstDay = -1'000'000;
constexpr Day kLastDay = 1'000'000;

constexpr RetentionRule kGeneralRule{Kind{}, 1, "9 CFR 2.80: records of an exhibitor, 1 year"};
constexpr RetentionRule kRules[] = {
    {Kind::kMeal, 1, "9 CFR 3.105: feeding records, 1 year"},
    {Kind::kWaterReading, 1, "9 CFR 3.106: water quality records, 1 year"},
    // Necropsy findings are written as observations and administrations belong to the same medical history.
    {Kind::kObservation, 3, "9 CFR 3.110: necropsy records, 3 years"},
    {Kind::kAdministration, 3, "9 CFR 3.110: kept as long as the necropsy record"},
};

Day years_before(Day today, int years) { return today - years * 366; }  // A leap year more, never one less.

// Its own quotes would end a value early.
std::string quoted(std::string text) {
  for (char& c : text) {
    if (c == '"') c = '\'';
  }
  return '"' + text + '"';
}

}  // namespace

const RetentionRule& retention_rule(Kind kind) {
  for (const RetentionRule& rule : kRules) {
    if (rule.kind == kind) return rule;
  }
  return kGeneralRule;
}

Result<std::vector<RetentionRow>> list_retention(const HubDirectory& directory, std::int32_t today) {
  std::error_code error;
  if (!std::filesystem::exists(directory.key(), error))
    return fail(ErrorCode::kNotFound, "listing what is kept: " + directory.path + " is no hub's directory");
  WRACKLINE_TRY_VALUE(keystore, open_key(directory.key(), directory.records()));
  WRACKLINE_TRY_VALUE(replica, Replica::open({directory.records(), keystore.get(), wall_clock_ms}));
  WRACKLINE_TRY_VALUE(moment, replica->store().begin_read());
  static_cast<void>(moment);
  std::vector<RetentionRow> rows;
  for (const KindRow& kind : all_kinds()) {
    if (kind.happened_field == 0) continue;
    RetentionRow row{std::string(kind.name), retention_rule(kind.kind), 0, 0};
    WRACKLINE_TRY_VALUE(all, replica->store().records().find_all_subjects(kind.kind, kFirstDay, kLastDay));
    WRACKLINE_TRY_VALUE(past, replica->store().records().find_all_subjects(
                                  kind.kind, kFirstDay, years_before(today, row.rule.years_min) - 1));
    row.events = all.size();
    row.past_minimum = past.size();
    if (row.events > 0) rows.push_back(std::move(row));
  }
  return rows;
}

Status log_retention_act(const HubDirectory& directory, const std::vector<RetentionRow>& rows,
                         const std::string& by, const std::string& reason, WallMs now) {
  if (!is_plain_text(by, kTextBytesMax) || !is_plain_text(reason, kTextBytesMax))
    return fail(ErrorCode::kInvalid,
                "writing down a look at retention: it needs --by NAME and --reason TEXT, each of one line");
  WRACKLINE_TRY_VALUE(keystore, open_key(directory.key(), directory.records()));
  Bytes acts;
  auto before = read_private_file(directory.retention_acts(), kActsBytesMax);
  if (before) acts = std::move(*before);
  if (!before && before.error().code != ErrorCode::kNotFound) return fail(before.error());
  std::string line =
      "ts=" + utc_text(now) + " act=reviewed removed=0 by=" + quoted(by) + " reason=" + quoted(reason);
  for (const RetentionRow& row : rows)
    line += ' ' + row.kind_name + '=' + std::to_string(row.past_minimum) + '/' + std::to_string(row.events);
  WRACKLINE_TRY_VALUE(signature, keystore->sign("wrackline/retention-act/1" + line));
  acts += line + std::string(kRetentionSignature) + to_hex(view(signature)) + '\n';
  return replace_private_file(directory.retention_acts(), acts);
}

}  // namespace wrackline
