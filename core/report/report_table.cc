#include "report/report_table.h"

#include <algorithm>

namespace wrackline {

TableWriter::TableWriter(const char* code, const ReportColumns& columns) {
  table_.set_code(code);
  for (const ReportColumn& column : columns) {
    proto::ReportColumn& out = *table_.add_columns();
    out.set_code(column.code);
    out.set_type(column.type);
    out.set_unit(column.unit);
    out.set_only_data(column.only_data);
  }
}

void TableWriter::row(ReportCells cells) {
  proto::ReportRow& out = *table_.add_rows();
  for (proto::ReportCell& cell : cells) *out.add_cells() = std::move(cell);
}

void TableWriter::note_once(const char* code) {
  const auto& notes = table_.notes();
  if (std::none_of(notes.begin(), notes.end(), [&](const proto::ReportCode& note) { return note.code() == code; })) note(code);
}

void TableWriter::put_into(proto::ReportReply& report) {
  if (!table_.rows().empty() || !table_.notes().empty()) *report.add_tables() = std::move(table_);
}

}  // namespace wrackline
