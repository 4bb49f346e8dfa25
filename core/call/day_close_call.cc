// Closing the day of an area: what is open of it, what is closed, and the seal on it.
#include <records.pb.h>

#include <algorithm>
#include <map>
#include <set>

#include "base/wire.h"
#include "call/handlers.h"
#include "husbandry/husbandry_calls.h"
#include "provenance/provenance_calls.h"
#include "reading/closing.h"
#include "reading/record_view.h"
#include "reading/zone.h"
#include "replica/author.h"
#include "sync/device_registry.h"

namespace wrackline {
namespace {

constexpr const char* kClosing = "closing a day";
// A device that wrote nothing for so long is taken to be out of use.
constexpr WallMs kInUseMs = 7 * kDayMs;

class OpenPoints {
 public:
  OpenPoints(Replica& replica, Belonging& belonging, const proto::DayCloseCall& call, proto::DayCloseReply& out)
      : replica_(replica), belonging_(belonging), call_(call), out_(out) {}

  Status find(const std::vector<RecordId>& records) {
    for (const RecordId id : records) WRACKLINE_TRY(look_for_leftover(id));
    WRACKLINE_TRY(look_for_due());
    WRACKLINE_TRY(look_for_review({records.begin(), records.end()}));
    return look_for_silent_devices();
  }

 private:
  proto::OpenPoint& add(proto::OpenRule rule, RecordId record) {
    proto::OpenPoint& point = *out_.add_open();
    point.set_rule(rule);
    if (record) put_id(record, *point.mutable_record());
    return point;
  }

  // The name of what the record belongs to at last.
  Result<std::string> name_of_owner(RecordId record) {
    WRACKLINE_TRY_VALUE(chain, belonging_.chain_of(record));
    if (chain.empty()) return std::string();
    return belonging_.roster().name_of(chain.back().id);
  }

  Status look_for_leftover(RecordId id) {
    WRACKLINE_TRY_VALUE(state, belonging_.load(id));
    if (state == nullptr || state->kind != static_cast<std::uint32_t>(Kind::kPortion)) return {};
    proto::Portion portion;
    if (!built_in_of(state->fields).in_account() || !portion.ParseFromString(state->fields) || portion.has_left_mg()) return {};
    WRACKLINE_TRY_VALUE(meal, belonging_.load(id_of(portion.meal())));
    if (meal == nullptr || !built_in_of(meal->fields).in_account()) return {};
    proto::OpenPoint& point = add(proto::OPEN_RULE_UNWEIGHED, id);
    WRACKLINE_TRY_VALUE(name, name_of_owner(id));
    point.set_subject_name(name);
    WRACKLINE_TRY_VALUE(food, belonging_.roster().name_of(id_of(portion.food())));
    point.set_what(food);
    return {};
  }

  Status look_for_due() {
    proto::RoundCall round;
    round.set_day(call_.day());
    round.set_area(call_.area());
    *round.mutable_zone() = call_.zone();
    proto::RoundReply reply;
    WRACKLINE_TRY(handle_round(replica_, round, reply));
    for (const proto::DueItem& item : reply.items()) {
      if (item.state() == proto::DUE_STATE_DONE) continue;
      proto::OpenPoint& point = add(proto::OPEN_RULE_NOT_DONE, id_of(item.plan()));
      point.set_subject_name(item.subject_name());
      point.set_what(item.what());
      if (item.has_due_ms()) point.set_at_ms(item.due_ms());
    }
    return {};
  }

  Status look_for_review(const std::set<RecordId>& of_day) {
    proto::ReviewReply queue;
    WRACKLINE_TRY(handle_review(replica_, queue));
    for (const proto::ReviewItem& item : queue.items()) {
      const bool is_hold = item.rule() == static_cast<std::uint32_t>(ReviewRule::kHeld);
      const bool is_of_day = std::any_of(item.records().begin(), item.records().end(),
                                         [&](const proto::RecordRef& ref) { return of_day.count(id_of(ref)) != 0; });
      // A held record belongs to no day before an officer takes it in, so every hold is named.
      if (!is_hold && !is_of_day) continue;
      const RecordId first = id_of(item.records(0));
      proto::OpenPoint& point = add(is_hold ? proto::OPEN_RULE_HELD : proto::OPEN_RULE_REVIEW, first);
      point.set_what(item.rule_name());
      if (is_hold) continue;
      WRACKLINE_TRY_VALUE(name, name_of_owner(first));
      point.set_subject_name(name);
    }
    return {};
  }

