#include "analytics/rotation.h"

#include <algorithm>
#include <tuple>

namespace wrackline {
namespace {

RankedEnricher stand(const EnricherFacts& facts, std::size_t index, Day day) {
  RankedEnricher out;
  out.index = index;
  if (facts.found_unsafe) {
    out.standing = EnricherStanding::kUnsafe;
  } else if (facts.inspect_every_days &&
             (!facts.last_inspected || std::int64_t{day} - *facts.last_inspected >= *facts.inspect_every_days)) {
    out.standing = EnricherStanding::kInspectionDue;
  } else if (facts.last_used && std::int64_t{day} - *facts.last_used < facts.gap_days) {
    out.standing = EnricherStanding::kTooSoon;
    out.ready_day = static_cast<Day>(*facts.last_used + std::int64_t{facts.gap_days});
  }
  return out;
}

}  // namespace

std::vector<RankedEnricher> rank_enrichers(const std::vector<EnricherFacts>& enrichers, Day day) {
  std::vector<RankedEnricher> out;
  for (std::size_t i = 0; i < enrichers.size(); ++i) out.push_back(stand(enrichers[i], i, day));
  const auto before = [&](const RankedEnricher& a, const RankedEnricher& b) {
    const EnricherFacts &x = enrichers[a.index], &y = enrichers[b.index];
    if (a.standing != b.standing) return a.standing < b.standing;
    if (x.last_used != y.last_used) return x.last_used < y.last_used;  // None is before any.
    return std::tie(x.uses, x.name) < std::tie(y.uses, y.name);
  };
  std::stable_sort(out.begin(), out.end(), before);
  return out;
}

}  // namespace wrackline
