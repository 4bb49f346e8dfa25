// An invented coastal rescue centre with two years of records, for demonstrations, tests and the benchmark:
// some fifteen animals and groups, three devices, plans with a pattern over the week, illnesses with their
// treatments, days that nobody wrote down, late and corrected entries, double entries and disagreements.
//
// Everything is made up, the animals' figures too: they are plausible to look at and good for nothing else.
// Records are written as an app writes them, through the one call, by devices whose clock is set to the day.
// For a seed they are the same to the byte on every run.
#pragma once

#include <cstdint>
#include <string>

#include "base/ids.h"
#include "base/result.h"

namespace wrackline::demo {

struct CentreOptions {
  std::uint64_t seed = 1;
  int days = 730;
  Day last_day = 20'757;  // 2026-10-31
};

struct CentreFacts {
  std::uint64_t records = 0;
  std::uint64_t changes = 0;
  std::string digest;  // The hash of the merged records, hexadecimal; the hub's and the desk's are the same.
};

// Makes in `directory`, which must not exist or be empty:
//   desk/ north/ south/  what `wrack --dir` opens; the desk holds everything
//   hub/                 the hub's key and records, without a certificate: no server can be started on it
//   centre.bundle        everything, for other replicas of this facility
// The keys follow from the seed, so they protect nothing. Errors: kInvalid, kStorage and its kin.
Result<CentreFacts> make_centre(const std::string& directory, const CentreOptions& options);

}  // namespace wrackline::demo
