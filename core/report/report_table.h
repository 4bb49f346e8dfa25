// A table of a report, while it is filled. Only report/*.cc include this.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "report/report_cells.h"

namespace wrackline {

// The unit of a column whose cells say their own.
inline constexpr char kOwnUnit[] = "own";

struct ReportColumn {
  const char* code;
  proto::ReportColumnType type;
  std::string unit = {};
  bool only_data = false;
};

// Columns by what they hold.
inline ReportColumn text_column(const char* code) { return {code, proto::REPORT_COLUMN_TYPE_TEXT}; }
inline ReportColumn code_column(const char* code) { return {code, proto::REPORT_COLUMN_TYPE_CODE}; }
inline ReportColumn day_column(const char* code) { return {code, proto::REPORT_COLUMN_TYPE_DAY}; }
inline ReportColumn time_column(const char* code) { return {code, proto::REPORT_COLUMN_TYPE_TIME}; }
inline ReportColumn clock_column(const char* code) { return {code, proto::REPORT_COLUMN_TYPE_CLOCK}; }
inline ReportColumn record_column(const char* code) { return {code, proto::REPORT_COLUMN_TYPE_RECORD}; }
inline ReportColumn id_column(const char* code) { return {code, proto::REPORT_COLUMN_TYPE_ID}; }
inline ReportColumn value_column(const char* code) { return {code, proto::REPORT_COLUMN_TYPE_VALUE}; }
inline ReportColumn count_column(const char* code) { return {code, proto::REPORT_COLUMN_TYPE_NUMBER}; }
inline ReportColumn number_column(const char* code, Unit unit) { return {code, proto::REPORT_COLUMN_TYPE_NUMBER, std::string(unit_code(unit))}; }
inline ReportColumn number_column_of_own_units(const char* code) { return {code, proto::REPORT_COLUMN_TYPE_NUMBER, kOwnUnit}; }
inline ReportColumn figure_column(const char* code, Unit unit) { return {code, proto::REPORT_COLUMN_TYPE_FIGURE, std::string(unit_code(unit))}; }
inline ReportColumn figure_column_of_own_units(const char* code) { return {code, proto::REPORT_COLUMN_TYPE_FIGURE, kOwnUnit}; }
inline ReportColumn only_data(ReportColumn column) {
  column.only_data = true;
  return column;
}

using ReportColumns = std::vector<ReportColumn>;

// `more` behind `columns`, or cells behind cells.
template <typename T>
std::vector<T> joined(std::vector<T> first, std::vector<T> more) {
  for (T& one : more) first.push_back(std::move(one));
  return first;
}

class TableWriter {
 public:
  TableWriter(const char* code, const ReportColumns& columns);

  // One cell for each column, in their order.
  void row(ReportCells cells);
  void note(const char* code, ReportCells parameters = {}) { *table_.add_notes() = code_of(code, std::move(parameters)); }
  // Adds the note unless the table has it.
  void note_once(const char* code);
  bool is_empty() const { return table_.rows().empty(); }
  proto::ReportTable& table() { return table_; }

  // Appends the table to a report, unless it has neither rows nor notes.
  void put_into(proto::ReportReply& report);

 private:
  proto::ReportTable table_;
};

}  // namespace wrackline
