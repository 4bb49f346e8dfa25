// Counts the records that must still be kept, and those past the minimum that a text names for their kind. It removes nothing.
#include <records.pb.h>

#include <algorithm>
#include <map>
#include <optional>

#include "model/retention.h"
#include "report/reports.h"

namespace wrackline {
namespace {

struct Count {
  int records = 0, out_of_account = 0, to_be_kept = 0, past = 0, none_named = 0;
  Day oldest = 0;

  void add(const Count& other) {
    oldest = records == 0 ? other.oldest : std::min(oldest, other.oldest);
    records += other.records;
    out_of_account += other.out_of_account;
    to_be_kept += other.to_be_kept;
    past += other.past;
    none_named += other.none_named;
  }
};

// Counts for each kind and animal; records that belong to no animal stand under none.
using Counts = std::map<std::pair<std::uint32_t, ChangeId>, Count>;

// Where a record stands: whose it is, its day, and the day its period counts from where that has begun.
struct Standing {
  ChangeId animal;
  Day day = 0;
  std::optional<Day> last_day;
};

std::optional<Day> start_of(const RetentionFloor& floor, const Standing& standing) {
  switch (floor.start) {
    case RetentionStart::kDay: return standing.day;
    case RetentionStart::kLastDay: return standing.last_day;
    case RetentionStart::kAnimalLeft: break;  // That an animal left is not a field of any record yet: it counts as here.
  }
  return {};
}

class RetentionReport {
 public:
  RetentionReport(Replica& replica, ZoneOffsets zone, const proto::ReportCall& call, proto::ReportReply& out)
      : replica_(replica), zone_(std::move(zone)), call_(call), out_(out), roster_(replica) {}

  Status fill() {
    for (const KindRow& kind : all_kinds()) WRACKLINE_TRY(count_kind(kind));
    WRACKLINE_TRY(put_counts());
    put_kinds();
    WRACKLINE_TRY(put_animals());
    out_.set_main_table("counts");
    *out_.add_notes() = code_of("caution_retention");
    return {};
  }

 private:
  // Struck and folded records are counted with the others: they are part of the trail and kept as long. Kinds come after those they
  // belong to.
  Status count_kind(const KindRow& kind) {
    const RetentionFloor* floor = retention_floor(static_cast<std::uint32_t>(kind.kind));
    WRACKLINE_TRY_VALUE(places, replica_.store().records().find_all_subjects(kind.kind, kFirstDayOfAll, kLastDayOfAll));
    for (const Place place : places) {
      WRACKLINE_TRY_VALUE(state, replica_.store().records().load(place));
      if (!state || state->kind == 0) continue;
      WRACKLINE_TRY_VALUE(standing, standing_of(kind, place, *state));
      Count one;
      one.records = 1;
      one.oldest = standing.day;
      one.out_of_account = built_in_of(state->fields).in_account() ? 0 : 1;
      if (floor == nullptr) {
        one.none_named = 1;
      } else {
        ++(must_be_kept(*floor, start_of(*floor, standing), call_.last_day()) ? one.to_be_kept : one.past);
      }
      counts_[{static_cast<std::uint32_t>(kind.kind), standing.animal}].add(one);
      standings_.emplace(replica_.store().logs().id_of(place), standing);
    }
    return {};
  }

  Result<Standing> standing_of(const KindRow& kind, Place place, const RecordState& state) {
    const RecordKey key = record_key(kind, state.fields);
    const auto owner = standings_.find(key.subject);
    Standing out;
    if (owner != standings_.end()) out.animal = owner->second.animal;
    if (kind.kind == Kind::kAnimal) out.animal = replica_.store().logs().id_of(place);
    if (kind.key.day != 0) {
      out.day = key.day;
    } else if (kind.kind == Kind::kPortion && owner != standings_.end()) {
      out.day = owner->second.day;
    } else {
      WRACKLINE_TRY_VALUE(day, day_entered(place));
      out.day = day;
    }
    proto::TreatmentOrder order;
    if (kind.kind == Kind::kTreatmentOrder && order.ParseFromString(state.fields) && order.has_last_day()) out.last_day = order.last_day();
    return out;
  }

  // Before the offsets that the call hands in the first of them is taken: a day off at the most, and towards keeping.
  Result<Day> day_entered(Place place) {
    WRACKLINE_TRY_VALUE(bytes, replica_.store().logs().bytes_of(place));
    WRACKLINE_TRY_VALUE(change, read_change(bytes));
    const Result<LocalTime> local = zone_.local(change.entered_ms());
    if (local) return local->day;
    return static_cast<Day>(change.entered_ms() / kDayMs) + 1;
  }

