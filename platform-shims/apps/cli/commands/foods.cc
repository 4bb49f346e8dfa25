// wrack foods: a public table of compositions to begin with, each row with its source.
#include "cli/command.h"
#include "model/kinds.h"
#include "nutrition/foods_sr28.h"
#include "records.pb.h"
#include "text/message_schema.h"
#include "text/quantity.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct FoodsArgs {
  bool add = false;
};

Food food_of(const TableFood& row) {
  Food food;
  food.set_name(row.name);
  food.set_source(std::string(kSr28Source) + ", NDB " + std::to_string(row.ndb_number));
  food.set_energy_cal_per_g(row.energy_cal_per_g);
  const Proximates& p = row.proximates;
  if (p.water_ppm) food.set_water_ppm(*p.water_ppm);
  if (p.protein_ppm) food.set_protein_ppm(*p.protein_ppm);
  if (p.fat_ppm) food.set_fat_ppm(*p.fat_ppm);
  if (p.carbohydrate_ppm) food.set_carbohydrate_ppm(*p.carbohydrate_ppm);
  if (p.ash_ppm) food.set_ash_ppm(*p.ash_ppm);
  if (p.fibre_ppm) food.set_fibre_ppm(*p.fibre_ppm);
  // A part in a million is a microgram per gram.
  if (row.calcium_ppm) food.set_calcium_ug_per_g(*row.calcium_ppm);
  if (row.phosphorus_ppm) food.set_phosphorus_ug_per_g(*row.phosphorus_ppm);
  return food;
}

// A food of the same source is the same row, whatever it was renamed to since.
bool is_recorded(const std::vector<RecordView>& known, const Food& food) {
  for (const RecordView& view : known) {
    Food other;
    if (counts(view) && other.ParseFromString(view.fields()) && other.source() == food.source()) return true;
  }
  return false;
}

// Rows that the rules refuse as the table prints them: Pacific herring is 104 g in 100 g.
bool is_refused(const Food& food) {
  Problems problems;
  find_kind(kind_number("food"))->validate(food.SerializeAsString(), problems);
  return !problems.empty();
}

constexpr char kFoodTableCaution[] =
    "Raw edible portions of people's food, not whole fish: bones and guts are missing, so calcium above all "
    "is too low. "
    "Your supplier's analysis is better where there is one; a diet is for the vet or nutritionist to judge.";

std::string caution() {
  std::string out = "\n";
  for (const std::string& line : wrap(kFoodTableCaution, kTableWidth)) out += line + "\n";
  return out;
}

Exit foods(Client& client, const FoodsArgs& args) {
  Names names(client);
  const std::vector<RecordView> known = client.list(kind_number("food"));
  Call call;
  if (args.add) call = client.authored();
  Table table({"FOOD", ">NDB", ">ENERGY", ">WATER", ">PROTEIN", ">FAT", "RECORDED"});
  Json json;
  json.object().member("source", kSr28Source).key("foods").array();
  for (const TableFood& row : kFoodsSr28) {
    const Food food = food_of(row);
    const bool recorded = is_recorded(known, food);
    const auto percent = [](std::uint32_t ppm) { return print_quantity(Unit::kPpm, ppm); };
    const char* state = recorded ? "yes" : is_refused(food) ? "no, does not add up" : "no";
    table.row({food.name(), std::to_string(row.ndb_number),
               print_quantity(Unit::kCalPerG, food.energy_cal_per_g()), percent(food.water_ppm()),
               percent(food.protein_ppm()), percent(food.fat_ppm()), state});
    json.object()
        .member("name", food.name())
        .member("source", food.source())
        .member("recorded", recorded)
        .end();
    if (recorded || !args.add || is_refused(food)) continue;
    NewRecord& record = *call.mutable_log()->add_records();
    record.set_kind(kind_number("food"));
    record.set_fields(food.SerializeAsString());
    record.set_reason("from the table of foods");
  }
  if (!args.add) {
    client.json()
        ? print(json.end().end())
        : print(std::string(kSr28Source) + "\n\n" + table.str() +
                "\n`wrack foods --add-table` records those that add up and are not recorded yet.\n" +
                caution());
    return Exit::kOk;
  }
  if (call.log().records_size() == 0) {
    client.json() ? print(Json().object().key("logged").array().end().end())
                  : print("all foods of the table that add up are recorded already\n");
    return Exit::kOk;
  }
  const Exit told = tell_logged(client, names, call.log(), client.call(call).log());
  if (!client.json()) print(caution());
  return told;
}

}  // namespace

void add_foods_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<FoodsArgs>();
  CLI::App* c = app.add_subcommand("foods", "A public table of compositions, to begin with");
  c->group("Records officer");
  c->add_flag("--add-table", args->add,
              "Record the foods of the table that are not recorded yet, each with its source");
  runs(c, chosen, args, foods);
}

}  // namespace wrackline::cli
