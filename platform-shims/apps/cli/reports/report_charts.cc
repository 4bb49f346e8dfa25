#include "cli/reports/report_charts.h"

#include <algorithm>
#include <map>
#include <optional>

namespace wrackline::cli {
namespace {

// A table's cells by the codes of their columns.
class Rows {
 public:
  explicit Rows(const ReportTable& table) : table_(table) {
    for (int c = 0; c < table.columns_size(); ++c) at_[table.columns(c).code()] = c;
  }
  int size() const { return table_.rows_size(); }
  const ReportCell& cell(int row, const std::string& column) const {
    const auto at = at_.find(column);
    return at == at_.end() ? ReportCell::default_instance() : table_.rows(row).cells(at->second);
  }
  std::optional<SvgPoint> point(int row, const std::string& column) const {
    const ReportCell& value = cell(row, column);
    if (value.is_case() != ReportCell::kNumber) return {};
    return SvgPoint{cell(row, "day").day(), value.number()};
  }
  bool has_code(int row, const std::string& column, std::string_view code) const {
    const ReportCell& value = cell(row, column);
    if (value.code().code() == code) return true;
    const auto& cells = value.list().cells();
    return std::any_of(cells.begin(), cells.end(), [&](const ReportCell& one) { return one.code().code() == code; });
  }

