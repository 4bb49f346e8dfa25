// wrack review: what people must look at, with all that is known to decide it by.
#include <algorithm>

#include "base/built_in_fields.h"
#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/commands/trail_words.h"
#include "cli/hub_access.h"
#include "cli/record_fields.h"
#include "cli/reports/report.h"
#include "cli/summary.h"
#include "model/kinds.h"
#include "text/enum_words.h"
#include "text/lower_case.h"
#include "text/message_schema.h"
#include "text/spaced.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct ReviewArgs {
  bool check = false;
  std::string html;
};

const char* level_word(proto::ReviewLevel level) {
  switch (level) {
    case REVIEW_LEVEL_URGENT:
      return "URGENT";
    case REVIEW_LEVEL_CHECK:
      return "check";
    case REVIEW_LEVEL_NOTE:
      return "note";
    default:
      return "review";
  }
}

// "08:35, ": what tells two entries of one event apart at a glance.
std::string happened_text(const RecordView& view, Client& client) {
  const MessagePtr m = parse_fields(view.kind(), view.fields());
  const FieldDescriptor* f = m ? m->GetDescriptor()->FindFieldByName("happened_ms") : nullptr;
  if (!f || !is_present(*m, *f)) return {};
  return "at " + client.zone().print_clock(m->GetReflection()->GetUInt64(*m, f)) + ": ";
}

// One item, put together once for the screen and the page. `commands` are what to type next, after a word on what it
// would say.
struct ItemWords {
  std::string heading;
  std::vector<std::string> notes;
  std::vector<std::string> titles;
  std::vector<std::vector<std::string>> rows;
  std::vector<std::string> commands;
};

class Desk {
 public:
  Desk(Client& client, Names& names) : client_(client), names_(names), trail_(client, names) {}

  ReviewDetailReply detail(const ReviewItem& item) {
    Call call;
    call.mutable_review_detail()->set_rule(item.rule());
    *call.mutable_review_detail()->mutable_record() = item.records(0);
    call.mutable_review_detail()->set_field(item.field());
    return client_.call(call).review_detail();
  }

  ItemWords words(int number, const ReviewItem& item) {
    ItemWords out;
    out.heading = std::to_string(number) + ". " + level_word(item.level()) + ": " + spaced(item.rule_name());
    switch (static_cast<ReviewRule>(item.rule())) {
      case ReviewRule::kDisagreement:
        put_disagreement(item, out);
        break;
      case ReviewRule::kHeld:
        out.commands = {"look at it: wrack held " + names_.short_id(item.records(0))};
        break;
      default:
        put_records(item, out);
    }
    return out;
  }

  void put_json(Json& json, const ReviewItem& item) {
    json.object().member("rule", item.rule_name()).member("rule_number", item.rule());
    json.member("level", lower_case(level_word(item.level()))).member("kind", kind_name(item.kind()));
    json.key("records").array();
    for (const RecordRef& r : item.records()) json.text(Names::full_id(r));
    json.end();
    const ReviewDetailReply known = detail(item);
    if (item.field()) {
      json.member("field", field_name(item.kind(), item.field())).key("values").array();
      for (const ReviewSide& side : known.sides()) {
        json.object().member("value", text_of(item, side.head())).member("author_name", side.head().author_name()).member("authorship", authorship_text(side.head().authorship()));
        json.member("device", side.head().device_name());
        json.member("entered", client_.zone().print_exact(side.head().entered_ms()));
        json.member("clock_suspect", side.head().clock_suspect()).member("reason", side.head().reason()).key("history").array();
        for (const TrailEntry& entry : side.history()) trail_.put_json(json, entry);
        json.end().end();
      }
      json.end();
    }
    if (known.compared_size() > 0) {
      json.key("compared").array();
      for (const FieldCompared& field : known.compared()) {
        json.object().member("field", field_name(item.kind(), field.field())).member("same", field.same()).key("values").array();
        for (int i = 0; i < field.values_size(); ++i) json.text(value_in(item, field, i));
        json.end().end();
      }
      json.end();
    }
    json.end();
  }

 private:
  // For a record struck while it was edited, the edits are sides too: their text names their field.
  std::string text_of(const ReviewItem& item, const TrailEntry& e) {
    const std::string value = trail_.new_value(e);
    return e.field() != item.field() ? field_label(item.kind(), e.field()) + " " + value : value;
  }

