#include "report/seen_rows.h"

#include <records.pb.h>

namespace wrackline {

ReportColumns seen_columns() {
  return {code_column("topic"), text_column("code"),  count_column("score"),     text_column("site"),
          text_column("text"),  record_column("by"), code_column("standing"), id_column("record")};
}

Result<ReportCells> seen_cells(const Gathered<proto::Observation>& seen, Origins& origins) {
  const proto::Observation& message = seen.message;
  WRACKLINE_TRY_VALUE(origin, origins.of(seen.place));
  return ReportCells{choice_cell("Topic", proto::Topic_Name(message.topic()), message.topic()),
                     text_cell(message.code()),
                     figure_cell(message.has_score(), message.score()),
                     text_cell(message.site()),
                     text_cell(message.text()),
                     std::move(origin.by),
                     std::move(origin.standing),
                     record_cell(seen.id)};
}

}  // namespace wrackline
