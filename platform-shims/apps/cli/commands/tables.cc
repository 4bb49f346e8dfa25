// wrack export, wrack import: records of one kind as CSV, for spreadsheets and other programs.
#include <algorithm>
#include <set>

#include "cli/command.h"
#include "cli/record_csv.h"
#include "cli/record_fields.h"
#include "model/kinds.h"
#include "records.pb.h"
#include "report/csv_cell.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

using google::protobuf::Message;

struct ExportArgs {
  std::string kind, file, from, to;
};
struct ImportArgs {
  std::string kind, file;
  bool columns = false, dry_run = false, skip_bad = false, again = false;
};

struct TableProblem {
  int line;
  std::string column, what;
};

struct Row {
  int line;
  MessagePtr message;
};

struct ReadTable {
  std::vector<Row> rows;  // The rows without a problem.
  std::vector<TableProblem> problems;
  int lines = 0;
};

std::string counted(std::size_t n, const std::string& kind) {
  std::string words = kind;
  std::replace(words.begin(), words.end(), '_', ' ');
  return std::to_string(n) + " " + words + (n == 1 ? " record" : " records");
}

// ---- Export ---------------------------------------------------------------------------------------------

// Portions have no day of their own: theirs is their meal's.
std::vector<RecordView> records_to_export(Client& client, const KindInfo& kind, Client::Range days) {
  const bool is_ranged = days.first || days.last;
  const KindRow* row = find_kind(kind.number);
  if (!is_ranged || (row && row->key.day != 0)) return client.list(kind.number, {}, days);
  if (kind.name != "portion") throw usage("a " + kind.name + " has no day; leave out --from and --to");
  std::vector<RecordView> out;
  for (const RecordView& meal : client.list(kind_number("meal"), {}, days))
    for (RecordView& portion : client.list(kind.number, meal.record())) out.push_back(std::move(portion));
  return out;
}

std::string csv_row(const std::vector<std::string>& cells) {
  std::string out;
  for (std::size_t i = 0; i < cells.size(); ++i) out += (i ? "," : "") + csv_cell(cells[i]);
  return out + "\r\n";
}

Exit export_table(Client& client, const ExportArgs& args) {
  Names names(client);
  const KindInfo& kind = kind_typed(args.kind);
  Client::Range days;
  if (!args.from.empty()) days.first = typed(client.zone().parse_day_of(args.from, client.now()));
  if (!args.to.empty()) days.last = typed(client.zone().parse_day_of(args.to, client.now()));
  const std::vector<CsvColumn> columns = csv_columns(kind);
  std::vector<std::string> cells;
  for (const CsvColumn& c : columns) cells.push_back(c.title);
  std::string text = csv_row(cells);
  const auto views = records_to_export(client, kind, days);
  for (const RecordView& view : views) {
    const MessagePtr message = parse_fields(view.kind(), view.fields());
    if (!message) continue;
    cells.clear();
    for (const CsvColumn& c : columns) cells.push_back(csv_value(c, view, *message, client, names));
    text += csv_row(cells);
  }
  if (args.file == "-") {
    print(text);
    return Exit::kOk;
  }
  write_file(args.file, text, "the table");
  if (client.json()) {
    Json json;
    json.object().member("kind", kind.name).member("file", args.file).member("records", views.size());
    print(json.end());
  } else {
    print("exported " + counted(views.size(), kind.name) + " to " + args.file + "\n");
  }
  return Exit::kOk;
}

// ---- Import ---------------------------------------------------------------------------------------------

class TableReader {
 public:
  TableReader(Client& client, Names& names, const KindInfo& kind, bool again)
      : client_(client), names_(names), kind_(kind), again_(again), columns_(csv_columns(kind)) {}

  ReadTable read(const std::vector<CsvRow>& rows) {
    const std::vector<Place> places = places_of(rows.front());
    for (std::size_t i = 1; i < rows.size(); ++i) read_row(rows[i], places, rows.front().cells.size());
    judge_rows();
    return std::move(table_);
  }

 private:
  struct Place {
    const CsvColumn* column;
    std::size_t at;
  };

  // Columns may stand in any order and be left out; one that is not known could be a misspelt one.
  std::vector<Place> places_of(const CsvRow& header) {
    std::vector<Place> out;
    for (std::size_t at = 0; at < header.cells.size(); ++at) {
      const std::string& title = header.cells[at];
      const auto known = std::find_if(columns_.begin(), columns_.end(),
                                      [&](const CsvColumn& c) { return c.title == title; });
      const std::string where = "line " + std::to_string(header.line) + ", column " + std::to_string(at + 1) +
                                ": \"" + title + "\" ";
      if (known == columns_.end())
        throw refused(where + "is not a column of " + kind_.name +
                      "; nothing was imported. See `wrack import " + kind_.name + " --columns`");
      if (std::any_of(out.begin(), out.end(), [&](const Place& p) { return p.column == &*known; }))
        throw refused(where + "stands there twice; nothing was imported");
      out.push_back({&*known, at});
    }
    std::stable_sort(out.begin(), out.end(), [](const Place& a, const Place& b) {
      return put_order(*a.column) < put_order(*b.column);
    });
    return out;
  }

