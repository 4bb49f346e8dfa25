// wrack import-sheet: a feeding sheet that was kept on paper or in a spreadsheet, brought in as meals.
//
// Every line is read and checked before the first record is written. Lines with the same date, time and
// animal are one meal; each meal is logged in one piece, with the keeper as its author and the line as its
// reason.
#include <algorithm>
#include <map>
#include <set>

#include "cli/command.h"
#include "records.pb.h"
#include "text/csv.h"
#include "text/decimal.h"
#include "text/lower_case.h"
#include "text/message_schema.h"
#include "text/quantity.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct SheetArgs {
  std::string file;
  bool dry_run = false, skip_bad = false, again = false;
};

constexpr const char* kColumns[] = {"date", "time", "animal", "food", "offered g", "left g", "keeper"};
enum Column { kDate, kTime, kAnimal, kFood, kOffered, kLeft, kKeeper, kColumnCount };

struct Problem {
  int line;
  std::string column, what;
};

struct SheetPortion {
  RecordRef food;
  std::uint64_t offered_mg = 0;
  std::optional<std::uint64_t> left_mg;
};

struct SheetMeal {
  RecordRef animal, keeper;
  When when;
  std::uint32_t slot_min = 0;
  int line = 0;
  std::vector<SheetPortion> portions;
};

struct FeedingSheet {
  std::vector<SheetMeal> meals;
  std::vector<Problem> problems;
  int lines = 0;
};

std::string trimmed(const std::string& text) {
  const auto from = text.find_first_not_of(" \t");
  return from == std::string::npos ? "" : text.substr(from, text.find_last_not_of(" \t") - from + 1);
}

// The cell that holds each column. Columns may stand in any order; one that is not known is an error, since
// it could be a misspelt one.
std::vector<std::size_t> columns_of(const CsvRow& header) {
  std::vector<std::size_t> place(kColumnCount, SIZE_MAX);
  for (std::size_t at = 0; at < header.cells.size(); ++at) {
    const std::string title = lower_case(trimmed(header.cells[at]));
    const auto known = std::find(std::begin(kColumns), std::end(kColumns), title);
    if (known == std::end(kColumns))
      throw refused("line " + std::to_string(header.line) + ", column " + std::to_string(at + 1) + ": \"" +
                    title +
                    "\" is not a column of a feeding sheet; nothing was imported. The columns are "
                    "date,time,animal,food,offered g,left g,keeper");
    place[static_cast<std::size_t>(known - std::begin(kColumns))] = at;
  }
  for (std::size_t c = 0; c < kColumnCount; ++c)
    if (place[c] == SIZE_MAX)
      throw refused("line " + std::to_string(header.line) + ": the column \"" + kColumns[c] +
                    "\" is missing; nothing was imported");
  return place;
}

class SheetReader {
 public:
  SheetReader(Client& client, Names& names, bool again) : client_(client), names_(names), again_(again) {}

  FeedingSheet read(const std::vector<CsvRow>& rows) {
    const auto place = columns_of(rows.front());
    for (std::size_t i = 1; i < rows.size(); ++i) read_line(rows[i], place);
    for (SheetMeal& meal : sheet_.meals) check_known(meal);
    // A meal with a bad line is bad as a whole: half a meal would be counted as all of it.
    sheet_.meals.erase(std::remove_if(sheet_.meals.begin(), sheet_.meals.end(),
                                      [&](const SheetMeal& m) { return bad_.count(key(m)) > 0; }),
                       sheet_.meals.end());
    std::stable_sort(sheet_.problems.begin(), sheet_.problems.end(),
                     [](const Problem& a, const Problem& b) { return a.line < b.line; });
    return std::move(sheet_);
  }

 private:
  using Key = std::pair<ChangeId, WallMs>;
  static Key key(const SheetMeal& m) { return {id_of(m.animal), m.when.happened_ms}; }

  RecordRef find(const char* kind, const std::string& name) {
    auto& known = found_[kind + ("\n" + name)];
    if (!is_set(known)) known = names_.find(kind, name);
    return known;
  }

