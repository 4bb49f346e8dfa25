#include "text/figures.h"

#include "text/decimal.h"
#include "text/quantity.h"

namespace wrackline::text {
namespace {

// 97.5th percentile of the standard normal distribution: a two-sided test at 5 %.
constexpr std::int64_t kClearZThousandths = 1960;

}  // namespace

std::int64_t rounded(std::int64_t v, std::int64_t step) {
  return (v < 0 ? v - step / 2 : v + step / 2) / step * step;
}

std::string mass_figure(std::int64_t mg) { return print_quantity(Unit::kMassMg, rounded(mg, 1000)); }

std::string percent_figure(std::int64_t ppm) { return print_decimal(rounded(ppm, 1000), 4) + " %"; }

std::string interval_figure(std::int64_t low_ppm, std::int64_t high_ppm) {
  return print_decimal(rounded(low_ppm, 1000), 4) + " to " + percent_figure(high_ppm);
}

std::string trend_words(std::int64_t z) {
  const char* words = z >= kClearZThousandths ? "rising" : z <= -kClearZThousandths ? "falling" : "not clear";
  return std::string(words) + " (z " + print_decimal(rounded(z, 10), 3) + ")";
}

}  // namespace wrackline::text
