// The call `csv`: a report's table, or lines that an app has put into words, as CSV.
#include "base/iso_week.h"
#include "model/kinds.h"
#include "reading/record_view.h"
#include "report/csv_cell.h"
#include "report/report_calls.h"
#include "report/report_table.h"

namespace wrackline {
namespace {

std::string day_text(Day day) {
  const CivilDate date = civil_date(day);
  const auto digits = [](std::int64_t number, std::size_t width) {
    const std::string text = std::to_string(number);
    return std::string(width > text.size() ? width - text.size() : 0, '0') + text;
  };
  return digits(date.year, 4) + "-" + digits(date.month, 2) + "-" + digits(date.day, 2);
}

// For programs: codes, ids and whole numbers. No cell of it is quoted yet.
std::string plain_text(const proto::ReportCell& cell) {
  switch (cell.is_case()) {
    case proto::ReportCell::kText: return cell.text();
    case proto::ReportCell::kNumber: return std::to_string(cell.number());
    case proto::ReportCell::kDay: return day_text(cell.day());
    case proto::ReportCell::kTimeMs: return std::to_string(cell.time_ms());
    case proto::ReportCell::kCode: {
      std::string out = cell.code().code();
      for (const proto::ReportCell& parameter : cell.code().parameters()) out += " " + plain_text(parameter);
      return out;
    }
    case proto::ReportCell::kRecord: return to_text(id_of(cell.record().record()));
    case proto::ReportCell::kField: {
      if (cell.field().has_value()) return to_hex(cell.field().value());
      const KindRow* kind = find_kind(cell.field().kind());
      return (kind != nullptr ? std::string(kind->name) : std::to_string(cell.field().kind())) + "." + std::to_string(cell.field().field());
    }
    case proto::ReportCell::kList: {
      std::string out;
      for (const proto::ReportCell& one : cell.list().cells()) out += (out.empty() ? "" : " ") + plain_text(one);
      return out;
    }
    case proto::ReportCell::IS_NOT_SET: break;
  }
  return {};
}

// A figure is written as it is, so that a spreadsheet reckons with it, below zero too.
std::string cell_in_file(const proto::ReportCell& cell) {
  return cell.is_case() == proto::ReportCell::kNumber ? std::to_string(cell.number()) : csv_cell(plain_text(cell));
}

std::string headings(const proto::ReportTable& table) {
  std::vector<std::string> cells;
  for (const proto::ReportColumn& column : table.columns()) {
    cells.push_back(csv_cell(column.code()));
    if (column.type() == proto::REPORT_COLUMN_TYPE_RECORD) cells.push_back(csv_cell(column.code() + "_name"));
    if (column.unit() == kOwnUnit) cells.push_back(csv_cell(column.code() + "_unit"));
  }
  return csv_line(cells);
}

std::string line_of(const proto::ReportTable& table, const proto::ReportRow& row) {
  std::vector<std::string> cells;
  for (int i = 0; i < table.columns_size(); ++i) {
    const proto::ReportColumn& column = table.columns(i);
    const proto::ReportCell& cell = row.cells(i);
    cells.push_back(cell_in_file(cell));
    if (column.type() == proto::REPORT_COLUMN_TYPE_RECORD) cells.push_back(csv_cell(cell.record().name()));
    if (column.unit() == kOwnUnit) cells.push_back(csv_cell(cell.unit()));
  }
  return csv_line(cells);
}

Status put_report(Replica& replica, const proto::CsvCall& call, std::string& out) {
  proto::ReportReply report;
  WRACKLINE_TRY(handle_report(replica, call.report(), report));
  const std::string& code = call.table().empty() ? report.main_table() : call.table();
  for (const proto::ReportTable& table : report.tables()) {
    if (table.code() != code) continue;
    if (out.empty()) out = headings(table);
    for (const proto::ReportRow& row : table.rows()) out += line_of(table, row);
  }
  if (!out.empty() || call.table().empty()) return {};
  return fail(ErrorCode::kNotFound, "writing CSV: the report has no table \"" + code + "\"; choose one that it shows");
}

}  // namespace

Status handle_csv(Replica& replica, const proto::CsvCall& call, proto::CsvReply& out) {
  switch (call.of_case()) {
    case proto::CsvCall::kReport: return put_report(replica, call, *out.mutable_csv());
    case proto::CsvCall::kLines:
      for (const proto::CsvLine& line : call.lines().lines()) {
        std::vector<std::string> cells;
        for (const std::string& cell : line.cells()) cells.push_back(csv_cell(cell));
        *out.mutable_csv() += csv_line(cells);
      }
      return {};
    case proto::CsvCall::OF_NOT_SET: break;
  }
  return fail(ErrorCode::kInvalid, "writing CSV: there is nothing to write; give a report or lines");
}

}  // namespace wrackline
