// An animal's history over some days: intake against plan, its control chart, measures, doses, what was seen, moves, tags.
#include <records.pb.h>

#include <algorithm>
#include <map>
#include <optional>

#include "husbandry/husbandry_calls.h"
#include "provenance/provenance_calls.h"
#include "reading/belonging.h"
#include "report/dose_rows.h"
#include "report/intake_rows.h"
#include "report/reports.h"
#include "report/seen_rows.h"

namespace wrackline {
namespace {

template <typename Message>
std::string note_of(const Message& message) {
  return message.note() + (message.note().empty() || message.confirmed().empty() ? "" : "; ") + message.confirmed();
}

class AnimalReport {
 public:
  AnimalReport(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out)
      : replica_(replica), call_(call), out_(out), animal_(replica.store().logs().find_place(id_of(call.subject()))), roster_(replica), origins_(replica, roster_) {}

  Status fill() {
    WRACKLINE_TRY(origins_.start());
    WRACKLINE_TRY(put_intake());
    WRACKLINE_TRY(put_control());
    WRACKLINE_TRY(put_measures());
    WRACKLINE_TRY(put_doses());
    WRACKLINE_TRY(put_seen());
    WRACKLINE_TRY(put_moves());
    WRACKLINE_TRY(put_tags());
    out_.set_main_table("days");
    *out_.add_notes() = code_of("caution_intake");
    if (has_doses_) *out_.add_notes() = code_of("caution_dose");
    return {};
  }

 private:
  template <typename Ask>
  Ask asked() const {
    Ask out;
    *out.mutable_animal() = call_.subject();
    out.set_first_day(call_.first_day());
    out.set_last_day(call_.last_day());
    return out;
  }
  template <typename Message>
  Result<std::vector<Gathered<Message>>> of_these_days(Kind kind) {
    return gather<Message>(replica_, animal_, kind, call_.first_day(), call_.last_day());
  }

  Status put_intake() {
    proto::IntakeReply intake;
    WRACKLINE_TRY(handle_intake(replica_, asked<proto::IntakeCall>(), intake));
    TableWriter table = intake_days(intake);
    WRACKLINE_TRY(note_doubts(table));
    table.put_into(out_);
    return {};
  }

  // A meal that was told twice counts twice until somebody folds it, and a value in disagreement is one of several: said beside the
  // figures, since they cannot show it.
  Status note_doubts(TableWriter& table) {
    proto::ReviewReply queue;
    WRACKLINE_TRY(handle_review(replica_, queue));
    Belonging belonging(replica_);
    for (const proto::ReviewItem& item : queue.items()) {
      const KindRow* kind = find_kind(item.kind());
      const bool is_mass = kind != nullptr && kind->kind == Kind::kMeasure;
      if (kind == nullptr || (!is_mass && kind->kind != Kind::kMeal && kind->kind != Kind::kPortion) || item.records().empty()) continue;
      WRACKLINE_TRY_VALUE(chain, belonging.chain_of(id_of(item.records(0))));
      const std::optional<Day> day = Belonging::day_of(chain);
      const bool is_of_animal = !chain.empty() && chain.back().id == id_of(call_.subject());
      // A body mass counts until the next one, so an earlier one in doubt matters too.
      if (!is_of_animal || !day || *day > call_.last_day() || (*day < call_.first_day() && !is_mass)) continue;
      table.note(item.field() != 0 ? "in_disagreement_until_settled" : "perhaps_twice_until_settled",
                 {day_cell(*day), code_cell(std::string(kind->name).c_str())});
    }
    return {};
  }

