// Which few columns tell the most about a record of each kind, so that a list can be read at a glance. All the
// fields are what `wrack show` is for.
#pragma once

#include <string_view>
#include <vector>

namespace wrackline::cli {

struct ListColumn {
  const char* title;  // A '>' before it: numbers, lined up at the right.
  // The cell is what is there of these, parted by commas. "when" is the time of an event, or its day; "due" the
  // day and slot of a dose.
  std::vector<const char*> fields;
};

// Empty for a kind of a newer release.
const std::vector<ListColumn>& list_columns(std::string_view kind);

// Fields of nested messages that a list has no room for.
bool is_for_show_only(std::string_view nested_field);

}  // namespace wrackline::cli
