#include "husbandry/water_input.h"

#include <map>
#include <set>

#include "water/limits.h"

namespace wrackline {
namespace {


bool has_bounds(const proto::WaterLimit& limit) { return limit.has_low() || limit.has_high(); }
bool has_high(const proto::WaterLimit& limit) { return limit.has_high(); }
bool has_interval(const proto::WaterLimit& limit) { return limit.every_hours() > 0; }

// Value and limits are in the parameter's one unit, so unit and quantity are both the parameter.
LimitRow limit_row(const proto::WaterLimit& limit) {
  LimitRow row;
  row.quantity = row.unit = parameter_words(limit.parameter());
  if (limit.has_low()) row.low = limit.low();
  if (limit.has_high()) row.high = limit.high();
  row.source = limit.source();
  row.verified = !limit.unverified();
  return row;
}

proto::Judgement to_judgement(LimitVerdict verdict) {
  switch (verdict) {
    case LimitVerdict::kBelow:
      return proto::JUDGEMENT_BELOW;
    case LimitVerdict::kAbove:
      return proto::JUDGEMENT_ABOVE;
    case LimitVerdict::kInside:
      return proto::JUDGEMENT_INSIDE;
    default:
      return proto::JUDGEMENT_UNSPECIFIED;  // A row nobody can be judged by.
  }
}

}  // namespace

Result<PoolLimits> PoolLimits::gather_for(Replica& replica, Place pool) {
  PoolLimits out;
  WRACKLINE_TRY_VALUE(own, gather<proto::WaterLimit>(replica, pool, Kind::kWaterLimit));
  WRACKLINE_TRY_VALUE(general, gather<proto::WaterLimit>(replica, 0, Kind::kWaterLimit));
  out.own_ = std::move(own);
  out.general_ = std::move(general);
  return out;
}

std::vector<const WaterLimitRow*> PoolLimits::rows_of(proto::Parameter parameter,
                                                      bool (*says)(const proto::WaterLimit&)) const {
  std::vector<const WaterLimitRow*> out;
  for (const std::vector<WaterLimitRow>* rows : {&own_, &general_}) {
    for (const WaterLimitRow& row : *rows) {
      if (row.message.parameter() == parameter && says(row.message)) out.push_back(&row);
    }
    if (!out.empty()) break;
  }
  return out;
}

PoolLimits::Judged PoolLimits::judge(proto::Parameter parameter, std::int64_t value) const {
  const std::vector<const WaterLimitRow*> rows = rows_of(parameter, has_bounds);
  std::vector<LimitRow> limits;
  for (const WaterLimitRow* row : rows) limits.push_back(limit_row(row->message));
  const std::string words = parameter_words(parameter);
  Judged out;
  for (const LimitJudgement& judged : judge_reading({words, words, {}, value}, limits)) {
    const proto::Judgement judgement = to_judgement(judged.verdict);
    if (judgement == proto::JUDGEMENT_UNSPECIFIED) continue;
    const bool outside = judgement != proto::JUDGEMENT_INSIDE;
    if (out.limit == nullptr || outside) out = {judgement, rows[judged.row]};
    if (outside) break;
  }
  return out;
}

const WaterLimitRow* PoolLimits::high_of(proto::Parameter parameter) const {
  const std::vector<const WaterLimitRow*> rows = rows_of(parameter, has_high);
  return rows.empty() ? nullptr
                      : *std::min_element(rows.begin(), rows.end(), [](const auto* a, const auto* b) {
                          return a->message.high() < b->message.high();
                        });
}

std::vector<PoolLimits::Overdue> PoolLimits::overdue(const WaterReadings& readings, WallMs now_ms) const {
  std::map<proto::Parameter, WallMs> last_ms;
  for (const Gathered<proto::WaterReading>& reading : readings) {
    const WallMs day_ms = static_cast<WallMs>(std::max(reading.message.day(), 0)) * kDayMs;
    WallMs& last = last_ms[reading.message.parameter()];
    last = std::max(last, reading.message.has_happened_ms() ? reading.happened_ms : day_ms);
  }
  std::set<proto::Parameter> asked;
  for (const std::vector<WaterLimitRow>* rows : {&own_, &general_}) {
    for (const WaterLimitRow& row : *rows) {
      if (has_interval(row.message)) asked.insert(row.message.parameter());
    }
  }
  std::vector<Overdue> out;
  for (const proto::Parameter parameter : asked) {
    const std::vector<const WaterLimitRow*> rows = rows_of(parameter, has_interval);
    const WaterLimitRow* row = *std::min_element(rows.begin(), rows.end(), [](const auto* a, const auto* b) {
      return a->message.every_hours() < b->message.every_hours();
    });
    const WallMs last = last_ms[parameter];
    if (last == 0 || last + row->message.every_hours() * kHourMs < now_ms) out.push_back({row, last});
  }
  return out;
}

std::string parameter_words(proto::Parameter parameter) {
  // Without its "PARAMETER_"; a number of a newer release has no name.
  const std::string name = proto::Parameter_Name(parameter);
  if (name.size() < 10) return "property " + std::to_string(static_cast<int>(parameter));
  std::string out = name.substr(10);
  for (char& c : out) c = c == '_' ? ' ' : static_cast<char>(c - 'A' + 'a');
  return parameter == proto::PARAMETER_PH ? "pH" : out;
}

}  // namespace wrackline
