// Goal: open data sets, brought in as the tables and sheets that people have, come out of `wrack body` and
// `wrack trend` with the figures that R gives for them. Method: the data are written as CSV with our columns,
// imported into a fresh replica, and the JSON of the commands is laid beside R's figures.
//
// Sources: support/open_data.h. Figures [computed] by R 4.2.2 with nlme 3.1-162. Ours are whole milligrams
// and millionths, which is where every margin below comes from.
#include "support/open_data.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <regex>

#include "analytics/descriptive.h"
#include "records.pb.h"
#include "test_desk.h"
#include "text/local_time.h"

namespace wrackline::cli {
namespace {

constexpr Day kFirstDay = 20'089;  // 2025-01-01

// A millionth a day is 1e-4 %; half of it is what rounding may take from one rate, or from their mean.
constexpr double kRateMargin = 0.5e-4;

void write(const std::string& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

std::string grams_text(double grams) { return std::to_string(std::llround(grams)) + "g"; }

// Every number of that name in a command's JSON, in its order.
std::vector<double> numbers_of(const std::string& json, const std::string& name) {
  std::vector<double> out;
  const std::regex pattern("\"" + name + "\": (-?[0-9]+)");
  for (std::sregex_iterator at(json.begin(), json.end(), pattern), end; at != end; ++at)
    out.push_back(std::stod((*at)[1]));
  return out;
}

double number_of(const std::string& json, const std::string& name) {
  const std::vector<double> found = numbers_of(json, name);
  INFO(name << " in " << json.substr(0, 400));
  REQUIRE(found.size() == 1);
  return found.front();
}

// Bodies weighed on days of a series of their own; bodies may end early.
struct Weighings {
  std::string name;  // The name of a body is this and its number from 1.
  std::vector<double> days;
  std::vector<std::vector<double>> grams;

  std::string body(std::size_t place) const { return name + " " + std::to_string(place + 1); }
};

std::string import_all(Desk& desk, const Weighings& weighings) {
  std::string animals = "name,taxon\r\n", measures = "animal_name,day,happened_ms,quantity,value,method\r\n";
  for (std::size_t i = 0; i < weighings.grams.size(); ++i) {
    animals += weighings.body(i) + ",of an open data set\r\n";
    for (std::size_t k = 0; k < weighings.grams[i].size(); ++k) {
      const std::string day = print_day(kFirstDay + static_cast<Day>(weighings.days[k]));
      measures += weighings.body(i) + "," + day + "," + day + " 08:00,mass," +
                  grams_text(weighings.grams[i][k]) + ",scale\r\n";
    }
  }
  write(desk.path("animals.csv"), animals);
  write(desk.path("measures.csv"), measures);
  const Desk::Output first = desk.run({"import", "animal", desk.path("animals.csv")});
  INFO(first.text);
  REQUIRE(first.exit == Exit::kOk);
  const Desk::Output second = desk.run({"import", "measure", desk.path("measures.csv")}, true);
  INFO(second.text);
  REQUIRE(second.exit == Exit::kOk);
  return second.text;
}

std::string body_json(Desk& desk, const std::string& name) {
  const Desk::Output out =
      desk.run({"body", name, "--from", print_day(kFirstDay), "--to", print_day(kFirstDay + 70)}, true);
  INFO(out.text);
  REQUIRE(out.exit == Exit::kOk);
  return out.text;
}

std::vector<double> grams_in(const std::string& json) {
  std::vector<double> out = numbers_of(json, "value");
  for (double& value : out) value /= 1000;
  return out;
}

TEST_CASE("ChickWeight, imported as a table, grows as R says", "[open-data]") {
  SharedRoster roster(1);
  Desk desk(roster);
  Weighings chicks{"Chick", kChickDays, {}};
  for (const Chick& chick : kChicks) chicks.grams.push_back(chick.grams);
  CHECK(number_of(import_all(desk, chicks), "imported") == 578);

  std::vector<double> all, rates, a_day;
  std::vector<std::vector<double>> on_day_21(5);
  for (std::size_t i = 0; i < kChicks.size(); ++i) {
    const std::string json = body_json(desk, chicks.body(i));
    const std::vector<double> grams = grams_in(json);
    REQUIRE(grams == kChicks[i].grams);  // Nothing is lost, moved or made up on the way.
    all.insert(all.end(), grams.begin(), grams.end());
    if (grams.size() < kChickDays.size()) continue;  // Ended early: missing on day 21, not zero.
    rates.push_back(number_of(json, "growth_ppm_per_day") * 1e-4);
    a_day.push_back(number_of(json, "growth_mg_per_day") / 1000);
    on_day_21[0].push_back(grams.back());
    on_day_21[static_cast<std::size_t>(kChicks[i].diet)].push_back(grams.back());
    if (i == 0) {
      CHECK(rates[0] == Approx(7.54923981).margin(kRateMargin));
      CHECK(number_of(json, "change_ppm") == 3'880'952);  // 42 to 205 g.
      CHECK(number_of(json, "mass_mg") == 205'000);
    }
  }
  CHECK(*mean(all) == Approx(121.8183391).margin(5e-8));
  CHECK(*standard_deviation(all) == Approx(71.0719596).margin(5e-8));
  REQUIRE(rates.size() == 45);
  CHECK(*mean(rates) == Approx(7.684175).margin(kRateMargin));
  CHECK(*mean(a_day) == Approx(8.458201058).margin(0.0005));  // Half a milligram.
  CHECK(*mean(on_day_21[0]) == Approx(218.6889).margin(5e-5));
  CHECK(*median(on_day_21[0]) == 205);
  const double by_diet[] = {177.75, 214.7, 270.3, 238.5555556};
  for (std::size_t diet = 1; diet <= 4; ++diet)
    CHECK(*mean(on_day_21[diet]) == Approx(by_diet[diet - 1]).margin(5e-8));
}

TEST_CASE("BodyWeight, imported as a table, grows as R says", "[open-data]") {
  SharedRoster roster(2);
  Desk desk(roster);
  const Weighings rats{"Rat", kRatDays, kRats};
  CHECK(number_of(import_all(desk, rats), "imported") == 176);

  std::vector<double> all, rates, a_day;
  std::vector<std::vector<double>> of_diet(3);
  for (std::size_t i = 0; i < kRats.size(); ++i) {
    const std::string json = body_json(desk, rats.body(i));
    const std::vector<double> grams = grams_in(json);
    REQUIRE(grams == kRats[i]);
    all.insert(all.end(), grams.begin(), grams.end());
    std::vector<double>& diet = of_diet[i < 8 ? 0 : i < 12 ? 1 : 2];
    diet.insert(diet.end(), grams.begin(), grams.end());
    rates.push_back(number_of(json, "growth_ppm_per_day") * 1e-4);
    a_day.push_back(number_of(json, "growth_mg_per_day") / 1000);
  }
  CHECK(*mean(all) == Approx(384.482954545).margin(5e-10));
  CHECK(*standard_deviation(all) == Approx(127.160459912).margin(5e-10));
  CHECK(*mean(of_diet[0]) == Approx(263.715909).margin(5e-7));
  CHECK(*mean(of_diet[1]) == Approx(484.704545).margin(5e-7));
  CHECK(*mean(of_diet[2]) == Approx(525.795455).margin(5e-7));
  // Between the first and last of 63 days.
  CHECK(rates[0] == Approx(0.233305064).margin(kRateMargin));
  CHECK(rates[8] == Approx(0.2435770997).margin(kRateMargin));
  CHECK(*mean(rates) == Approx(0.1554098652).margin(kRateMargin));
  CHECK(*mean(a_day) == Approx(0.6051587302).margin(0.0005));
}

TEST_CASE("a table of weighings that is imported twice is refused and changes nothing", "[open-data]") {
  SharedRoster roster(3);
  Desk desk(roster);
  import_all(desk, {"Rat", kRatDays, {kRats[0]}});
  CHECK(desk.run({"import", "measure", desk.path("measures.csv")}).exit == Exit::kRefused);
  CHECK(grams_in(body_json(desk, "Rat 1")) == kRats[0]);
}

// The hundred years of the Nile as a hundred days of intake: only the numbers matter here.
TEST_CASE("the Nile, imported as a feeding sheet, has the trend that R finds in it", "[open-data]") {
  SharedRoster roster(4);
  Animal animal;
  animal.set_name("Nilsson");
  roster.add("animal", animal.SerializeAsString());
  Food food;
  food.set_name("Herring");
  roster.add("food", food.SerializeAsString());
  Desk desk(roster);
  std::string sheet = "date,time,animal,food,offered g,left g,keeper\r\n";
  for (std::size_t i = 0; i < kNile.size(); ++i)
    sheet += print_day(kFirstDay + static_cast<Day>(i)) + ",08:30,Nilsson,Herring," +
             std::to_string(std::llround(kNile[i]) + 100) + ",100,Ines Valdor\r\n";
  write(desk.path("sheet.csv"), sheet);
  const Desk::Output imported = desk.run({"import-sheet", desk.path("sheet.csv")});
  INFO(imported.text);
  REQUIRE(imported.exit == Exit::kOk);

  const Desk::Output out = desk.run({"trend", "Nilsson", "--from", print_day(kFirstDay), "--to",
                                     print_day(kFirstDay + 99), "--step", "0.5g"},
                                    true);
  INFO(out.text);
  REQUIRE(out.exit == Exit::kOk);
  CHECK(number_of(out.text, "days_complete") == 100);
  CHECK(number_of(out.text, "trend_z_thousandths") == -4'128);  // -4.128067
  CHECK(number_of(out.text, "trend_mg_per_week") == -18'200);   // -2.6 g a day.
  CHECK(number_of(out.text, "ration_mg") == 893'500);           // median(Nile)
  CHECK(number_of(out.text, "ration_low_mg") == 798'500);       // quantile(Nile, 0.25)
  CHECK(number_of(out.text, "ration_high_mg") == 1'032'500);
  CHECK(number_of(out.text, "baseline_mg") == 984'320);     // mean and sd of the first half.
  CHECK(number_of(out.text, "baseline_sd_mg") == 192'718);  // 192.7178799
  // Means of the last 7 and 28: 845.571428571, 871.714285714.
  const std::vector<double> means = numbers_of(out.text, "eaten_mean_mg");
  CHECK(std::count(means.begin(), means.end(), 845'571) == 1);
  CHECK(std::count(means.begin(), means.end(), 871'714) == 1);
}

}  // namespace
}  // namespace wrackline::cli
