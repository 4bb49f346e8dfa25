#include "history.h"

#include <algorithm>
#include <set>

#include "base/wire.h"
#include "model/hold.h"
#include "model/kinds.h"
#include "model/presence.h"
#include "record_words.h"
#include "text/visible.h"

namespace wrackline::evidence {
namespace {

// The slices of one field, which together are its value; empty when the fields have none.
Bytes slices_of(ByteView fields, std::uint32_t number) {
  WireReader reader(fields);
  WireField field;
  Bytes out;
  while (reader.next(field)) {
    if (field.number == number) out += field.slice;
  }
  return out;
}

// Finds the changes of a log that some holds speak of.
class Spans {
 public:
  void add(Seq first, Seq last) { spans_.emplace_back(first, last); }
  // Before it is asked.
  void sort() {
    std::sort(spans_.begin(), spans_.end());
    Seq furthest = 0;
    for (auto& span : spans_) span.second = furthest = std::max(furthest, span.second);
  }
  bool has(Seq seq) const {
    const auto behind = std::upper_bound(spans_.begin(), spans_.end(), std::pair(seq, kSeqMax));
    return behind != spans_.begin() && std::prev(behind)->second >= seq;
  }

 private:
  std::vector<std::pair<Seq, Seq>> spans_;  // Sorted: each with the furthest end so far.
};

class History {
 public:
  History(const File& file, const Verdict& verdict);
  std::string text();

 private:
  std::string name_of(RecordId record);
  void put_record(RecordId record);
  void put_change(const ProvenChange& proven, std::uint32_t kind, ByteView birth_fields);
  void put_values(const ProvenChange& proven, std::uint32_t kind, ByteView birth_fields);
  std::string device_text(const PublicKey& key) const;
  std::string authorship_text(const ProvenChange& proven) const;
  std::string held_text(ChangeId id) const;
  std::string hold_text(ChangeId id) const;

