// wrack attach, attachments, fetch: photographs and documents that belong to records.
#include <filesystem>
#include <iostream>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/commands/file_exchange.h"
#include "model/attachment.h"
#include "text/message_schema.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

namespace fs = std::filesystem;

struct AttachArgs {
  std::string file, to, note, at;
};
struct AttachmentsArgs {
  std::string record;
  bool without_hub = false;
};
struct FetchArgs {
  std::string attachment, to;
};

Stop storage(std::string message) { return {Exit::kStorage, std::move(message), "storage"}; }

std::string content_to_attach(const std::string& path) {
  std::error_code error;
  if (fs::exists(path, error) && !fs::is_regular_file(path, error)) throw usage(path + " is no file");
  const std::uintmax_t size = fs::file_size(path, error);
  if (error) throw Stop{Exit::kNotFound, "cannot read " + path + ": " + error.message(), "not_found"};
  if (size == 0) throw refused(path + " is empty; there is nothing to attach");
  if (size > kAttachmentBytesMax)
    throw refused(path + " is " + size_text(size) + "; a file that is attached has at most 64 MiB. Make it smaller, or keep it elsewhere and "
                  "write where in a note");
  return read_file(path, "the file to attach");
}

// The file is kept before the record that names it is written, so that no record here names what nobody has.
Exit attach(Client& client, const AttachArgs& args) {
  Names names(client);
  const RecordRef subject = names.find("animal or pool", args.to);
  client.get(subject);  // It must be here: an id may be mistyped.
  Call call = client.authored();
  const When when = client.event_time(args.at);
  const std::string content = content_to_attach(args.file);
  const std::string_view type = media_type_of(content);
  if (type.empty())
    throw refused(args.file + " is none of the files that are taken: " + kMediaTypesTaken + ". What is in it decides, not its name");
  const Hash hash = sha256(content);
  take(BlobFolder(client.options().dir.blobs()).put(hash, 0, content.size(), content));

  Attachment attachment;
  *attachment.mutable_subject() = subject;
  set_time(attachment, when);
  attachment.set_day(when.day);
  attachment.set_sha256(Bytes(view(hash)));
  attachment.set_bytes(content.size());
  attachment.set_media_type(std::string(type));
  attachment.set_name(fs::path(args.file).filename().string());
  attachment.set_note(args.note);
  NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(kind_number("attachment"));
  record.set_fields(attachment.SerializeAsString());
  const Reply reply = client.call(call);
  const Exit told = tell_logged(client, names, call.log(), reply.log());
  if (!client.json() && type.substr(0, 6) == "image/") print("\n" + wrapped_lines(kPictureCaution));
  return told;
}

// Where a file is, as far as is known: `hub` is null where it was not asked.
std::string place_words(const BlobFolder::Held& here, const BlobFolder::Held* hub) {
  if (hub == nullptr) return here.whole ? "here; hub not asked" : "not here; hub not asked";
  if (here.whole) return hub->whole ? "here" : hub->bytes > 0 ? "here, partly sent" : "here, not sent yet";
  if (!hub->whole) return "not at the hub yet";
  return here.bytes > 0 ? "at the hub; " + size_text(here.bytes) + " here" : "only at the hub";
}

Exit attachments(Client& client, const AttachmentsArgs& args) {
  Names names(client);
  std::optional<RecordRef> subject;
  if (!args.record.empty()) subject = names.find("animal or pool", args.record);
  const std::vector<AttachedFile> files = attached_files(client, subject, false);
  const BlobFolder folder(client.options().dir.blobs());
  std::vector<Hash> hashes;
  for (const AttachedFile& file : files) hashes.push_back(file.hash);
  std::vector<BlobFolder::Held> there;
  std::string why = args.without_hub ? "not asked, as --no-hub says" : "";
  if (!files.empty() && !args.without_hub) {
    try {
      Hub hub(client);
      there = take(ask_held(hub.files(), hashes));
    } catch (const Stop& stop) {
      if (stop.exit != Exit::kNetwork) throw;
      why = stop.message;
    }
  }
  Table table({"RECORD", "OF", "NAME", ">SIZE", "TYPE", "FILE", "NOTE"});
  Json json;
  json.object().key("attachments").array();
  for (std::size_t i = 0; i < files.size(); ++i) {
    const Attachment& attachment = files[i].attachment;
    const BlobFolder::Held here = take(folder.held(files[i].hash));
    const BlobFolder::Held* const hub = there.empty() ? nullptr : &there[i];
    table.row({names.short_id(files[i].view.record()), names.call_it(attachment.subject()), attachment.name(),
               size_text(attachment.bytes()), attachment.media_type(), place_words(here, hub),
               attachment.note()});
    json.object();
    json.member("record", Names::full_id(files[i].view.record())).member("subject", Names::full_id(attachment.subject()));
    json.member("name", attachment.name()).member("bytes", attachment.bytes()).member("media_type", attachment.media_type());
    json.member("note", attachment.note());
    json.member("sha256", to_hex(attachment.sha256())).member("here", here.whole);
    hub != nullptr ? json.member("at_hub", hub->whole) : json.key("at_hub").null();
    json.end();
  }
  json.end();
  if (client.json()) {
    if (!why.empty()) json.member("hub_not_asked", why);
    print(json.end());
    return Exit::kOk;
  }
  if (files.empty()) {
    print(subject ? "nothing is attached to " + names.call_it(*subject) + "\n" : std::string("nothing is attached to any record here\n"));
    return Exit::kOk;
  }
  print(table.str());
  if (!why.empty()) print("\nWhat the hub has is not known: " + why + "\n");
  return Exit::kOk;
}

