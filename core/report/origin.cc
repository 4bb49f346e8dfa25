#include "report/origin.h"

#include <algorithm>

#include "sync/facility_policy.h"

namespace wrackline {

Status Origins::start() {
  WRACKLINE_TRY_VALUE(policy, facility_policy(replica_.store()));
  asks_for_proofs_ = policy.proof_required;
  return {};
}

Result<Origins::Origin> Origins::of(Place record) {
  Origin out;
  WRACKLINE_TRY_VALUE(state, replica_.store().records().load(record));
  if (!state) return out;
  proto::RecordView view;
  WRACKLINE_TRY(put_view(replica_, record, *state, view));
  if (view.has_author()) {
    WRACKLINE_TRY_VALUE(cell, named(view.author()));
    const bool is_unproven = asks_for_proofs_ && view.authorship() == proto::AUTHORSHIP_DEVICE;
    out.by = is_unproven ? marked(std::move(cell), proto::REPORT_MARK_NOT_PROVEN) : std::move(cell);
  } else {
    out.by = code_cell("hub");
  }
  ReportCells fields;
  for (const std::uint32_t field : view.disagreements()) fields.push_back(field_cell(view.kind(), field));
  if (!fields.empty()) out.standing = code_cell("in_disagreement", std::move(fields));
  return out;
}

Result<proto::ReportCell> Origins::named(const proto::RecordRef& record) {
  WRACKLINE_TRY_VALUE(name, roster_.name_of(id_of(record)));
  return record_cell(record, name);
}

void note_unproven(TableWriter& table) {
  const auto is_marked = [](const proto::ReportCell& cell) { return cell.mark() == proto::REPORT_MARK_NOT_PROVEN; };
  const auto& rows = table.table().rows();
  const bool has_one = std::any_of(rows.begin(), rows.end(), [&](const proto::ReportRow& row) {
    return std::any_of(row.cells().begin(), row.cells().end(), is_marked);
  });
  if (has_one) table.note("names_not_proven");
}

}  // namespace wrackline
