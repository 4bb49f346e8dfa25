#include "analytics/trend.h"

#include <algorithm>
#include <cmath>

#include "analytics/descriptive.h"

namespace wrackline {
namespace {

// Sums over groups of t equal values. 0 everywhere when no two are equal.
struct TieSums {
  double pairs = 0;    // t(t-1)
  double triples = 0;  // t(t-1)(t-2)
  double spread = 0;   // t(t-1)(2t+5)
};

TieSums tie_sums(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  TieSums sums;
  for (auto from = values.begin(); from != values.end();) {
    const auto to = std::upper_bound(from, values.end(), *from);
    const double t = static_cast<double>(to - from);
    sums.pairs += t * (t - 1);
    sums.triples += t * (t - 1) * (t - 2);
    sums.spread += t * (t - 1) * (2 * t + 5);
    from = to;
  }
  return sums;
}

// Chance that n figures in random order have at most so many discordant pairs. Built up figure by figure: the
// k-th stands in each of k places equally often and adds 0 to k - 1 discordant pairs.
double chance_of_at_most(std::size_t discordant, std::size_t n) {
  std::vector<double> chance = {1};
  for (std::size_t k = 2; k <= n; ++k) {
    std::vector<double> next(chance.size() + k - 1, 0);
    for (std::size_t d = 0; d < chance.size(); ++d) {
      for (std::size_t add = 0; add < k; ++add) next[d + add] += chance[d] / static_cast<double>(k);
    }
    chance = std::move(next);
  }
  double sum = 0;
  for (std::size_t d = 0; d < chance.size() && d <= discordant; ++d) sum += chance[d];
  return sum;
}

int sign_of(double value) { return (value > 0) - (value < 0); }

}  // namespace

std::optional<KendallFigures> kendall(const std::vector<Point>& points) {
  if (points.size() < 2 || points.size() > kTrendPointsMax) return std::nullopt;
  KendallFigures out;
  out.count = points.size();
  std::vector<double> xs;
  std::vector<double> ys;
  for (std::size_t j = 0; j < points.size(); ++j) {
    xs.push_back(points[j].x);
    ys.push_back(points[j].y);
    for (std::size_t i = 0; i < j; ++i) {
      out.s += sign_of(points[j].x - points[i].x) * sign_of(points[j].y - points[i].y);
    }
  }
  const double n = static_cast<double>(out.count);
  const double s = static_cast<double>(out.s);
  const double all_pairs = n * (n - 1);  // Ordered: twice the number of pairs.
  const TieSums x_ties = tie_sums(std::move(xs));
  const TieSums y_ties = tie_sums(std::move(ys));
  if (x_ties.pairs == all_pairs || y_ties.pairs == all_pairs) return std::nullopt;
  out.tau_b = 2 * s / std::sqrt((all_pairs - x_ties.pairs) * (all_pairs - y_ties.pairs));
  out.variance = (all_pairs * (2 * n + 5) - x_ties.spread - y_ties.spread) / 18 +
                 x_ties.pairs * y_ties.pairs / (2 * all_pairs);
  if (out.count > 2) out.variance += x_ties.triples * y_ties.triples / (9 * all_pairs * (n - 2));
  out.z = (s - sign_of(s)) / std::sqrt(out.variance);
  out.p_normal = std::erfc(std::fabs(out.z) / std::sqrt(2.0));
  if (x_ties.pairs == 0 && y_ties.pairs == 0 && out.count <= KendallFigures::kExactMax) {
    const std::size_t discordant = static_cast<std::size_t>((all_pairs / 2 - std::fabs(s)) / 2);
    out.p_exact = std::min(1.0, 2 * chance_of_at_most(discordant, out.count));
  }
  return out;
}

std::optional<KendallFigures> mann_kendall(const Series& series) { return kendall(known_points(series)); }

std::optional<TheilSenLine> theil_sen(const std::vector<Point>& points) {
  if (points.size() < 2 || points.size() > kTrendPointsMax) return std::nullopt;
  std::vector<double> xs;
  std::vector<double> ys;
  std::vector<double> slopes;
  for (std::size_t j = 0; j < points.size(); ++j) {
    xs.push_back(points[j].x);
    ys.push_back(points[j].y);
    for (std::size_t i = 0; i < j; ++i) {
      if (points[j].x == points[i].x) continue;
      slopes.push_back((points[j].y - points[i].y) / (points[j].x - points[i].x));
    }
  }
  if (slopes.empty()) return std::nullopt;
  TheilSenLine line;
  line.count = points.size();
  line.slope = *median(std::move(slopes));
  line.intercept = *median(std::move(ys)) - line.slope * *median(std::move(xs));
  return line;
}

}  // namespace wrackline
