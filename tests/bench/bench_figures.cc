#include "bench_figures.h"

#include <cstdio>
#include <fstream>
#include <map>

namespace wrackline::bench {
namespace {

struct Kept {
  double ours, plain;
};
std::map<std::string, Kept> kept;

}  // namespace

void line(const char* what, double ours, double plain, const char* unit, double ratio, Target target, const char* key) {
  std::printf("%-44s %12.1f ", what, ours);
  if (plain > 0) std::printf("%12.1f  %-10s %6.2fx", plain, unit, ratio);
  else std::printf("%12s  %-10s %7s", "-", unit, "");
  if (target.ratio > 0) std::printf("  target %.2fx  %s", target.ratio, ratio <= target.ratio ? "met" : "MISSED");
  if (target.ours > 0) std::printf("  target %.0f %s  %s", target.ours, unit, ours <= target.ours ? "met" : "MISSED");
  std::printf("\n");
  std::fflush(stdout);
  if (key != nullptr) kept[key] = {ours, plain};
}

void write_figures(const std::string& path) {
  std::ofstream out(path);
  const auto side = [&out](const char* name, double Kept::* figure) {
    out << '"' << name << "\": {";
    const char* comma = "";
    for (const auto& [key, both] : kept) {
      if (both.*figure == 0) continue;
      out << comma << '"' << key << "\": " << both.*figure;
      comma = ", ";
    }
    out << '}';
  };
  out << '{';
  side("wrackline", &Kept::ours);
  out << ", ";
  side("sqlite", &Kept::plain);
  out << "}\n";
}

}  // namespace wrackline::bench