  void read_row(const CsvRow& row, const std::vector<Place>& places, std::size_t cell_count) {
    ++table_.lines;
    const std::size_t before = table_.problems.size();
    const auto problem = [&](const std::string& column, const std::string& what) {
      table_.problems.push_back({row.line, column, what.substr(0, what.find('\n'))});
    };
    if (row.cells.size() > cell_count)
      problem("", "has " + std::to_string(row.cells.size()) + " cells instead of " +
                      std::to_string(cell_count) + "; is a comma inside a cell that is not quoted?");
    MessagePtr message = blank(kind_);
    std::string id;
    for (const Place& place : places) {
      const std::string cell = place.at < row.cells.size() ? csv_text(row.cells[place.at]) : std::string();
      if (cell.empty()) continue;
      if (!place.column->field) {
        id = cell;
        continue;
      }
      try {
        put_csv_value(*message, *place.column, cell, client_, names_);
      } catch (const Stop& stop) {
        problem(place.column->title, stop.message);
      }
    }
    if (table_.problems.size() == before) {
      complete_row(*message);
    }
    if (table_.problems.size() == before) check_known(*message, id, problem);
    if (table_.problems.size() == before) table_.rows.push_back({row.line, std::move(message)});
  }

  // The core judges the rows that could be read, without writing them; those that break a rule are left out.
  void judge_rows() {
    if (table_.rows.empty()) return;
    Call call = client_.authored();
    call.mutable_log()->set_check_only(true);
    for (const Row& row : table_.rows) {
      NewRecord& record = *call.mutable_log()->add_records();
      record.set_kind(kind_.number);
      record.set_fields(row.message->SerializeAsString());
    }
    const LogReply reply = client_.call(call).log();
    std::set<std::size_t> broken;
    for (const proto::Problem& problem : reply.problems()) {
      broken.insert(problem.record());
      table_.problems.push_back({table_.rows[problem.record()].line, title_of(problem.field()), problem.sentence()});
    }
    std::vector<Row> sound;
    for (std::size_t i = 0; i < table_.rows.size(); ++i) {
      if (broken.count(i) == 0) sound.push_back(std::move(table_.rows[i]));
    }
    table_.rows = std::move(sound);
    std::stable_sort(table_.problems.begin(), table_.problems.end(),
                     [](const TableProblem& a, const TableProblem& b) { return a.line < b.line; });
  }

  // The column of a field; empty when it has none of its own.
  std::string title_of(std::uint32_t field) const {
    for (const CsvColumn& column : columns_) {
      if (column.field != nullptr && static_cast<std::uint32_t>(column.field->number()) == field) return column.title;
    }
    return "";
  }

  // A table brought in twice, or one that was exported here and edited, would make every record a second
  // time.
  template <typename Tell>
  void check_known(const Message& message, const std::string& id, const Tell& problem) {
    if (again_) return;
    if (Names::looks_like_id(id)) {
      try {
        const RecordRef ref = names_.record(id);
        if (names_.holds(ref))
          return problem(
              "id", "record " + id +
                        " is here already; change it with `wrack correct`, or make a new one with --again");
      } catch (const Stop&) {
        // An id of a log that is not known here says nothing.
      }
    }
    if (known_of(message).count(message.SerializeAsString()))
      problem("", "the same is recorded already; --again imports it all the same");
  }

  // The fields of what is recorded of the same subject, as bytes.
  const std::set<std::string>& known_of(const Message& message) {
    const KindRow* row = find_kind(kind_.number);
    RecordKey key;
    if (row) key = record_key(*row, message.SerializeAsString());
    const auto [at, is_new] = known_.try_emplace(key.subject);
    if (!is_new) return at->second;
    std::optional<RecordRef> subject;
    if (key.subject) subject = ref_of(key.subject);
    for (const RecordView& view : client_.list(kind_.number, subject)) {
      const MessagePtr fields = parse_fields(view.kind(), view.fields());
      if (!fields) continue;
      for (int i = 0; i < fields->GetDescriptor()->field_count(); ++i)
        if (is_built_in(*fields->GetDescriptor()->field(i)))
          fields->GetReflection()->ClearField(fields.get(), fields->GetDescriptor()->field(i));
      at->second.insert(fields->SerializeAsString());
    }
    return at->second;
  }

  Client& client_;
  Names& names_;
  const KindInfo& kind_;
  bool again_;
  std::vector<CsvColumn> columns_;
  ReadTable table_;
  std::map<RecordId, std::set<std::string>> known_;
};

Exit tell_columns(Client& client, const KindInfo& kind) {
  if (client.json()) {
    Json json;
    json.object().member("kind", kind.name).key("columns").array();
    for (const CsvColumn& c : csv_columns(kind))
      json.object().member("column", c.title).member("takes", column_help(c)).end();
    print(json.end().end());
    return Exit::kOk;
  }
  Table table({"COLUMN", "TAKES"});
  for (const CsvColumn& c : csv_columns(kind)) table.row({c.title, column_help(c)});
  print(table.str() +
        "\nColumns may be left out and stand in any order. An empty cell is not recorded, which is not "
        "zero.\n");
  return Exit::kOk;
}

