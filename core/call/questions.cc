#include "call/questions.h"
#include "reading/record_view.h"

#include <algorithm>
#include <map>
#include <set>

#include "base/wire.h"
#include "husbandry/dose_questions.h"
#include "log/hybrid_clock.h"
#include "model/kinds.h"
#include "model/numbers.h"
#include "reading/belonging.h"

namespace wrackline {
namespace {

// A time so far ahead is a slip; less is the difference between two clocks.
constexpr WallMs kAheadMs = HybridClock::kAheadMaxMs;
// The core knows no time zone: a day that has begun nowhere on earth is to come. +14:00 is the widest in use.
constexpr WallMs kEastmostMs = 14 * kHourMs;

using Questions = std::vector<proto::Question>;

class Asker {
 public:
  Asker(Replica& replica, const std::vector<NewRecord>* drafts)
      : replica_(replica), belonging_(replica), now_ms_(replica.now()), drafts_(drafts) {}

  Result<Questions> about_new(std::size_t index) {
    const NewRecord& record = (*drafts_)[index];
    const KindRow* const row = find_kind(record.kind);
    if (row == nullptr) return Questions{};  // Refused when it is written.
    WRACKLINE_TRY_VALUE(owner, owner_of_draft(index));
    const Link self{{}, row, record.fields};
    Questions out;
    WRACKLINE_TRY(ask_of_values(self, *owner, nullptr, out));
    ask_of_time(*row, record.fields, nullptr, out);
    // The meal has been asked about already when it is written with its portions.
    const bool owner_is_asked = !owner->chain.empty() && !owner->chain.front().id;
    if (!owner_is_asked) WRACKLINE_TRY(ask_of_struck(self, *owner, out));
    if (!owner_is_asked) WRACKLINE_TRY(ask_of_closed_day(self, *owner, out));
    WRACKLINE_TRY(ask_of_dose(*row, record.fields, out));
    for (proto::Question& question : out) {
      question.set_record(static_cast<std::uint32_t>(index));
      question.set_kind(record.kind);
    }
    return out;
  }

  Result<Questions> about_edit(const Edit& edit) {
    WRACKLINE_TRY_VALUE(state, belonging_.load(edit.record));
    const KindRow* const row = state == nullptr ? nullptr : find_kind(state->kind);
    if (row == nullptr)
      return Questions{};  // Not held, or of a newer release, whose days and numbers are not known.
    const std::set<std::uint32_t> given = fields_of(edit);
    const Bytes after = as_edited(state->fields, edit, given);
    const Link self_before{edit.record, row, state->fields}, self_after{edit.record, row, after};
    WRACKLINE_TRY_VALUE(owner_before, owner_of(self_before));
    WRACKLINE_TRY_VALUE(owner_after, owner_of(self_after));
    Questions out;
    WRACKLINE_TRY(ask_of_values(self_after, owner_after, &given, out));
    ask_of_time(*row, after, &given, out);
    if (given.count(row->key.subject) != 0) WRACKLINE_TRY(ask_of_struck(self_after, owner_after, out));
    WRACKLINE_TRY(ask_of_closed_day(self_before, owner_before, out));
    // Brought to another day or animal: that one's day changes too.
    if (after != state->fields) WRACKLINE_TRY(ask_of_closed_day(self_after, owner_after, out));
    for (proto::Question& question : out) question.set_kind(state->kind);
    return out;
  }

 private:
  // Keeps the record that an entry belongs to, and the questions for each entry that belongs to it.
  struct Owner {
    std::vector<Link> chain;           // The nearest first; empty for what belongs to nothing.
    std::vector<RecordId> subjects;    // The records of the chain that may have limits.
    std::vector<SiteLimitRow> limits;  // Theirs, and everybody's.
    std::optional<std::size_t> struck;  // The nearest of it that is.
    std::optional<Day> day;
  };

