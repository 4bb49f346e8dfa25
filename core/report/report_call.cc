// The call `report`: looks at what is asked, and has the report's own file fill in the tables.
#include "report/report_calls.h"
#include "report/reports.h"

namespace wrackline {
namespace {

constexpr const char* kMakingReport = "making a report";
constexpr std::int64_t kMostDays = 1000;

Status refuse(const char* why) { return fail(ErrorCode::kInvalid, std::string(kMakingReport) + ": " + why); }

Status check_days(const proto::ReportCall& call) {
  if (call.report() == proto::REPORT_KIND_RETENTION) return {};
  const std::int64_t days = std::int64_t{call.last_day()} - call.first_day();
  if (days < 0) return refuse("its last day is before its first; choose them the other way round");
  if (days >= kMostDays) return refuse("it is of at most 1000 days; choose a later first day");
  if (call.report() == proto::REPORT_KIND_DAY && days != 0) return refuse("this one is of a single day; ask for one day after the other");
  return {};
}

// Fills in whose report it is.
Status put_subject(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out) {
  const bool is_of_pool = call.report() == proto::REPORT_KIND_WATER;
  const bool is_of_animal = call.report() == proto::REPORT_KIND_TREATMENTS || call.report() == proto::REPORT_KIND_ANIMAL;
  if (!call.has_subject()) {
    if (is_of_pool) return refuse("it is of a pool; say which");
    return is_of_animal ? refuse("it is of an animal; say which") : Status();
  }
  const RecordId subject = id_of(call.subject());
  *out.mutable_subject() = call.subject();
  if (is_of_pool) {
    WRACKLINE_TRY_VALUE(pool, require_record(replica, subject, kMakingReport));
    if (pool.kind != static_cast<std::uint32_t>(Kind::kPool)) return refuse("that record is no pool");
    WRACKLINE_TRY_VALUE(name, Roster(replica).name_of(subject));
    out.set_subject_name(name);
    return {};
  }
  WRACKLINE_TRY_VALUE(animal, Roster(replica).animal(subject, kMakingReport));
  out.set_subject_name(animal.animal.name());
  out.set_head_count(animal.animal.has_head_count() ? animal.animal.head_count() : 1);
  return {};
}

}  // namespace

Status handle_report(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out) {
  WRACKLINE_TRY(check_days(call));
  WRACKLINE_TRY(put_subject(replica, call, out));
  out.set_report(call.report());
  out.set_area(call.area());
  out.set_first_day(call.first_day());
  out.set_last_day(call.last_day());
  WRACKLINE_TRY_VALUE(known, known_as_of(replica));
  out.set_known_as_of_ms(known);
  switch (call.report()) {
    case proto::REPORT_KIND_DAY: return report_day(replica, call, out);
    case proto::REPORT_KIND_MONTH: return report_month(replica, call, out);
    case proto::REPORT_KIND_TREATMENTS: return report_treatments(replica, call, out);
    case proto::REPORT_KIND_WATER: return report_water(replica, call, out);
    case proto::REPORT_KIND_ANIMAL: return report_animal(replica, call, out);
    case proto::REPORT_KIND_RETENTION: return report_retention(replica, call, out);
    case proto::REPORT_KIND_CLOSES: return report_closes(replica, call, out);
    default: return refuse("this release does not know it; update it");
  }
}

}  // namespace wrackline
