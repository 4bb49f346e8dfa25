#include <algorithm>
#include <limits>

#include "base/wire.h"
#include "call/handlers.h"
#include "model/kinds.h"
#include "model/sign_in_rules.h"
#include "provenance/provenance_calls.h"
#include "reading/record_view.h"
#include "replica/author.h"
#include "replica/sign_in.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kListDefault = 1000;
constexpr std::uint32_t kListMax = 100000;

// The text of field 1, the name, of the first record of a kind.
Result<Bytes> first_name(Replica& replica, Kind kind, std::uint32_t field_number) {
  WRACKLINE_TRY_VALUE(places, replica.store().records().find(0, kind, 0, 0));
  for (Place place : places) {
    WRACKLINE_TRY_VALUE(state, replica.store().records().load(place));
    if (!state) continue;
    WireReader reader(state->fields);
    WireField field;
    while (reader.next(field)) {
      if (field.number == field_number) return Bytes(field.bytes);
    }
  }
  return Bytes();
}

Status put_logs(Replica& replica, proto::StatusReply& out) {
  for (const auto& [id, log] : replica.store().logs().all()) {
    if (!log.opening || log.is_arrivals() || log.head.seq == 0) continue;
    proto::LogStatus& status = *out.add_logs();
    status.set_log(id.value);
    status.set_seq(log.head.seq);
    WRACKLINE_TRY_VALUE(arrived, replica.store().records().arrivals().told_of(log, replica.devices().hub()));
    status.set_arrived(arrived);
    WRACKLINE_TRY_VALUE(device, replica.devices().find(log.opening->device));
    status.set_device_name(device.name);
    status.set_own(replica.author().goes_on_in(id));
    status.set_log_class(static_cast<std::uint8_t>(log.opening->log_class));
    WRACKLINE_TRY_VALUE(bytes, replica.store().logs().bytes_of(place_of(log.no, log.head.seq)));
    WRACKLINE_TRY_VALUE(last, read_change(bytes));
    status.set_last_stamp_ms(last.stamp.ms());
    if (log.is_of(replica.author().key())) out.set_unsent(out.unsent() + log.head.seq - std::max(arrived, log.base()));
  }
  out.set_changes(replica.store().logs().count());
  return {};
}

}  // namespace

Status handle_status(Replica& replica, const Bytes& token, proto::StatusReply& out) {
  Store& store = replica.store();
  out.set_facility(Bytes(view(store.facility())));
  WRACKLINE_TRY_VALUE(name, first_name(replica, Kind::kFacility, 1));
  WRACKLINE_TRY_VALUE(zone, first_name(replica, Kind::kFacility, 2));
  out.set_facility_name(name);
  out.set_time_zone(zone);
  out.set_device_name(replica.membership().device_name);
  out.set_hub_key(Bytes(view(replica.devices().hub().in_use())));
  WRACKLINE_TRY(put_logs(replica, out));
  WRACKLINE_TRY_VALUE(last, store.meta("last_exchange"));
  if (last && last->size() == 16) {
    out.set_last_exchange_ms(load_le(ByteView(*last).substr(0, 8)));
    out.set_clock_offset_ms(static_cast<std::int64_t>(load_le(ByteView(*last).substr(8))));
  }
  WRACKLINE_TRY_VALUE(session, replica.sign_in().find(token));
  if (session) {
    WRACKLINE_TRY_VALUE(person, require_record(replica, session->person, "asking who is signed in"));
    put_id(session->person, *out.mutable_session()->mutable_person());
    out.mutable_session()->set_name(sign_in_person(person.fields).name);
    out.mutable_session()->set_ends_ms(session->ends_ms);
  }
  proto::ReviewReply review;
  WRACKLINE_TRY(handle_review(replica, review));
  for (const proto::ReviewItem& item : review.items()) {
    if (item.level() == proto::REVIEW_LEVEL_URGENT) {
      out.set_review_urgent(out.review_urgent() + 1);
    } else {
      out.set_review_other(out.review_other() + 1);
    }
  }
  return {};
}

Status handle_get(Replica& replica, const proto::GetCall& call, proto::GetReply& out) {
  const RecordId id = id_of(call.record());
  WRACKLINE_TRY_VALUE(state, require_record(replica, id, "getting a record"));
  return put_view(replica, replica.store().logs().find_place(id), state, *out.mutable_record());
}

Status handle_list(Replica& replica, const proto::ListCall& call, proto::ListReply& out) {
  const Kind kind = static_cast<Kind>(call.kind());
  const Day first = call.has_first_day() ? call.first_day() : std::numeric_limits<Day>::min();
  const Day last = call.has_last_day() ? call.last_day() : std::numeric_limits<Day>::max();
  Projection& records = replica.store().records();
  Place subject = 0;
  if (call.has_subject()) {
    subject = replica.store().logs().find_place(id_of(call.subject()));
    if (subject == 0) return {};  // Nothing here belongs to it.
  }
  auto places = call.all_subjects() ? records.find_all_subjects(kind, first, last) : records.find(subject, kind, first, last);
  if (!places) return fail(places.error());
  const std::uint32_t limit = std::min(call.limit() == 0 ? kListDefault : call.limit(), kListMax);
  auto from = places->begin();
  if (call.has_after()) {
    const Place after = replica.store().logs().find_place(id_of(call.after()));
    from = std::find(places->begin(), places->end(), after);
    if (from == places->end()) {
      return fail(ErrorCode::kInvalid, "listing records: record " + to_text(id_of(call.after())) +
                                           ", where the page before ended, is no longer in this list; begin anew without it");
    }
    ++from;
  }
  for (; from != places->end(); ++from) {
    const Place place = *from;
    WRACKLINE_TRY_VALUE(state, records.load(place));
    if (!state || (!call.with_struck() && !built_in_of(state->fields).in_account())) continue;
    if (static_cast<std::uint32_t>(out.records_size()) == limit) {
      out.set_more(true);
      break;
    }
    WRACKLINE_TRY(put_view(replica, place, *state, *out.add_records()));
  }
  return {};
}

}  // namespace wrackline
