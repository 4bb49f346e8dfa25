// wrackline_figures: our computations, asked for on standard input and answered on standard output.
//
// A question is a line, `NAME number number ...`; its answer is a line of numbers as exact as a double is,
// with `-` for a figure that cannot be said, or `error: WHY`. The table at the end says what each takes and
// answers. It checks nothing itself: what is asked and what is right is the business of the scripts beside
// it.
#include <cmath>
#include <cstdio>
#include <functional>
#include <iostream>
#include <map>
#include <optional>
#include <sstream>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "analytics/agreement.h"
#include "analytics/control_chart.h"
#include "analytics/descriptive.h"
#include "analytics/diversity.h"
#include "analytics/growth.h"
#include "analytics/line_fit.h"
#include "analytics/proportion.h"
#include "analytics/trend.h"
#include "water/density.h"
#include "water/oxygen.h"
#include "water/salinity.h"

namespace {

using namespace wrackline;

using Numbers = std::vector<double>;
using Answer = std::vector<std::optional<double>>;

template <typename Whole>
Whole whole(const Numbers& in, std::size_t place) {
  return static_cast<Whole>(std::llround(in.at(place)));
}

template <typename T>
T value_of(Result<T> result) {
  if (!result) throw std::runtime_error(result.error().message);
  return std::move(*result);
}

Numbers from(const Numbers& in, std::size_t place) {
  if (place > in.size()) throw std::out_of_range("too few numbers");
  return Numbers(in.begin() + static_cast<std::ptrdiff_t>(place), in.end());
}

Series series_from(const Numbers& in, std::size_t place) {
  const Numbers rest = from(in, place);
  return Series(rest.begin(), rest.end());
}

std::vector<Point> points(const Numbers& in) {
  std::vector<Point> out;
  for (std::size_t i = 0; i + 1 < in.size(); i += 2) out.push_back({in[i], in[i + 1]});
  return out;
}

std::vector<std::uint64_t> counts(const Numbers& in) {
  std::vector<std::uint64_t> out;
  for (std::size_t i = 0; i < in.size(); ++i) out.push_back(whole<std::uint64_t>(in, i));
  return out;
}

// `side` rows of `side` numbers, from `place` on.
AgreementTable square(const Numbers& in, std::size_t place, std::size_t side) {
  AgreementTable out(side, std::vector<double>(side));
  for (std::size_t row = 0; row < side; ++row) {
    for (std::size_t column = 0; column < side; ++column)
      out[row][column] = in.at(place + row * side + column);
  }
  return out;
}

Answer salinity(const Numbers& in) {
  const Conductivity conductivity{whole<std::uint64_t>(in, 0), ConductivityUnit::kMillisiemensPerCm};
  const Salinity out = value_of(salinity_from_conductivity(
      conductivity, {whole<std::int32_t>(in, 1), TemperatureScale::kIts90}, whole<std::uint32_t>(in, 2)));
  return {out.salinity_millionths * 1e-6, out.within_validity};
}

Answer density(const Numbers& in) {
  const Density out = value_of(sea_water_density(whole<std::int32_t>(in, 0),
                                                 {whole<std::int32_t>(in, 1), TemperatureScale::kIts90},
                                                 whole<std::uint32_t>(in, 2)));
  return {static_cast<double>(out.density_mg_per_m3) * 1e-6, out.within_validity};
}

Answer oxygen(const Numbers& in) {
  const OxygenSaturation out = value_of(
      oxygen_saturation(whole<std::int32_t>(in, 0), whole<std::int32_t>(in, 1), whole<std::uint32_t>(in, 2)));
  return {static_cast<double>(out.saturation_ng_per_l) * 1e-6, out.within_validity};
}

Answer descriptive(const Numbers& in) {
  return {mean(in), standard_deviation(in), median(in), median_absolute_deviation(in),
          lag1_autocorrelation(in)};
}

Answer line(const Numbers& in) {
  const std::optional<LineFit> fit = fit_line(points(in));
  if (!fit) return Answer(6);
  return {fit->slope, fit->intercept, fit->residual_ss, fit->slope_sd, fit->intercept_sd, fit->r2};
}

Answer kendall_figures(const Numbers& in) {
  const std::optional<KendallFigures> figures = kendall(points(in));
  if (!figures) return Answer(6);
  return {static_cast<double>(figures->s),
          figures->tau_b,
          figures->variance,
          figures->z,
          figures->p_normal,
          figures->p_exact};
}

Answer theil_sen_line(const Numbers& in) {
  const std::optional<TheilSenLine> found = theil_sen(points(in));
  if (!found) return Answer(2);
  return {found->slope, found->intercept};
}

Answer wilson(const Numbers& in) {
  const std::optional<ShareInterval> interval =
      wilson_interval(whole<std::uint64_t>(in, 0), whole<std::uint64_t>(in, 1));
  if (!interval) return Answer(2);
  return {interval->lower, interval->upper};
}

Answer ewma(const Numbers& in) {
  EwmaSettings settings;
  settings.target = in.at(0), settings.sigma = in.at(1), settings.lambda = in.at(2);
  Answer out;
  for (const auto& point : value_of(ewma_chart(series_from(in, 3), settings))) out.push_back(point->z);
  return out;
}

Answer cusum(const Numbers& in) {
  Answer out;
  for (const auto& point : value_of(cusum_chart(series_from(in, 3), {in.at(0), in.at(1), in.at(2)}))) {
    out.push_back(point->upper);
    out.push_back(point->lower);
  }
  return out;
}

Answer growth(const Numbers& in) {
  const std::int64_t days = whole<std::int64_t>(in, 2);
  return {percent_change(in.at(0), in.at(1)), specific_growth_rate(in.at(0), in.at(1), days),
          absolute_growth_rate(in.at(0), in.at(1), days)};
}

const std::map<std::string, std::function<Answer(const Numbers&)>> kFunctions = {
    // uS/cm, thousandths of a degree C (ITS-90), thousandths of a dbar -> practical salinity, within validity
    {"salinity", salinity},
    // millionths of practical salinity, thousandths of a degree C (ITS-90) and of a dbar -> kg/m3, within
    // validity
    {"density", density},
    // thousandths of a degree C, millionths of practical salinity, Pa -> mg/L, within validity
    {"oxygen", oxygen},
    {"descriptive", descriptive},  // values -> mean, sd, median, MAD as it is, lag-1 autocorrelation
    {"quantile",
     [](const Numbers& in) { return Answer{quantile(from(in, 1), in.at(0))}; }},  // fraction, values
    {"line", line},  // x y x y ... -> slope, intercept, residual SS, sd of slope and intercept, r2
    {"kendall", kendall_figures},   // x y x y ... -> S, tau-b, variance, z, normal p, exact p
    {"theil_sen", theil_sen_line},  // x y ... -> slope, intercept
    {"wilson", wilson},             // successes, trials
    {"ewma", ewma},                 // target, sigma, lambda, values -> z of each
    {"cusum", cusum},               // target, slack, decision, values -> upper and lower of each
    {"growth", growth},             // first, last, days -> % change, % a day, mass a day
    {"shannon", [](const Numbers& in) { return Answer{shannon_nats(counts(in))}; }},
    // side, side * side counts; the weighted one goes on with side * side weights of disagreement
    {"kappa",
     [](const Numbers& in) { return Answer{cohen_kappa(square(in, 1, whole<std::size_t>(in, 0)))}; }},
    {"weighted_kappa",
     [](const Numbers& in) {
       const auto side = whole<std::size_t>(in, 0);
       return Answer{weighted_kappa(square(in, 1, side), square(in, 1 + side * side, side))};
     }},
};

std::string answer_to(const std::string& question) {
  std::istringstream words(question);
  std::string name, word;
  words >> name;
  const auto function = kFunctions.find(name);
  if (function == kFunctions.end()) return "error: there is no function " + name;
  try {
    Numbers numbers;
    while (words >> word) numbers.push_back(std::stod(word));
    std::string out;
    for (const std::optional<double>& figure : function->second(numbers)) {
      char text[32] = "-";
      if (figure) std::snprintf(text, sizeof text, "%.17g", *figure);
      out += (out.empty() ? "" : " ") + std::string(text);
    }
    return out;
  } catch (const std::exception& problem) {
    return std::string("error: ") + problem.what();
  }
}

}  // namespace

int main() {
  std::string question;
  while (std::getline(std::cin, question)) std::cout << answer_to(question) << "\n";
  return std::cout.flush() ? 0 : 1;
}
