// wrack trail: every value a record ever had, who gave it, where, when and why; of one record, or of all that fits.
#include <algorithm>
#include <set>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/commands/trail_words.h"
#include "cli/hub_access.h"
#include "cli/record_fields.h"
#include "cli/reports/report.h"
#include "cli/summary.h"
#include "report/csv_cell.h"
#include "text/csv.h"
#include "text/message_schema.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

// A file of so many lines is still one that people open.
constexpr std::size_t kEntriesMost = 200'000;

struct TrailArgs {
  std::string record, person, device, animal, from, to, kind, field, html, csv;
  bool late = false, clock_suspect = false, after_close = false, struck = false, folded = false, held = false, hub = false;
};

struct Found {
  std::vector<TrailEntry> entries;
  bool cut_off = false;
};

std::optional<Day> day_typed(const std::string& text, Client& client) {
  if (text.empty()) return {};
  return typed(client.zone().parse_day_of(text, client.now()));
}

// The call, and the fields that are meant: a name may stand for several (dose=5mg, dose=0.5mL).
TrailSearchCall search_of(const TrailArgs& args, Client& client, Names& names, std::set<std::uint32_t>& fields) {
  TrailSearchCall search;
  if (!args.record.empty()) *search.mutable_record() = names.record(args.record);
  if (!args.person.empty()) *search.mutable_person() = names.find("person", args.person);
  if (!args.device.empty()) *search.mutable_device() = names.find("device", args.device);
  if (!args.animal.empty()) *search.mutable_animal() = names.find("animal or pool", args.animal);
  if (const auto day = day_typed(args.from, client)) search.set_first_day(*day);
  if (const auto day = day_typed(args.to, client)) search.set_last_day(*day);
  if (search.has_first_day() && search.has_last_day() && search.last_day() < search.first_day())
    throw usage("--to is before --from");
  if (!args.kind.empty()) search.set_kind(kind_typed(args.kind).number);
  if (!args.field.empty()) {
    if (args.kind.empty()) throw usage("--field goes with --kind: say of which kind of record");
    const KindInfo& kind = kind_typed(args.kind);
    for (const FieldDescriptor* field : fields_called(*kind.descriptor, args.field))
      fields.insert(static_cast<std::uint32_t>(field->number()));
    if (fields.empty()) throw usage("a " + kind.name + " has no field \"" + args.field + "\"");
    if (fields.size() == 1) search.set_field(*fields.begin());
  }
  search.set_late(args.late);
  search.set_clock_suspect(args.clock_suspect);
  search.set_after_close(args.after_close);
  search.set_struck(args.struck);
  search.set_folded(args.folded);
  search.set_held(args.held);
  return search;
}

Found find(const TrailArgs& args, Client& client, Names& names) {
  std::set<std::uint32_t> fields;
  Call call;
  *call.mutable_trail_search() = search_of(args, client, names, fields);
  call.mutable_trail_search()->set_limit(5000);
  Found out;
  for (;;) {
    const TrailSearchReply page = client.call(call).trail_search();
    for (const TrailEntry& entry : page.entries())
      if (fields.empty() || fields.count(entry.field()) != 0) out.entries.push_back(entry);
    out.cut_off = page.has_next() && out.entries.size() >= kEntriesMost;
    if (!page.has_next() || out.cut_off) return out;
    *call.mutable_trail_search()->mutable_after() = page.next();
  }
}

std::string title_of(const TrailArgs& args, Client& client, Names& names) {
  std::string out = "Trail";
  if (!args.record.empty()) out += " of " + names.call_it(names.record(args.record));
  if (!args.animal.empty()) out += " of " + names.name_of(names.find("animal or pool", args.animal)) + " and all that belongs to it";
  if (!args.kind.empty()) out += ", of each " + kind_typed(args.kind).name + (args.field.empty() ? "" : ": " + args.field);
  if (!args.person.empty()) out += ", by " + names.name_of(names.find("person", args.person));
  if (!args.device.empty()) out += ", on " + names.name_of(names.find("device", args.device));
  const auto first = day_typed(args.from, client), last = day_typed(args.to, client);
  if (first) out += ", of days from " + print_day(*first);
  if (last) out += std::string(first ? "" : ", of days") + " up to " + print_day(*last);
  const std::pair<bool, const char*> marks[] = {{args.late, "late"}, {args.clock_suspect, "clock suspect"}, {args.after_close, "after close"},
                                                {args.struck, "struck"}, {args.folded, "folded"}, {args.held, "held"}};
  for (const auto& [is_asked, word] : marks)
    if (is_asked) out += std::string(", ") + word;
  return out;
}