  Status look_for_silent_devices() {
    WRACKLINE_TRY_VALUE(zone, zone_of(call_.zone(), call_.day(), kClosing));
    WRACKLINE_TRY_VALUE(span, day_span(zone, call_.day()));
    WRACKLINE_TRY_VALUE(known, known_as_of(replica_));
    if (known < span.begin_ms) add(proto::OPEN_RULE_NOT_HEARD, {}).set_at_ms(known);
    // The key is the device, since one may write several logs.
    std::map<RecordId, WallMs> last_of;
    std::map<RecordId, std::string> names;
    LogTable& logs = replica_.store().logs();
    for (const auto& [id, log] : logs.all()) {
      if (!log.opening || log.head.seq == log.base() || log.opening->device == replica_.author().key()) continue;
      WRACKLINE_TRY_VALUE(device, replica_.devices().find(log.opening->device));
      const bool is_hub = log.opening->device == replica_.membership().hub_key;
      if (device.standing != DeviceStanding::kEnrolled || is_hub) continue;
      WRACKLINE_TRY_VALUE(bytes, logs.bytes_of(place_of(log.no, log.head.seq)));
      WRACKLINE_TRY_VALUE(last, read_change(bytes));
      last_of[device.record] = std::max(last_of[device.record], last.entered_ms());
      names[device.record] = device.name;
    }
    for (const auto& [device, last] : last_of) {
      if (last >= span.begin_ms || last + kInUseMs < span.begin_ms) continue;
      proto::OpenPoint& point = add(proto::OPEN_RULE_NOT_HEARD, device);
      point.set_subject_name(names[device]);
      point.set_at_ms(last);
    }
    return {};
  }

  Replica& replica_;
  Belonging& belonging_;
  const proto::DayCloseCall& call_;
  proto::DayCloseReply& out_;
};

// One question for each kind of thing that is open. Asks nothing that the call's confirmation holds already.
Status ask_about_open(const proto::DayCloseCall& call, const proto::DayCloseReply& found, const Asking& asking,
                      proto::DayClose& close) {
  std::map<proto::OpenRule, std::int64_t> counts;
  for (const proto::OpenPoint& point : found.open()) ++counts[point.rule()];
  if (counts.empty()) return {};
  proto::Confirmation confirmation;
  confirmation.set_because(asking.confirmed.because());
  for (const auto& [rule, count] : counts) {
    proto::Question& question = *confirmation.add_questions();
    question.set_rule(proto::QUESTION_RULE_DAY_OPEN);
    question.set_kind(static_cast<std::uint32_t>(Kind::kDayClose));
    question.set_detail(static_cast<std::uint64_t>(rule));
    question.set_value(count);
    question.set_source_name(call.area());
    question.set_day(call.day());
  }
  std::set<std::string> confirmed;
  for (const proto::Question& question : asking.confirmed.questions()) confirmed.insert(question.SerializeAsString());
  const bool all = std::all_of(confirmation.questions().begin(), confirmation.questions().end(),
                               [&](const proto::Question& q) { return confirmed.count(q.SerializeAsString()) != 0; });
  if (!all) {
    *asking.refusal.mutable_questions() = confirmation.questions();
    return fail(ErrorCode::kUnconfirmed, std::string(kClosing) +
                                             ": something of it is still open; nothing was written; finish it, or close the "
                                             "day with the questions confirmed, which then stand in the close");
  }
  *close.mutable_confirmation() = std::move(confirmation);
  return {};
}

}  // namespace

Status handle_day_close(Replica& replica, RecordId by, const proto::DayCloseCall& call, const Asking& asking,
                        proto::DayCloseReply& out) {
  if (call.area().empty()) {
    return fail(ErrorCode::kInvalid, std::string(kClosing) + ": no area is named; nothing was written; say whose day is complete");
  }
  proto::DayClose close;
  Belonging belonging(replica);
  WRACKLINE_TRY(belonging.roster().areas().put_in(close, call.area(), kClosing));
  WRACKLINE_TRY_VALUE(records, records_of_area(replica, belonging, call.area(), call.day()));
  WRACKLINE_TRY_VALUE(sum, sum_of(replica, records, nullptr));
  WRACKLINE_TRY(OpenPoints(replica, belonging, call, out).find(records));
  Closes closes(replica);
  WRACKLINE_TRY_VALUE(before, closes.of_days(call.day(), call.day(), call.area()));
  out.set_closed_before(static_cast<std::uint32_t>(before.size()));
  out.set_records(sum.records);
  out.set_changes(sum.changes);
  out.set_sha256(Bytes(view(sum.sha256)));
  if (call.look_only()) return {};
  WRACKLINE_TRY(ask_about_open(call, out, asking, close));
  close.set_day(call.day());
  close.set_happened_ms(replica.now());
  close.set_utc_offset_min(call.utc_offset_min());
  close.set_note(call.note());
  WRACKLINE_TRY(put_closed_records(replica, records, sum, close));
  NewRecord record;
  record.kind = static_cast<std::uint32_t>(Kind::kDayClose);
  record.fields = close.SerializeAsString();
  WRACKLINE_TRY_VALUE(ids, replica.author().log_records_in(by, {record}));
  put_id(ids.front(), *out.mutable_record());
  // At once, so that the close and all it names can leave this device no other way than as they are now.
  const Status sealed = replica.author().seal_in();
  // A key that cannot sign now has changed nothing: the close is kept, and sealed with the next exchange.
  if (!sealed && sealed.error().code != ErrorCode::kKeystore) return fail(sealed.error());
  out.set_sealed(static_cast<bool>(sealed));
  return {};
}

}  // namespace wrackline