  void read_line(const CsvRow& row, const std::vector<std::size_t>& place) {
    ++sheet_.lines;
    bool well = true;
    const auto problem = [&](int column, const std::string& what) {
      sheet_.problems.push_back({row.line, column < 0 ? "" : kColumns[column], what});
      well = false;
    };
    const auto cell = [&](Column c) {
      return place[c] < row.cells.size() ? trimmed(row.cells[place[c]]) : std::string();
    };
    if (row.cells.size() > place.size())
      problem(-1, "has " + std::to_string(row.cells.size()) + " cells instead of " +
                      std::to_string(place.size()) + "; is a comma inside a cell that is not quoted?");

    SheetMeal meal;
    SheetPortion portion;
    meal.line = row.line;
    const auto need = [&](Column c, auto&& read) {
      if (cell(c).empty()) return problem(c, "is empty");
      try {
        read(cell(c));
      } catch (const Stop& stop) {
        problem(c, stop.message.substr(0, stop.message.find('\n')));
      }
    };
    std::string day;
    need(kDate, [&](const std::string& text) { day = print_day(typed(parse_day(text))); });
    need(kTime, [&](const std::string& text) {
      meal.slot_min = static_cast<std::uint32_t>(typed(parse_quantity(Unit::kClockMin, text)));
      if (day.empty()) return;
      const Zone& zone = client_.zone_for_writing();
      meal.when = zone.when(
          typed(zone.parse(day + " " + print_quantity(Unit::kClockMin, meal.slot_min), client_.now())));
      if (meal.when.happened_ms > client_.now()) throw usage("lies in the future by this device's clock");
    });
    need(kAnimal, [&](const std::string& text) { meal.animal = find("animal", text); });
    need(kFood, [&](const std::string& text) { portion.food = find("food", text); });
    need(kOffered, [&](const std::string& text) { portion.offered_mg = grams(text); });
    if (!cell(kLeft).empty()) need(kLeft, [&](const std::string& text) { portion.left_mg = grams(text); });
    need(kKeeper, [&](const std::string& text) { meal.keeper = find("person", text); });

    if (!is_set(meal.animal) || meal.when.happened_ms == 0) return;
    auto same_meal = std::find_if(sheet_.meals.begin(), sheet_.meals.end(),
                                  [&](const SheetMeal& m) { return key(m) == key(meal); });
    if (same_meal == sheet_.meals.end()) {
      sheet_.meals.push_back(meal);
      same_meal = sheet_.meals.end() - 1;
    } else if (is_set(meal.keeper) && is_set(same_meal->keeper) && !same(meal.keeper, same_meal->keeper)) {
      problem(kKeeper, "differs from line " + std::to_string(same_meal->line) + " of the same meal");
    }
    for (const SheetPortion& other : same_meal->portions)
      if (is_set(portion.food) && same(other.food, portion.food)) problem(kFood, "is in this meal twice");
    if (!is_set(same_meal->keeper)) same_meal->keeper = meal.keeper;
    same_meal->portions.push_back(portion);
    if (!well) bad_.insert(key(meal));
  }

  static std::uint64_t grams(const std::string& text) {
    const std::int64_t mg = typed(parse_decimal(text, 3));
    if (mg < 0) throw usage("\"" + text + "\" is below zero");
    return static_cast<std::uint64_t>(mg);
  }

  // A sheet brought in twice is the likeliest accident; the merge would keep both and flag every meal.
  void check_known(const SheetMeal& meal) {
    if (again_) return;
    for (const RecordView& view :
         client_.list(kind_number("meal"), meal.animal, {meal.when.day, meal.when.day})) {
      Meal known;
      if (!counts(view) || !known.ParseFromString(view.fields()) || known.slot_min() != meal.slot_min)
        continue;
      sheet_.problems.push_back({meal.line, "time",
                                 "a meal of " + names_.name_of(meal.animal) +
                                     " at that time is already recorded (" + names_.short_id(view.record()) +
                                     "); --again imports it all the same"});
      bad_.insert(key(meal));
      return;
    }
  }

  Client& client_;
  Names& names_;
  bool again_;
  FeedingSheet sheet_;
  std::set<Key> bad_;
  std::map<std::string, RecordRef> found_;
};

Call call_of(const SheetMeal& meal, const std::string& file) {
  Call call;
  *call.mutable_author() = meal.keeper;
  Meal fields;
  *fields.mutable_animal() = meal.animal;
  fields.set_day(meal.when.day);
  fields.set_slot_min(meal.slot_min);
  set_time(fields, meal.when);
  NewRecord* record = call.mutable_log()->add_records();
  record->set_kind(kind_number("meal"));
  record->set_fields(fields.SerializeAsString());
  record->set_reason("from sheet " + file + ", line " + std::to_string(meal.line));
  for (const SheetPortion& p : meal.portions) {
    Portion portion;
    *portion.mutable_food() = p.food;
    portion.set_offered_mg(p.offered_mg);
    if (p.left_mg) portion.set_left_mg(*p.left_mg);
    record = call.mutable_log()->add_records();
    record->set_kind(kind_number("portion"));
    record->set_fields(portion.SerializeAsString());
    record->set_reason(call.log().records(0).reason());
    record->add_links()->set_field(Portion::kMealFieldNumber);
  }
  return call;
}

