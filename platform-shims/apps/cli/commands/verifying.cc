// wrack verify: whether every change is as its device sealed it, and which is the first that is not.
#include <unistd.h>

#include <iostream>

#include "base/counted.h"
#include "cli/command.h"
#include "text/message_schema.h"

namespace wrackline::cli {
namespace {

struct NoArgs {};

struct Findings {
  std::uint64_t changes = 0, seals = 0, arrivals = 0, unsealed = 0;
  std::vector<Refusal> problems;
  std::vector<FaultPlace> places;  // One for each problem.
};

Findings look(Client& client) {
  Findings found;
  const std::uint64_t all = client.status().changes();
  const bool shows_progress = !client.json() && isatty(STDERR_FILENO);
  Call call;
  call.mutable_verify();
  for (;;) {
    const Reply reply = client.call(call);
    const VerifyReply& v = reply.verify();
    found.changes += v.changes();
    found.seals += v.seals();
    found.arrivals += v.arrivals();
    found.unsealed += v.unsealed();
    found.problems.insert(found.problems.end(), v.problems().begin(), v.problems().end());
    found.places.insert(found.places.end(), v.places().begin(), v.places().end());
    if (shows_progress)
      std::cerr << "\rverifying: " << found.changes << " of " << all << " changes " << std::flush;
    if (!v.has_next()) break;
    *call.mutable_verify()->mutable_after() = v.next();
  }
  if (shows_progress) std::cerr << "\r\x1b[K";
  return found;
}

const char* fault_word(Fault fault) {
  switch (fault) {
    case FAULT_CHANGE:
      return "change";
    case FAULT_RUN:
      return "run";
    case FAULT_UNREADABLE:
      return "unreadable";
    case FAULT_MISSING:
      return "missing";
    case FAULT_ARRIVAL:
      return "arrival";
    case FAULT_MARK:
      return "mark";
    case FAULT_TREE:
      return "tree";
    case FAULT_OWNER:
      return "owner";
    case FAULT_TWO_VIEWS:
      return "two_views";
    default:
      return "other";
  }
}

// The animal it tells of, by the altered fields: so maybe by a wrong one, or none.
std::string subject_of(const FaultPlace& place, Names& names) {
  const KindInfo* info = find_kind_info(place.kind());
  const MessagePtr message = parse_fields(place.kind(), place.fields());
  const KindRow* row = info ? find_kind(place.kind()) : nullptr;
  const FieldDescriptor* field =
      message && row ? message->GetDescriptor()->FindFieldByNumber(static_cast<int>(row->key.subject))
                     : nullptr;
  if (!field || !field->message_type() || !message->GetReflection()->HasField(*message, field)) return "";
  RecordRef subject;
  subject.ParseFromString(message->GetReflection()->GetMessage(*message, field).SerializeAsString());
  return is_set(subject) ? names.call_it(subject) : "";
}

// "It reads as an edit of Meal 08:30 of Sila, by Ines Vik on north, entered 2026-11-24 08:31".
std::string reading_of(const FaultPlace& place, Client& client, Names& names) {
  std::string on = place.device_name().empty() ? "" : " on " + place.device_name();
  if (place.fault() != FAULT_CHANGE) return on.empty() ? "" : "It was written" + on + ".";
  if (!place.readable()) return "It cannot be read any more; it was written" + on + ".";
  std::string out =
      std::string("As it stands now it reads as ") + (place.birth() ? "a new " : "an edit of a ") +
      (place.kind() ? kind_name(place.kind()) : "record") + ", " + Names::full_id(place.record());
  try {
    // Records that were altered may have become anything.
    if (const std::string subject = subject_of(place, names); !subject.empty()) out += ", of " + subject;
  } catch (const Stop&) {
  }
  out += ", by " +
         (place.author_name().empty() ? "the hub or somebody not known here" : place.author_name()) + on;
  return out + ", entered " + client.zone().print(place.entered_ms()) + ".";
}

void tell_json(const Findings& found) {
  Json json;
  json.object()
      .member("changes", found.changes)
      .member("seals", found.seals)
      .member("arrivals", found.arrivals);
  json.member("unsealed", found.unsealed).key("problems").array();
  for (std::size_t i = 0; i < found.problems.size(); ++i) {
    const Refusal& p = found.problems[i];
    json.object()
        .member("log", to_text(LogId{p.log()}))
        .member("seq", p.seq())
        .member("code", p.code())
        .member("message", p.message());
    if (i < found.places.size()) {
      const FaultPlace& place = found.places[i];
      json.member("fault", fault_word(place.fault())).member("last_seq", place.last_seq());
      json.member("device", place.device_name());
      if (is_set(place.record())) json.member("record", Names::full_id(place.record()));
      if (place.kind()) json.member("kind", kind_name(place.kind()));
      if (is_set(place.author())) json.member("author", Names::full_id(place.author()));
      if (place.readable()) json.member("entered_ms", place.entered_ms());
    }
    json.end();
  }
  print(json.end().end());
}

Exit verify(Client& client, const NoArgs&) {
  const Findings found = look(client);
  if (client.json()) {
    tell_json(found);
  } else if (found.problems.empty()) {
    print("all is as it was written: " + counted(found.changes, "change") + "; " +
          counted(found.seals, "seal") + " and " + counted(found.arrivals, "word") +
          " of the hub about when they came hold\nAll this by the hub whose key is " + to_hex(view(client.membership().hub_key)) +
          ": compare it with the hub's own.\n");
    if (found.unsealed)
      print(std::to_string(found.unsealed) +
            " of this device's own changes await a seal; an exchange or a bundle sets it\n");
  } else {
    Names names(client);
    bool is_only_beside = true;
    for (std::size_t i = 0; i < found.problems.size(); ++i) {
      print(found.problems[i].message() + "\n");
      if (i >= found.places.size()) continue;
      const FaultPlace& place = found.places[i];
      is_only_beside = is_only_beside && (place.fault() == FAULT_MARK || place.fault() == FAULT_TREE);
      if (const std::string reading = reading_of(place, client, names); !reading.empty())
        print("    " + reading + "\n");
    }
    print(is_only_beside ? "Every change is as its device wrote it; what this file keeps beside them is "
                           "damaged. Keep this copy, and "
                           "exchange into a fresh one.\n"
                         : "These are not as their device wrote them. Nothing was removed; keep this copy, "
                           "and exchange into a fresh "
                           "one.\n");
  }
  return found.problems.empty() ? Exit::kOk : Exit::kFailed;
}

}  // namespace

void add_verify_command(CLI::App& app, Action& chosen) {
  CLI::App* c = app.add_subcommand("verify", "Check that every change is as its device wrote and sealed it");
  c->group("Admin");
  runs(c, chosen, std::make_shared<NoArgs>(), verify);
}

}  // namespace wrackline::cli
