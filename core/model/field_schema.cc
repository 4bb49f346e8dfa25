#include "model/field_schema.h"

#include <algorithm>
#include <iterator>
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

constexpr std::string_view kUnitCodes[] = {
#include "unit_codes.inc"
};

}  // namespace

std::string_view unit_code(Unit unit) { return kUnitCodes[static_cast<std::size_t>(unit)]; }

Unit unit_of_code(std::string_view code) {
  const auto found = std::find(std::begin(kUnitCodes), std::end(kUnitCodes), code);
  return found == std::end(kUnitCodes) ? Unit::kPlain : static_cast<Unit>(found - std::begin(kUnitCodes));
}

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
