#include "water/derived.h"

#include <algorithm>
#include <tuple>

#include "base/rounding.h"
#include "water/density.h"
#include "water/disinfectant.h"
#include "water/oxygen.h"
#include "water/salinity.h"

namespace wrackline {
namespace {

constexpr std::uint64_t kTogetherMs = 30 * kMinuteMs;
constexpr std::int64_t kSalinityDays = 7;
constexpr std::uint64_t kCountedApartMinMs = 24 * kHourMs, kCountedApartMaxMs = 72 * kHourMs;
// Where fresh water ends: 0.5, of the Venice system of 1958 (from memory).
constexpr std::int32_t kFreshSalinityMaxMillionths = 500'000;

std::string formula_text(const Formula& formula, const std::string& taken = {}) {
  return std::string(formula.name) + "; " + formula.source + "; valid for " + formula.validity +
         (taken.empty() ? "" : "; " + taken);
}

// A salinity somebody read, or one that was derived.
struct KnownSalinity {
  std::int32_t millionths = 0;
  bool derived = false;
  bool within_validity = true;
  std::vector<std::size_t> from;  // The salinity's own reading; or conductivity, then temperature.
};

class Deriving {
 public:
  Deriving(const std::vector<PoolReading>& readings, const std::optional<ColiformRule>& rule,
           std::vector<RefusedWater>* refused)
      : readings_(readings), coliform_rule_(rule), refused_(refused) {}

  std::vector<DerivedWater> run() {
    for (std::size_t i = 0; i < readings_.size(); ++i) know_salinity(i);
    for (const KnownSalinity& salinity : salinities_) derive_density(salinity);
    for (std::size_t i = 0; i < readings_.size(); ++i) {
      if (readings_[i].property == WaterProperty::kOxygen) derive_oxygen(i);
      if (readings_[i].property == WaterProperty::kAmmonia) derive_ammonia(i);
      if (readings_[i].property == WaterProperty::kChlorineTotal) derive_chlorine(i);
    }
    derive_coliform();
    std::stable_sort(out_.begin(), out_.end(), [](const DerivedWater& a, const DerivedWater& b) {
      return std::make_tuple(a.from.front(), a.figure) < std::make_tuple(b.from.front(), b.figure);
    });
    return std::move(out_);
  }

 private:
  std::uint64_t apart_ms(std::size_t a, std::size_t b) const {
    const auto &one = readings_[a].at_ms, &other = readings_[b].at_ms;
    if (!one || !other) return UINT64_MAX;
    return *one > *other ? *one - *other : *other - *one;
  }

  // The nearest of the property that is taken on the same day or, when `together`, within 30 minutes.
  std::optional<std::size_t> nearest(WaterProperty property, std::size_t to, bool together = false) const {
    std::optional<std::size_t> found;
    for (std::size_t i = 0; i < readings_.size(); ++i) {
      if (readings_[i].property != property || i == to) continue;
      if (together ? apart_ms(i, to) > kTogetherMs : readings_[i].day != readings_[to].day) continue;
      if (!found || apart_ms(i, to) < apart_ms(*found, to)) found = i;
    }
    return found;
  }

  std::optional<std::int32_t> mdegc(std::size_t i) const { return fit<std::int32_t>(readings_[i].value); }

  void add(DerivedFigure figure, std::optional<std::int64_t> value, std::string formula, bool within,
           std::vector<std::size_t> from) {
    if (value)
      out_.push_back(
          {figure, *value, std::move(formula), !within, std::move(from), ColiformVerdict::kCannotTell});
  }

  // Adds the reason that the error gives, without the words on what was being done.
  void refuse(DerivedFigure figure, const Error& error, std::vector<std::size_t> from) {
    const std::size_t colon = error.message.find(": ");
    const std::string reason = colon == std::string::npos ? error.message : error.message.substr(colon + 2);
    if (refused_ != nullptr) refused_->push_back({figure, reason, std::move(from)});
  }

  void know_salinity(std::size_t i) {
    const PoolReading& reading = readings_[i];
    if (reading.property == WaterProperty::kSalinity) {
      const auto millionths = fit<std::int32_t>(Int128(reading.value) * 1000);
      if (millionths) salinities_.push_back({*millionths, false, true, {i}});
    }
    if (reading.property != WaterProperty::kConductivity ) return;
    const auto warmth = nearest(WaterProperty::kTemperature, i, true);
    const auto temperature = warmth ? mdegc(*warmth) : std::nullopt;
    const auto conductivity = fit<std::uint64_t>(std::max(Int128(reading.value), Int128(0)) * 1000);
    if (!temperature || !conductivity) return;
    const auto salinity = salinity_from_conductivity({*conductivity, ConductivityUnit::kMicrosiemensPerCm},
                                                     {*temperature, TemperatureScale::kIts90}, 0);
    if (!salinity) return refuse(DerivedFigure::kSalinity, salinity.error(), {i, *warmth});
    salinities_.push_back({salinity->salinity_millionths, true, salinity->within_validity, {i, *warmth}});
    add(DerivedFigure::kSalinity, fit<std::int64_t>(divide_rounded(salinity->salinity_millionths, 1000)),
        formula_text(kPss78), salinity->within_validity, {i, *warmth});
  }

