// This file says what a field of a record is, beyond its type: its unit, what it names, who fills it in. The options beside the field in proto/*.proto
// say it (proto/schema.proto), and proto/generate makes the rows of this table. Pure.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

namespace wrackline {

// The unit of a number; proto/schema.proto says each.
enum class Unit {
#include "units.inc"
};

// The unit's name in proto/schema.proto, in lower case: "mass_mg".
std::string_view unit_code(Unit unit);
// kPlain for the code of a newer release.
Unit unit_of_code(std::string_view code);

enum class FieldWriter { kWhoWrites, kHub, kCore, kClock };
enum class Limited { kNoWord, kKind, kField, kChoice };

struct FieldSchema {
  std::string_view message;  // "Meal", or a part of a record: "DietLine".
  std::string_view name;
  std::string_view bare_name;  // Without the unit at its end, as people may type it: of "mass_mg" it is "mass".
  Unit unit;
  // Where the field is a reference, the kinds it may name: "animal", "animal or pool"; empty for what names
  // no record.
  std::string_view to;
  std::string_view unit_by;  // The field whose value says the unit; "limited": by what a site limit limits. Empty: `unit` says it.
  FieldWriter writer;
  std::string_view instead;  // The field that is written instead of this one. Empty: this one is.
  Limited limited;           // Where the field belongs to a site limit, which word the number stands for.
  bool is_long;              // The field is part of a record that a list has no room for.
};

// Null for a field of a newer release, and for a message that stands in no record.
const FieldSchema* find_field(std::string_view message, std::string_view name);

// The unit of what is measured by a choice of an enumeration: "Quantity", "Parameter". kPlain for one of a newer release.
Unit unit_of_choice(std::string_view enumeration, std::int32_t number);

// A column of a list.
struct ListColumn {
  std::string_view kind;   // "meal"
  std::string_view title;  // A '>' before it: numbers, lined up at the right.
  // The cell is what is there of these, parted by commas. "when" is the time of an event, or its day; "due" the day and slot of a
  // dose; "portions" the foods of a meal.
  std::vector<std::string_view> fields;
};
// Empty for a kind of a newer release.
std::vector<ListColumn> list_columns(std::string_view kind);

}  // namespace wrackline
