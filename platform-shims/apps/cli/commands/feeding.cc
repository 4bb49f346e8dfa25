// wrack meal, wrack left: what was offered, and what came back.
#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/commands/weighing.h"
#include "cli/record_fields.h"
#include "records.pb.h"
#include "text/message_schema.h"
#include "text/quantity.h"

namespace wrackline::cli {
namespace {

struct MealArgs {
  std::string animal, slot, at, note;
  std::vector<std::string> foods, substitutes;
};

struct LeftArgs {
  std::string animal, slot, day, meal, reason;
  std::vector<std::string> foods;
};

std::vector<RecordView> meals_in_slot(Client& client, const RecordRef& animal, Day day,
                                      std::uint32_t slot_min) {
  std::vector<RecordView> out;
  for (RecordView& view : client.list(kind_number("meal"), animal, {day, day})) {
    Meal meal;
    if (counts(view) && meal.ParseFromString(view.fields()) && meal.has_slot_min() &&
        meal.slot_min() == slot_min)
      out.push_back(std::move(view));
  }
  return out;
}

// Finds the mass of a food that the plan asks for in one meal. Throws Stop when it asks for none, or by eye.
std::uint64_t planned_mg(Client& client, Names& names, const RecordRef& animal, const RecordRef& food, Day day,
                         std::uint32_t slot_min) {
  Call call;
  call.mutable_prep()->set_day(day);
  const PrepReply reply = client.call(call).prep();
  std::uint64_t mass_mg = 0;
  for (const PrepLine& line : reply.lines())
    if (same(line.animal(), animal) && same(line.food(), food) && line.has_slot_min() && line.slot_min() == slot_min)
      mass_mg += line.mass_mg();
  if (mass_mg == 0)
    throw usage("the plan asks for no mass of " + names.name_of(food) + " for " + names.name_of(animal) + " at " +
                print_quantity(Unit::kClockMin, slot_min) + ", so nothing can stand in for it; log what was fed with --food");
  return mass_mg;
}

// "herring=squid,by:energy": squid in the place of the herring that was planned, as heavy as comes to the same. What
// was really weighed may follow, as for any food: "offered:515g,left:0g".
NewRecord substitute_of(const std::string& text, Client& client, Names& names, const Meal& meal) {
  const Assignment foods = split_assignment(text);
  const std::size_t comma = foods.value.find(',');
  const std::vector<Assignment> parts =
      comma == std::string::npos ? std::vector<Assignment>{} : split_weighing(foods.value.substr(comma + 1));
  Call call;
  SubstituteCall& ask = *call.mutable_substitute();
  *ask.mutable_food() = names.find("food", foods.name);
  *ask.mutable_by() = names.find("food", foods.value.substr(0, comma));
  ask.set_mass_mg(planned_mg(client, names, meal.animal(), ask.food(), meal.day(), meal.slot_min()));
  const KindInfo& kind = kind_typed("portion");
  const MessagePtr weighed = blank(kind);
  for (const Assignment& part : parts) {
    if (part.name == "by") {
      ask.set_equality(part.value == "mass" ? EQUALITY_MASS : part.value == "energy" ? EQUALITY_ENERGY : EQUALITY_UNSPECIFIED);
    } else if (part.name == "meal" || part.name == "food") {
      throw usage("\"" + part.name + "\" is not part of a weighing");
    } else {
      set_field(*weighed, part.name, part.value, client, names);
    }
  }
  if (ask.equality() == EQUALITY_UNSPECIFIED)
    throw usage("what was kept equal? Write it like " + foods.name + "=" + foods.value.substr(0, comma) + ",by:energy, or by:mass");
  const SubstituteReply reply = client.call(call).substitute();
  Portion portion;
  portion.ParseFromString(weighed->SerializeAsString());
  *portion.mutable_food() = ask.by();
  if (!portion.has_offered_mg() && !portion.has_gross_mg()) portion.set_offered_mg(reply.mass_mg());
  *portion.mutable_substitutes() = ask.food();
  portion.set_substituted_mg(ask.mass_mg());
  portion.set_substituted_by(ask.equality());
  if (!client.json()) {
    const auto with_energy = [](std::uint64_t mg, bool has, std::int64_t cal) {
      return print_quantity(Unit::kMassMg, static_cast<std::int64_t>(mg)) +
             (has ? " (" + print_quantity(Unit::kEnergyCal, cal) + ")" : "");
    };
    print("in the place of " + with_energy(ask.mass_mg(), reply.has_energy_before_cal(), reply.energy_before_cal()) + " of " +
          names.name_of(ask.food()) + ": " + with_energy(reply.mass_mg(), reply.has_energy_after_cal(), reply.energy_after_cal()) +
          " of " + names.name_of(ask.by()) + ". Whether it may stand in is for whoever approved the plan.\n");
  }
  return portion_record(portion, 0);
}

Exit meal(Client& client, const MealArgs& args) {
  Names names(client);
  Call call = client.authored();
  Meal meal;
  const RecordRef animal = names.find("animal", args.animal);
  const When when = client.event_time(args.at);
  *meal.mutable_animal() = animal;
  meal.set_day(when.day);
  meal.set_slot_min(static_cast<std::uint32_t>(typed(parse_quantity(Unit::kClockMin, args.slot))));
  set_time(meal, when);
  if (!args.note.empty()) meal.set_note(args.note);

  NewRecord* record = call.mutable_log()->add_records();
  record->set_kind(kind_number("meal"));
  record->set_fields(meal.SerializeAsString());
  for (const std::string& food : args.foods)
    *call.mutable_log()->add_records() = portion_typed(food, 0, client, names);
  for (const std::string& substitute : args.substitutes)
    *call.mutable_log()->add_records() = substitute_of(substitute, client, names, meal);

  const auto before = meals_in_slot(client, animal, when.day, meal.slot_min());
  const Reply reply = client.call(call);
  tell_logged(client, names, call.log(), reply.log());
  if (!client.json() && !before.empty())
    print("note: " + names.short_id(before[0].record()) + " already tells of this meal, by " +
          names.name_of(before[0].author()) +
          ". Both are kept; if it is one meal, the officer folds one into the other (`wrack review`).\n");
  return Exit::kOk;
}

Exit left(Client& client, const LeftArgs& args) {
  Names names(client);
  const Call authored = client.authored();
  RecordRef meal;
  if (!args.meal.empty()) {
    meal = names.record(args.meal);
  } else {
    if (args.animal.empty() || args.slot.empty())
      throw usage("which meal? Name the animal and --slot, or the meal itself with --meal");
    const RecordRef animal = names.find("animal", args.animal);
    const Day day = args.day.empty() ? client.event_time("").day
                                     : typed(client.zone_for_writing().parse_day_of(args.day, client.now()));
    const auto slot = static_cast<std::uint32_t>(typed(parse_quantity(Unit::kClockMin, args.slot)));
    const auto meals = meals_in_slot(client, animal, day, slot);
    if (meals.empty())
      throw not_found("no meal of " + names.name_of(animal) + " at " + print_quantity(Unit::kClockMin, slot) +
                      " on " + print_day(day) +
                      " is here; log it first with `wrack meal`, or name another --day");
    if (meals.size() > 1) {
      std::string list;
      for (const RecordView& m : meals)
        list += "\n  --meal " + names.short_id(m.record()) + "  by " + names.name_of(m.author()) +
                ", entered " + client.zone().print(m.entered_ms());
      throw ambiguous("there are " + std::to_string(meals.size()) + " meals in that slot; say which:" + list);
    }
    meal = meals[0].record();
  }

  // All amounts are read before the first is written, so that a slip of the finger writes nothing.
  std::vector<std::pair<RecordRef, Call>> edits;
  const auto portions = client.list(kind_number("portion"), meal);
  for (const std::string& text : args.foods) {
    const Assignment food = split_assignment(text);
    const RecordRef wanted = names.find("food", food.name);
    std::vector<RecordView> fits;
    for (const RecordView& view : portions) {
      Portion portion;
      if (counts(view) && portion.ParseFromString(view.fields()) && same(portion.food(), wanted))
        fits.push_back(view);
    }
    if (fits.empty())
      throw not_found("there is no " + names.name_of(wanted) + " in " + names.call_it(meal) +
                      "; see `wrack show " + names.short_id(meal) + "`");
    if (fits.size() > 1)
      throw ambiguous(names.name_of(wanted) + " was offered " + std::to_string(fits.size()) +
                      " times in this meal; use `wrack correct " + names.short_id(fits[0].record()) +
                      " left=…`");
    Portion old, fresh;
    old.ParseFromString(fits[0].fields());
    fresh.set_left_mg(static_cast<std::uint64_t>(typed(parse_quantity(Unit::kMassMg, food.value))));
    if (old.has_left_mg() && args.reason.empty())
      throw refused("what was left of " + names.name_of(wanted) + " is already recorded as " +
                    print_quantity(Unit::kMassMg, static_cast<std::int64_t>(old.left_mg())) +
                    "; nothing was written. To change it, say why with --reason");
    Call call = authored;
    EditCall& edit = *call.mutable_edit();
    *edit.mutable_record() = fits[0].record();
    edit.set_fields(fresh.SerializeAsString());
    edit.set_reason(args.reason);
    *edit.mutable_seen() = fits[0].heads();
    edits.emplace_back(fits[0].record(), std::move(call));
  }

  Json json;
  json.object().key("edited").array();
  for (const auto& [record, call] : edits) {
    const RecordRef change = client.write_edit(call);
    json.object().member("record", Names::full_id(record)).member("change", Names::full_id(change)).end();
    if (!client.json()) {
      Portion fresh;
      fresh.ParseFromString(call.edit().fields());
      print("left " + print_quantity(Unit::kMassMg, static_cast<std::int64_t>(fresh.left_mg())) + " of " +
            names.call_it(record) + "\n");
    }
  }
  if (client.json()) print(json.end().end());
  return Exit::kOk;
}

}  // namespace

void add_feeding_commands(CLI::App& app, Action& chosen) {
  auto meal_args = std::make_shared<MealArgs>();
  CLI::App* m = app.add_subcommand("meal", "Log a meal with its portions, all at once");
  m->group("Keeper");
  m->add_option("animal", meal_args->animal, "Name or id")->required();
  m->add_option("--slot", meal_args->slot, "Which meal of the day: its planned time, 08:30")->required();
  m->add_option("--food", meal_args->foods,
                "herring=1.2kg, herring=1.2kg,left:0g or herring=gross:1500g,tare:300g; also soak: and "
                "note:. Again for each food")
      ->allow_extra_args(false);
  m->add_option("--substitute", meal_args->substitutes,
                "herring=squid,by:energy (or by:mass): squid for the herring of the plan; offered:515g and left: may follow")
      ->allow_extra_args(false);
  m->add_option("--at", meal_args->at, "When it was, if not now: 08:35, or \"2026-11-24 08:35\"");
  m->add_option("--note", meal_args->note, "Anything worth knowing");
  m->footer(kFoodCaution);
  m->callback([&chosen, meal_args] {
    chosen = [meal_args](const Options& options) {
      if (meal_args->foods.empty() && meal_args->substitutes.empty()) throw usage("what was fed? Give --food (see `wrack meal --help`)");
      Client client(options);
      return meal(client, *meal_args);
    };
  });

  auto left_args = std::make_shared<LeftArgs>();
  CLI::App* l =
      app.add_subcommand("left", "Record what came back of a meal (0g: weighed, and nothing came back)");
  l->group("Keeper");
  l->add_option("animal", left_args->animal, "Name or id");
  l->add_option("foods", left_args->foods, "herring=80g ...");
  l->add_option("--slot", left_args->slot, "Which meal of the day");
  l->add_option("--day", left_args->day, "If not today: yesterday, or 2026-11-24");
  l->add_option("--meal", left_args->meal, "The meal's id, where two are in one slot");
  l->add_option("--reason", left_args->reason, "Why, if it was recorded before");
  l->footer(kFoodCaution);
  auto take_foods = [left_args] {
    // With --meal there is no animal: what stands in its place is the first food.
    if (!left_args->meal.empty() && left_args->animal.find('=') != std::string::npos) {
      left_args->foods.insert(left_args->foods.begin(), left_args->animal);
      left_args->animal.clear();
    }
    if (left_args->foods.empty()) throw usage("what was left? Write it like herring=80g");
  };
  l->callback([&chosen, left_args, take_foods] {
    chosen = [left_args, take_foods](const Options& options) {
      take_foods();
      Client client(options);
      return left(client, *left_args);
    };
  });
}

}  // namespace wrackline::cli
