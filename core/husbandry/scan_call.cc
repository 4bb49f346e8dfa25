// This file says what an animal was doing, by scan sampling: shares of the moments at which it was seen.
#include <records.pb.h>

#include <map>

#include "analytics/proportion.h"
#include "analytics/scaled.h"
#include "husbandry/husbandry_calls.h"
#include "reading/record_view.h"
#include "reading/roster.h"

namespace wrackline {

Status handle_scan(Replica& replica, const proto::ScanCall& call, proto::ScanReply& out) {
  if (call.last_day() < call.first_day()) {
    return fail(ErrorCode::kInvalid, "showing scans: the last day is before the first; correct one of the two");
  }
  Roster roster(replica);
  WRACKLINE_TRY_VALUE(animal, roster.animal(id_of(call.animal()), "showing scans"));
  WRACKLINE_TRY_VALUE(scans, gather<proto::Scan>(replica, animal.place, Kind::kScan, call.first_day(), call.last_day()));
  std::map<std::string, std::uint64_t> counts;
  for (const Gathered<proto::Scan>& scan : scans) {
    out.set_watches(out.watches() + 1);
    out.set_not_visible(out.not_visible() + scan.message.not_visible());
    for (const proto::ScanCount& count : scan.message.counts()) {
      counts[count.code()] += count.scans();
      out.set_visible(out.visible() + count.scans());
    }
  }
  std::map<std::string, std::string> meanings;
  WRACKLINE_TRY_VALUE(codes, gather<proto::Code>(replica, 0, Kind::kCode));
  for (const Gathered<proto::Code>& code : codes) {
    if (code.message.topic() == proto::TOPIC_BEHAVIOUR) meanings[code.message.code()] = code.message.meaning();
  }
  std::vector<std::pair<std::string, std::uint64_t>> ordered(counts.begin(), counts.end());
  std::stable_sort(ordered.begin(), ordered.end(), [](const auto& a, const auto& b) { return a.second > b.second; });
  for (const auto& [code, count] : ordered) {
    proto::ScanShare& share = *out.add_shares();
    share.set_code(code);
    share.set_meaning(meanings[code]);
    share.set_scans(count);
    // Moments at which it could not be seen say nothing about what it did.
    const auto interval = wilson_interval(count, out.visible());
    if (!interval) continue;
    share.set_share_ppm(static_cast<std::uint32_t>(to_scaled(interval->share, 1'000'000).value_or(0)));
    share.set_low_ppm(static_cast<std::uint32_t>(to_scaled(interval->lower, 1'000'000).value_or(0)));
    share.set_high_ppm(static_cast<std::uint32_t>(to_scaled(interval->upper, 1'000'000).value_or(0)));
  }
  return {};
}

}  // namespace wrackline