  Result<Owner> make_owner(std::vector<Link> chain) {
    Owner out;
    for (std::size_t i = 0; i < chain.size(); ++i) {
      if (!chain[i].id) continue;  // Being written too.
      if (!out.struck && built_in_of(chain[i].fields).struck) out.struck = i;
      // Only animals, pools and the like, which belong to nothing, have limits of their own.
      if (chain[i].row->key.subject != 0) continue;
      out.subjects.push_back(chain[i].id);
      WRACKLINE_TRY(add_limits_of(chain[i].id, out.limits));
    }
    WRACKLINE_TRY(add_limits_of({}, out.limits));
    out.day = Belonging::day_of(chain);
    out.chain = std::move(chain);
    return out;
  }

  Result<Owner> owner_of(const Link& self) {
    WRACKLINE_TRY_VALUE(chain, belonging_.chain_of(self));
    chain.erase(chain.begin());
    return make_owner(std::move(chain));
  }

  // Finds what a draft belongs to. Many drafts are of the same meal, so the answer is kept.
  Result<const Owner*> owner_of_draft(std::size_t index) {
    const NewRecord& record = (*drafts_)[index];
    const KindRow& row = *find_kind(record.kind);
    for (const NewRecord::Link& link : record.links) {
      if (link.field != row.key.subject || link.record >= index) continue;
      const NewRecord& parent = (*drafts_)[link.record];
      const KindRow* const parent_row = find_kind(parent.kind);
      if (parent_row == nullptr) continue;
      if (const auto known = owners_in_drafts_.find(link.record); known != owners_in_drafts_.end()) return &known->second;
      WRACKLINE_TRY_VALUE(above, owner_of_draft(link.record));
      std::vector<Link> chain = {{{}, parent_row, parent.fields}};
      chain.insert(chain.end(), above->chain.begin(), above->chain.end());
      WRACKLINE_TRY_VALUE(owner, make_owner(std::move(chain)));
      return &(owners_in_drafts_[link.record] = std::move(owner));
    }
    const RecordId subject = row.key.subject == 0 ? RecordId{} : record_key(row, record.fields).subject;
    if (const auto known = owners_.find(subject); known != owners_.end()) return &known->second;
    WRACKLINE_TRY_VALUE(chain, belonging_.chain_of(subject));
    WRACKLINE_TRY_VALUE(owner, make_owner(std::move(chain)));
    return &(owners_[subject] = std::move(owner));
  }

  Status ask_of_values(const Link& self, const Owner& owner, const std::set<std::uint32_t>* given, Questions& out) {
    for (const Number& number : numbers_in(self.row->kind, self.fields, given)) {
      const SiteLimitRow* const limit = limit_beyond(owner.limits, owner.subjects, number);
      if (limit == nullptr && !number.is_improbable()) continue;
      proto::Question& question = out.emplace_back();
      question.set_rule(limit != nullptr ? proto::QUESTION_RULE_SITE_LIMIT : proto::QUESTION_RULE_IMPROBABLE);
      question.set_field(number.row->field);
      if (number.detail) question.set_detail(*number.detail);
      question.set_value(number.value);
      const auto low = limit != nullptr ? limit->low : number.row->low;
      const auto high = limit != nullptr ? limit->high : number.row->high;
      if (low) question.set_low(*low);
      if (high) question.set_high(*high);
      if (limit == nullptr) continue;
      question.set_note(notes_[limit->id]);
      const bool is_low = limit->low && number.value < *limit->low;
      WRACKLINE_TRY(put_setter(
          limit->id, is_low ? proto::SiteLimit::kLowFieldNumber : proto::SiteLimit::kHighFieldNumber,
          question));
    }
    return {};
  }

  Status ask_of_dose(const KindRow& row, ByteView fields, Questions& out) {
    proto::Administration dose;
    if (row.kind != Kind::kAdministration || !dose.ParseFromArray(fields.data(), static_cast<int>(fields.size()))) return {};
    WRACKLINE_TRY_VALUE(questions, dose_questions(replica_, dose));
    out.insert(out.end(), questions.begin(), questions.end());
    return {};
  }

