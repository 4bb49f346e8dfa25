// How long records of a kind must be kept at the least, by published texts. Nothing here, or anywhere in the core,
// removes a record.
//
// Every period is a floor. Local codes, permits, contracts, an open case or a study may ask for longer; then the longer
// one holds. A kind without a floor here is one that none of these texts names, not one that may go.
//
// Sources (United States; other countries have their own):
//   9 CFR 2.80     exhibitors: records one year, and one year after the animal left
//   9 CFR 3.105(c) feeding records of marine mammals: one year
//   9 CFR 3.106    results of water samples of marine mammals' pools: one year; the section's number is from memory
//   21 CFR 1304.04(a)  records of controlled substances: two years. Which preparation is controlled is not recorded, so
//                  the period is taken for every order and dose.
// Texts that no kind of record stands for alone: necropsy reports of marine mammals, three years (9 CFR 3.110, the
// section's number from memory); records of a research facility, three years (9 CFR 2.35).
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "base/ids.h"

namespace wrackline {

enum class RetentionStart {
  kDay,         // The husbandry day of the record, or of what it belongs to.
  kLastDay,     // The last day of an order; one without a last day is in force.
  kAnimalLeft,  // The day on which the animal left for good.
};

struct RetentionFloor {
  std::uint32_t years = 0;
  RetentionStart start = RetentionStart::kDay;
  std::string_view source;
};

// Null where no floor is named for the kind.
const RetentionFloor* retention_floor(std::uint32_t kind);

// Whether a record must still be kept on `today`. `start` is the day the period counts from; absent, it has not begun
// or is not known, and the record must be kept.
bool must_be_kept(const RetentionFloor& floor, std::optional<Day> start, Day today);

// The same date so many years later; of a leap day without one there, 1 March, so that a floor never ends early.
Day years_after(Day day, std::uint32_t years);

}  // namespace wrackline