// Explains the marks, and only those that are there.
std::vector<std::string> legend_of(const std::vector<TrailEntry>& entries) {
  std::vector<std::string> out;
  const auto any = [&](auto has) { return std::any_of(entries.begin(), entries.end(), has); };
  if (any([](const TrailEntry& e) { return e.late(); }))
    out.emplace_back("LATE: entered more than 24 h after it happened, or first held by the hub more than 72 h after it was entered.");
  if (any([](const TrailEntry& e) { return e.clock_suspect(); }))
    out.emplace_back("CLOCK SUSPECT: that device's clock was more than 10 minutes ahead when it was entered.");
  if (any([](const TrailEntry& e) { return e.after_close(); }))
    out.emplace_back("After close: no part of what a close of its area's day named; an amendment. Came later: entered before the close, on "
                     "a device that had not brought it.");
  if (any([](const TrailEntry& e) { return e.authorship() == proto::AUTHORSHIP_PROVEN; }))
    out.emplace_back("Proven: its author had proved to the hub, by PIN, that they were at that device then. Otherwise which device wrote it is "
                     "certain, and which person is what the device says.");
  if (any([](const TrailEntry& e) { return e.held(); }))
    out.emplace_back("HELD: kept out of account by the hub until an officer decides; see `wrack held`.");
  return out;
}

std::string csv_of(const Found& found, Client& client, TrailWords& words) {
  const Zone& zone = client.zone();
  std::string out = csv_line({"change", "record", "record_name", "kind", "field", "old", "new", "state", "author", "author_name", "authorship", "device",
                              "happened", "entered", "held_by_hub", "birth", "late", "clock_suspect", "after_close", "came_later",
                              "struck", "folded", "held", "reason"});
  const auto time = [&zone](WallMs ms) { return ms ? zone.print_exact(ms) : ""; };
  const auto flag = [](bool is_so) { return std::string(is_so ? "yes" : "no"); };
  for (const TrailEntry& e : found.entries)
    out += csv_line({Names::full_id(e.change()), Names::full_id(e.record()), csv_cell(words.record_name(e)), kind_name(e.kind()),
                     field_name(e.kind(), e.field()), csv_cell(words.old_values(e)), csv_cell(words.new_value(e)), TrailWords::state(e),
                     is_set(e.author()) ? Names::full_id(e.author()) : "", csv_cell(e.author_name()), authorship_text(e.authorship()), csv_cell(words.device(e)),
                     time(e.happened_ms()), time(e.entered_ms()), time(e.held_ms()), flag(e.birth()), flag(e.late()),
                     flag(e.clock_suspect()), flag(e.after_close()), flag(e.came_later()), flag(e.struck()), flag(e.folded()),
                     flag(e.held()), csv_cell(e.reason())});
  return out;
}

// A line an entry; on paper, so with everything.
ReportSection section_of(const Found& found, bool of_one, Client& client, Names& names, TrailWords& words) {
  const Zone& zone = client.zone();
  ReportSection out;
  out.heading = "Entries";
  out.notes = legend_of(found.entries);
  out.titles = {"ENTERED, CHANGE", "BY, ON", "RECORD", "FIELD", "WAS", "BECAME", "STATE", "HAPPENED", "HUB HELD", "NOTICE", "WHY"};
  ChangeId last;
  for (const TrailEntry& e : found.entries) {
    // Said once for all fields of a change: they were made in one go.
    const bool is_first = id_of(e.change()) != last;
    last = id_of(e.change());
    const auto once = [is_first](std::string text) { return is_first ? text : std::string(); };
    out.rows.push_back({once(zone.print(e.entered_ms()) + ", " + names.short_id(e.change())), once(TrailWords::author(e) + ", " + words.device(e) + ", " + authorship_text(e.authorship())),
                        of_one ? "" : once(words.record_name(e)), field_label(e.kind(), e.field()), words.old_values(e), words.new_value(e),
                        TrailWords::state(e), once(e.happened_ms() ? zone.print(e.happened_ms()) : ""),
                        once(e.held_ms() ? zone.print(e.held_ms()) : "not known"), once(TrailWords::marks(e)), once(e.reason())});
  }
  if (out.rows.empty()) out.notes.emplace_back("Nothing fits, by what is held here.");
  return out;
}

// On a screen the entries of one change stand together under how it came about.
std::string text_of(const Found& found, bool of_one, Client& client, Names& names, TrailWords& words) {
  std::string out;
  const Zone& zone = client.zone();
  for (std::size_t at = 0; at < found.entries.size();) {
    const TrailEntry& first = found.entries[at];
    std::string head = names.short_id(first.change()) + "  " + words.origin(first) + ", " + authorship_text(first.authorship()) + "; ";
    head += first.held_ms() ? "held by the hub " + zone.print(first.held_ms()) : "when the hub came to hold it is not known here";
    out += "\n" + wrapped_lines(head);
    if (!of_one) {
      const std::string kind = kind_name(first.kind()), name = words.record_name(first);
      // An event's name begins with its kind.
      out += "    " + (name.rfind(kind, 0) == 0 ? "" : kind + " ") + name + "   " + names.short_id(first.record());
      out += (first.happened_ms() ? ", happened " + zone.print(first.happened_ms()) : "") + "\n";
    }
    Table table({"", "", "", ""});
    std::string marks;
    const std::size_t begin = at;
    for (; at < found.entries.size() && same(found.entries[at].change(), found.entries[begin].change()); ++at) {
      const TrailEntry& e = found.entries[at];
      table.row({field_label(e.kind(), e.field()), TrailWords::state(e), "", words.step(e)});
      // Fields of one change may differ in being late: an officer's word about a record is not.
      if (const std::string more = TrailWords::marks(e); more.size() > marks.size()) marks = more;
    }
    if (!marks.empty()) out += "    ! " + marks + "\n";
    out += table.str(4);
    if (!first.reason().empty()) out += wrapped_lines("why: " + first.reason(), 4);
  }
  return out;
}

