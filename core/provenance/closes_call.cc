// This file says what was closed, by whom, whether it still stands, and what came after.
#include <algorithm>
#include <set>
#include <tuple>

#include "provenance/provenance_calls.h"
#include "provenance/trail_entry.h"
#include "reading/closing.h"
#include "reading/record_view.h"

namespace wrackline {
namespace {

constexpr std::size_t kAmendmentsMost = 200;

class CloseReader {
 public:
  explicit CloseReader(Replica& replica) : replica_(replica), belonging_(replica), writer_(replica) {}

  Status put(const KnownClose& close, proto::CloseView& out) {
    put_id(close.id, *out.mutable_record());
    out.set_area(close.area);
    out.set_day(close.message.day());
    out.set_note(close.message.note());
    out.set_records(close.message.records());
    out.set_changes(close.message.changes());
    out.set_sha256(close.message.sha256());
    if (close.message.has_confirmation()) *out.mutable_confirmation() = close.message.confirmation();
    WRACKLINE_TRY(put_origin(close, out));
    WRACKLINE_TRY_VALUE(standing, standing_of(close));
    out.set_standing(standing);
    return put_amendments(close, out);
  }

 private:
  Status put_origin(const KnownClose& close, proto::CloseView& out) {
    const LogEntry* log = replica_.store().logs().find(close.id.log);
    out.set_sealed(log != nullptr && close.id.seq <= log->sealed);
    out.set_entered_ms(close.entered_ms);
    std::vector<proto::TrailEntry> entries;
    WRACKLINE_TRY(writer_.append(replica_.store().logs().find_place(close.id), entries));
    if (entries.empty()) return {};
    const proto::TrailEntry& birth = entries.front();
    *out.mutable_author() = birth.author();
    out.set_author_name(birth.author_name());
    out.set_device_name(birth.device_name());
    out.set_held_ms(birth.held_ms());
    return {};
  }

  Result<proto::CloseStanding> standing_of(const KnownClose& close) {
    if (!close.cover.names_changes()) return proto::CLOSE_STANDING_SAID;
    WRACKLINE_TRY_VALUE(sum, sum_of(replica_, close.cover.records(), &close.cover));
    if (!close.cover.is_held(replica_.store().logs()) || sum.changes < close.message.changes()) {
      return proto::CLOSE_STANDING_NOT_HERE;
    }
    const bool is_same = sum.records == close.message.records() && sum.changes == close.message.changes() &&
                         view(sum.sha256) == ByteView(close.message.sha256());
    return is_same ? proto::CLOSE_STANDING_HOLDS : proto::CLOSE_STANDING_DIFFERENT;
  }

  // Records of the area and day as they are now, and those that were closed and have been moved away since.
  Status put_amendments(const KnownClose& close, proto::CloseView& out) {
    WRACKLINE_TRY_VALUE(here, records_of_area(replica_, belonging_, close.area, close.message.day()));
    std::set<RecordId> records(here.begin(), here.end());
    for (const RecordId id : close.cover.records()) records.insert(id);
    LogTable& logs = replica_.store().logs();
    std::vector<std::tuple<std::uint64_t, ChangeId>> changes;
    for (const RecordId record : records) {
      const Place birth = logs.find_place(record);
      WRACKLINE_TRY_VALUE(places, replica_.store().records().edits(birth));
      places.push_back(birth);
      for (const Place place : places) {
        WRACKLINE_TRY_VALUE(bytes, logs.bytes_of(place));
        if (bytes.empty()) continue;
        WRACKLINE_TRY_VALUE(change, read_change(bytes));
        // A record that the close lists is concerned in any case; the others were found by the area.
        if (close.is_amended_by(logs.id_of(place), change.entered_ms(), record, close.area)) {
          changes.emplace_back(change.stamp.value, logs.id_of(place));
        }
      }
    }
    std::sort(changes.begin(), changes.end());
    out.set_amended_changes(static_cast<std::uint32_t>(changes.size()));
    if (changes.size() > kAmendmentsMost) changes.resize(kAmendmentsMost);
    for (const auto& [stamp, id] : changes) {
      std::vector<proto::TrailEntry> entries;
      WRACKLINE_TRY(writer_.append(logs.find_place(id), entries));
      for (proto::TrailEntry& entry : entries) {
        // The entry amends this close, which may be later than the first close that it was not part of.
        entry.set_after_close(true);
        put_id(close.id, *entry.mutable_close());
        entry.set_came_later(entry.entered_ms() <= close.entered_ms);
        *out.add_amendments() = std::move(entry);
      }
    }
    return {};
  }

  Replica& replica_;
  Belonging belonging_;
  TrailWriter writer_;
};

}  // namespace

Status handle_closes(Replica& replica, const proto::ClosesCall& call, proto::ClosesReply& out) {
  const Day first = call.has_first_day() ? call.first_day() : kFirstDayOfAll;
  const Day last = call.has_last_day() ? call.last_day() : kLastDayOfAll;
  Closes closes(replica);
  WRACKLINE_TRY_VALUE(found, closes.of_days(first, last, call.area()));
  CloseReader reader(replica);
  for (const KnownClose& close : found) WRACKLINE_TRY(reader.put(close, *out.add_closes()));
  return {};
}

}  // namespace wrackline
