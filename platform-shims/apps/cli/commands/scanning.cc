// wrack scan, wrack scans: what an animal was doing at each of many moments, and the shares of it.
#include <set>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/record_fields.h"
#include "cli/span.h"
#include "records.pb.h"
#include "text/figures.h"
#include "text/message_schema.h"
#include "text/quantity.h"

namespace wrackline::cli {
namespace {

struct ScanArgs {
  std::string animal, not_visible, every, at, note;
  std::vector<std::string> counts;
};

std::uint32_t moments(const std::string& text) {
  const std::int64_t n = typed(parse_quantity(Unit::kPlain, text));
  if (n < 0 || n > UINT32_MAX)
    throw usage("\"" + text + "\" is no number of moments; count them: 0, 1, 2 ...");
  return static_cast<std::uint32_t>(n);
}

// The facility's own codes of behaviour.
std::set<std::string> codes_of_behaviour(Client& client) {
  std::set<std::string> out;
  for (const RecordView& view : client.list(kind_number("code"))) {
    Code code;
    if (counts(view) && code.ParseFromString(view.fields()) && code.topic() == TOPIC_BEHAVIOUR)
      out.insert(code.code());
  }
  return out;
}

Exit scan(Client& client, const ScanArgs& args) {
  Names names(client);
  Call call = client.authored();
  const When when = client.event_time(args.at);
  Scan scan;
  *scan.mutable_animal() = names.find("animal", args.animal);
  scan.set_day(when.day);
  set_time(scan, when);
  std::set<std::string> seen;
  for (const std::string& text : args.counts) {
    const Assignment count = split_assignment(text);
    if (!seen.insert(count.name).second)
      throw usage("\"" + count.name + "\" is counted twice; add the two up, or correct the code");
    ScanCount& out = *scan.add_counts();
    out.set_code(count.name);
    out.set_scans(moments(count.value));
  }
  if (!args.not_visible.empty()) scan.set_not_visible(moments(args.not_visible));
  if (!args.every.empty()) {
    const std::int64_t every_s = typed(parse_quantity(Unit::kSeconds, args.every));
    if (every_s < 1 || every_s > UINT32_MAX)
      throw usage("\"" + args.every + "\" is no time between two moments; write 60s or 2min");
    scan.set_every_s(static_cast<std::uint32_t>(every_s));
  }
  scan.set_note(args.note);
  NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(kind_number("scan"));
  record.set_fields(scan.SerializeAsString());
  const Reply reply = client.call(call);
  tell_logged(client, names, call.log(), reply.log());
  if (client.json()) return Exit::kOk;
  const std::set<std::string> known = codes_of_behaviour(client);
  for (const std::string& code : seen)
    if (!known.empty() && known.count(code) == 0)
      print("note: " + code +
            " is not in the facility's list of behaviour (`wrack list code`); shares of it stand apart\n");
  return Exit::kOk;
}

std::string text_of(const ScanReply& r, const ScanCall& span, const std::string& animal) {
  std::string out = "Scans of " + animal + ", " + print_day(span.first_day()) + " to " +
                    print_day(span.last_day()) + "\n\n";
  Table table({"CODE", "MEANING", ">MOMENTS", ">SHARE", "95 % INTERVAL"});
  for (const ScanShare& s : r.shares())
    table.row({s.code(), s.meaning(), std::to_string(s.scans()),
               s.has_share_ppm() ? percent_figure(s.share_ppm()) : "",
               s.has_low_ppm() && s.has_high_ppm() ? interval_figure(s.low_ppm(), s.high_ppm()) : ""});
  if (r.watches() == 0) return out + "No scan is recorded.\n";
  if (!table.empty()) out += table.str() + "\n";
  out += std::to_string(r.watches()) + (r.watches() == 1 ? " watch" : " watches") + ": visible at " +
         std::to_string(r.visible()) + " moments, not visible at " + std::to_string(r.not_visible()) + ".\n";
  return out +
         wrapped_lines(
             "Shares are of the moments at which it was visible. Interval by Wilson; moments close together "
             "lean on each other, so the true one is wider.");
}

Json json_of(const ScanReply& r, const ScanCall& span) {
  Json json;
  json.object().member("animal", Names::full_id(span.animal()));
  json.member("first_day", print_day(span.first_day())).member("last_day", print_day(span.last_day()));
  json.key("shares").array();
  for (const ScanShare& s : r.shares()) {
    json.object().member("code", s.code()).member("meaning", s.meaning()).member("scans", s.scans());
    if (s.has_share_ppm()) json.member("share_ppm", s.share_ppm());
    if (s.has_low_ppm()) json.member("low_ppm", s.low_ppm());
    if (s.has_high_ppm()) json.member("high_ppm", s.high_ppm());
    json.end();
  }
  json.end()
      .member("visible", r.visible())
      .member("not_visible", r.not_visible())
      .member("watches", r.watches())
      .end();
  return json;
}

Exit scans(Client& client, const SpanArgs& args) {
  Names names(client);
  Call call;
  set_span(*call.mutable_scan(), args, client, names);
  const ScanReply reply = client.call(call).scan();
  if (client.json())
    print(json_of(reply, call.scan()));
  else
    print(text_of(reply, call.scan(), names.name_of(call.scan().animal())));
  return Exit::kOk;
}

}  // namespace

void add_scan_commands(CLI::App& app, Action& chosen) {
  auto scan_args = std::make_shared<ScanArgs>();
  CLI::App* s = app.add_subcommand("scan", "Log a watch: at how many moments the animal did what");
  s->group("Keeper");
  s->add_option("animal", scan_args->animal, "Name or id")->required();
  s->add_option("counts", scan_args->counts,
                "rest=12 swim=7 ...: a code of the facility's list and its moments");
  s->add_option("--not-visible", scan_args->not_visible, "Moments at which it could not be seen; kept apart");
  s->add_option("--every", scan_args->every, "Time between two moments: 60s or 2min");
  s->add_option("--at", scan_args->at, "When it was, if not now");
  s->add_option("--note", scan_args->note, "Anything worth knowing");
  runs(s, chosen, scan_args, scan);

  auto span_args = std::make_shared<SpanArgs>();
  CLI::App* f =
      app.add_subcommand("scans", "What an animal was doing: shares of the moments at which it was seen");
  f->group("Keeper");
  add_span_options(f, *span_args);
  runs(f, chosen, span_args, scans);
}

}  // namespace wrackline::cli