  // See the rule at the top of derived.h.
  const KnownSalinity* salinity_for(std::size_t i) const {
    const KnownSalinity* best = nullptr;
    auto best_rank = std::make_tuple(INT64_MAX, true, UINT64_MAX);
    for (const KnownSalinity& salinity : salinities_) {
      const std::int64_t days = std::int64_t(readings_[i].day) - readings_[salinity.from[0]].day;
      if (days < 0 || days > kSalinityDays) continue;
      const auto rank = std::make_tuple(days, salinity.derived, apart_ms(i, salinity.from[0]));
      if (rank < best_rank) best = &salinity, best_rank = rank;
    }
    return best;
  }

  void derive_density(const KnownSalinity& salinity) {
    const std::size_t i = salinity.from[0];
    const auto warmth = salinity.derived ? salinity.from[1] : nearest(WaterProperty::kTemperature, i);
    const auto temperature = warmth ? mdegc(*warmth) : std::nullopt;
    if (!temperature) return;
    const auto density = sea_water_density(salinity.millionths, {*temperature, TemperatureScale::kIts90}, 0);
    if (!density) return refuse(DerivedFigure::kDensity, density.error(), {i, *warmth});
    add(DerivedFigure::kDensity, fit<std::int64_t>(divide_rounded(density->density_mg_per_m3, 1000)),
        formula_text(kEos80), density->within_validity && salinity.within_validity, {i, *warmth});
  }

  void derive_oxygen(std::size_t i) {
    const auto warmth = nearest(WaterProperty::kTemperature, i);
    const auto temperature = warmth ? mdegc(*warmth) : std::nullopt;
    const KnownSalinity* salinity = salinity_for(i);
    if (!temperature || salinity == nullptr) return;
    const auto air = nearest(WaterProperty::kAirPressure, i);
    const auto pressure = fit<std::uint32_t>(air ? readings_[*air].value : kStandardAtmospherePa);
    if (!pressure) return;
    const auto saturation = oxygen_saturation(*temperature, salinity->millionths, *pressure);
    const auto ng_per_l = fit<std::int64_t>(Int128(readings_[i].value) * 1000);
    if (!saturation) return refuse(DerivedFigure::kOxygenSaturation, saturation.error(), {i, *warmth});
    if (!ng_per_l) return;
    std::vector<std::size_t> from = {i, *warmth};
    from.insert(from.end(), salinity->from.begin(), salinity->from.end());
    if (air) from.push_back(*air);
    add(DerivedFigure::kOxygenSaturation, oxygen_saturated_ppm(*ng_per_l, *saturation),
        formula_text(kBensonKrause,
                     air ? "" : "no air pressure was read: one standard atmosphere, 1013.25 hPa, is taken"),
        saturation->within_validity && salinity->within_validity, std::move(from));
  }

  void derive_ammonia(std::size_t i) {
    const auto warmth = nearest(WaterProperty::kTemperature, i), acid = nearest(WaterProperty::kPh, i);
    const auto temperature = warmth ? mdegc(*warmth) : std::nullopt;
    const auto ph = acid ? fit<std::int32_t>(readings_[*acid].value) : std::nullopt;
    const KnownSalinity* salinity = salinity_for(i);
    if (!temperature || !ph || salinity == nullptr) return;
    AmmoniaReading reading;
    reading.temperature_mdegc = *temperature;
    reading.ph_thousandths = *ph;
    reading.ph_scale = readings_[*acid].ph_scale;
    reading.total_nitrogen_ng_per_l = fit<std::int64_t>(Int128(readings_[i].value) * 1000);
    const bool fresh = salinity->millionths <= kFreshSalinityMaxMillionths;
    const auto figure =
        fresh ? unionised_ammonia_fresh(reading) : unionised_ammonia_sea(reading, salinity->millionths);
    if (!figure) return refuse(DerivedFigure::kAmmoniaUnionised, figure.error(), {i, *warmth, *acid});
    std::vector<std::size_t> from = {i, *warmth, *acid};
    from.insert(from.end(), salinity->from.begin(), salinity->from.end());
    // Below the range of PSS-78 a salinity is not exact, but low enough to tell fresh water from sea water.
    add(DerivedFigure::kAmmoniaUnionised, figure->nh3_nitrogen_ng_per_l,
        formula_text(figure->formula, "pH on the NBS scale"),
        figure->within_validity && (fresh || salinity->within_validity), std::move(from));
  }

