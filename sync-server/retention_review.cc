#include "retention_review.h"

#include <records.pb.h>

#include <filesystem>
#include <map>

#include "hosts/blob_folder.h"
#include "hosts/key_change.h"
#include "hosts/private_file.h"
#include "hosts/system_clock.h"
#include "hub_records.h"
#include "log.h"
#include "plain_text.h"
#include "replica/replica.h"
#include "store/store.h"

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
    // Nobody here knows what a file shows, so it is kept for the longest period.
    {Kind::kAttachment, 3, "9 CFR 3.110: may belong to a necropsy record"},
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
  WRACKLINE_TRY_VALUE(opened, HubRecords::open(directory, "listing what is kept"));
  const auto& replica = opened.replica;
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

Result<FilesKept> count_files(const HubDirectory& directory, std::int32_t today) {
  WRACKLINE_TRY_VALUE(opened, HubRecords::open(directory, "listing what is kept"));
  Store& store = opened.replica->store();
  WRACKLINE_TRY_VALUE(moment, store.begin_read());
  static_cast<void>(moment);
  const Day first_kept = years_before(today, retention_rule(Kind::kAttachment).years_min);
  struct Named {
    std::uint64_t bytes = 0;
    bool is_past = true;
  };
  std::map<Hash, Named> named;
  WRACKLINE_TRY_VALUE(places, store.records().find_all_subjects(Kind::kAttachment, kFirstDay, kLastDay));
  for (Place place : places) {
    WRACKLINE_TRY_VALUE(state, store.records().load(place));
    proto::Attachment attachment;
    Hash hash;
    if (!state || !attachment.ParseFromString(state->fields) || !copy_exactly(attachment.sha256(), hash)) continue;
    Named& file = named[hash];
    file.bytes = attachment.bytes();
    file.is_past = file.is_past && attachment.day() < first_kept;
  }
  FilesKept out;
  const BlobFolder folder(directory.blobs());
  for (const auto& [hash, file] : named) {
    ++out.files;
    out.bytes += file.bytes;
    if (file.is_past) {
      ++out.files_past_minimum;
      out.bytes_past_minimum += file.bytes;
    }
    WRACKLINE_TRY_VALUE(held, folder.held(hash));
    if (!held.whole) continue;
    ++out.files_here;
    out.bytes_here += held.bytes;
  }
  return out;
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
