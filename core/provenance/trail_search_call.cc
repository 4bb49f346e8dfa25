// The trail as a question: entries of many records, by who, where, of what and when.
//
// However the changes are found, they are read log by log from where the page before ended, and merged by (stamp, log):
// each log's own order is by seq, which its stamps follow. So a page costs what it shows and what it passes over, and a
// facility of a million changes is walked through twenty thousand at a time. The keys narrow the walk where they can: a
// record's changes stand in the table of edits, what belongs to an animal or happened on some days in that of keys. Who
// wrote a change stands in the change alone, so the question for a person reads all logs, and that for a device its own.
#include <algorithm>
#include <functional>
#include <map>
#include <optional>
#include <queue>
#include <set>
#include <utility>
#include <vector>

#include "provenance/provenance_calls.h"
#include "provenance/trail_entry.h"
#include "reading/record_view.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kEntriesDefault = 500, kEntriesMost = 5000;
// Changes looked at in one call: some tenths of a second where each is read and none is shown.
constexpr std::uint32_t kLookedAtMost = 20'000;
// A search of fewer days goes by the days: everybody's records of a month are fewer than one animal's of all years.
constexpr std::int64_t kDaysBeforeAnimal = 32;
constexpr const char* kSearching = "searching the trail";

// The places of one log that may be shown, ascending, or all of them.
struct Selection {
  bool all = true;
  std::map<LogNo, std::vector<Seq>> of_log;  // When not all.
};

// Records found by their keys, with the changes that touch them.
class Finder {
 public:
  Finder(Replica& replica, const proto::TrailSearchCall& call)
      : store_(replica.store()), belonging_(replica), call_(call), has_days_(call.has_first_day() || call.has_last_day()) {
    if (call.has_first_day()) first_ = call.first_day();
    if (call.has_last_day()) last_ = call.last_day();
  }

  Result<Selection> find() {
    Selection out;
    if (call_.has_record()) {
      WRACKLINE_TRY_VALUE(chain, belonging_.chain_of(id_of(call_.record())));
      records_.emplace(place_in(call_.record()), Belonging::day_of(chain));
    } else if (call_.has_animal() && has_days_ && std::int64_t{last_} - first_ < kDaysBeforeAnimal) {
      WRACKLINE_TRY(add_days());
      WRACKLINE_TRY(add_held());
    } else if (call_.has_animal()) {
      WRACKLINE_TRY(add_with_parts(place_in(call_.animal()), std::nullopt));
      WRACKLINE_TRY(add_held());
    } else if (has_days_) {
      WRACKLINE_TRY(add_days());
      WRACKLINE_TRY(add_held());
    } else {
      return out;
    }
    out.all = false;
    std::set<Place> places;
    for (const auto& [record, day] : records_) {
      if (record == 0 || (has_days_ && !(day && is_asked_for(*day)))) continue;
      places.insert(record);
      WRACKLINE_TRY_VALUE(edits, store_.records().edits(record));
      places.insert(edits.begin(), edits.end());
    }
    for (const Place place : places) out.of_log[log_no_of(place)].push_back(seq_of(place));
    return out;
  }

 private:
  Place place_in(const proto::RecordRef& ref) { return store_.logs().find_place(id_of(ref)); }
  bool is_asked_for(Day day) const { return day >= first_ && day <= last_; }

  // A record with all that belongs to it. A record without a day of its own has the day of the record it belongs to.
  Status add_with_parts(Place root, std::optional<Day> day) {
    std::vector<std::pair<Place, std::optional<Day>>> open = {{root, day}};
    while (!open.empty()) {
      const auto [record, of] = open.back();
      open.pop_back();
      if (record == 0 || !records_.emplace(record, of).second) continue;
      WRACKLINE_TRY_VALUE(parts, store_.records().find_belonging(record));
      for (const KeyRow& part : parts) open.emplace_back(part.record, day_in(part.key.kind, part.key.day, of));
    }
    return {};
  }
  static std::optional<Day> day_in(std::uint32_t kind, Day own, std::optional<Day> of_whole) {
    const KindRow* row = find_kind(kind);
    return row != nullptr && row->key.day != 0 ? std::optional<Day>(own) : of_whole;
  }

  Status add_days() {
    for (const KindRow& row : all_kinds()) {
      if (row.key.day == 0) continue;
      WRACKLINE_TRY_VALUE(places, store_.records().find_all_subjects(row.kind, first_, last_));
      for (const Place place : places) {
        WRACKLINE_TRY_VALUE(state, belonging_.load(store_.logs().id_of(place)));
        if (state == nullptr) continue;
        WRACKLINE_TRY_VALUE(is_wanted, is_of_animal(place));
        if (!is_wanted) continue;
        WRACKLINE_TRY(add_with_parts(place, record_key(row, state->fields).day));
      }
    }
    return {};
  }