 private:
  const ReportTable& table_;
  std::map<std::string, int> at_;
};

void put(const std::optional<SvgPoint>& point, SvgSeries& series) {
  if (point) series.points.push_back(*point);
}

// Kilograms, or grams where nothing reaches one.
void set_mass_axis(SvgChart& chart) {
  std::int64_t most = 0;
  for (const SvgSeries& s : chart.series)
    for (const SvgPoint& p : s.points) most = std::max(most, p.value);
  chart.unit = most < 1'000'000 ? "g" : "kg";
  chart.decimals = most < 1'000'000 ? 3 : 6;
}

SvgChart chart_over(const ReportReply& report, const std::string& what, const std::string& description) {
  SvgChart chart;
  chart.title = what + ": " + report.subject_name();
  chart.description = description + " " + print_day(report.first_day()) + " to " + print_day(report.last_day()) + ".";
  chart.first_day = report.first_day();
  chart.last_day = report.last_day();
  return chart;
}

std::string intake_chart(const ReportReply& report, const Rows& rows) {
  SvgSeries plan{"planned", SvgStroke::kDashed, SvgMark::kNone, true, {}};
  SvgSeries eaten{"eaten, every leftover weighed", SvgStroke::kSolid, SvgMark::kDot, false, {}};
  SvgSeries part{"eaten of what was weighed; the rest not known", SvgStroke::kNone, SvgMark::kRing, false, {}};
  for (int row = 0; row < rows.size(); ++row) {
    put(rows.point(row, "planned_mg"), plan);
    put(rows.point(row, "eaten_mg"), rows.cell(row, "eaten_mg").mark() == REPORT_MARK_PART ? part : eaten);
  }
  SvgChart chart = chart_over(report, "Eaten a day", "Food eaten a day against the plan. Days not recorded are gaps.");
  chart.series = {plan, eaten, part};
  set_mass_axis(chart);
  return svg_text(chart);
}

std::string control_chart(const ReportReply& report, const Rows& rows) {
  SvgSeries low{"limits", SvgStroke::kDotted, SvgMark::kNone, false, {}};
  SvgSeries high{"", SvgStroke::kDotted, SvgMark::kNone, false, {}};
  SvgSeries base{"baseline", SvgStroke::kDashed, SvgMark::kNone, true, {}};
  SvgSeries mean{"moving mean (EWMA)", SvgStroke::kSolid, SvgMark::kNone, false, {}};
  SvgSeries eaten{"eaten", SvgStroke::kNone, SvgMark::kDot, false, {}};
  SvgSeries alarm{"alarm", SvgStroke::kNone, SvgMark::kTriangle, false, {}};
  SvgSeries outlier{"outlier", SvgStroke::kNone, SvgMark::kRing, false, {}};
  for (int row = 0; row < rows.size(); ++row) {
    put(rows.point(row, "baseline_mg"), base);
    put(rows.point(row, "judged_mg"), eaten);
    put(rows.point(row, "ewma_mg"), mean);
    put(rows.point(row, "low_mg"), low);
    put(rows.point(row, "high_mg"), high);
    if (rows.has_code(row, "signs", "outlier")) put(rows.point(row, "judged_mg"), outlier);
    if (rows.has_code(row, "signs", "alarm")) put(rows.point(row, "ewma_mg"), alarm);
  }
  SvgChart chart = chart_over(report, "Control chart", "Moving mean of what was eaten, with its limits and alarms. Days not wholly weighed are gaps.");
  chart.series = {low, high, base, mean, eaten, outlier, alarm};
  set_mass_axis(chart);
  return svg_text(chart);
}

std::string mass_chart(const ReportReply& report, const Rows& rows) {
  SvgSeries masses{"body mass", SvgStroke::kNone, SvgMark::kDot, false, {}};
  for (int row = 0; row < rows.size(); ++row)
    if (rows.has_code(row, "quantity", "mass")) put(rows.point(row, "value"), masses);
  SvgChart chart = chart_over(report, "Body mass", "Body mass at each weighing. Nothing is drawn between weighings.");
  chart.from_zero = false;
  chart.series = {masses};
  set_mass_axis(chart);
  return svg_text(chart);
}

// A limit holds all day long, whether or not anything was read.
SvgSeries limit_line(const std::string& name, std::int64_t value, const ReportReply& report) {
  SvgSeries out{name, SvgStroke::kDashed, SvgMark::kNone, true, {}};
  for (Day day = report.first_day(); day <= report.last_day(); ++day) out.points.push_back({day, value});
  return out;
}

std::string water_chart(const ReportReply& report, const ReportTable& table, const Rows& rows, const std::string& heading) {
  SvgChart chart = chart_over(report, heading, "Readings of " + heading + " against their limits. Days without a reading are gaps.");
  chart.from_zero = false;
  SvgSeries read{"read", SvgStroke::kSolid, SvgMark::kDot, false, {}};
  SvgSeries outside{"outside its limit", SvgStroke::kNone, SvgMark::kTriangle, false, {}};
  SvgSeries disagrees{"in disagreement, one of its values", SvgStroke::kNone, SvgMark::kRing, false, {}};
  // The lines the readings were held against, and no others; each once.
  std::map<std::pair<std::string, std::int64_t>, bool> limits;
  for (int row = 0; row < rows.size(); ++row) {
    const std::optional<SvgPoint> value = rows.point(row, "value");
    put(value, read);
    if (rows.has_code(row, "judgement", "above") || rows.has_code(row, "judgement", "below")) put(value, outside);
    if (rows.cell(row, "value").mark() == REPORT_MARK_DISAGREES) put(value, disagrees);
    const std::string more = rows.has_code(row, "limit", "unverified") ? " (unverified)" : "";
    for (const std::string side : {"low", "high"})
      if (const auto limit = rows.point(row, side)) limits[{side + " limit" + more, limit->value}] = true;
  }
  for (const auto& [line, is_one] : limits) chart.series.push_back(limit_line(line.first, line.second, report));
  for (SvgSeries* s : {&read, &outside, &disagrees}) chart.series.push_back(std::move(*s));
  if (table.rows_size() > 0) set_axis(chart, unit_of_code(rows.cell(0, "value").unit()));
  return svg_text(chart);
}

}  // namespace

std::string report_chart(const ReportReply& report, const ReportTable& table, const std::string& heading) {
  const Rows rows(table);
  if (table.code() == "days") return intake_chart(report, rows);
  if (table.code() == "control") return control_chart(report, rows);
  if (table.code() == "measures") return mass_chart(report, rows);
  if (table.code() == "readings") return water_chart(report, table, rows, heading);
  return {};
}

void set_axis(SvgChart& chart, Unit unit) {
  const std::string text = print_quantity(unit, 1'000'000'000);
  const std::size_t from = text.find_first_of("0123456789");
  const std::size_t to = std::min(text.find_first_not_of("0123456789", from), text.size());
  chart.decimals = 10 - static_cast<int>(to - from);
  chart.unit = text.substr(0, from) + text.substr(to);  // "pH 8.1", but "12 kg".
  chart.unit.erase(0, std::min(chart.unit.find_first_not_of(' '), chart.unit.size()));
  chart.unit.erase(chart.unit.find_last_not_of(' ') + 1);
}

}  // namespace wrackline::cli
