// Goal: what is received, used, counted and thawed adds up in `stock` and `prep`, and a meal says what stood in for
// what. Method: commands run on a desk in a scratch folder, on the day of this machine's clock.
#include <catch2/catch.hpp>

#include "records.pb.h"
#include "test_desk.h"
#include "text/local_time.h"

namespace wrackline::cli {
namespace {

using Catch::Contains;

struct Kitchen {
  SharedRoster roster{77};
  Desk desk{roster};
  std::string today, next_month, yesterday;

  Kitchen() {
    const Day day = Zone::find("Europe/Oslo")->today(wall_clock_now());
    today = print_day(day);
    yesterday = print_day(day - 1);
    next_month = print_day(day + 30);
    run({"add", "area", "name=yard"});
    run({"add", "pool", "name=Seal pool", "area=yard"});
    run({"add", "animal", "name=Sila", "pool=Seal pool"});
    // USDA SR-28, NDB 15039 and 15175.
    run({"add", "food", "name=Herring", "energy=158kcal/100g"});
    run({"add", "food", "name=Squid", "energy=92kcal/100g"});
    run({"add", "diet_plan", "animal=Sila", "first_day=2024-01-01", "line=food=Herring slot=08:30 mass=300g preparation=<b>whole</b>",
         "line=food=Herring slot=16:30 mass=1kg"});
    run({"receive", "Herring", "12kg", "--lot", "H-1", "--use-by", next_month, "--store", "freezer 1"});
  }
  std::string run(const std::vector<std::string>& words, Exit wanted = Exit::kOk) {
    const Desk::Output out = desk.run(words);
    INFO(words[0] << ": " << out.text);
    REQUIRE(out.exit == wanted);
    return out.text;
  }
};

TEST_CASE("what comes and goes adds up, and a count sets the book right", "[stores]") {
  Kitchen k;
  CHECK_THAT(k.run({"use", "H-1", "2.4kg"}), Contains("by the book: 9.6 kg"));
  CHECK_THAT(k.run({"discard", "H-1", "600g", "--reason", "torn bag"}), Contains("by the book: 9 kg"));
  CHECK_THAT(k.run({"count", "H-1", "8.5kg"}), Contains("by the book: 8.5 kg") && Contains("off by -500 g"));
  CHECK_THAT(k.run({"count", "H-1", "8.5kg"}), Contains("the book was right"));
  // 1.3 kg a day: 8.5 kg are six whole days; fourteen days ask for 18.2 kg.
  CHECK_THAT(k.run({"stock"}), Contains("8.5 kg  18.2 kg  6 days") && Contains("9.7 kg") && Contains("freezer 1"));
  CHECK_THAT(k.run({"stock", "--horizon", "3"}), Contains("3.9 kg") && !Contains("9.7 kg"));
  CHECK_THAT(k.run({"use", "H-1", "9kg"}), Contains("by the book: -500 g") && Contains("more was taken than ever came in"));
  CHECK_THAT(k.run({"stock"}), Contains("count it"));
}

TEST_CASE("amounts, lots and places that make no sense write nothing", "[stores]") {
  Kitchen k;
  k.run({"use", "H-1", "2.4"}, Exit::kUsage);
  k.run({"use", "H-1", "0kg"}, Exit::kRefused);
  k.run({"use", "H-9", "1kg"}, Exit::kNotFound);
  k.run({"discard", "H-1", "1kg"}, Exit::kUsage);
  k.run({"thaw", "H-1", "1kg", "--in", "sun"}, Exit::kUsage);
  k.run({"stock", "--horizon", "0"}, Exit::kUsage);
  k.run({"stock", "--horizon", "366"}, Exit::kRefused);
  k.run({"receive", "Herring", "1kg", "--lot", "H-2", "--use-by", k.yesterday}, Exit::kRefused);
  CHECK_THAT(k.run({"stock"}), Contains("12 kg") && !Contains("H-2"));
}

TEST_CASE("thawing takes the mass out of the store and starts a clock", "[stores]") {
  Kitchen k;
  CHECK_THAT(k.run({"thaw", "H-1", "2kg", "--in", "refrigerator"}), Contains("by the book: 10 kg") && Contains("wrack thawed"));
  const std::string waiting = k.run({"prep"});
  CHECK_THAT(waiting, Contains("refrigerator") && Contains("24 h from when it is thawed"));
  const std::size_t at = waiting.find("BATCH");
  REQUIRE(at != std::string::npos);
  const std::size_t id = waiting.find_first_not_of(" \n", waiting.find('\n', at));
  const std::string batch = waiting.substr(id, waiting.find(' ', id) - id);
  k.run({"thawed", batch});
  CHECK_THAT(k.run({"prep"}), !Contains("24 h from when"));
  CHECK_THAT(k.run({"thawed", batch}, Exit::kRefused), Contains("--reason"));
  k.run({"thawed", batch, "--reason", "looked again"});
  k.run({"thawed", "H-1"}, Exit::kUsage);
}

TEST_CASE("prep says what to weigh, from where, and how to keep it safe", "[stores]") {
  Kitchen k;
  const std::string sheet = k.run({"prep"});
  CHECK_THAT(sheet, Contains(k.today) && Contains("To weigh: yard") && Contains("08:30") && Contains("300 g") &&
                        Contains("plan not approved") && Contains("H-1 (use by " + k.next_month));
  CHECK_THAT(sheet, Contains("never refreeze") && Contains("Wash hands") && !Contains("given"));
  k.run({"meal", "Sila", "--slot", "08:30", "--food", "Herring=300g"});
  CHECK_THAT(k.run({"prep"}), Contains("given"));
  CHECK_THAT(k.run({"prep", "--area", "hall"}), Contains("no plan in force"));
  k.run({"use", "H-1", "11.5kg"});
  CHECK_THAT(k.run({"prep"}), Contains("short by 800 g"));
  for (std::size_t from = 0, end; (end = sheet.find('\n', from)) != std::string::npos; from = end + 1)
    CHECK(end - from <= 100);
}

TEST_CASE("the page to print holds the sheet, escaped and by itself", "[stores]") {
  Kitchen k;
  const std::string path = k.desk.path("prep.html");
  k.run({"prep", "--html", path});
  const std::string page = read_file(path, "the page");
  CHECK_THAT(page, Contains("Food for ") && Contains("Skerry Bay Rescue") && Contains("300 g") && Contains("never refreeze"));
  CHECK_THAT(page, Contains("&lt;b&gt;whole&lt;/b&gt;") && !Contains("<b>"));
  k.run({"prep", "--html", k.desk.path("no/such/prep.html")}, Exit::kStorage);
}

TEST_CASE("a meal says what stood in for the food of the plan", "[stores]") {
  Kitchen k;
  // 300 g of herring are 474 kcal, which are 515.217 g of squid.
  CHECK_THAT(k.run({"meal", "Sila", "--slot", "08:30", "--substitute", "Herring=Squid,by:energy"}),
             Contains("300 g (474 kcal) of Herring: 515.217 g (474 kcal) of Squid"));
  CHECK_THAT(k.run({"meal", "Sila", "--slot", "16:30", "--substitute", "Herring=Squid,by:mass,offered:1.005kg,left:0g"}),
             Contains("1 kg"));
  Client client(k.desk.options());
  std::vector<Portion> portions(2);
  const std::vector<RecordView> views = client.list(9, {});
  REQUIRE(views.size() == 2);
  for (std::size_t i = 0; i < 2; ++i) REQUIRE(portions[i].ParseFromString(views[i].fields()));
  if (portions[0].offered_mg() > portions[1].offered_mg()) std::swap(portions[0], portions[1]);
  CHECK(portions[0].offered_mg() == 515'217);
  CHECK(portions[0].substituted_mg() == 300'000);
  CHECK(portions[0].substituted_by() == EQUALITY_ENERGY);
  CHECK_FALSE(portions[0].has_left_mg());
  CHECK(portions[1].offered_mg() == 1'005'000);
  CHECK(portions[1].substituted_mg() == 1'000'000);
  CHECK(portions[1].substituted_by() == EQUALITY_MASS);
  CHECK(portions[1].left_mg() == 0);
  CHECK(is_set(portions[1].substitutes()));
  k.run({"meal", "Sila", "--slot", "12:00", "--substitute", "Herring=Squid,by:energy"}, Exit::kUsage);
  k.run({"meal", "Sila", "--slot", "08:30", "--substitute", "Herring=Squid"}, Exit::kUsage);
  k.run({"meal", "Sila", "--slot", "08:30"}, Exit::kUsage);
  CHECK(client.list(9, {}).size() == 2);
}

}  // namespace
}  // namespace wrackline::cli
