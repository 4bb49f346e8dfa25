// wrack changed: which records have changed since it was asked last.
#include <filesystem>
#include <fstream>

#include "cli/command.h"
#include "cli/summary.h"
#include "hosts/private_file.h"
#include "text/message_schema.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct ChangedArgs {
  std::string cursor;
};

Exit changed(Client& client, const ChangedArgs& args) {
  Bytes cursor;
  if (std::filesystem::exists(args.cursor)) cursor = read_file(args.cursor, "where it was asked last");
  Names names(client);
  Json json;
  json.object().key("records").array();
  Table table({"RECORD", "KIND", "BY", "NOW"});
  std::size_t records = 0;
  const bool begins = cursor.empty();
  for (bool has_more = true; has_more;) {
    Call call;
    call.mutable_changed()->set_cursor(cursor);
    const ChangedReply reply = client.call(call).changed();
    for (const ChangedRecord& record : reply.records()) {
      const std::string by = record.by_this_device() ? "this device" : "another";
      const std::string kind = record.kind() == 0 ? "" : kind_name(record.kind());
      std::string now = "its first entry has not arrived here yet";
      if (record.kind() != 0) now = record_summary(client.get(record.record()), client, names);
      table.row({names.short_id(record.record()), kind, by, now});
      json.object().member("record", Names::full_id(record.record())).member("kind", kind).member("by_this_device", record.by_this_device());
      json.member("change", Names::full_id(record.change())).end();
      ++records;
    }
    cursor = reply.cursor();
    has_more = reply.has_more();
  }
  take(replace_private_file(args.cursor, cursor));
  if (client.json()) print(json.end().end());
  else if (begins) print("from now on: the next `wrack changed --cursor " + args.cursor + "` tells what has changed since\n");
  else print(records == 0 ? "nothing has changed\n" : table.str());
  return Exit::kOk;
}

}  // namespace

void add_changed_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<ChangedArgs>();
  CLI::App* command = app.add_subcommand("changed", "Records that changed since it was asked last, by whichever device");
  command->add_option("--cursor", args->cursor, "File that says up to where it was told; made the first time")->required();
  command->group("Records officer");
  runs(command, chosen, args, changed);
}

}  // namespace wrackline::cli
