#include "analytics/diversity.h"

#include <cmath>

namespace wrackline {
namespace {

// The shares of the kinds that were used at all.
std::vector<double> shares(const std::vector<std::uint64_t>& counts) {
  double total = 0;
  for (std::uint64_t count : counts) total += static_cast<double>(count);
  std::vector<double> out;
  for (std::uint64_t count : counts) {
    if (count > 0) out.push_back(static_cast<double>(count) / total);
  }
  return out;
}

}  // namespace

std::optional<double> shannon_nats(const std::vector<std::uint64_t>& counts) {
  const std::vector<double> used = shares(counts);
  if (used.empty()) return std::nullopt;
  double sum = 0;
  for (double share : used) sum -= share * std::log(share);
  return sum;
}

std::optional<double> simpson(const std::vector<std::uint64_t>& counts) {
  const std::vector<double> used = shares(counts);
  if (used.empty()) return std::nullopt;
  double sum = 0;
  for (double share : used) sum += share * share;
  return 1 - sum;
}

}  // namespace wrackline
