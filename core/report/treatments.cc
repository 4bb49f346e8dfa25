// An animal's orders over some days, a table each: what was due, what came of it, and what was given beside the order's times.
#include <records.pb.h>

#include <algorithm>
#include <map>
#include <tuple>

#include "report/dose_rows.h"
#include "report/reports.h"

namespace wrackline {
namespace {

struct DoseRow {
  Day day = 0;
  WallMs at_ms = 0;  // When it was due, or when it was given beside the order's times.
  ReportCells cells;
};

class TreatmentsReport {
 public:
  TreatmentsReport(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out)
      : replica_(replica), call_(call), out_(out), roster_(replica), origins_(replica, roster_), rows_(origins_) {}

  Status fill() {
    WRACKLINE_TRY(origins_.start());
    for (Day day = call_.first_day(); day <= call_.last_day(); ++day) {
      WRACKLINE_TRY_VALUE(due, doses_due(replica_, call_, day, &call_.subject()));
      for (proto::DueItem& item : due) due_[id_of(item.plan())].emplace_back(day, std::move(item));
    }
    const Place animal = replica_.store().logs().find_place(id_of(call_.subject()));
    WRACKLINE_TRY_VALUE(places, replica_.store().records().find(animal, Kind::kTreatmentOrder, kFirstDayOfAll, kLastDayOfAll));
    std::vector<Gathered<proto::TreatmentOrder>> orders;
    for (const Place place : places) {
      // One that is struck has its doses all the same: what went in stays in sight.
      WRACKLINE_TRY_VALUE(order, read_record<proto::TreatmentOrder>(replica_, place, true));
      if (order) orders.push_back(std::move(*order));
    }
    std::sort(orders.begin(), orders.end());
    for (const Gathered<proto::TreatmentOrder>& order : orders) WRACKLINE_TRY(put_order(order));
    if (out_.tables().empty()) *out_.add_notes() = code_of("no_orders");
    out_.set_main_table("doses");
    *out_.add_notes() = code_of("caution_dose");
    return {};
  }

 private:
  Status put_order(const Gathered<proto::TreatmentOrder>& order) {
    WRACKLINE_TRY_VALUE(doses, gather<proto::Administration>(replica_, order.place, Kind::kAdministration, call_.first_day(), call_.last_day()));
    std::map<ChangeId, const Gathered<proto::Administration>*> left;
    for (const Gathered<proto::Administration>& dose : doses) left.emplace(dose.id, &dose);
    std::vector<DoseRow> rows;
    for (const auto& [day, item] : due_[order.id]) {
      const auto done = left.find(id_of(item.done_by()));
      const Gathered<proto::Administration>* dose = done == left.end() ? nullptr : done->second;
      if (done != left.end()) left.erase(done);
      WRACKLINE_TRY_VALUE(cells, rows_.cells(&item, dose));
      rows.push_back({day, item.has_due_ms() ? item.due_ms() : 0, std::move(cells)});
    }
    for (const auto& [id, dose] : left) {
      WRACKLINE_TRY_VALUE(cells, rows_.cells(nullptr, dose));
      rows.push_back({dose->message.due_day(), dose->happened_ms, std::move(cells)});
    }
    if (rows.empty()) return {};
    std::stable_sort(rows.begin(), rows.end(), [](const DoseRow& a, const DoseRow& b) { return std::tie(a.day, a.at_ms) < std::tie(b.day, b.at_ms); });

    TableWriter table("doses", joined({day_column("day"), only_data(text_column("preparation"))}, dose_columns()));
    *table.table().mutable_about() = record_cell(order.id, order.message.preparation());
    table.note("order", {record_cell(order.id, order.message.preparation())});
    WRACKLINE_TRY(note_standing(order, table));
    for (DoseRow& row : rows) table.row(joined({day_cell(row.day), text_cell(order.message.preparation())}, std::move(row.cells)));
    note_unproven(table);
    table.put_into(out_);
    return {};
  }

  Status note_standing(const Gathered<proto::TreatmentOrder>& order, TableWriter& table) {
    WRACKLINE_TRY_VALUE(state, replica_.store().records().load(order.place));
    if (!state) return {};
    proto::RecordView view;
    WRACKLINE_TRY(put_view(replica_, order.place, *state, view));
    if (view.struck()) table.note("order_struck");
    if (view.has_folded_into()) table.note("order_folded", {record_cell(view.folded_into())});
    if (!view.unconfirmed().empty()) table.note("order_unconfirmed");
    ReportCells fields;
    for (const std::uint32_t field : view.disagreements()) fields.push_back(field_cell(view.kind(), field));
    if (!fields.empty()) table.note("order_in_disagreement", {list_cell(std::move(fields))});
    return {};
  }

  Replica& replica_;
  const proto::ReportCall& call_;
  proto::ReportReply& out_;
  Roster roster_;
  Origins origins_;
  DoseRows rows_;
  std::map<ChangeId, std::vector<std::pair<Day, proto::DueItem>>> due_;  // Doses that were due, for each order.
};

}  // namespace

Status report_treatments(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out) {
  return TreatmentsReport(replica, call, out).fill();
}

}  // namespace wrackline
