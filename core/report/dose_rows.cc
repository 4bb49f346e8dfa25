#include "report/dose_rows.h"

#include <records.pb.h>

#include "husbandry/husbandry_calls.h"

namespace wrackline {
namespace {

proto::ReportCell given_cell(const proto::Administration& dose) {
  if (dose.has_given_ug()) return number_cell(static_cast<std::int64_t>(dose.given_ug()), Unit::kDoseUg);
  if (dose.has_given_ul()) return number_cell(static_cast<std::int64_t>(dose.given_ul()), Unit::kVolumeUl);
  if (dose.has_given_units()) return number_cell(static_cast<std::int64_t>(dose.given_units()), Unit::kUnits);
  return no_cell();
}

std::string words_of(const proto::Administration& dose) {
  return dose.note() + (dose.note().empty() || dose.confirmed().empty() ? "" : "; ") + dose.confirmed();
}

}  // namespace

ReportColumns dose_columns() {
  return {clock_column("due"),
          code_column("state"),
          code_column("outcome"),
          number_column_of_own_units("given"),
          text_column("note"),
          time_column("happened_ms"),
          record_column("by"),
          record_column("witness"),
          record_column("prepared_by"),
          number_column("reckoned_from_mg", Unit::kMassMg),
          code_column("standing"),
          only_data(id_column("order")),
          only_data(id_column("dose"))};
}

Result<ReportCells> DoseRows::cells(const proto::DueItem* item, const Gathered<proto::Administration>* dose) {
  proto::ReportCell due = code_cell("beside_order");
  if (item != nullptr) due = item->has_due_ms() ? time_cell(item->due_ms()) : code_cell("any_time");
  ReportCells out = {std::move(due), item == nullptr ? no_cell() : choice_cell("DueState", proto::DueState_Name(item->state()), item->state())};
  if (dose == nullptr) {
    out.resize(dose_columns().size());
    if (item != nullptr) out[out.size() - 2] = record_cell(item->plan());
    return out;
  }
  const proto::Administration& message = dose->message;
  WRACKLINE_TRY_VALUE(origin, origins_.of(dose->place));
  WRACKLINE_TRY_VALUE(witness, origins_.named(message.witness()));
  WRACKLINE_TRY_VALUE(prepared_by, origins_.named(message.prepared_by()));
  return joined(std::move(out),
                {choice_cell("Outcome", proto::Outcome_Name(message.outcome()), message.outcome()), given_cell(message), text_cell(words_of(message)),
                 time_cell(message.happened_ms()), std::move(origin.by), std::move(witness), std::move(prepared_by),
                 figure_cell(message.has_reckoned_from_mg(), static_cast<std::int64_t>(message.reckoned_from_mg())), std::move(origin.standing),
                 record_cell(message.order()), record_cell(dose->id)});
}

Result<std::vector<proto::DueItem>> doses_due(Replica& replica, const proto::ReportCall& call, Day day, const proto::RecordRef* animal) {
  proto::RoundCall round;
  round.set_day(day);
  round.set_area(call.area());
  *round.mutable_zone() = call.zone();
  if (animal != nullptr) *round.add_animals() = *animal;
  proto::RoundReply reply;
  WRACKLINE_TRY(handle_round(replica, round, reply));
  std::vector<proto::DueItem> out;
  for (proto::DueItem& item : *reply.mutable_items()) {
    if (item.due_kind() == proto::DUE_KIND_DOSE) out.push_back(std::move(item));
  }
  return out;
}

}  // namespace wrackline