  std::string value_in(const ReviewItem& item, const FieldCompared& field, int index) {
    TrailEntry as_entry;
    *as_entry.mutable_record() = item.records(index);
    as_entry.set_kind(item.kind());
    as_entry.set_field(field.field());
    return trail_.value(as_entry, field.values(index));
  }

  // "84 kg by Ines Vik on tablet north at 2026-11-01 08:35 (wrong seal)"
  std::string step_text(const TrailEntry& e) {
    return trail_.new_value(e) + " by " + author_text(e, client_) + " on " + trail_.device(e) + " at " + client_.zone().print(e.entered_ms()) +
           (e.reason().empty() ? "" : " (" + e.reason() + ")");
  }

  void put_disagreement(const ReviewItem& item, ItemWords& out) {
    const RecordRef& record = item.records(0);
    const std::string id = names_.short_id(record);
    std::string field = lower_case(field_label(item.kind(), item.field()));
    out.heading += " about \"" + spaced(field) + "\" of " + names_.call_it(record) + "   " + id;
    std::replace(field.begin(), field.end(), ' ', '_');
    out.titles = {"VALUE", "BY", "DEVICE", "ENTERED", "HUB HELD", "WHY"};
    const ReviewDetailReply known = detail(item);
    std::string example;
    for (const ReviewSide& side : known.sides()) {
      const TrailEntry& head = side.head();
      if (example.empty()) example = text_of(item, head);
      std::string before;
      for (const TrailEntry& e : side.history()) before += (before.empty() ? "" : ", then ") + step_text(e);
      if (!before.empty()) out.notes.push_back(text_of(item, head) + " came after " + before);
      out.rows.push_back({text_of(item, head), author_text(head, client_), trail_.device(head),
                          client_.zone().print(head.entered_ms()) + (head.clock_suspect() ? " (clock suspect)" : ""),
                          head.held_ms() ? client_.zone().print(head.held_ms()) : "", head.reason()});
    }
    if (item.field() == kSameAsField) {
      out.commands = {"one event: wrack fold " + id + " --into ID --settle --reason \"...\"",
                      "an event of its own: wrack fold " + id + " --undo --settle --reason \"...\""};
      return;
    }
    const std::string command = "wrack settle " + id + " " + field + " ";
    if (item.field() == kStandingField) {
      out.commands = {"it stays struck: " + command + "struck --reason \"...\"", "it counts: " + command + "in_account --reason \"...\""};
    } else if (item.field() == kAcceptedField) {
      std::string rules;
      for (const ReviewSide& side : known.sides())
        for (const std::uint32_t accepted : built_in_of(side.head().value()).accepted_rules)
          if (rules.empty()) rules = std::string(rule_name(static_cast<ReviewRule>(accepted)));
      out.commands = {"as it should be: wrack accept " + id + " " + rules + " --settle --reason \"...\""};
    } else {
      out.commands = {"settle it: " + command + "\"" + example + "\" --reason \"...\""};
    }
  }