  void ask_of_time(const KindRow& row, ByteView fields, const std::set<std::uint32_t>* given,
                   Questions& out) const {
    if (row.happened_field == 0) return;
    const auto is_given = [&](std::uint32_t field) { return given == nullptr || given->count(field) != 0; };
    WireReader reader(fields);
    WireField field;
    while (is_given(row.happened_field) && reader.next(field)) {
      if (field.number != row.happened_field || field.scalar <= now_ms_ + kAheadMs) continue;
      proto::Question& question = out.emplace_back();
      question.set_rule(proto::QUESTION_RULE_FUTURE);
      question.set_field(row.happened_field);
      question.set_value(static_cast<std::int64_t>(field.scalar));
      return;
    }
    const Day day = record_key(row, fields).day;
    if (!is_given(row.key.day) || day <= static_cast<Day>((now_ms_ + kEastmostMs) / kDayMs)) return;
    proto::Question& question = out.emplace_back();
    question.set_rule(proto::QUESTION_RULE_FUTURE);
    question.set_field(row.key.day);
    question.set_day(day);
  }

  // Names the nearest record that is struck: an order of a struck animal is asked about once.
  Status ask_of_struck(const Link& self, const Owner& owner, Questions& out) {
    if (!owner.struck) return {};
    const Link& struck = owner.chain[*owner.struck];
    const Link& below = *owner.struck == 0 ? self : owner.chain[*owner.struck - 1];
    proto::Question& question = out.emplace_back();
    question.set_rule(proto::QUESTION_RULE_STRUCK);
    question.set_field(below.row->key.subject);
    // A record that belongs to no other has its name in its first field.
    if (struck.row->key.subject == 0) {
      WRACKLINE_TRY_VALUE(name, belonging_.roster().name_of(struck.id));
      question.set_source_name(name);
    }
    return put_setter(struck.id, static_cast<int>(kStandingField), question);
  }

  Status ask_of_closed_day(const Link& self, const Owner& owner, Questions& out) {
    const auto day = self.row->kind == Kind::kPortion ? owner.day : Belonging::day_of({self});
    if (!day) return {};
    WRACKLINE_TRY_VALUE(closes, closes_of(*day));
    if (closes->empty()) return {};
    std::vector<Link> chain = {self};
    chain.insert(chain.end(), owner.chain.begin(), owner.chain.end());
    WRACKLINE_TRY_VALUE(area, belonging_.area_of(chain));
    if (area.empty()) return {};
    const Gathered<proto::DayClose>* last = nullptr;
    for (const Gathered<proto::DayClose>& close : *closes) {
      WRACKLINE_TRY_VALUE(closed, belonging_.roster().areas().name_for(close.message));
      if (closed == area) last = &close;
    }
    if (last == nullptr) return {};
    const bool is_asked = std::any_of(out.begin(), out.end(), [&](const proto::Question& question) {
      return question.rule() == proto::QUESTION_RULE_CLOSED_DAY && id_of(question.source()) == last->id;
    });
    if (is_asked) return {};
    proto::Question& question = out.emplace_back();
    question.set_rule(proto::QUESTION_RULE_CLOSED_DAY);
    question.set_day(*day);
    question.set_source_name(area);
    return put_setter(last->id, proto::DayClose::kDayFieldNumber, question);
  }

  Result<const std::vector<Gathered<proto::DayClose>>*> closes_of(Day day) {
    const auto [it, is_new] = closes_.try_emplace(day);
    if (is_new) {
      WRACKLINE_TRY_VALUE(closes, gather<proto::DayClose>(replica_, 0, Kind::kDayClose, day, day));
      it->second = std::move(closes);
    }
    return &it->second;
  }

  // Goes by way of the records they belong to: a search over all subjects would read through the keys of every record.
  Status add_limits_of(RecordId subject, std::vector<SiteLimitRow>& out) {
    const auto [it, is_new] = limits_.try_emplace(subject);
    if (is_new) {
      const Place place = replica_.store().logs().find_place(subject);
      WRACKLINE_TRY_VALUE(found, gather<proto::SiteLimit>(replica_, place, Kind::kSiteLimit));
      for (const Gathered<proto::SiteLimit>& limit : found) {
        const proto::SiteLimit& message = limit.message;
        SiteLimitRow& row = it->second.emplace_back();
        row.id = limit.id;
        row.subject = subject;
        row.kind = message.of_kind();
        row.field = message.of_field();
        if (message.has_of_detail()) row.detail = message.of_detail();
        if (message.has_low()) row.low = message.low();
        if (message.has_high()) row.high = message.high();
        notes_[limit.id] = message.note();
      }
    }
    out.insert(out.end(), it->second.begin(), it->second.end());
    return {};
  }

