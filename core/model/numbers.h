// The numbers of an entry that a site may limit, and beyond what each is improbable anywhere: one row each.
//
// The bounds are narrower than those of model/rules.h, which refuse what cannot be: a value beyond these is
// asked about and may stand. They are to catch a slip of the hand or a unit mixed up, whatever the animal; a
// site draws its own narrower ones (SiteLimit). No source but common sense where a row's comment names none.
//
// A new kind, or a new number of an old one, is a row here; the questions need nothing else.
#pragma once

#include <cstdint>
#include <optional>
#include <set>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "model/kinds.h"

namespace wrackline {

struct NumberRow {
  Kind kind;
  std::uint32_t field;
  bool is_signed = false;  // sint64 or sint32 in the message; otherwise uint.
  // In the unit of the field; absent = nothing is improbable on that side.
  std::optional<std::int64_t> low = {};
  std::optional<std::int64_t> high = {};
  // The quantity or parameter (the detail of the kind's key) that the bounds belong to; absent = to all.
  std::optional<std::uint64_t> detail = {};
  // The value may stand in two other fields instead: what was weighed with the dish, and the dish.
  std::uint32_t gross_field = 0;
  std::uint32_t tare_field = 0;
};

// The rows are in the order of the kinds.
const std::vector<NumberRow>& all_numbers();

// A number of an entry.
struct Number {
  const NumberRow* row = nullptr;
  std::int64_t value = 0;
  // The detail of the entry; only where the kind's rows are told apart by it.
  std::optional<std::uint64_t> detail;
  bool is_improbable() const { return (row->low && value < *row->low) || (row->high && value > *row->high); }
};

// The numbers in the fields of an entry, by field. `given`: only those that these fields have a say in.
std::vector<Number> numbers_in(Kind kind, ByteView fields, const std::set<std::uint32_t>* given = nullptr);

// A row of the site's own list.
struct SiteLimitRow {
  RecordId id;
  RecordId subject;  // None: of everybody.
  std::uint32_t kind = 0;
  std::uint32_t field = 0;
  std::optional<std::uint64_t> detail;
  std::optional<std::int64_t> low, high;
};

// The limit that a number is beyond, or null. `subjects`: what the entry belongs to, the nearest first. The
// limits of the nearest subject that has any for this number hold; those of everybody only where no subject
// has any. Where several hold and are overstepped, the first of `limits` counts.
const SiteLimitRow* limit_beyond(const std::vector<SiteLimitRow>& limits,
                                 const std::vector<RecordId>& subjects, const Number& number);

}  // namespace wrackline
