// Records in account, read as messages and put in an order that does not depend on this replica's places, so
// that every side computes the same bytes.
#pragma once

#include <algorithm>
#include <iterator>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "model/kinds.h"
#include "reading/record_view.h"

namespace wrackline {

inline constexpr Day kFirstDayOfAll = std::numeric_limits<Day>::min();
inline constexpr Day kLastDayOfAll = std::numeric_limits<Day>::max();

// A record with its message. Sorted by when it happened (0 where a kind has no time), then by its id.
template <typename Message>
struct Gathered {
  ChangeId id;
  Place place = 0;
  Message message;
  bool in_disagreement = false;
  std::uint64_t happened_ms = 0;
  friend bool operator<(const Gathered& a, const Gathered& b) {
    return a.happened_ms == b.happened_ms ? a.id < b.id : a.happened_ms < b.happened_ms;
  }
};

template <typename Message, typename = void>
struct HappenedOf {
  static std::uint64_t ms(const Message&) { return 0; }
};
template <typename Message>
struct HappenedOf<Message, std::void_t<decltype(std::declval<const Message&>().happened_ms())>> {
  static std::uint64_t ms(const Message& message) { return message.happened_ms(); }
};

// Reads a record that is held, whatever its standing; nothing where it is not held or is no such message.
template <typename Message>
Result<std::optional<Gathered<Message>>> read_record(Replica& replica, Place place, bool with_struck = false) {
  std::optional<Gathered<Message>> out;
  WRACKLINE_TRY_VALUE(state, replica.store().records().load(place));
  if (!state || state->kind == 0 || (!with_struck && !built_in_of(state->fields).in_account())) return out;
  Gathered<Message> found;
  if (!found.message.ParseFromString(state->fields)) return out;
  found.id = replica.store().logs().id_of(place);
  found.place = place;
  found.in_disagreement = !state->disagreements.empty();
  found.happened_ms = HappenedOf<Message>::ms(found.message);
  out = std::move(found);
  return out;
}

template <typename Message>
Result<std::vector<Gathered<Message>>> read_places(Replica& replica, const std::vector<Place>& places) {
  std::vector<Gathered<Message>> out;
  for (Place place : places) {
    WRACKLINE_TRY_VALUE(record, read_record<Message>(replica, place));
    if (record) out.push_back(std::move(*record));
  }
  std::sort(out.begin(), out.end());
  return out;
}

// Records of a kind that belong to `subject` (0: to nothing) and are in account.
template <typename Message>
Result<std::vector<Gathered<Message>>> gather(Replica& replica, Place subject, Kind kind, Day first = kFirstDayOfAll,
                                              Day last = kLastDayOfAll) {
  WRACKLINE_TRY_VALUE(places, replica.store().records().find(subject, kind, first, last));
  return read_places<Message>(replica, places);
}

// The messages of rows of keys; see gather_brief().
template <typename Message>
std::vector<Gathered<Message>> read_brief(Replica& replica, Kind kind, std::vector<KeyRow> rows) {
  std::vector<Gathered<Message>> out;
  const KindRow& kind_row = *find_kind(static_cast<std::uint32_t>(kind));
  const LogTable& logs = replica.store().logs();
  out.reserve(rows.size());
  for (KeyRow& row : rows) {
    if (!built_in_of(row.brief).in_account()) continue;
    RecordKey key;
    key.subject = logs.id_of(row.key.subject);
    key.day = row.key.day;
    key.detail = static_cast<std::uint64_t>(row.key.detail);
    if (kind_row.key.detail_is_record && row.key.detail != kDetailAbsent) key.detail_record = logs.id_of(row.key.detail);
    key.brief = std::move(row.brief);
    Gathered<Message>& found = out.emplace_back();
    if (!found.message.ParseFromString(fields_of_brief(kind_row, key))) {
      out.pop_back();
      continue;
    }
    found.id = logs.id_of(row.record);
    found.place = row.record;
    found.happened_ms = HappenedOf<Message>::ms(found.message);
  }
  std::sort(out.begin(), out.end());
  return out;
}

// Does the same as gather(), from what stands beside the keys: the messages hold their key fields and KindRow::brief
// alone, and say nothing of disagreements. Much faster over many records.
template <typename Message>
Result<std::vector<Gathered<Message>>> gather_brief(Replica& replica, Place subject, Kind kind, Day first = kFirstDayOfAll,
                                                    Day last = kLastDayOfAll) {
  WRACKLINE_TRY_VALUE(rows, replica.store().records().find_brief(subject, kind, first, last));
  return read_brief<Message>(replica, kind, std::move(rows));
}

// Likewise those that belong to the `via` of `subject` on these days: the portions of an animal's meals.
template <typename Message>
Result<std::vector<Gathered<Message>>> gather_brief_via(Replica& replica, Place subject, Kind via, Kind kind, Day first,
                                                        Day last) {
  WRACKLINE_TRY_VALUE(rows, replica.store().records().find_brief_via(subject, via, kind, first, last));
  return read_brief<Message>(replica, kind, std::move(rows));
}

// For the latest among years of records: what `read(first, last)` finds from `from` to `last`, and of the days before `from` so
// many that some of it all `is_enough`. It has everything of a day, or nothing.
template <typename Read, typename IsEnough>
auto gather_back(Day from, Day last, const Read& read, const IsEnough& is_enough) -> decltype(read(from, last)) {
  constexpr std::int64_t kFirstStep = 32, kLastStep = 32'768;  // Days; then all that is left at once.
  decltype(read(from, last)) out = read(from, last);
  Day before = from;
  for (std::int64_t step = kFirstStep; out && before > kFirstDayOfAll && std::none_of(out->begin(), out->end(), is_enough); step *= 4) {
    const std::int64_t begin = step > kLastStep ? kFirstDayOfAll : std::max<std::int64_t>(kFirstDayOfAll, before - step);
    auto more = read(static_cast<Day>(begin), before - 1);
    if (!more) return more;
    out->insert(out->end(), std::make_move_iterator(more->begin()), std::make_move_iterator(more->end()));
    before = static_cast<Day>(begin);
  }
  if (out) std::sort(out->begin(), out->end());
  return out;
}

// Whatever they belong to.
template <typename Message>
Result<std::vector<Gathered<Message>>> gather_all(Replica& replica, Kind kind, Day first = kFirstDayOfAll,
                                                  Day last = kLastDayOfAll) {
  WRACKLINE_TRY_VALUE(places, replica.store().records().find_all_subjects(kind, first, last));
  return read_places<Message>(replica, places);
}

}  // namespace wrackline
