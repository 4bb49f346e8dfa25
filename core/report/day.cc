// The day of an area or the facility.
#include <records.pb.h>

#include <optional>
#include <set>

#include "husbandry/husbandry_calls.h"
#include "provenance/provenance_calls.h"
#include "reading/belonging.h"
#include "report/dose_rows.h"
#include "report/intake_rows.h"
#include "report/reports.h"
#include "report/seen_rows.h"

namespace wrackline {
namespace {

// Items of one rule and subject that are not urgent are one row: twelve old lots of herring are one errand.
bool is_one_errand(const proto::AttentionItem& a, const proto::AttentionItem& b) {
  return !a.urgent() && !b.urgent() && a.rule() == b.rule() && id_of(a.subject()) == id_of(b.subject()) && a.subject_name() == b.subject_name();
}

class DayReport {
 public:
  DayReport(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out)
      : replica_(replica), call_(call), out_(out), day_(call.last_day()), roster_(replica), origins_(replica, roster_) {}

  Status fill() {
    WRACKLINE_TRY(origins_.start());
    WRACKLINE_TRY(put_attention());
    WRACKLINE_TRY(put_intake());
    WRACKLINE_TRY(put_doses());
    WRACKLINE_TRY(put_seen());
    WRACKLINE_TRY(put_to_settle());
    WRACKLINE_TRY(put_closes(replica_, call_, out_));
    out_.set_main_table("intake");
    for (const char* caution : {"caution_attention", "caution_intake"}) *out_.add_notes() = code_of(caution);
    if (has_doses_) *out_.add_notes() = code_of("caution_dose");
    return {};
  }

 private:
  // An event whose animal is not known here is shown rather than lost.
  bool is_here(ChangeId animal) const { return call_.area().empty() || !animal || animals_.count(animal) != 0; }

  Status put_attention() {
    proto::AttentionCall ask;
    ask.set_day(day_);
    *ask.mutable_zone() = call_.zone();
    proto::AttentionReply reply;
    WRACKLINE_TRY(handle_attention(replica_, ask, reply));
    TableWriter table("attention", {code_column("level"), record_column("subject"), text_column("what"), code_column("rule"), time_column("since"),
                                    count_column("times"), only_data(id_column("records"))});
    for (int i = 0; i < reply.items_size();) {
      const proto::AttentionItem& item = reply.items(i);
      ReportCells whats, records;
      std::set<std::string> said;
      const int first = i;
      for (; i < reply.items_size() && (i == first || is_one_errand(item, reply.items(i))); ++i) {
        if (!reply.items(i).what().empty() && said.insert(reply.items(i).what()).second) whats.push_back(text_cell(reply.items(i).what()));
        records.push_back(record_cell(reply.items(i).record()));
      }
      table.row({item.urgent() ? code_cell("urgent") : no_cell(), record_cell(item.subject(), item.subject_name()), list_cell(std::move(whats)),
                 choice_cell("AttentionRule", proto::AttentionRule_Name(item.rule()), item.rule()),
                 item.since_ms() == 0 ? day_cell(item.day()) : time_cell(item.since_ms()), figure_cell(i - first > 1, i - first),
                 list_cell(std::move(records))});
    }
    if (table.is_empty()) table.note("no_attention");
    if (!call_.area().empty()) table.note("attention_of_all_areas");
    table.put_into(out_);
    return {};
  }

  Status put_intake() {
    proto::CollectionDayCall ask;
    ask.set_day(day_);
    ask.set_area(call_.area());
    proto::CollectionDayReply reply;
    WRACKLINE_TRY(handle_collection_day(replica_, ask, reply));
    TableWriter table("intake", joined({only_data(day_column("day")), text_column("area"), text_column("pool"), record_column("animal"),
                                        count_column("head_count")},
                                       intake_columns(false)));
    int recorded = 0;
    for (const proto::AnimalDay& animal : reply.animals()) {
      animals_.insert(id_of(animal.animal()));
      recorded += animal.intake().recorded() ? 1 : 0;
      table.row(joined({day_cell(day_), text_cell(animal.area()), text_cell(animal.pool_name()), record_cell(animal.animal(), animal.animal_name()),
                        figure_cell(animal.head_count() > 1, animal.head_count())},
                       intake_cells(animal.intake())));
    }
    table.note("animals_recorded", {number_cell(recorded), number_cell(reply.animals_size())});
    note_part(table);
    table.put_into(out_);
    return {};
  }

