// A pool's readings over some days, a table for each property, against the limits they were judged by; what is overdue now, and what the
// readings tell together.
#include <records.pb.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "husbandry/husbandry_calls.h"
#include "report/origin.h"
#include "report/reports.h"

namespace wrackline {
namespace {

bool is_outside(proto::Judgement judgement) { return judgement == proto::JUDGEMENT_ABOVE || judgement == proto::JUDGEMENT_BELOW; }

proto::ReportCell parameter_cell(proto::Parameter parameter) { return choice_cell("Parameter", proto::Parameter_Name(parameter), parameter); }

// Absent where there is no limit to judge by; said as the code "no_limit", since that is not the same as inside.
proto::ReportCell judgement_cell(proto::Judgement judgement) {
  return judgement == proto::JUDGEMENT_UNSPECIFIED ? code_cell("no_limit") : choice_cell("Judgement", proto::Judgement_Name(judgement), judgement);
}

proto::ReportCell at_cell(Day day, WallMs happened_ms) { return happened_ms == 0 ? day_cell(day) : time_cell(happened_ms); }

Unit unit_of_derived(proto::Derived derived) {
  switch (derived) {
    case proto::DERIVED_SALINITY: return Unit::kSalinity;
    case proto::DERIVED_DENSITY: return Unit::kDensity;
    case proto::DERIVED_OXYGEN_SATURATION: return Unit::kPpm;
    case proto::DERIVED_AMMONIA_UNIONISED: return Unit::kNitrogenNgPerL;
    case proto::DERIVED_CHLORINE_COMBINED: return Unit::kChlorinePerL;
    case proto::DERIVED_COLIFORM_MEAN: return Unit::kMeanProbableNumber;
    default: return Unit::kPlain;
  }
}

class WaterReport {
 public:
  WaterReport(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out)
      : replica_(replica), call_(call), out_(out), pool_(replica.store().logs().find_place(id_of(call.subject()))), roster_(replica), origins_(replica, roster_) {}

  Status fill() {
    WRACKLINE_TRY(origins_.start());
    proto::WaterCall ask;
    *ask.mutable_pool() = call_.subject();
    ask.set_first_day(call_.first_day());
    ask.set_last_day(call_.last_day());
    WRACKLINE_TRY(handle_water(replica_, ask, water_));
    WRACKLINE_TRY(read_limits());
    put_refused();
    put_overdue();
    WRACKLINE_TRY(put_readings());
    put_derived();
    WRACKLINE_TRY(put_limits());
    out_.set_main_table("readings");
    *out_.add_notes() = code_of("caution_water");
    return {};
  }

 private:
  // Limits that can hold for the pool: its own, and those of every pool.
  Status read_limits() {
    for (const Place subject : {pool_, Place{0}}) {
      WRACKLINE_TRY_VALUE(limits, gather<proto::WaterLimit>(replica_, subject, Kind::kWaterLimit));
      for (Gathered<proto::WaterLimit>& limit : limits) {
        const ChangeId id = limit.id;
        limits_.emplace(id, std::move(limit));
      }
    }
    return {};
  }

  void put_refused() {
    TableWriter table("refused", {time_column("at"), code_column("derived"), text_column("reason")});
    for (const proto::WaterRefused& figure : water_.refused()) {
      table.row({at_cell(figure.day(), figure.happened_ms()), choice_cell("Derived", proto::Derived_Name(figure.derived()), figure.derived()),
                 text_cell(figure.reason())});
    }
    table.put_into(out_);
  }

  void put_overdue() {
    TableWriter table("overdue", {code_column("parameter"), number_column("every_hours", Unit::kHours), time_column("last_ms"), only_data(id_column("limit"))});
    for (const proto::WaterOverdue& overdue : water_.overdue()) {
      table.row({parameter_cell(overdue.parameter()), number_cell(overdue.every_hours()),
                 overdue.last_ms() == 0 ? code_cell("never") : time_cell(overdue.last_ms()), record_cell(overdue.limit())});
    }
    table.put_into(out_);
  }

  Status put_readings() {
    std::map<proto::Parameter, std::vector<const proto::WaterPoint*>> points;
    for (const proto::WaterPoint& point : water_.points()) points[point.parameter()].push_back(&point);
    for (const auto& [parameter, of] : points) WRACKLINE_TRY(put_property(parameter, of));
    if (!points.empty()) return {};
    TableWriter none("readings", reading_columns());
    none.note("no_readings");
    none.put_into(out_);
    return {};
  }

  static ReportColumns reading_columns() {
    return {only_data(day_column("day")),
            time_column("at"),
            only_data(code_column("parameter")),
            number_column_of_own_units("value"),
            code_column("judgement"),
            only_data(number_column_of_own_units("low")),
            only_data(number_column_of_own_units("high")),
            code_column("limit"),
            text_column("instrument"),
            text_column("method"),
            text_column("note"),
            record_column("by"),
            code_column("standing"),
            id_column("record")};
  }

