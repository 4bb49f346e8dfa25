#include "report/report_cells.h"

#include "reading/record_view.h"

namespace wrackline {
namespace {

// "DUE_STATE" of "DueState".
std::string upper_snake(std::string_view name) {
  std::string out;
  for (const char c : name) {
    const bool is_upper = c >= 'A' && c <= 'Z';
    if (is_upper && !out.empty()) out += '_';
    out += is_upper ? c : static_cast<char>(c - 'a' + 'A');
  }
  return out;
}

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return out;
}

}  // namespace

proto::ReportCell text_cell(std::string_view text) {
  proto::ReportCell out;
  if (!text.empty()) out.set_text(std::string(text));
  return out;
}

proto::ReportCell number_cell(std::int64_t number) {
  proto::ReportCell out;
  out.set_number(number);
  return out;
}

proto::ReportCell number_cell(std::int64_t number, Unit unit) {
  proto::ReportCell out = number_cell(number);
  out.set_unit(std::string(unit_code(unit)));
  return out;
}

proto::ReportCell figure_cell(bool has, std::int64_t number) { return has ? number_cell(number) : no_cell(); }

proto::ReportCell day_cell(Day day) {
  proto::ReportCell out;
  out.set_day(day);
  return out;
}

proto::ReportCell time_cell(WallMs time_ms) {
  proto::ReportCell out;
  if (time_ms != 0) out.set_time_ms(time_ms);
  return out;
}

proto::ReportCell record_cell(const proto::RecordRef& record, std::string_view name) {
  proto::ReportCell out;
  if (record.seq() == 0) return out;
  *out.mutable_record()->mutable_record() = record;
  out.mutable_record()->set_name(std::string(name));
  return out;
}

proto::ReportCell record_cell(ChangeId record, std::string_view name) {
  proto::RecordRef ref;
  put_id(record, ref);
  return record_cell(ref, name);
}

proto::ReportCell field_cell(std::uint32_t kind, std::uint32_t field) {
  proto::ReportCell out;
  out.mutable_field()->set_kind(kind);
  out.mutable_field()->set_field(field);
  return out;
}

proto::ReportCell value_cell(const proto::RecordRef& record, std::uint32_t kind, std::uint32_t field, std::string_view value) {
  proto::ReportCell out = field_cell(kind, field);
  out.mutable_field()->set_value(std::string(value));
  *out.mutable_field()->mutable_record() = record;
  return out;
}

proto::ReportCell list_cell(ReportCells cells) {
  proto::ReportCell out;
  for (proto::ReportCell& cell : cells) *out.mutable_list()->add_cells() = std::move(cell);
  return out;
}

proto::ReportCode code_of(const char* code, ReportCells parameters) {
  proto::ReportCode out;
  out.set_code(code);
  for (proto::ReportCell& parameter : parameters) *out.add_parameters() = std::move(parameter);
  return out;
}

proto::ReportCell code_cell(const char* code, ReportCells parameters) {
  proto::ReportCell out;
  *out.mutable_code() = code_of(code, std::move(parameters));
  return out;
}

proto::ReportCell choice_cell(std::string_view enumeration, std::string_view value_name, int number) {
  proto::ReportCell out;
  if (number == 0) return out;
  const std::string prefix = upper_snake(enumeration) + "_";
  const bool is_known = value_name.substr(0, prefix.size()) == prefix;
  out.mutable_code()->set_of(std::string(enumeration));
  out.mutable_code()->set_code(is_known ? lower(value_name.substr(prefix.size())) : std::to_string(number));
  return out;
}

proto::ReportCell marked(proto::ReportCell cell, proto::ReportMark mark) {
  cell.set_mark(mark);
  return cell;
}

}  // namespace wrackline