Exit fetch(Client& client, const FetchArgs& args) {
  Names names(client);
  const RecordRef record = names.record(args.attachment);
  const RecordView view = client.get(record);
  if (view.kind() != kind_number("attachment"))
    throw refused("record " + names.short_id(record) + " is a " + kind_name(view.kind()) + " and has no file; see `wrack attachments`");
  Attachment attachment;
  Hash hash;
  if (!attachment.ParseFromString(view.fields()) || !copy_exactly(attachment.sha256(), hash) || attachment.bytes() == 0 ||
      attachment.bytes() > kAttachmentBytesMax)
    throw refused("record " + names.short_id(record) + " does not say which file it is of; look at it with `wrack show`");
  if (!args.to.empty() && fs::exists(args.to))
    throw refused("there is a file of the name " + args.to + "; it was left as it is. Name another with --to");
  BlobFolder folder(client.options().dir.blobs());
  const bool was_here = take(folder.held(hash)).whole;
  if (!was_here) {
    Hub hub(client);
    const Status fetched = fetch_file(hub.files(), folder, hash, attachment.bytes(), show_file_progress("fetching"));
    end_file_progress();
    take(fetched);
  }
  if (!args.to.empty()) {
    const Bytes content = take(folder.read(hash, 0, static_cast<std::size_t>(kAttachmentBytesMax)));
    // It had this hash when it was taken in; disks err.
    if (sha256(content) != hash)
      throw storage("the file of " + names.short_id(record) + " in " + folder.root() +
                    " is no longer what its hash says; remove " + blob_name(hash) + " there and fetch it again");
    write_file(args.to, content, "the file");
  }
  if (client.json()) {
    Json json;
    json.object().member("record", Names::full_id(record)).member("bytes", attachment.bytes()).member("was_here", was_here);
    if (!args.to.empty()) json.member("to", args.to);
    print(json.end());
    return Exit::kOk;
  }
  print((was_here ? "already here: " : "fetched ") + attachment.name() + ", " + size_text(attachment.bytes()) +
        (args.to.empty() ? "; write it to a file with --to\n" : ", written to " + args.to + "\n"));
  return Exit::kOk;
}

}  // namespace

void add_attaching_commands(CLI::App& app, Action& chosen) {
  auto attach_args = std::make_shared<AttachArgs>();
  CLI::App* a = app.add_subcommand("attach", "Attach a photograph or document to a record, as it is; the next exchange sends it");
  a->group("Keeper");
  a->add_option("file", attach_args->file, "JPEG, PNG or WebP picture, PDF or plain text, up to 64 MiB")->required();
  a->add_option("--to", attach_args->to, "The record: its id, or an animal or pool by name")->required();
  a->add_option("--note", attach_args->note, "What it shows");
  a->add_option("--at", attach_args->at, "When it was taken or written, if not now");
  runs(a, chosen, attach_args, attach);

  auto list_args = std::make_shared<AttachmentsArgs>();
  CLI::App* l = app.add_subcommand("attachments", "What is attached to a record, or to any, and where the files are");
  l->group("Keeper");
  l->add_option("record", list_args->record, "Its id, or an animal or pool by name");
  l->add_flag("--no-hub", list_args->without_hub, "Do not ask the hub what it has");
  runs(l, chosen, list_args, attachments);

  auto fetch_args = std::make_shared<FetchArgs>();
  CLI::App* f = app.add_subcommand("fetch", "Bring an attached file here from the hub; may be cut off and goes on from there");
  f->group("Keeper");
  f->add_option("attachment", fetch_args->attachment, "The attachment's id (`wrack attachments`)")->required();
  f->add_option("--to", fetch_args->to, "Write it to this file, which must not be there");
  runs(f, chosen, fetch_args, fetch);
}

}  // namespace wrackline::cli