  Status put_control() {
    proto::IntakeTrendReply trend;
    WRACKLINE_TRY(handle_intake_trend(replica_, asked<proto::IntakeTrendCall>(), trend));
    TableWriter table("control", {day_column("day"), figure_column("eaten_mg", Unit::kMassMg), only_data(figure_column("judged_mg", Unit::kMassMg)),
                                  figure_column("ewma_mg", Unit::kMassMg), figure_column("low_mg", Unit::kMassMg),
                                  figure_column("high_mg", Unit::kMassMg), only_data(figure_column("baseline_mg", Unit::kMassMg)),
                                  code_column("signs")});
    if (!trend.has_baseline_mg()) {
      table.note("no_control_chart");
      table.put_into(out_);
      return {};
    }
    int alarms = 0;
    for (const proto::ChartPoint& point : trend.points()) {
      ReportCells signs;
      if (point.alarm()) signs.push_back(code_cell("alarm"));
      if (point.outlier()) signs.push_back(code_cell("outlier"));
      alarms += point.alarm() ? 1 : 0;
      table.row({day_cell(point.day()), point.has_eaten_mg() ? number_cell(point.eaten_mg()) : code_cell("not_known"),
                 figure_cell(point.has_judged_mg(), point.judged_mg()), figure_cell(point.has_ewma_mg(), point.ewma_mg()),
                 figure_cell(point.has_low_mg(), point.low_mg()), figure_cell(point.has_high_mg(), point.high_mg()),
                 number_cell(trend.baseline_mg()), list_cell(std::move(signs))});
    }
    table.note("control_baseline", {number_cell(trend.baseline_mg(), Unit::kMassMg), number_cell(static_cast<std::int64_t>(trend.baseline_sd_mg()), Unit::kMassMg),
                                    number_cell(alarms)});
    if (trend.has_usual_plan_mg()) table.note("judged_by_plan", {number_cell(trend.usual_plan_mg(), Unit::kMassMg)});
    table.put_into(out_);
    return {};
  }

  Status put_measures() {
    WRACKLINE_TRY_VALUE(measures, of_these_days<proto::Measure>(Kind::kMeasure));
    TableWriter table("measures", {only_data(day_column("day")), time_column("happened_ms"), code_column("quantity"), number_column_of_own_units("value"),
                                   text_column("method"), text_column("instrument"), text_column("note"), record_column("by"),
                                   code_column("standing"), id_column("record")});
    for (const Gathered<proto::Measure>& measure : measures) {
      const proto::Measure& m = measure.message;
      WRACKLINE_TRY_VALUE(origin, origins_.of(measure.place));
      table.row({day_cell(m.day()), m.has_happened_ms() ? time_cell(m.happened_ms()) : day_cell(m.day()),
                 choice_cell("Quantity", proto::Quantity_Name(m.quantity()), m.quantity()),
                 m.has_value() ? number_cell(static_cast<std::int64_t>(m.value()), unit_of_choice("Quantity", m.quantity())) : no_cell(),
                 text_cell(m.method()), text_cell(m.instrument()), text_cell(note_of(m)), std::move(origin.by), std::move(origin.standing),
                 record_cell(measure.id)});
    }
    note_unproven(table);
    table.put_into(out_);
    return {};
  }

  // Through all orders of the animal, by when they happened.
  Status put_doses() {
    WRACKLINE_TRY_VALUE(orders, replica_.store().records().find(animal_, Kind::kTreatmentOrder, kFirstDayOfAll, kLastDayOfAll));
    std::vector<Gathered<proto::Administration>> doses;
    std::map<ChangeId, std::string> preparations;
    for (const Place place : orders) {
      WRACKLINE_TRY_VALUE(order, read_record<proto::TreatmentOrder>(replica_, place, true));
      if (!order) continue;
      preparations.emplace(order->id, order->message.preparation());
      WRACKLINE_TRY_VALUE(of_order, of_order_in_these_days(place));
      doses = joined(std::move(doses), std::move(of_order));
    }
    std::sort(doses.begin(), doses.end());
    TableWriter table("doses_recorded", joined({day_column("day"), text_column("preparation")}, dose_columns()));
    DoseRows rows(origins_);
    for (const Gathered<proto::Administration>& dose : doses) {
      WRACKLINE_TRY_VALUE(cells, rows.cells(nullptr, &dose));
      const proto::Administration& m = dose.message;
      cells.front() = m.has_due_slot_min() ? number_cell(m.due_slot_min(), Unit::kClockMin) : no_cell();
      table.row(joined({m.has_due_day() ? day_cell(m.due_day()) : no_cell(), text_cell(preparations[id_of(m.order())])}, std::move(cells)));
    }
    has_doses_ = !table.is_empty();
    if (has_doses_) table.note("see_treatments");
    note_unproven(table);
    table.put_into(out_);
    return {};
  }

