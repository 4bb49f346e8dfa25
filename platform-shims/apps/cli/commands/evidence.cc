// wrack evidence: some records in a file that an outsider can check without this program.
#include <unistd.h>

#include <fstream>
#include <iostream>

#include "base/counted.h"
#include "cli/command.h"

namespace wrackline::cli {
namespace {

struct EvidenceArgs {
  std::vector<std::string> records;
  std::string file;
  bool whole = false;
};

struct Written {
  std::uint64_t changes = 0, seals = 0, withheld = 0, bytes = 0;
};

Stop cannot_write(const std::string& file) {
  return {Exit::kStorage,
          "cannot write " + file + "; what stands there is no evidence; see to the disk and try again",
          "storage"};
}

Written write_evidence(Client& client, Call call, const std::string& file) {
  Written out;
  std::ofstream to;
  for (;;) {
    const Reply reply = client.call(call);
    const EvidenceReply& piece = reply.evidence();
    // Opened with the first piece at hand: what is refused leaves the file there was.
    if (!to.is_open()) to.open(file, std::ios::binary | std::ios::trunc);
    to << piece.text();
    if (!to) throw cannot_write(file);
    out.bytes += piece.text().size();
    out.changes = piece.changes();
    out.seals = piece.seals();
    out.withheld += piece.withheld();
    if (!client.json() && isatty(STDERR_FILENO))
      std::cerr << "\rwriting: " << piece.changes() << " of " << piece.changes_in_all() << " changes "
                << std::flush;
    if (!piece.has_next()) break;
    *call.mutable_evidence()->mutable_at() = piece.next();
  }
  to.close();
  if (!to) throw cannot_write(file);
  if (!client.json() && isatty(STDERR_FILENO)) std::cerr << "\r\x1b[K";
  return out;
}

Exit evidence(Client& client, const EvidenceArgs& args) {
  Names names(client);
  Call call;
  for (const std::string& text : args.records) *call.mutable_evidence()->add_records() = names.record(text);
  call.mutable_evidence()->set_whole(args.whole);
  const Written out = write_evidence(client, call, args.file);
  const std::string hub_key = to_hex(view(client.membership().hub_key));
  if (client.json()) {
    Json json;
    json.object().member("file", args.file).member("bytes", out.bytes).member("changes", out.changes);
    print(json.member("seals", out.seals).member("withheld", out.withheld).member("hub_key", hub_key).end());
    return Exit::kOk;
  }
  print("wrote " + counted(out.changes, "change") + " and " + counted(out.seals, "seal") + " (" + std::to_string(out.bytes) + " bytes) to " +
        args.file + "\n");
  if (out.withheld)
    print("The content of " + counted(out.withheld, "change") +
          " is withheld: whoever has the file sees only that there are such changes, when they were entered and by whom.\n");
  print("Check it with: wrackline-evidence " + args.file + " --hub-key " + hub_key +
        "\nThe key is the hub's; give it to whoever checks by another way than the file.\n");
  return Exit::kOk;
}

}  // namespace

void add_evidence_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<EvidenceArgs>();
  CLI::App* c =
      app.add_subcommand("evidence", "Write records to a file that an outsider can check by themselves");
  c->group("Admin");
  c->add_option("record", args->records, "Their ids")->required();
  c->add_option("--file", args->file, "The file to write")->required();
  c->add_flag("--whole", args->whole, "The whole logs concerned: shows that nothing was left out");
  runs(c, chosen, args, evidence);
}

}  // namespace wrackline::cli