  // The animal itself, or what belongs to it; everything when none is asked for.
  Result<bool> is_of_animal(Place record) {
    if (!call_.has_animal()) return true;
    if (record == 0) return false;
    const RecordId animal = id_of(call_.animal());
    WRACKLINE_TRY_VALUE(chain, belonging_.chain_of(store_.logs().id_of(record)));
    return std::any_of(chain.begin(), chain.end(), [&](const Link& link) { return link.id == animal; });
  }

  // A held record has no key, so the held births are looked at one by one. They are few, and a part comes after
  // its whole.
  Status add_held() {
    for (const HeldRange& range : store_.records().holds().ranges()) {
      const LogEntry* log = store_.logs().find(store_.logs().id_of(range.first).log);
      if (log == nullptr) continue;
      const Place last = std::min(range.last, place_of(log->no, log->head.seq));
      for (Place place = range.first; place <= last; ++place) {
        WRACKLINE_TRY_VALUE(bytes, store_.logs().content_of(place));
        if (bytes.empty()) continue;
        WRACKLINE_TRY_VALUE(change, read_change(bytes));
        const KindRow* row = change.is_birth() ? find_kind(change.kind) : nullptr;
        if (row == nullptr) continue;
        const RecordKey key = record_key(*row, change.fields);
        const Place subject = store_.logs().find_place(key.subject);
        const auto whole = subject == 0 ? records_.end() : records_.find(subject);
        const bool is_part = whole != records_.end();
        const auto day = day_in(change.kind, key.day, is_part ? whole->second : std::nullopt);
        bool is_wanted = is_part;
        if (!is_part && day && is_asked_for(*day)) {
          WRACKLINE_TRY_VALUE(is_of_it, is_of_animal(subject));
          is_wanted = is_of_it;
        }
        if (is_wanted) records_.emplace(place, day);
      }
    }
    return {};
  }

  Store& store_;
  Belonging belonging_;
  const proto::TrailSearchCall& call_;
  const bool has_days_;
  Day first_ = kFirstDayOfAll, last_ = kLastDayOfAll;
  std::map<Place, std::optional<Day>> records_;  // With the husbandry day of what has one.
};

// One log on the way: the next change of it that may be shown.
struct Reading {
  LogId id;
  LogNo no = 0;
  Seq next = 0;
  Seq end = 0;                             // Behind the last, when all are read.
  const std::vector<Seq>* chosen = nullptr;
  std::size_t at = 0;                      // In `chosen`.
  std::uint64_t stamp = 0;
};

class Search {
 public:
  Search(Replica& replica, const proto::TrailSearchCall& call, proto::TrailSearchReply& out)
      : replica_(replica), call_(call), out_(out), writer_(replica) {
    limit_ = call.limit() == 0 ? kEntriesDefault : std::min(call.limit(), kEntriesMost);
  }

  Status run(const Selection& selection) {
    for (const proto::LogPoint& point : call_.after().logs()) cursor_[LogId{point.log()}] = std::min<Seq>(point.seq(), kSeqMax);
    WRACKLINE_TRY(begin(selection));
    while (!open_.empty()) {
      if (out_.looked_at() >= kLookedAtMost || static_cast<std::uint32_t>(out_.entries_size()) >= limit_) {
        for (const auto& [log, seq] : cursor_) {
          proto::LogPoint& point = *out_.mutable_next()->add_logs();
          point.set_log(log.value);
          point.set_seq(seq);
        }
        return {};
      }
      const std::size_t index = open_.top().second;
      open_.pop();
      Reading& reading = readings_[index];
      WRACKLINE_TRY(show(place_of(reading.no, reading.next)));
      out_.set_looked_at(out_.looked_at() + 1);
      cursor_[reading.id] = reading.next;
      WRACKLINE_TRY(advance(index, reading.next + 1));
    }
    return {};
  }

