// How training goes, cue by cue.
#include <records.pb.h>

#include <map>
#include <tuple>

#include "analytics/proportion.h"
#include "analytics/scaled.h"
#include "analytics/trend.h"
#include "base/rounding.h"
#include "husbandry/husbandry_calls.h"
#include "husbandry/intake_input.h"
#include "reading/record_view.h"

namespace wrackline {
namespace {

constexpr std::size_t kTrendSessionsMin = 4;

struct CueSessions {
  proto::CueFigures figures;
  std::vector<Point> rates;  // Success rate by day.
};

void put_share(CueSessions& cue) {
  proto::CueFigures& out = cue.figures;
  const auto share = wilson_interval(out.successes(), out.trials());
  if (!share) return;
  out.set_success_ppm(static_cast<std::uint32_t>(to_scaled(share->share, 1'000'000).value_or(0)));
  out.set_low_ppm(static_cast<std::uint32_t>(to_scaled(share->lower, 1'000'000).value_or(0)));
  out.set_high_ppm(static_cast<std::uint32_t>(to_scaled(share->upper, 1'000'000).value_or(0)));
}

template <typename T>
std::optional<T> scaled(double value, std::int64_t per_unit) {
  const auto whole = to_scaled(value, per_unit);
  return whole ? fit<T>(*whole) : std::nullopt;
}

void put_trend(CueSessions& cue) {
  if (cue.rates.size() < kTrendSessionsMin) return;
  if (const auto test = kendall(cue.rates)) {
    if (const auto z = scaled<std::int32_t>(test->z, 1000)) cue.figures.set_trend_z_thousandths(*z);
  }
  if (const auto line = theil_sen(cue.rates)) {
    if (const auto slope = scaled<std::int32_t>(line->slope, 7'000'000)) cue.figures.set_slope_ppm_per_week(*slope);
  }
}

// Fills in the food that was offered in training: the meals whose purpose it was.
Status put_food(Replica& replica, Place animal, const proto::TrainingCall& call, proto::TrainingReply& out) {
  WRACKLINE_TRY_VALUE(meals, gather_brief<proto::Meal>(replica, animal, Kind::kMeal, call.first_day(), call.last_day()));
  Int128 food_mg = 0;
  for (const Gathered<proto::Meal>& meal : meals) {
    if (meal.message.purpose() != proto::PURPOSE_TRAINING) continue;
    WRACKLINE_TRY_VALUE(rows, replica.store().records().find_brief(meal.place, Kind::kPortion, kFirstDayOfAll, kLastDayOfAll));
    for (const KeyRow& row : rows) {
      if (!built_in_of(row.brief).in_account()) continue;
      food_mg += portion_of_brief(row.brief, 0).offered_mg.value_or(0);
    }
  }
  out.set_food_mg(fit<std::uint64_t>(food_mg).value_or(0));
  return {};
}

}  // namespace

Status handle_training(Replica& replica, const proto::TrainingCall& call, proto::TrainingReply& out) {
  if (call.last_day() < call.first_day()) {
    return fail(ErrorCode::kInvalid, "showing training: the last day is before the first; correct one of the two");
  }
  Roster roster(replica);
  WRACKLINE_TRY_VALUE(animal, roster.animal(id_of(call.animal()), "showing training"));
  WRACKLINE_TRY_VALUE(sessions, gather_brief<proto::TrainingSession>(replica, animal.place, Kind::kTrainingSession,
                                                                     call.first_day(), call.last_day()));
  std::map<ChangeId, CueSessions> cues;
  for (const Gathered<proto::TrainingSession>& session : sessions) {
    CueSessions& cue = cues[id_of(session.message.cue())];
    proto::CueFigures& figures = cue.figures;
    const bool is_first = figures.sessions() == 0;
    figures.set_sessions(figures.sessions() + 1);
    figures.set_last_day(is_first ? session.message.day() : std::max(figures.last_day(), session.message.day()));
    const std::uint32_t trials = session.message.trials();
    if (trials == 0) continue;
    figures.set_sessions_counted(figures.sessions_counted() + 1);
    figures.set_trials(figures.trials() + trials);
    figures.set_successes(figures.successes() + session.message.successes());
    cue.rates.push_back({static_cast<double>(session.message.day()),
                         static_cast<double>(session.message.successes()) / static_cast<double>(trials)});
  }
  std::vector<std::pair<ChangeId, CueSessions>> ordered;
  for (auto& [id, cue] : cues) {
    WRACKLINE_TRY_VALUE(name, roster.name_of(id));
    put_id(id, *cue.figures.mutable_cue());
    cue.figures.set_name(name);
    put_share(cue);
    put_trend(cue);
    ordered.emplace_back(id, std::move(cue));
  }
  std::sort(ordered.begin(), ordered.end(), [](const auto& a, const auto& b) {
    return std::tie(a.second.figures.name(), a.first) < std::tie(b.second.figures.name(), b.first);
  });
  for (auto& [id, cue] : ordered) *out.add_cues() = std::move(cue.figures);
  return put_food(replica, animal.place, call, out);
}

}  // namespace wrackline