  void derive_chlorine(std::size_t i) {
    const auto free = nearest(WaterProperty::kChlorineFree, i, true);
    if (!free) return;
    // Without a salinity the water may be either; only the name of the total turns on it.
    const KnownSalinity* salinity = salinity_for(i);
    const bool fresh = salinity == nullptr || salinity->millionths <= kFreshSalinityMaxMillionths;
    const WaterKind kind = fresh ? WaterKind::kFresh : WaterKind::kSea;
    const auto free_ng = fit<std::int64_t>(Int128(readings_[*free].value) * 1000);
    const auto total_ng = fit<std::int64_t>(Int128(readings_[i].value) * 1000);
    if (!free_ng || !total_ng) return;
    const auto oxidant = oxidant_from_free_and_total(kind, *free_ng, *total_ng);
    if (!oxidant) return refuse(DerivedFigure::kChlorineCombined, oxidant.error(), {i, *free});
    add(DerivedFigure::kChlorineCombined, oxidant->combined_ng_per_l / 1000,
        std::string(oxidant->total_name) + ", less the free; common practice, no source", true, {i, *free});
  }

  // Samples in the order of time; each belongs to the one that exceeded the limit, or begins anew.
  void derive_coliform() {
    if (!coliform_rule_) return;
    std::vector<std::size_t> series;
    for (std::size_t i = 0; i < readings_.size(); ++i) {
      const PoolReading& reading = readings_[i];
      if (reading.property != WaterProperty::kColiform || !reading.at_ms) continue;
      if (!series.empty()) {
        const std::uint64_t apart = apart_ms(series.back(), i);
        if (apart < kCountedApartMinMs || apart > kCountedApartMaxMs) series.clear();
      }
      if (series.empty() && reading.value <= coliform_rule_->limit_mpn) continue;
      series.push_back(i);
      if (series.size() <= coliform_rule_->further_samples) continue;
      add_coliform(series);
      series.clear();
    }
  }

  void add_coliform(const std::vector<std::size_t>& series) {
    std::vector<ColiformSample> samples;
    for (std::size_t i : series) {
      const auto mpn = fit<std::uint32_t>(readings_[i].value);
      const auto taken_ms = fit<std::int64_t>(*readings_[i].at_ms);
      if (!mpn || !taken_ms) return;
      samples.push_back({*taken_ms, *mpn, false});
    }
    const auto judged = judge_coliform(*coliform_rule_, samples);
    if (!judged || !judged->mean_mpn_thousandths) return;
    // The last sample's is the moment from which the mean is known; so it stands first.
    std::vector<std::size_t> from(series.rbegin(), series.rend());
    out_.push_back(
        {DerivedFigure::kColiformMean, *judged->mean_mpn_thousandths,
         "mean of a sample above the limit and two further ones at 48-hour intervals, unsatisfactory unless "
         "below the limit; 9 CFR 3.106; limit from " +
             coliform_rule_->source,
         false, std::move(from), judged->verdict});
  }

  const std::vector<PoolReading>& readings_;
  const std::optional<ColiformRule>& coliform_rule_;
  std::vector<RefusedWater>* const refused_;
  std::vector<KnownSalinity> salinities_;
  std::vector<DerivedWater> out_;
};

}  // namespace

ColiformRule coliform_averaging(std::uint32_t limit_mpn, const std::string& source) {
  ColiformRule rule;
  rule.limit_mpn = limit_mpn;
  rule.further_samples = 2;
  rule.interval_ms = static_cast<std::int64_t>(48 * kHourMs);
  rule.source = source;
  return rule;
}

PhScale ph_scale_of(const std::string& method) {
  std::string text;
  for (char c : method) text += c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c == '-' ? ' ' : c;
  const auto names = [&](const char* words) { return text.find(words) != std::string::npos; };
  if (names("total scale")) return PhScale::kTotal;
  if (names("free scale")) return PhScale::kFree;
  if (names("sea water scale") || names("seawater scale") || names("sws")) return PhScale::kSeaWater;
  return PhScale::kNbs;
}

std::vector<DerivedWater> derive_water(const std::vector<PoolReading>& readings,
                                       const std::optional<ColiformRule>& coliform_rule,
                                       std::vector<RefusedWater>* refused) {
  return Deriving(readings, coliform_rule, refused).run();
}

}  // namespace wrackline