  Status put_property(proto::Parameter parameter, const std::vector<const proto::WaterPoint*>& points) {
    TableWriter table("readings", reading_columns());
    *table.table().mutable_about() = parameter_cell(parameter);
    const Unit unit = unit_of_choice("Parameter", parameter);
    const auto in_unit = [&](bool has, std::int64_t value) { return has ? number_cell(value, unit) : no_cell(); };
    std::set<Day> days;
    int outside = 0;
    bool is_judged = true, disagrees = false;
    for (const proto::WaterPoint* point : points) {
      days.insert(point->day());
      outside += is_outside(point->judgement()) ? 1 : 0;
      is_judged = is_judged && point->has_limit();
      disagrees = disagrees || point->disagrees();
      const auto limit = limits_.find(id_of(point->limit()));
      const proto::WaterLimit row = limit == limits_.end() ? proto::WaterLimit() : limit->second.message;
      const Place place = replica_.store().logs().find_place(id_of(point->record()));
      WRACKLINE_TRY_VALUE(reading, read_record<proto::WaterReading>(replica_, place));
      const proto::WaterReading said = reading ? reading->message : proto::WaterReading();
      WRACKLINE_TRY_VALUE(origin, origins_.of(place));
      proto::ReportCell value = number_cell(point->value(), unit);
      if (point->disagrees()) value = marked(std::move(value), proto::REPORT_MARK_DISAGREES);
      table.row({day_cell(point->day()), at_cell(point->day(), point->happened_ms()), parameter_cell(parameter), std::move(value),
                 judgement_cell(point->judgement()), in_unit(row.has_low(), row.low()), in_unit(row.has_high(), row.high()),
                 point->has_limit() && point->unverified_limit() ? code_cell("unverified") : no_cell(), text_cell(said.instrument()),
                 text_cell(said.method()), text_cell(said.note()), std::move(origin.by), std::move(origin.standing), record_cell(point->record())});
    }
    const auto count = [](std::size_t n) { return number_cell(static_cast<std::int64_t>(n)); };
    table.note("days_read", {count(days.size()), number_cell(std::int64_t{call_.last_day()} - call_.first_day() + 1), count(points.size())});
    if (outside > 0) {
      table.note("outside", {number_cell(outside)});
    } else {
      table.note(is_judged ? "none_outside" : "not_all_judged");
    }
    if (disagrees) table.note("readings_disagree");
    note_unproven(table);
    table.put_into(out_);
    return {};
  }

  void put_derived() {
    TableWriter table("derived", {only_data(day_column("day")), time_column("at"), code_column("derived"), figure_column_of_own_units("value"),
                                  code_column("judgement"), count_column("formula_number"), only_data(text_column("formula"))});
    std::vector<std::string> formulas;
    for (const proto::WaterDerived& figure : water_.derived()) {
      auto formula = std::find(formulas.begin(), formulas.end(), figure.formula());
      if (formula == formulas.end()) {
        formula = formulas.insert(formulas.end(), figure.formula());
        table.note("formula", {number_cell(static_cast<std::int64_t>(formulas.size())), text_cell(figure.formula())});
      }
      const bool is_judged = figure.judgement() != proto::JUDGEMENT_UNSPECIFIED;
      proto::ReportCell judged = is_judged ? judgement_cell(figure.judgement()) : no_cell();
      if (!is_outside(figure.judgement()) && figure.outside_range()) judged = code_cell("outside_formula_range");
      table.row({day_cell(figure.day()), at_cell(figure.day(), figure.happened_ms()),
                 choice_cell("Derived", proto::Derived_Name(figure.derived()), figure.derived()),
                 number_cell(figure.value(), unit_of_derived(figure.derived())), std::move(judged),
                 number_cell(formula - formulas.begin() + 1), text_cell(figure.formula())});
    }
    table.put_into(out_);
  }

  Status put_limits() {
    std::vector<const Gathered<proto::WaterLimit>*> rows;
    for (const auto& [id, limit] : limits_) rows.push_back(&limit);
    std::sort(rows.begin(), rows.end(), [](const auto* a, const auto* b) {
      const auto key = [](const auto* row) { return std::make_tuple(row->message.parameter(), !row->message.has_pool(), row->id); };
      return key(a) < key(b);
    });
    TableWriter table("limits", {code_column("parameter"), number_column_of_own_units("low"), number_column_of_own_units("high"),
                                 number_column("every_hours", Unit::kHours), record_column("pool"), text_column("source"), code_column("limit"),
                                 id_column("record")});
    for (const Gathered<proto::WaterLimit>* row : rows) {
      const proto::WaterLimit& limit = row->message;
      const Unit unit = unit_of_choice("Parameter", limit.parameter());
      WRACKLINE_TRY_VALUE(pool, origins_.named(limit.pool()));
      table.row({parameter_cell(limit.parameter()), limit.has_low() ? number_cell(limit.low(), unit) : no_cell(),
                 limit.has_high() ? number_cell(limit.high(), unit) : no_cell(), figure_cell(limit.has_every_hours(), limit.every_hours()),
                 limit.has_pool() ? std::move(pool) : code_cell("every_pool"), text_cell(limit.source()),
                 limit.unverified() ? code_cell("unverified") : no_cell(), record_cell(row->id)});
    }
    table.note(rows.empty() ? "no_limits" : "own_limit_first");
    table.put_into(out_);
    return {};
  }

  Replica& replica_;
  const proto::ReportCall& call_;
  proto::ReportReply& out_;
  const Place pool_;
  Roster roster_;
  Origins origins_;
  proto::WaterReply water_;
  std::map<ChangeId, Gathered<proto::WaterLimit>> limits_;
};

}  // namespace

Status report_water(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out) { return WaterReport(replica, call, out).fill(); }

}  // namespace wrackline