  // The doses that were due come in the order of the round; doses beside any order's times come behind them.
  Status put_doses() {
    WRACKLINE_TRY_VALUE(due, doses_due(replica_, call_, day_, nullptr));
    WRACKLINE_TRY_VALUE(recorded, gather_all<proto::Administration>(replica_, Kind::kAdministration, day_, day_));
    TableWriter table("doses", joined({record_column("animal"), text_column("preparation")}, dose_columns()));
    DoseRows rows(origins_);
    std::set<ChangeId> shown;
    for (const proto::DueItem& item : due) {
      const ChangeId done = id_of(item.done_by());
      shown.insert(done);
      std::optional<Gathered<proto::Administration>> dose;
      if (done) {
        WRACKLINE_TRY_VALUE(found, read_record<proto::Administration>(replica_, replica_.store().logs().find_place(done)));
        dose = std::move(found);
      }
      WRACKLINE_TRY_VALUE(cells, rows.cells(&item, dose ? &*dose : nullptr));
      table.row(joined({record_cell(item.subject(), item.subject_name()), text_cell(item.what())}, std::move(cells)));
    }
    for (const Gathered<proto::Administration>& dose : recorded) {
      if (shown.count(dose.id) != 0) continue;
      const Place order_place = replica_.store().logs().find_place(id_of(dose.message.order()));
      WRACKLINE_TRY_VALUE(order, read_record<proto::TreatmentOrder>(replica_, order_place, true));
      const ChangeId animal = order ? id_of(order->message.animal()) : ChangeId();
      if (!is_here(animal)) continue;
      WRACKLINE_TRY_VALUE(name, roster_.name_of(animal));
      WRACKLINE_TRY_VALUE(cells, rows.cells(nullptr, &dose));
      table.row(joined({record_cell(animal, name), text_cell(order ? order->message.preparation() : std::string())}, std::move(cells)));
    }
    has_doses_ = !table.is_empty();
    if (!has_doses_) table.note("no_doses");
    note_unproven(table);
    table.put_into(out_);
    return {};
  }

  Status put_seen() {
    WRACKLINE_TRY_VALUE(seen, gather_all<proto::Observation>(replica_, Kind::kObservation, day_, day_));
    TableWriter table("seen", joined({clock_column("happened_ms"), record_column("animal")}, seen_columns()));
    for (const Gathered<proto::Observation>& one : seen) {
      const ChangeId animal = id_of(one.message.animal());
      if (!is_here(animal)) continue;
      WRACKLINE_TRY_VALUE(name, roster_.name_of(animal));
      WRACKLINE_TRY_VALUE(cells, seen_cells(one, origins_));
      table.row(joined({time_cell(one.happened_ms), record_cell(animal, name)}, std::move(cells)));
    }
    if (table.is_empty()) table.note("nothing_seen");
    note_unproven(table);
    table.put_into(out_);
    return {};
  }

  Status put_to_settle() {
    proto::ReviewReply queue;
    WRACKLINE_TRY(handle_review(replica_, queue));
    TableWriter table("to_settle", {code_column("level"), code_column("rule"), record_column("about"), id_column("records")});
    Belonging belonging(replica_);
    int elsewhere = 0;
    for (const proto::ReviewItem& item : queue.items()) {
      bool is_of_day = false;
      ReportCells records;
      for (const proto::RecordRef& record : item.records()) {
        WRACKLINE_TRY_VALUE(chain, belonging.chain_of(id_of(record)));
        is_of_day = is_of_day || Belonging::day_of(chain) == std::optional<Day>(day_);
        records.push_back(record_cell(record));
      }
      if (!is_of_day) {
        ++elsewhere;
        continue;
      }
      table.row({item.level() == proto::REVIEW_LEVEL_URGENT ? code_cell("urgent") : no_cell(), code_cell(item.rule_name().c_str()),
                 record_cell(item.records(0)), list_cell(std::move(records))});
    }
    if (table.is_empty()) table.note("nothing_to_settle");
    if (elsewhere > 0) table.note("to_settle_elsewhere", {number_cell(elsewhere)});
    table.put_into(out_);
    return {};
  }

  Replica& replica_;
  const proto::ReportCall& call_;
  proto::ReportReply& out_;
  const Day day_;
  Roster roster_;
  Origins origins_;
  std::set<ChangeId> animals_;  // The animals of the area.
  bool has_doses_ = false;
};

}  // namespace

Status report_day(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out) { return DayReport(replica, call, out).fill(); }

}  // namespace wrackline
