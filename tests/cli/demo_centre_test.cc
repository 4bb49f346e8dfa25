// Goal: the invented centre is the same on every run, holds every kind of record, and has in it what a
// demonstration is to show. Method: it is made, opened as a desk is, and looked at through the one call.
#include "demo_centre.h"

#include <catch2/catch.hpp>
#include <set>

#include "cli/client.h"
#include "records.pb.h"
#include "support/facility.h"
#include "text/message_schema.h"

namespace wrackline::cli {
namespace {

Options desk_in(const std::string& directory) {
  Options options;
  options.dir.path = directory + "/desk";
  options.person = "Tove Holm";
  return options;
}

TEST_CASE("the invented centre is the same to the byte for a seed, and another for another", "[demo]") {
  ScratchFolder folder;
  demo::CentreOptions options;
  options.days = 40;
  const auto first = must(demo::make_centre(folder / "a", options));
  const auto again = must(demo::make_centre(folder / "b", options));
  CHECK(first.digest == again.digest);
  CHECK(read_file(folder / "a/centre.bundle", "bundle") == read_file(folder / "b/centre.bundle", "bundle"));
  options.seed = 2;
  CHECK(must(demo::make_centre(folder / "c", options)).digest != first.digest);
  CHECK(code_of(demo::make_centre(folder / "a", options)) == ErrorCode::kInvalid);
}

TEST_CASE("the invented centre has every kind of record, and what a demonstration is to show", "[demo]") {
  ScratchFolder folder;
  demo::CentreOptions options;
  options.days = 500;
  const auto facts = must(demo::make_centre(folder / "centre", options));
  Client client(desk_in(folder / "centre"));
  CHECK(client.status().changes() == facts.changes);
  CHECK(facts.changes > facts.records);  // Corrections, folds and settlements.

  for (const KindInfo& kind : kinds()) {
    if (kind.name == "hold") continue;        // Nothing in a demonstration had to be held,
    if (kind.name == "presence" || kind.name == "hub_act" || kind.name == "pin_warning" || kind.name == "former_role") continue;  // and nobody to be proven.
    if (kind.name == "attachment") continue;  // A record of a file that is nowhere would only puzzle.
    INFO(kind.name);
    CHECK_FALSE(client.list(kind.number).empty());
  }
  const auto all = client.list(kind_number("animal"));
  CHECK(all.size() == 15);

  Call call;
  call.mutable_review();
  const Reply review = client.call(call);
  std::set<std::string> rules;
  for (const ReviewItem& item : review.review().items()) rules.insert(item.rule_name());
  CHECK(rules.count("disagreement") == 1);
  CHECK(rules.count("double_entry") == 1);

  call.Clear();
  call.mutable_verify();
  const Reply verified = client.call(call);
  CHECK(verified.verify().problems_size() == 0);

  // Late entries stand days after their event.
  std::size_t late = 0;
  std::set<Outcome> outcomes;
  for (const RecordView& view : client.list(kind_number("meal"))) {
    Meal meal;
    REQUIRE(meal.ParseFromString(view.fields()));
    late += view.entered_ms() > meal.happened_ms() + 20 * 3'600'000;
  }
  CHECK(late > 20);
  for (const RecordView& view : client.list(kind_number("administration"))) {
    Administration dose;
    REQUIRE(dose.ParseFromString(view.fields()));
    outcomes.insert(dose.outcome());
    // A dose that is not known to have been given has no amount, which is not zero.
    CHECK(dose.has_given_ug() == (dose.outcome() == OUTCOME_GIVEN));
  }
  CHECK(outcomes.size() >= 4);
}

TEST_CASE("the invented centre feeds by its plans, and what it leaves to attend to is short", "[demo]") {
  ScratchFolder folder;
  demo::CentreOptions options;
  options.days = 120;  // Over the first of October, when the plans change.
  must(demo::make_centre(folder / "centre", options));
  Client client(desk_in(folder / "centre"));
  Call call;
  call.mutable_attention()->set_day(options.last_day);
  put_zone(*call.mutable_attention(), client.zone(), options.last_day);
  int thaws = 0;
  const Reply attention = client.call(call);
  for (const AttentionItem& item : attention.attention().items()) thaws += item.rule() == ATTENTION_RULE_THAW_PAST;
  CHECK(thaws <= 3);
  CHECK(attention.attention().items_size() <= 40);
  std::uint32_t with_plan = 0, within = 0;
  for (const RecordView& animal : client.list(kind_number("animal"))) {
    call.Clear();
    *call.mutable_intake_trend()->mutable_animal() = animal.record();
    call.mutable_intake_trend()->set_first_day(options.last_day - 60);
    call.mutable_intake_trend()->set_last_day(options.last_day);
    const Reply trend = client.call(call);
    with_plan += trend.intake_trend().days_with_plan();
    within += trend.intake_trend().days_within_plan();
  }
  CHECK(with_plan > 500);
  CHECK(within * 10 > with_plan * 6);
}

// The days of an illness are found in the orders; the appetite before it and in it in the intake.
TEST_CASE("an ill animal of the invented centre eats less and is treated", "[demo]") {
  ScratchFolder folder;
  demo::CentreOptions options;
  options.days = 300;
  must(demo::make_centre(folder / "centre", options));
  Client client(desk_in(folder / "centre"));
  int treated = 0;
  for (const RecordView& view : client.list(kind_number("treatment_order"))) {
    TreatmentOrder order;
    REQUIRE(order.ParseFromString(view.fields()));
    if (!order.has_last_day()) continue;
    const auto mean_of = [&](Day from, Day to) {
      Call call;
      *call.mutable_intake()->mutable_animal() = order.animal();
      call.mutable_intake()->set_first_day(from);
      call.mutable_intake()->set_last_day(to);
      return client.call(call).intake().eaten_mean_mg();
    };
    const std::int64_t before = mean_of(order.first_day() - 12, order.first_day() - 3);
    const std::int64_t in_it = mean_of(order.first_day(), order.first_day() + 3);
    CHECK(in_it * 10 < before * 8);
    CHECK(client.list(kind_number("administration"), view.record()).size() >= 8);
    ++treated;
  }
  CHECK(treated >= 2);
}

}  // namespace
}  // namespace wrackline::cli
