// The cells of a report's tables, and the codes that stand in them and in its notes. Only report/*.cc include this.
//
// A cell of what is not there ("absent") has nothing in it: none of these functions makes a zero of it.
#pragma once

#include <call.pb.h>

#include <string>
#include <string_view>
#include <vector>

#include "base/ids.h"
#include "model/field_schema.h"

namespace wrackline {

using ReportCells = std::vector<proto::ReportCell>;

inline proto::ReportCell no_cell() { return {}; }
// Absent where the text is empty.
proto::ReportCell text_cell(std::string_view text);
proto::ReportCell number_cell(std::int64_t number);
// In a unit of its own, where the column does not say it.
proto::ReportCell number_cell(std::int64_t number, Unit unit);
// Absent where `has` is false, as the fields of a message are: figure_cell(day.has_eaten_mg(), day.eaten_mg()).
proto::ReportCell figure_cell(bool has, std::int64_t number);
proto::ReportCell day_cell(Day day);
// Absent where it is 0.
proto::ReportCell time_cell(WallMs time_ms);
proto::ReportCell record_cell(const proto::RecordRef& record, std::string_view name = {});
proto::ReportCell record_cell(ChangeId record, std::string_view name = {});
proto::ReportCell field_cell(std::uint32_t kind, std::uint32_t field);
proto::ReportCell value_cell(const proto::RecordRef& record, std::uint32_t kind, std::uint32_t field, std::string_view value);
// Absent where it has no cells.
proto::ReportCell list_cell(ReportCells cells);
proto::ReportCell code_cell(const char* code, ReportCells parameters = {});
// A value of an enumeration by the name that stands for it: choice_cell("Outcome", Outcome_Name(outcome), outcome) of OUTCOME_GIVEN is
// "given". Absent for 0, the number for a value of a newer release.
proto::ReportCell choice_cell(std::string_view enumeration, std::string_view value_name, int number);
proto::ReportCell marked(proto::ReportCell cell, proto::ReportMark mark);

proto::ReportCode code_of(const char* code, ReportCells parameters = {});

}  // namespace wrackline