  Result<std::vector<Gathered<proto::Administration>>> of_order_in_these_days(Place order) {
    return gather<proto::Administration>(replica_, order, Kind::kAdministration, call_.first_day(), call_.last_day());
  }

  Status put_seen() {
    WRACKLINE_TRY_VALUE(seen, of_these_days<proto::Observation>(Kind::kObservation));
    TableWriter table("seen", joined({time_column("happened_ms")}, seen_columns()));
    for (const Gathered<proto::Observation>& one : seen) {
      WRACKLINE_TRY_VALUE(cells, seen_cells(one, origins_));
      table.row(joined({time_cell(one.happened_ms)}, std::move(cells)));
    }
    note_unproven(table);
    table.put_into(out_);
    return {};
  }

  Status put_moves() {
    WRACKLINE_TRY_VALUE(moves, of_these_days<proto::Move>(Kind::kMove));
    TableWriter table("moves", {time_column("happened_ms"), record_column("from_pool"), record_column("to_pool"), count_column("heads"),
                                text_column("reason"), record_column("by"), code_column("standing"), id_column("record")});
    for (const Gathered<proto::Move>& move : moves) {
      WRACKLINE_TRY_VALUE(origin, origins_.of(move.place));
      WRACKLINE_TRY_VALUE(from, origins_.named(move.message.from_pool()));
      WRACKLINE_TRY_VALUE(to, origins_.named(move.message.to_pool()));
      table.row({time_cell(move.happened_ms), std::move(from), std::move(to), figure_cell(move.message.has_heads(), move.message.heads()),
                 text_cell(move.message.reason()), std::move(origin.by), std::move(origin.standing), record_cell(move.id)});
    }
    note_unproven(table);
    table.put_into(out_);
    return {};
  }

  Status put_tags() {
    WRACKLINE_TRY_VALUE(tags, gather<proto::Tag>(replica_, animal_, Kind::kTag));
    TableWriter table("tags", {code_column("tag_kind"), text_column("code"), text_column("place"), day_column("applied_day"), day_column("gone_day"),
                               code_column("fate"), text_column("note"), code_column("standing"), id_column("record")});
    for (const Gathered<proto::Tag>& tag : tags) {
      const proto::Tag& m = tag.message;
      WRACKLINE_TRY_VALUE(origin, origins_.of(tag.place));
      table.row({choice_cell("TagKind", proto::TagKind_Name(m.tag_kind()), m.tag_kind()), text_cell(m.code()), text_cell(m.place()),
                 m.has_applied_day() ? day_cell(m.applied_day()) : no_cell(), m.has_gone_day() ? day_cell(m.gone_day()) : no_cell(),
                 choice_cell("TagFate", proto::TagFate_Name(m.fate()), m.fate()), text_cell(m.note()), std::move(origin.standing),
                 record_cell(tag.id)});
    }
    table.put_into(out_);
    return {};
  }

  Replica& replica_;
  const proto::ReportCall& call_;
  proto::ReportReply& out_;
  const Place animal_;
  Roster roster_;
  Origins origins_;
  bool has_doses_ = false;
};

}  // namespace

Status report_animal(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out) { return AnimalReport(replica, call, out).fill(); }

}  // namespace wrackline