Exit trail(Client& client, const TrailArgs& args) {
  if (args.hub) client.let_answer(asks(client, true));
  Names names(client);
  const bool of_one = !args.record.empty();
  const bool has_mark = args.late || args.clock_suspect || args.after_close || args.struck || args.folded || args.held;
  if (!of_one && args.person.empty() && args.device.empty() && args.animal.empty() && args.from.empty() && args.to.empty() &&
      args.kind.empty() && !has_mark)
    throw usage("say of what: an id, --animal, --person, --device, --from and --to, --kind, or a mark such as --late; "
                "`wrack trail --help` lists them");
  const Found found = find(args, client, names);
  // A record that is not here must not look like one with an empty trail.
  if (of_one && found.entries.empty()) client.get(names.record(args.record));
  TrailWords words(client, names);
  const std::string title = title_of(args, client, names);

  if (client.json()) {
    Json json;
    json.object();
    if (of_one) {
      json.member("record", Names::full_id(names.record(args.record)));
      if (!found.entries.empty()) {
        json.member("kind", kind_name(found.entries.back().kind()));
        if (const WallMs at = found.entries.back().happened_ms()) json.member("happened", client.zone().print_exact(at));
      }
    }
    json.member("complete", !found.cut_off).key("entries").array();
    for (const TrailEntry& e : found.entries) words.put_json(json, e);
    print(json.end().end());
  }
  if (!args.html.empty() || !args.csv.empty()) {
    Report report;
    report.title = title;
    report.sections = {section_of(found, of_one, client, names, words)};
    if (found.cut_off) report.sections[0].notes.emplace_back("There is more than this; ask for fewer days, or for less.");
    report.csv = csv_of(found, client, words);
    ReportFiles files;
    files.html = args.html;
    files.csv = args.csv;
    show_report(client, report, files);
    return Exit::kOk;
  }
  if (client.json()) return Exit::kOk;
  std::string out = title + (of_one ? "   " + Names::full_id(names.record(args.record)) : "") + "\n";
  if (of_one && !found.entries.empty())
    if (const WallMs at = found.entries.back().happened_ms()) out += "happened " + client.zone().print(at) + " (as recorded now)\n";
  out += text_of(found, of_one, client, names, words);
  if (found.entries.empty()) out += "nothing fits, by what is held here\n";
  if (found.cut_off) out += "\nthere is more than this; ask for fewer days, or for less\n";
  const std::vector<std::string> legend = legend_of(found.entries);
  if (!legend.empty()) out += "\n";
  for (const std::string& line : legend) out += wrapped_lines(line);
  print(out);
  return Exit::kOk;
}

}  // namespace

void add_trail_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<TrailArgs>();
  CLI::App* c = app.add_subcommand("trail", "Every value ever given: who, on what device, when and why; of a record, or of all that fits");
  c->group("Admin");
  c->add_option("record", args->record, "A record's id");
  c->add_option("--person", args->person, "Who wrote it");
  c->add_option("--device", args->device, "The device it was written on");
  c->add_option("--animal", args->animal, "An animal or pool with all that belongs to it");
  c->add_option("--from", args->from, "First husbandry day of the events: 2026-11-24, today or yesterday");
  c->add_option("--to", args->to, "Last day");
  c->add_option("--kind", args->kind, "Of this kind of record");
  c->add_option("--field", args->field, "Of this field of it");
  c->add_flag("--late", args->late, "Only what was entered, or brought to the hub, long after it happened");
  c->add_flag("--clock-suspect", args->clock_suspect, "Only what a clock that was ahead has stamped");
  c->add_flag("--after-close", args->after_close, "Only amendments of closed days");
  c->add_flag("--struck", args->struck, "Only of struck records, and strikes");
  c->add_flag("--folded", args->folded, "Only of folded records, and folds");
  c->add_flag("--held", args->held, "Only what the hub keeps out of account");
  c->add_option("--html", args->html, "Write a page to print into this file");
  c->add_option("--csv", args->csv, "Write a line an entry into this file")->excludes(c->get_option("--html"));
  c->add_flag("--hub", args->hub, "Ask the hub's replica instead of this one");
  runs(c, chosen, args, trail);
}

}  // namespace wrackline::cli
