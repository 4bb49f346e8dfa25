// wrack rebuild, digest, people, devices: what an admin checks.
#include "cli/command.h"
#include "cli/hub_access.h"
#include "cli/record_fields.h"
#include "cli/summary.h"
#include "text/message_schema.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct NoArgs {};
struct DigestArgs {
  bool hub = false;
};

Exit rebuild(Client& client, const NoArgs&) {
  Call call;
  call.mutable_rebuild();
  const RebuildReply reply = client.call(call).rebuild();
  if (client.json()) {
    Json json;
    print(json.object().member("changes", reply.changes()).member("same", reply.same()).end());
  } else {
    print("made everything anew from " + std::to_string(reply.changes()) + " changes; it is " +
          (reply.same() ? "the same as before\n" : "NOT the same as before, and now right\n"));
  }
  return reply.same() ? Exit::kOk : Exit::kFailed;
}

void digest_json(Json& json, const DigestReply& d) {
  json.object()
      .member("sha256", to_hex(d.sha256()))
      .member("records", d.records())
      .member("changes", d.changes())
      .end();
}

std::string digest_text(const DigestReply& d) {
  return to_hex(d.sha256()) + "  " + std::to_string(d.records()) + " records, " +
         std::to_string(d.changes()) + " changes\n";
}

Exit digest(Client& client, const DigestArgs& args) {
  Call call;
  call.mutable_digest();
  const DigestReply here = client.call(call).digest();
  if (!args.hub) {
    Json json;
    digest_json(json, here);
    client.json() ? print(json) : print(digest_text(here));
    return Exit::kOk;
  }
  Hub hub(client);
  const DigestReply there = Client::reply_of(hub.query(call.SerializeAsString())).digest();
  const bool equal = here.sha256() == there.sha256();
  if (client.json()) {
    Json json;
    json.object().key("here");
    digest_json(json, here);
    json.key("hub");
    digest_json(json, there);
    print(json.member("same", equal).end());
  } else {
    print("here  " + digest_text(here) + "hub   " + digest_text(there) +
          (equal ? "the same\n" : "different: exchange first, then ask again\n"));
  }
  return equal ? Exit::kOk : Exit::kFailed;
}

Exit people(Client& client, const NoArgs&) {
  Names names(client);
  const auto views = client.list(kind_number("person"), {}, {}, true);
  if (client.json()) {
    Json json;
    json.object().key("people").array();
    for (const RecordView& view : views) record_json(json, view, names, client);
    print(json.end().end());
  } else {
    print(views.empty() ? "nobody is recorded here yet; exchange first\n"
                        : records_table(views, client, names));
  }
  return Exit::kOk;
}

Exit devices(Client& client, const NoArgs&) {
  Names names(client);
  const auto views = client.list(kind_number("device"), {}, {}, true);
  if (client.json()) {
    Json json;
    json.object().key("devices").array();
    for (const RecordView& view : views) record_json(json, view, names, client);
    json.end().key("logs").array();
    for (const LogStatus& log : client.status().logs())
      json.object()
          .member("log", to_text(LogId{log.log()}))
          .member("device", log.device_name())
          .member("seq", log.seq())
          .member("arrived", log.arrived())
          .end();
    print(json.end().end());
    return Exit::kOk;
  }
  std::string out = views.empty() ? "no device is recorded here yet; exchange first\n"
                                  : records_table(views, client, names);
  Table table({"LOG", "DEVICE", ">CHANGES", ">HUB HOLDS", "LAST WRITTEN (its clock)"});
  for (const LogStatus& log : client.status().logs())
    table.row({to_text(LogId{log.log()}), log.device_name(), std::to_string(log.seq()),
               std::to_string(log.arrived()),
               log.last_stamp_ms() ? client.zone().print(log.last_stamp_ms()) : ""});
  if (!table.empty()) out += "\n" + table.str();
  print(out);
  return Exit::kOk;
}

}  // namespace

void add_proof_commands(CLI::App& app, Action& chosen) {
  const auto add = [&](const char* name, const char* help, Exit (*run)(Client&, const NoArgs&)) {
    CLI::App* c = app.add_subcommand(name, help);
    c->group("Admin");
    runs(c, chosen, std::make_shared<NoArgs>(), run);
  };
  add("people", "Who can write, with their roles; struck ones as well", people);
  add("devices", "Enrolled devices and their logs; revoked ones as well", devices);
  add("rebuild", "Make everything that is derived anew from the changes, and compare", rebuild);
  auto args = std::make_shared<DigestArgs>();
  CLI::App* d = app.add_subcommand(
      "digest", "A checksum of all records as merged: equal on replicas that hold the same");
  d->group("Admin");
  d->add_flag("--hub", args->hub, "Ask the hub for its own as well, and compare");
  runs(d, chosen, args, digest);
}

}  // namespace wrackline::cli
