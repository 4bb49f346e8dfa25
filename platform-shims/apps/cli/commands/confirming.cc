// wrack confirm: somebody says that what a record says in their name is so: an order taken by telephone, an approval, a dose they saw.
#include "base/wire.h"
#include "cli/command.h"
#include "cli/record_fields.h"
#include "model/countersigning.h"
#include "text/message_schema.h"

namespace wrackline::cli {
namespace {

struct ConfirmArgs {
  std::string record;
  std::string reason = "confirmed";
};

Exit confirm_word(Client& client, const ConfirmArgs& args) {
  Names names(client);
  Call call = client.authored();
  const RecordRef record = names.record(args.record);
  const RecordView view = client.get(record);
  const std::uint32_t number = word_field(view.kind());
  const KindInfo* kind = find_kind_info(view.kind());
  if (number == 0 || !kind || !kind->descriptor) throw refused("record " + names.short_id(record) + " says nothing in a person's name that could be confirmed");
  if (view.unconfirmed_size() == 0) throw refused("record " + names.short_id(record) + " has nothing that waits to be confirmed; nothing was changed");
  const RecordId named = named_in_word(view.kind(), view.fields());
  if (named != id_of(call.author()))
    throw refused("record " + names.short_id(record) + " asks " + names.name_of(ref_of(named)) + " for their word, and nobody else can give it; nothing was changed");
  EditCall& edit = *call.mutable_edit();
  *edit.mutable_record() = record;
  append_record_ref_field(*edit.mutable_fields(), number, named);
  edit.set_reason(args.reason);
  *edit.mutable_seen() = view.heads();
  return tell_edited(client, names, record, client.write_edit(call), "confirmed");
}

}  // namespace

void add_confirming_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<ConfirmArgs>();
  CLI::App* c = app.add_subcommand("confirm", "Say that an order by telephone, an approval or a dose you saw is as it stands; strike it where it is not");
  c->group("Officer");
  c->add_option("record", args->record, "The order, plan or dose")->required();
  c->add_option("--reason", args->reason, "Stands in the trail")->capture_default_str();
  runs(c, chosen, args, confirm_word);
}

}  // namespace wrackline::cli