  Status put_counts() {
    TableWriter table("counts", {code_column("kind"), record_column("animal"), count_column("records"), count_column("out_of_account"),
                                 day_column("oldest_day"), count_column("minimum_years"), text_column("source"), count_column("to_be_kept"),
                                 count_column("past_minimum")});
    table.table().set_only_data(true);
    for (const auto& [key, count] : counts_) {
      const RetentionFloor* floor = retention_floor(key.first);
      WRACKLINE_TRY_VALUE(name, roster_.name_of(key.second));
      table.row({code_cell(std::string(find_kind(key.first)->name).c_str()), record_cell(key.second, name), number_cell(count.records),
                 number_cell(count.out_of_account), day_cell(count.oldest), figure_cell(floor != nullptr, floor != nullptr ? floor->years : 0),
                 text_cell(floor != nullptr ? floor->source : std::string_view()), figure_cell(floor != nullptr, count.to_be_kept),
                 figure_cell(floor != nullptr, count.past)});
    }
    table.put_into(out_);
    return {};
  }

  static proto::ReportCell minimum_cell(const RetentionFloor* floor) {
    if (floor == nullptr) return code_cell("none_named");
    switch (floor->start) {
      case RetentionStart::kDay: return code_cell("years", {number_cell(floor->years)});
      case RetentionStart::kLastDay: return code_cell("years_from_end", {number_cell(floor->years)});
      case RetentionStart::kAnimalLeft: return code_cell("years_after_leaving", {number_cell(floor->years)});
    }
    return no_cell();
  }

  void put_kinds() {
    TableWriter table("kinds", {code_column("kind"), count_column("records"), count_column("out_of_account"), day_column("oldest_day"),
                                code_column("minimum"), count_column("to_be_kept"), count_column("past_minimum"), text_column("source")});
    std::map<std::uint32_t, Count> kinds;
    for (const auto& [key, count] : counts_) kinds[key.first].add(count);
    for (const auto& [kind, count] : kinds) {
      const RetentionFloor* floor = retention_floor(kind);
      table.row({code_cell(std::string(find_kind(kind)->name).c_str()), number_cell(count.records),
                 figure_cell(count.out_of_account > 0, count.out_of_account), day_cell(count.oldest), minimum_cell(floor),
                 figure_cell(floor != nullptr, count.to_be_kept), figure_cell(floor != nullptr, count.past),
                 text_cell(floor != nullptr ? floor->source : std::string_view())});
    }
    for (const char* note : {"retention_kept", "retention_out", "retention_leaving", "retention_other_texts"}) table.note(note);
    table.put_into(out_);
  }

  Status put_animals() {
    TableWriter table("by_animal", {record_column("animal"), count_column("records"), count_column("out_of_account"), day_column("oldest_day"),
                                  count_column("to_be_kept"), count_column("past_minimum"), count_column("none_named")});
    std::map<ChangeId, Count> animals;
    for (const auto& [key, count] : counts_) animals[key.second].add(count);
    const auto above_none = [](int n) { return figure_cell(n > 0, n); };
    const auto put = [&](proto::ReportCell whose, const Count& count) {
      table.row({std::move(whose), number_cell(count.records), above_none(count.out_of_account), day_cell(count.oldest), above_none(count.to_be_kept),
                 above_none(count.past), above_none(count.none_named)});
    };
    for (const auto& [animal, count] : animals) {
      if (!animal) continue;
      WRACKLINE_TRY_VALUE(name, roster_.name_of(animal));
      put(record_cell(animal, name), count);
    }
    if (const auto none = animals.find(ChangeId()); none != animals.end()) put(code_cell("of_no_animal"), none->second);
    table.put_into(out_);
    return {};
  }

  Replica& replica_;
  const ZoneOffsets zone_;
  const proto::ReportCall& call_;
  proto::ReportReply& out_;
  Roster roster_;
  Counts counts_;
  std::map<ChangeId, Standing> standings_;  // For the records that belong to these.
};

}  // namespace

Status report_retention(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out) {
  WRACKLINE_TRY_VALUE(zone, zone_of(call.zone(), call.last_day(), "listing how long records are kept"));
  return RetentionReport(replica, std::move(zone), call, out).fill();
}

}  // namespace wrackline