  void put_records(const ReviewItem& item, ItemWords& out) {
    const ReviewDetailReply known = detail(item);
    const auto rule = static_cast<ReviewRule>(item.rule());
    const std::string id = names_.short_id(item.records(0));
    out.heading += ", " + names_.call_it(item.records(0));
    out.titles = {"RECORD", "BY", "DEVICE", "ENTERED", "WHAT", "STANDING"};
    for (const ReviewRecord& record : known.records())
      out.rows.push_back({names_.short_id(record.view().record()), author_text(record.view(), client_, names_), record.device_name(),
                          client_.zone().print(record.view().entered_ms()),
                          happened_text(record.view(), client_) + event_text(record.view(), client_, names_),
                          standing_text(record.view(), names_)});
    std::string differs, alike;
    for (const FieldCompared& field : known.compared()) {
      const std::string label = field_label(item.kind(), field.field());
      if (field.same()) {
        alike += (alike.empty() ? "" : ", ") + label;
        continue;
      }
      differs += (differs.empty() ? "" : "; ") + label + " ";
      for (int i = 0; i < field.values_size(); ++i) differs += (i ? " | " : "") + value_in(item, field, i);
    }
    const bool shows_parts = std::any_of(known.records().begin(), known.records().end(), [](const ReviewRecord& r) { return r.parts_size() > 0; });
    if (known.records_size() > 1) {
      out.notes.push_back("differs: " + (differs.empty() ? "nothing" + std::string(shows_parts ? " of the record itself" : "") : differs));
      if (!alike.empty()) out.notes.push_back("the same: " + alike);
    }
    if (rule == ReviewRule::kDoubleEntry && item.level() == REVIEW_LEVEL_URGENT && kind_name(item.kind()) == "administration")
      out.notes.emplace_back("Possibly given twice: tell the vet before the next dose.");
    const std::string as_it_should_be = "wrack accept " + id + " " + item.rule_name() + " --reason \"...\"";
    if (rule == ReviewRule::kFoldAstray) {
      out.notes.emplace_back("Each of these is folded into one that does not count, so the event counts nowhere.");
      out.commands = {"let it count again: wrack fold " + id + " --undo --reason \"...\""};
    } else if (rule == ReviewRule::kDoseOutOfOrder) {
      out.notes.emplace_back("The first was due before the second, and is recorded as given after it. Look at the slots and the times.");
      out.commands = {"a slot or a time is wrong: wrack correct " + id + " happened=\"...\" --reason \"...\"",
                      "it was so: " + as_it_should_be};
    } else if (item.records_size() > 1) {
      out.commands = {"one event: wrack fold " + names_.short_id(item.records(item.records_size() - 1)) + " --into " + id + " --reason \"...\"",
                      std::string(item.records_size() > 2 ? "all are events of their own: " : "two events: ") + as_it_should_be};
    } else {
      out.commands = {"as it should be: " + as_it_should_be};
    }
  }

  Client& client_;
  Names& names_;
  TrailWords trail_;
};

std::string text_of(const ItemWords& item) {
  std::string out = item.heading + "\n";
  Table table(item.titles);
  for (const auto& row : item.rows) table.row(row);
  if (!table.empty()) out += table.str(4);
  for (const std::string& note : item.notes) out += wrapped_lines(note, 4);
  for (const std::string& command : item.commands) out += "    " + command + "\n";
  return out;
}

Exit review(Client& client, const ReviewArgs& args) {
  Names names(client);
  Desk desk(client, names);
  Call call;
  call.mutable_review();
  ReviewReply reply = client.call(call).review();
  // Urgent first; the core's order within a level.
  std::stable_sort(reply.mutable_items()->begin(), reply.mutable_items()->end(),
                   [](const ReviewItem& a, const ReviewItem& b) { return a.level() > b.level(); });
  reply.mutable_items()->erase(std::remove_if(reply.mutable_items()->begin(), reply.mutable_items()->end(),
                                              [](const ReviewItem& item) { return item.records_size() == 0; }),
                               reply.mutable_items()->end());
  if (client.json()) {
    Json json;
    json.object().key("items").array();
    for (const ReviewItem& item : reply.items()) desk.put_json(json, item);
    print(json.end().end());
  } else {
    Report page;
    page.title = "To be reviewed";
    std::string out;
    for (int i = 0; i < reply.items_size(); ++i) {
      const ItemWords item = desk.words(i + 1, reply.items(i));
      out += (i ? "\n" : "") + text_of(item);
      ReportSection& section = page.sections.emplace_back(ReportSection{item.heading, item.notes, {}, item.titles, item.rows});
      section.notes.insert(section.notes.end(), item.commands.begin(), item.commands.end());
    }
    if (page.sections.empty()) page.sections.push_back({"Queue", {"Nothing to review."}, {}, {}, {}});
    ReportFiles files;
    files.html = args.html;
    if (args.html.empty()) {
      print(out.empty() ? "nothing to review\n" : out);
    } else {
      show_report(client, page, files);
    }
  }
  return args.check && reply.items_size() > 0 ? Exit::kReview : Exit::kOk;
}

}  // namespace

void add_review_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<ReviewArgs>();
  CLI::App* r = app.add_subcommand(
      "review", "What must be looked at: disagreements with how they came about, double entries with what differs, doubtful doses");
  r->group("Records officer");
  r->add_flag("--check", args->check, "End with exit code 7 when there is anything");
  r->add_option("--html", args->html, "Write a page to print into this file");
  runs(r, chosen, args, review);
}

}  // namespace wrackline::cli
