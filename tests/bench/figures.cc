#include "figures.h"

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

void line(const char* what, double ours, double plain, const char* unit, double target, double ratio, const char* key) {
  std::printf("%-44s %12.1f %12.1f  %-10s %6.2fx", what, ours, plain, unit, ratio);
  if (target > 0) std::printf("  target %.2fx  %s", target, ratio <= target ? "met" : "MISSED");
  std::printf("\n");
  std::fflush(stdout);
  if (key != nullptr) keep_figure(key, ours, plain);
}

void keep_figure(const char* key, double ours, double plain) { kept[key] = {ours, plain}; }

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
