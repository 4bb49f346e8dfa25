#include "model/field_schema.h"

#include <algorithm>
#include <map>
#include <utility>

namespace wrackline {
namespace {

const std::vector<FieldSchema>& all_fields() {
  static const std::vector<FieldSchema> rows = {
#include "field_rows.inc"
  };
  return rows;
}

struct ChoiceUnit {
  std::string_view enumeration;
  std::int32_t number;
  Unit unit;
};
constexpr ChoiceUnit kChoiceUnits[] = {
#include "choice_units.inc"
};

}  // namespace

const FieldSchema* find_field(std::string_view message, std::string_view name) {
  static const auto by_name = [] {
    std::map<std::pair<std::string_view, std::string_view>, const FieldSchema*> out;
    for (const FieldSchema& row : all_fields()) out.emplace(std::pair(row.message, row.name), &row);
    return out;
  }();
  const auto found = by_name.find({message, name});
  return found == by_name.end() ? nullptr : found->second;
}

Unit unit_of_choice(std::string_view enumeration, std::int32_t number) {
  for (const ChoiceUnit& row : kChoiceUnits) {
    if (row.enumeration == enumeration && row.number == number) return row.unit;
  }
  return Unit::kPlain;
}

std::vector<ListColumn> list_columns(std::string_view kind) {
  static const std::vector<ListColumn> rows = {
#include "column_rows.inc"
  };
  std::vector<ListColumn> out;
  std::copy_if(rows.begin(), rows.end(), std::back_inserter(out), [&](const ListColumn& row) { return row.kind == kind; });
  return out;
}

}  // namespace wrackline