  // Names the record a question comes from, and who gave the field that the question comes from its value,
  // and when.
  Status put_setter(RecordId id, int field_number, proto::Question& question) {
    put_id(id, *question.mutable_source());
    WRACKLINE_TRY_VALUE(history, replica_.store().records().history(replica_.store().logs().find_place(id)));
    const Folded& folded = history->folded;
    const auto field = folded.fields.find(static_cast<std::uint32_t>(field_number));
    if (field == folded.fields.end()) return {};
    const Change& by = folded.inputs[field->second.displayed().input].change;
    WRACKLINE_TRY_VALUE(name, belonging_.roster().name_of(by.author));
    question.set_set_by(name);
    question.set_set_ms(by.entered_ms());
    return {};
  }

  Replica& replica_;
  Belonging belonging_;
  const WallMs now_ms_;
  const std::vector<NewRecord>* const drafts_;
  std::map<RecordId, Owner> owners_;
  std::map<std::size_t, Owner> owners_in_drafts_;  // The key is the draft that is the nearest of the chain.
  std::map<Day, std::vector<Gathered<proto::DayClose>>> closes_;
  // The key is the subject; limits for everybody stand under no subject.
  std::map<RecordId, std::vector<SiteLimitRow>> limits_;
  std::map<RecordId, std::string> notes_;
};

Status demand(const Questions& questions, const char* doing, const Asking& asking) {
  // Equal bytes are the same question: it is sent back as it came.
  std::set<std::string> confirmed;
  for (const proto::Question& question : asking.confirmed.questions())
    confirmed.insert(question.SerializeAsString());
  const bool all = std::all_of(questions.begin(), questions.end(), [&](const proto::Question& question) {
    return confirmed.count(question.SerializeAsString()) != 0;
  });
  if (all) return {};
  for (const proto::Question& question : questions) *asking.refusal.add_questions() = question;
  return fail(ErrorCode::kUnconfirmed,
              std::string(doing) + ": " + std::to_string(questions.size()) +
                  (questions.size() == 1 ? " thing is" : " things are") +
                  " to be confirmed first; nothing was written; look again, then correct the entry, or send "
                  "it once more with the questions confirmed");
}

void append_confirmation(const Questions& questions, const Asking& asking, Bytes& fields) {
  if (questions.empty()) return;
  proto::Confirmation confirmation;
  confirmation.set_because(asking.confirmed.because());
  for (const proto::Question& question : questions) {
    proto::Question& stored = *confirmation.add_questions();
    stored = question;
    stored.clear_record();
  }
  append_bytes_field(fields, kConfirmationField, confirmation.SerializeAsString());
}

}  // namespace

Status ask_about_new(Replica& replica, std::vector<NewRecord>& records, const Asking& asking) {
  Asker asker(replica, &records);
  std::vector<Questions> of_record;
  Questions all;
  for (std::size_t i = 0; i < records.size(); ++i) {
    WRACKLINE_TRY_VALUE(questions, asker.about_new(i));
    all.insert(all.end(), questions.begin(), questions.end());
    of_record.push_back(std::move(questions));
  }
  if (all.empty()) return {};
  WRACKLINE_TRY(demand(all, "logging", asking));
  for (std::size_t i = 0; i < records.size(); ++i)
    append_confirmation(of_record[i], asking, records[i].fields);
  return {};
}

Status ask_about_edit(Replica& replica, Edit& edit, const Asking& asking) {
  Asker asker(replica, nullptr);
  WRACKLINE_TRY_VALUE(questions, asker.about_edit(edit));
  WRACKLINE_TRY(demand(questions, "changing a record", asking));
  append_confirmation(questions, asking, edit.fields);
  return {};
}

}  // namespace wrackline
