#include "analytics/agreement.h"

namespace wrackline {
namespace {

bool square_and_not_negative(const std::vector<std::vector<double>>& matrix, std::size_t size) {
  if (matrix.size() != size) return false;
  for (const std::vector<double>& row : matrix) {
    if (row.size() != size) return false;
    for (double entry : row) {
      if (!(entry >= 0)) return false;
    }
  }
  return true;
}

}  // namespace

std::optional<double> weighted_kappa(const AgreementTable& table,
                                     const std::vector<std::vector<double>>& disagreement) {
  const std::size_t size = table.size();
  if (!square_and_not_negative(table, size) || !square_and_not_negative(disagreement, size))
    return std::nullopt;
  std::vector<double> first(size, 0);
  std::vector<double> second(size, 0);
  double total = 0;
  for (std::size_t a = 0; a < size; ++a) {
    if (disagreement[a][a] != 0) return std::nullopt;
    for (std::size_t b = 0; b < size; ++b) {
      first[a] += table[a][b];
      second[b] += table[a][b];
      total += table[a][b];
    }
  }
  double observed = 0;
  double by_chance = 0;
  for (std::size_t a = 0; a < size; ++a) {
    for (std::size_t b = 0; b < size; ++b) {
      observed += disagreement[a][b] * table[a][b];
      by_chance += disagreement[a][b] * first[a] * second[b];
    }
  }
  if (!(total > 0 && by_chance > 0)) return std::nullopt;
  return 1 - observed * total / by_chance;
}

std::optional<double> cohen_kappa(const AgreementTable& table) {
  std::vector<std::vector<double>> all_alike(table.size(), std::vector<double>(table.size(), 1));
  for (std::size_t a = 0; a < table.size(); ++a) all_alike[a][a] = 0;
  return weighted_kappa(table, all_alike);
}

}  // namespace wrackline
