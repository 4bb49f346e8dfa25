// This file says what a vet or curator should know of today, computed anew from the records.
#include <tuple>

#include "husbandry/attention_list.h"
#include "husbandry/husbandry_calls.h"
#include "log/change.h"
#include "reading/record_view.h"

namespace wrackline {
namespace {


// A thing is urgent when it can harm an animal while nobody looks.
bool is_urgent(proto::AttentionRule rule) {
  switch (rule) {
    case proto::ATTENTION_RULE_NOT_EATING:
    case proto::ATTENTION_RULE_NOT_FED:
    case proto::ATTENTION_RULE_DOSE_OUTSIDE_ORDER:
    case proto::ATTENTION_RULE_DOSE_UNKNOWN:
    case proto::ATTENTION_RULE_WATER_OUTSIDE:
    case proto::ATTENTION_RULE_ORDER_NOT_CONFIRMED:
      return true;
    default:
      return false;
  }
}

Day days_before(Day day, Day days) { return day < kFirstDayOfAll + days ? kFirstDayOfAll : day - days; }

}  // namespace

AttentionList::AttentionList(Replica& replica_in, ZoneOffsets zone, DaySpan span, Day day_in,
                             proto::AttentionReply& out)
    : replica(replica_in),
      roster(replica_in),
      day(day_in),
      lasting_from(days_before(day_in, kLastingDays)),
      events_from(days_before(day_in, kEventDays - 1)),
      now_ms(std::min(replica_in.now(), span.end_ms)),
      zone_(std::move(zone)),
      out_(out) {}

proto::AttentionItem& AttentionList::add(proto::AttentionRule rule, ChangeId subject,
                                         const std::string& subject_name, ChangeId record, Day on) {
  proto::AttentionItem& item = *out_.add_items();
  item.set_rule(rule);
  item.set_urgent(is_urgent(rule));
  if (subject) put_id(subject, *item.mutable_subject());
  item.set_subject_name(subject_name);
  if (record) put_id(record, *item.mutable_record());
  item.set_day(on);
  return item;
}

void AttentionList::sort() {
  std::vector<proto::AttentionItem> items(out_.items().begin(), out_.items().end());
  const auto key = [](const proto::AttentionItem& item) {
    return std::make_tuple(!item.urgent(), item.rule(), item.subject_name(), id_of(item.subject()),
                           item.day(), id_of(item.record()), item.since_ms(), item.what());
  };
  std::sort(items.begin(), items.end(), [&](const auto& a, const auto& b) { return key(a) < key(b); });
  out_.clear_items();
  for (proto::AttentionItem& item : items) *out_.add_items() = std::move(item);
}

WallMs AttentionList::instant_of(Day on, std::uint32_t minute) const {
  const auto instant = zone_.instant(on, minute);
  if (instant) return instant->at_ms;
  const OffsetChange& end = on < day ? zone_.changes().front() : zone_.changes().back();
  const std::int64_t ms =
      on * static_cast<std::int64_t>(kDayMs) + (std::int64_t{minute} - end.utc_offset_min) * static_cast<std::int64_t>(kMinuteMs);
  return static_cast<WallMs>(std::max(ms, std::int64_t{0}));
}

Result<WallMs> entered_ms(Replica& replica, Place record) {
  WRACKLINE_TRY_VALUE(bytes, replica.store().logs().bytes_of(record));
  WRACKLINE_TRY_VALUE(change, read_change(bytes));
  return change.entered_ms();
}

Status handle_attention(Replica& replica, const proto::AttentionCall& call, proto::AttentionReply& out) {
  const char* doing = "listing what needs attention";
  WRACKLINE_TRY_VALUE(zone, zone_of(call.zone(), call.day(), doing));
  WRACKLINE_TRY_VALUE(span, day_span(zone, call.day()));
  WRACKLINE_TRY_VALUE(known, known_as_of(replica));
  out.set_known_as_of_ms(known);
  AttentionList list(replica, zone, span, call.day(), out);
  if (known != 0) list.known_ms = std::min(known, list.now_ms);
  WRACKLINE_TRY_VALUE(animals, list.roster.animals({}));
  for (const RosterAnimal& animal : animals) {
    WRACKLINE_TRY(attend_feeding(list, animal));
    WRACKLINE_TRY(attend_doses(list, animal));
    WRACKLINE_TRY(attend_plans(list, animal));
    WRACKLINE_TRY(attend_mass(list, animal));
  }
  WRACKLINE_TRY(attend_water(list));
  WRACKLINE_TRY(attend_stores(list));
  WRACKLINE_TRY(attend_hygiene(list));
  WRACKLINE_TRY(attend_enrichers(list));
  WRACKLINE_TRY(attend_privileges(list));
  WRACKLINE_TRY(attend_wrong_pins(list));
  WRACKLINE_TRY(attend_former_roles(list));
  WRACKLINE_TRY(attend_struck_animals(list));
  WRACKLINE_TRY(attend_amendments(list, animals));
  list.sort();
  return {};
}

}  // namespace wrackline