  const File& file_;
  const Verdict& verdict_;
  std::map<RecordId, std::vector<const ProvenChange*>> changes_of_;
  std::vector<PresenceSpan> presences_;                  // The hub's word of who was where.
  // Changes the hub holds, and those of which an officer lifted the hold.
  std::map<LogId, Spans> held_back_, taken_in_;
  std::string out_;
  bool has_unproven_ = false;
};

History::History(const File& file, const Verdict& verdict) : file_(file), verdict_(verdict) {
  std::set<RecordId> lifted;
  for (const auto& [id, proven] : verdict.proven) {
    changes_of_[proven.record()].push_back(&proven);
    if (!proven.change.is_birth() && built_in_of(proven.change.fields).struck) lifted.insert(proven.change.record);
  }
  for (const auto& [id, proven] : verdict.proven) {
    if (!proven.change.is_birth() || !verdict.is_word_of_hub(id)) continue;
    if (proven.change.kind == static_cast<std::uint32_t>(Kind::kPresence) && lifted.count(id) == 0) presences_.push_back(presence_span(proven.change.fields));
    if (proven.change.kind != static_cast<std::uint32_t>(Kind::kHold)) continue;
    const HeldChanges held = held_changes(proven.change.fields);
    (lifted.count(id) != 0 ? taken_in_ : held_back_)[held.log].add(held.first, held.last);
  }
  for (auto* spans : {&held_back_, &taken_in_}) {
    for (auto& [log, of_log] : *spans) of_log.sort();
  }
}

std::string History::name_of(RecordId record) {
  const auto proven = verdict_.names.find(record);
  if (proven != verdict_.names.end()) return proven->second;
  const auto told = file_.names.find(record);
  if (told == file_.names.end()) return to_text(record);
  has_unproven_ = true;
  return visible(told->second) + "*";
}

std::string History::device_text(const PublicKey& key) const {
  const auto device = verdict_.devices.find(key);
  if (device == verdict_.devices.end()) return "the hub";
  return "\"" + device->second.name + "\"" + (device->second.is_revoked ? " (revoked since)" : "");
}

// Whether the author is the device's word or more.
std::string History::authorship_text(const ProvenChange& proven) const {
  if (!proven.change.author || verdict_.is_word_of_hub(proven.id)) return "";
  const auto device = verdict_.devices.find(proven.device);
  const auto held = verdict_.held.find(proven.id);
  const bool is_proven = device != verdict_.devices.end() && held != verdict_.held.end() &&
                         std::any_of(presences_.begin(), presences_.end(), [&](const PresenceSpan& span) {
                           return span.person == proven.change.author && span.device == device->second.record &&
                                  covers(span, proven.change.stamp.ms(), held->second);
                         });
  return is_proven ? ", proven to the hub" : ", by the device's word";
}

std::string History::held_text(ChangeId id) const {
  const auto held = verdict_.held.find(id);
  return held != verdict_.held.end() ? "held by the hub " + utc_text(held->second) : "no word of the hub in this file of when it held it";
}

// The hub's word against a change, and whether that still stands.
std::string History::hold_text(ChangeId id) const {
  const auto speaks = [&](const std::map<LogId, Spans>& of) {
    const auto log = of.find(id.log);
    return log != of.end() && log->second.has(id.seq);
  };
  if (speaks(held_back_)) return "the hub keeps it out of account until an officer decides";
  return speaks(taken_in_) ? "the hub kept it out of account; an officer took it in" : "";
}

void History::put_values(const ProvenChange& proven, std::uint32_t kind, ByteView birth_fields) {
  std::set<std::uint32_t> numbers(proven.change.clears.begin(), proven.change.clears.end());
  WireReader reader(proven.change.fields);
  WireField field;
  while (reader.next(field)) numbers.insert(field.number);
  Bytes whole(birth_fields);
  whole += proven.change.fields;
  const NameOf names = [this](RecordId record) { return name_of(record); };
  for (const std::uint32_t number : numbers) {
    std::string old;
    for (const Replaced& replaced : proven.change.replaces) {
      if (number == kConfirmationField) break;  // Each belongs to its own change.
      if (std::find(replaced.fields.begin(), replaced.fields.end(), number) == replaced.fields.end())
        continue;
      const auto before = verdict_.proven.find(replaced.change);
      const bool is_here = before != verdict_.proven.end() && !before->second.is_withheld && before->second.check == replaced.check;
      old +=
          (old.empty() ? "" : " and ") +
          (is_here ? value_words(kind, number, slices_of(before->second.change.fields, number), whole, names)
                   : "a value of " + to_text(replaced.change) + ", which this file does not show");
    }
    out_ += "      " + field_word(kind, number) + ": " + (old.empty() ? "" : old + " -> ") +
            value_words(kind, number, slices_of(proven.change.fields, number), whole, names) + "\n";
  }
}

void History::put_change(const ProvenChange& proven, std::uint32_t kind, ByteView birth_fields) {
  out_ += "  " + to_text(proven.id) + "  " + (proven.change.is_birth() ? "entered " : "edited ") +
          utc_text(proven.change.entered_ms()) + " by " +
          (proven.change.author ? name_of(proven.change.author) : "the hub") + " on " +
          device_text(proven.device) + authorship_text(proven) + "; " + held_text(proven.id) + "\n";
  if (const std::string hold = hold_text(proven.id); !hold.empty()) out_ += "      " + hold + "\n";
  if (const auto birth = verdict_.proven.find(proven.record());
      birth != verdict_.proven.end() && proven.change.record_check.value_or(birth->second.check) != birth->second.check) {
    out_ += "      meant for a record of another branch of this log; changes nothing here\n";
  }
  if (proven.is_withheld) {
    out_ += "      its content is withheld: the file shows only that there is such a change\n";
    return;
  }
  put_values(proven, kind, birth_fields);
  if (!proven.change.reason.empty()) out_ += "      why: " + visible(proven.change.reason) + "\n";
}

void History::put_record(RecordId record) {
  std::vector<const ProvenChange*> changes = changes_of_[record];
  std::stable_sort(changes.begin(), changes.end(),
                   [](const auto* a, const auto* b) { return a->change.stamp < b->change.stamp; });
  const auto birth = verdict_.proven.find(record);
  const bool has_birth = birth != verdict_.proven.end() && birth->second.change.is_birth();
  const std::uint32_t kind = has_birth ? birth->second.change.kind : 0;
  out_ += "\nRecord " + to_text(record) +
          (has_birth ? ", a " + kind_word(kind) : ", whose beginning is not in this file") + "\n";
  for (const ProvenChange* change : changes)
    put_change(*change, kind, has_birth ? birth->second.change.fields : ByteView{});
}

std::string History::text() {
  for (const RecordId record : file_.records) put_record(record);
  if (has_unproven_) out_ += "\n* so called by whoever wrote the file; no change in it proves the name\n";
  return out_;
}

}  // namespace

std::string history_text(const File& file, const Verdict& verdict) { return History(file, verdict).text(); }

}  // namespace wrackline::evidence