std::string base_name(const std::string& path) { return path.substr(path.find_last_of('/') + 1); }

Exit import_sheet(Client& client, const SheetArgs& args) {
  Names names(client);
  const std::string text = read_file(args.file, "the sheet");
  const std::string first_line = text.substr(0, text.find('\n'));
  const char separator = first_line.find(';') != std::string::npos ? ';' : ',';
  auto parsed = parse_csv(text, separator);
  if (!parsed) throw refused(args.file + ": " + parsed.error().message + "; nothing was imported");
  if (parsed->empty()) throw refused(args.file + " is empty; nothing was imported");
  const FeedingSheet sheet = SheetReader(client, names, args.again).read(*parsed);

  std::size_t portions = 0, logged = 0;
  for (const SheetMeal& m : sheet.meals) portions += m.portions.size();
  const bool blocked = !sheet.problems.empty() && !args.skip_bad;
  const bool write = !blocked && !args.dry_run && !sheet.meals.empty();
  const std::string amount = std::to_string(sheet.meals.size()) +
                             (sheet.meals.size() == 1 ? " meal" : " meals") + " with " +
                             std::to_string(portions) + (portions == 1 ? " portion" : " portions");
  if (!client.json() && !sheet.problems.empty()) {
    Table table({">LINE", "COLUMN", "PROBLEM"});
    for (const Problem& p : sheet.problems) table.row({std::to_string(p.line), p.column, p.what});
    print(table.str());
  }
  if (write) {
    confirm(client.options(), "Import " + amount + "? Each can be struck later, but never removed.");
    for (const SheetMeal& meal : sheet.meals) {
      try {
        client.call(call_of(meal, base_name(args.file)));
      } catch (const Stop& stop) {
        throw Stop{stop.exit,
                   args.file + ", line " + std::to_string(meal.line) + ": " + stop.message + " (" +
                       std::to_string(logged) + " of " + std::to_string(sheet.meals.size()) +
                       " meals were imported and are kept; mend this and import the sheet again with "
                       "--skip-bad, which leaves those out)",
                   stop.word};
      }
      ++logged;
    }
  }

  if (client.json()) {
    Json json;
    json.object().member("file", args.file).member("lines", sheet.lines).member("meals", sheet.meals.size());
    json.member("portions", portions).member("imported_meals", logged).member("dry_run", args.dry_run);
    json.key("problems").array();
    for (const Problem& p : sheet.problems)
      json.object().member("line", p.line).member("column", p.column).member("problem", p.what).end();
    print(json.end().end());
  } else if (blocked) {
    print(std::to_string(sheet.problems.size()) + (sheet.problems.size() == 1 ? " problem" : " problems") +
          " in " + std::to_string(sheet.lines) +
          " lines; nothing was imported. Mend them, or leave those meals out with --skip-bad\n");
  } else if (args.dry_run) {
    print("would import " + amount + " from " + std::to_string(sheet.lines) +
          " lines; nothing was written\n");
  } else {
    print("imported " + (logged ? amount : std::string("nothing")) + " from " + std::to_string(sheet.lines) +
          " lines" + (sheet.problems.empty() ? "" : "; the meals with problems were left out") + "\n");
  }
  return blocked ? Exit::kRefused : Exit::kOk;
}

}  // namespace

void add_sheet_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<SheetArgs>();
  CLI::App* c = app.add_subcommand(
      "import-sheet", "Import a feeding sheet (CSV): date,time,animal,food,offered g,left g,keeper");
  c->group("Records officer");
  c->add_option("file", args->file,
                "The sheet; an empty \"left g\" means it was not weighed, 0 that nothing came back")
      ->required();
  c->add_flag("--dry-run", args->dry_run, "Only check, and say what would be imported");
  c->add_flag("--skip-bad", args->skip_bad, "Leave meals with problems out and import the others");
  c->add_flag("--again", args->again, "Import meals that are already recorded once more");
  runs(c, chosen, args, import_sheet);
}

}  // namespace wrackline::cli