 private:
  Status begin(const Selection& selection) {
    for (const auto& [id, log] : replica_.store().logs().all()) {
      if (log.head.seq == log.base() || !log.opening || log.is_arrivals()) continue;
      if (call_.has_device()) {
        WRACKLINE_TRY_VALUE(device, replica_.devices().find(log.opening->device));
        if (device.record != id_of(call_.device())) continue;
      }
      Reading reading;
      reading.id = id;
      reading.no = log.no;
      reading.end = log.head.seq + 1;
      if (!selection.all) {
        const auto chosen = selection.of_log.find(log.no);
        if (chosen == selection.of_log.end()) continue;
        reading.chosen = &chosen->second;
      }
      readings_.push_back(reading);
      const auto read = cursor_.find(id);
      WRACKLINE_TRY(advance(readings_.size() - 1, std::max(log.base(), read == cursor_.end() ? 0 : read->second) + 1));
    }
    return {};
  }

  // Puts the log's next change, at `from` or behind, among those to be chosen from.
  Status advance(std::size_t index, Seq from) {
    Reading& reading = readings_[index];
    reading.next = from;
    if (reading.chosen != nullptr) {
      while (reading.at < reading.chosen->size() && (*reading.chosen)[reading.at] < from) ++reading.at;
      if (reading.at == reading.chosen->size()) return {};
      reading.next = (*reading.chosen)[reading.at];
    }
    if (reading.next >= reading.end) return {};  // The birth of that record has not arrived.
    WRACKLINE_TRY_VALUE(bytes, replica_.store().logs().bytes_of(place_of(reading.no, reading.next)));
    WRACKLINE_TRY_VALUE(change, read_change(bytes));
    // A log whose stamps go back, which no Author writes, is read in its own order all the same.
    reading.stamp = std::max(reading.stamp, change.stamp.value);
    open_.push({{reading.stamp, reading.id.value}, index});
    return {};
  }

  Status show(Place place) {
    WRACKLINE_TRY_VALUE(bytes, replica_.store().logs().bytes_of(place));
    WRACKLINE_TRY_VALUE(change, read_change(bytes));
    if (call_.has_person() && change.author != id_of(call_.person())) return {};
    if (call_.kind() != 0 && change.is_birth() && change.kind != call_.kind()) return {};
    if (call_.kind() != 0 && !change.is_birth()) {
      WRACKLINE_TRY_VALUE(state, writer_.belonging().load(change.record));
      if (state != nullptr && state->kind != call_.kind()) return {};
    }
    std::vector<proto::TrailEntry> entries;
    WRACKLINE_TRY(writer_.append(place, entries));
    for (proto::TrailEntry& entry : entries) {
      if (fits(entry)) *out_.add_entries() = std::move(entry);
    }
    return {};
  }

  bool fits(const proto::TrailEntry& entry) const {
    return (call_.kind() == 0 || entry.kind() == call_.kind()) && (call_.field() == 0 || entry.field() == call_.field()) &&
           (!call_.late() || entry.late()) && (!call_.clock_suspect() || entry.clock_suspect()) &&
           (!call_.after_close() || entry.after_close()) && (!call_.struck() || entry.struck()) &&
           (!call_.folded() || entry.folded()) && (!call_.held() || entry.held());
  }

  using Next = std::pair<std::pair<std::uint64_t, std::uint64_t>, std::size_t>;  // (stamp, log), index of the reading

  Replica& replica_;
  const proto::TrailSearchCall& call_;
  proto::TrailSearchReply& out_;
  TrailWriter writer_;
  std::uint32_t limit_ = 0;
  std::vector<Reading> readings_;
  std::priority_queue<Next, std::vector<Next>, std::greater<Next>> open_;
  std::map<LogId, Seq> cursor_;
};

Status require_here(Replica& replica, const proto::RecordRef& ref) {
  const auto state = require_record(replica, id_of(ref), kSearching);
  return state ? Status() : Status(fail(state.error()));
}

}  // namespace

Status handle_trail_search(Replica& replica, const proto::TrailSearchCall& call, proto::TrailSearchReply& out) {
  if (call.has_record() && call.has_animal()) {
    return fail(ErrorCode::kInvalid, std::string(kSearching) + ": a record and an animal are both named; name one of them");
  }
  if (call.field() != 0 && call.kind() == 0) {
    return fail(ErrorCode::kInvalid, std::string(kSearching) + ": a field is named and no kind; say of which kind of record");
  }
  // An empty answer about a record that is not here would look as if nothing had been written.
  if (call.has_animal()) WRACKLINE_TRY(require_here(replica, call.animal()));
  if (call.has_person()) WRACKLINE_TRY(require_here(replica, call.person()));
  if (call.has_device()) WRACKLINE_TRY(require_here(replica, call.device()));
  WRACKLINE_TRY_VALUE(selection, Finder(replica, call).find());
  return Search(replica, call, out).run(selection);
}

}  // namespace wrackline
