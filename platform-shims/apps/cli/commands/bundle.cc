// wrack bundle export, import: records carried in a file, where there is no network.
#include "cli/command.h"

namespace wrackline::cli {
namespace {

struct BundleArgs {
  std::string file;
  bool dry_run = false;
};

Exit export_bundle(Client& client, const BundleArgs& args) {
  Call call;
  call.mutable_bundle_export();
  const Reply reply = client.call(call);
  const BundleExportReply& out = reply.bundle_export();
  write_file(args.file, out.bundle(), "the bundle");
  if (client.json()) {
    Json json;
    json.object()
        .member("file", args.file)
        .member("changes", out.changes())
        .member("bytes", out.bundle().size());
    print(json.end());
  } else {
    print("wrote " + std::to_string(out.changes()) + " changes (" + std::to_string(out.bundle().size()) +
          " bytes) to " + args.file +
          "\nIt is signed but not encrypted: whoever holds the file can read the records.\n");
  }
  return Exit::kOk;
}

Exit import_bundle(Client& client, const BundleArgs& args) {
  Call call;
  call.mutable_bundle_import()->set_bundle(read_file(args.file, "the bundle"));
  call.mutable_bundle_import()->set_dry_run(args.dry_run);
  const Reply reply = client.call(call);
  const BundleImportReply& in = reply.bundle_import();
  client.refresh();
  if (client.json()) {
    Json json;
    json.object().member("file", args.file).member("dry_run", args.dry_run);
    json.member("changes_in_file", in.changes_in_file())
        .member("changes_new", in.changes_new())
        .key("refusals")
        .array();
    for (const Refusal& r : in.refusals())
      json.object()
          .member("log", to_text(LogId{r.log()}))
          .member("seq", r.seq())
          .member("code", r.code())
          .member("message", r.message())
          .end();
    print(json.end().end());
  } else {
    print(args.file + ": " + std::to_string(in.changes_in_file()) + " changes, " +
          std::to_string(in.changes_new()) +
          (args.dry_run ? " would be new here; nothing was written\n" : " new here\n"));
    for (const Refusal& r : in.refusals())
      print("  not taken in: log " + to_text(LogId{r.log()}).substr(0, 8) + " at " + std::to_string(r.seq()) +
            ": " + r.message() + "\n");
  }
  return in.refusals_size() > 0 ? Exit::kFailed : Exit::kOk;
}

}  // namespace

void add_bundle_commands(CLI::App& app, Action& chosen) {
  CLI::App* b = app.add_subcommand("bundle", "Carry records in a file, where there is no network");
  b->group("Records officer");
  b->require_subcommand(1);
  auto out = std::make_shared<BundleArgs>();
  CLI::App* e = b->add_subcommand("export", "Write everything this device holds to a file");
  e->add_option("file", out->file, "The file to write")->required();
  runs(e, chosen, out, export_bundle);
  auto in = std::make_shared<BundleArgs>();
  CLI::App* i =
      b->add_subcommand("import", "Take in a bundle; twice changes nothing, an altered one is refused whole");
  i->add_option("file", in->file, "The file to read")->required();
  i->add_flag("--dry-run", in->dry_run, "Only say what would be new");
  runs(i, chosen, in, import_bundle);
}

}  // namespace wrackline::cli