// All rows in one call: all are recorded, or none.
std::size_t log_rows(Client& client, const KindInfo& kind, const ReadTable& table, const std::string& file) {
  Call call = client.authored();
  for (const Row& row : table.rows) {
    NewRecord& record = *call.mutable_log()->add_records();
    record.set_kind(kind.number);
    record.set_fields(row.message->SerializeAsString());
    record.set_reason("from table " + file.substr(file.find_last_of('/') + 1) + ", line " +
                      std::to_string(row.line));
  }
  return static_cast<std::size_t>(client.call(call).log().records_size());
}

Exit import_table(Client& client, const ImportArgs& args) {
  Names names(client);
  const KindInfo& kind = kind_typed(args.kind);
  if (args.columns) return tell_columns(client, kind);
  if (args.file.empty()) throw usage("which file is to be imported? See `wrack import --help`");
  if (kind.name == "device" || kind.name == "facility")
    throw usage("a " + kind.name + " is not imported; the hub writes it (see `wrack enrol`)");
  client.author();  // The author is asked for before the work, not after it.
  const std::string text = read_file(args.file, "the table");
  const std::string first_line = text.substr(0, text.find('\n'));
  const char separator = first_line.find(';') != std::string::npos ? ';' : ',';
  auto parsed = parse_csv(text, separator);
  if (!parsed) throw refused(args.file + ": " + parsed.error().message + "; nothing was imported");
  if (parsed->empty()) throw refused(args.file + " is empty; nothing was imported");
  const ReadTable table = TableReader(client, names, kind, args.again).read(*parsed);

  const bool blocked = !table.problems.empty() && !args.skip_bad;
  const std::string amount = counted(table.rows.size(), kind.name);
  std::size_t logged = 0;
  if (!client.json() && !table.problems.empty()) {
    Table problems({">LINE", "COLUMN", "PROBLEM"});
    for (const TableProblem& p : table.problems) problems.row({std::to_string(p.line), p.column, p.what});
    print(problems.str());
  }
  if (!blocked && !args.dry_run && !table.rows.empty()) {
    confirm(client.options(), "Import " + amount + "? Each can be struck later, but never removed.");
    logged = log_rows(client, kind, table, args.file);
  }

  const std::string from = " from " + std::to_string(table.lines) + " lines";
  if (client.json()) {
    Json json;
    json.object().member("file", args.file).member("kind", kind.name).member("lines", table.lines);
    json.member("imported", logged).member("dry_run", args.dry_run).key("problems").array();
    for (const TableProblem& p : table.problems)
      json.object().member("line", p.line).member("column", p.column).member("problem", p.what).end();
    print(json.end().end());
  } else if (blocked) {
    print(std::to_string(table.problems.size()) + (table.problems.size() == 1 ? " problem" : " problems") +
          " in " + std::to_string(table.lines) +
          " lines; nothing was imported. Mend them, or leave those lines out with --skip-bad\n");
  } else if (args.dry_run) {
    print("would import " + amount + from + "; nothing was written\n");
  } else {
    print("imported " + (logged ? amount : std::string("nothing")) + from +
          (table.problems.empty() ? "" : "; the lines with problems were left out") + "\n");
  }
  return blocked ? Exit::kRefused : Exit::kOk;
}

}  // namespace

void add_table_commands(CLI::App& app, Action& chosen) {
  auto export_args = std::make_shared<ExportArgs>();
  CLI::App* e = app.add_subcommand("export", "Write the records of one kind to a CSV file, exactly");
  e->group("Records officer");
  e->add_option("kind", export_args->kind, "person, pool, animal, food, diet_plan, meal, portion, ...")
      ->required();
  e->add_option("--csv", export_args->file, "The file; - for standard output")->required();
  e->add_option("--from", export_args->from, "From this day on: 2026-11-24, today or yesterday");
  e->add_option("--to", export_args->to, "Up to and with this day");
  runs(e, chosen, export_args, export_table);

  auto import_args = std::make_shared<ImportArgs>();
  CLI::App* i =
      app.add_subcommand("import", "Read records of one kind from a CSV file; each row is a new record");
  i->group("Records officer");
  i->add_option("kind", import_args->kind, "person, pool, animal, food, diet_plan, meal, portion, ...")
      ->required();
  i->add_option("file", import_args->file, "The file; its first line names the columns");
  i->add_flag("--columns", import_args->columns,
              "Say which columns there are and what they take, and import nothing");
  i->add_flag("--dry-run", import_args->dry_run, "Only check, and say what would be imported");
  i->add_flag("--skip-bad", import_args->skip_bad, "Leave lines with problems out and import the others");
  i->add_flag("--again", import_args->again, "Import what is already recorded once more");
  runs(i, chosen, import_args, import_table);
}

}  // namespace wrackline::cli
