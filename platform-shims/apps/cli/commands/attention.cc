// wrack attention: what a vet or curator should know of today, urgent first.
#include <algorithm>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/hub_access.h"
#include "cli/reports/attention_words.h"
#include "records.pb.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct AttentionArgs {
  std::string day = "today";
  bool check = false, hub = false;
};

// The core looks back so many days.
constexpr Day kDaysBack = 36;

std::string since_text(const AttentionItem& item, Client& client) {
  if (item.since_ms() != 0) return client.zone().print(item.since_ms());
  if (item.rule() == ATTENTION_RULE_WATER_OVERDUE) return "not in 35 days";
  return print_day(item.day());
}

// Several items of one rule and subject that are not urgent are one line: twelve old lots of herring are one
// errand.
struct Line {
  const AttentionItem* first = nullptr;
  std::vector<std::string> whats;  // Each once.
  int items = 0;
};

std::vector<Line> lines_of(const AttentionReply& reply, bool urgent) {
  std::vector<Line> out;
  for (const AttentionItem& item : reply.items()) {
    if (item.urgent() != urgent) continue;
    const bool goes_on = !urgent && !out.empty() && out.back().first->rule() == item.rule() &&
                         same(out.back().first->subject(), item.subject()) &&
                         out.back().first->subject_name() == item.subject_name();
    if (!goes_on) out.push_back({&item, {}, 0});
    Line& line = out.back();
    ++line.items;
    if (!item.what().empty() &&
        std::find(line.whats.begin(), line.whats.end(), item.what()) == line.whats.end())
      line.whats.push_back(item.what());
  }
  return out;
}

std::string what_text(const Line& line) {
  constexpr std::size_t kNamed = 3;
  std::string whats;
  for (std::size_t i = 0; i < line.whats.size() && i < kNamed; ++i) whats += (i ? ", " : "") + line.whats[i];
  if (line.whats.size() > kNamed) whats += " and " + std::to_string(line.whats.size() - kNamed) + " more";
  std::string out = (whats.empty() ? "" : whats + ": ") + attention_words(line.first->rule()).text;
  if (line.items > 1 && line.whats.size() != static_cast<std::size_t>(line.items))
    out += "; " + std::to_string(line.items) + " times";
  return out;
}

std::string part(const AttentionReply& reply, bool urgent, Client& client, Names& names) {
  Table table({"WHO OR WHERE", "WHAT", "SINCE OR ON", "RECORD"});
  for (const Line& line : lines_of(reply, urgent)) {
    const AttentionItem& item = *line.first;
    table.row({item.subject_name(), what_text(line), since_text(item, client),
               item.has_record() ? names.short_id(item.record()) + (line.items > 1 ? " ..." : "") : ""});
  }
  if (table.empty()) return {};
  return (urgent ? std::string("URGENT\n") : std::string("To be looked at\n")) + table.str() + "\n";
}

std::string known_text(const AttentionReply& reply, Client& client, bool hub) {
  if (hub) return "As the hub knows it.";
  if (reply.known_as_of_ms() == 0)
    return "This device has never exchanged with the hub: what others wrote is not in the list, and nothing "
           "is called missed.";
  return "What others wrote is known as of the last exchange, " +
         client.zone().print(reply.known_as_of_ms()) + " (" +
         print_age(reply.known_as_of_ms(), client.now()) + ").";
}

Json json_of(const AttentionReply& reply, Day day) {
  Json json;
  json.object()
      .member("day", print_day(day))
      .member("known_as_of_ms", reply.known_as_of_ms())
      .key("items")
      .array();
  for (const AttentionItem& item : reply.items()) {
    json.object().member("rule", attention_words(item.rule()).word).member("urgent", item.urgent());
    if (item.has_subject()) json.member("subject", Names::full_id(item.subject()));
    json.member("subject_name", item.subject_name());
    if (item.has_record()) json.member("record", Names::full_id(item.record()));
    json.member("day", print_day(item.day()));
    if (item.since_ms() != 0) json.member("since_ms", item.since_ms());
    json.member("what", item.what()).end();
  }
  json.end().end();
  return json;
}

Exit attention(Client& client, const AttentionArgs& args) {
  Names names(client);
  Call call;
  const Day day = typed(client.zone().parse_day_of(args.day, client.now()));
  call.mutable_attention()->set_day(day);
  put_zone(*call.mutable_attention(), client.zone(), day - kDaysBack, day);
  const AttentionReply reply = asks(client, args.hub)(call).attention();
  if (client.json()) {
    print(json_of(reply, day));
  } else {
    const std::string items = part(reply, true, client, names) + part(reply, false, client, names);
    print("What needs attention, " + print_day(day) + "\n\n" +
          (items.empty() ? "Nothing that is recorded.\n\n" : items) +
          wrapped_lines(known_text(reply, client, args.hub)) + wrapped_lines(kAttentionCaution));
  }
  const bool urgent = reply.items_size() > 0 && reply.items(0).urgent();
  return args.check && urgent ? Exit::kReview : Exit::kOk;
}

}  // namespace

void add_attention_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<AttentionArgs>();
  CLI::App* c = app.add_subcommand("attention", "What a vet or curator should know of today, urgent first");
  c->group("Vet and curator");
  c->add_option("--day", args->day, "today, yesterday or 2026-11-24")->capture_default_str();
  c->add_flag("--check", args->check, "End with exit code 7 when anything is urgent");
  c->add_flag("--hub", args->hub, "Ask the hub's replica instead of this one");
  c->footer(kAttentionCaution);
  runs(c, chosen, args, attention);
}

}  // namespace wrackline::cli
