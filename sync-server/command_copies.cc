// wrackline-server backup, verify, restore.
#include <filesystem>
#include <iostream>
#include <memory>

#include "base/counted.h"
#include "hosts/file_keystore.h"
#include "hub_backup.h"
#include "restore.h"
#include "server_command.h"
#include "verify.h"

namespace wrackline {
namespace {

constexpr std::size_t kProblemsShownMax = 20;

int run_backup(const BackupOptions& options) {
  const auto outcome = back_up(options, progress_on_terminal());
  if (!outcome) return report(outcome.error());
  end_progress();
  std::cout << "Backed up the records of " << options.directory.path << " to " << options.to << " ("
            << outcome->bytes << " bytes).\n";
  if (options.with_keys) {
    std::cout << "The hub's keys are in " << keys_file_of(options.to) << ": move it to another place than "
              << options.to << ".\n";
  } else {
    std::cout << "The hub's keys are not in it; `backup --with-keys` once, and after each change of the "
                 "certificate.\n";
  }
  if (std::filesystem::exists(options.directory.blobs()))
    std::cout << "Files attached to records are not in it: copy " << options.directory.blobs()
              << " as well, after this, by any means that copies files. They never change under their names.\n";
  return 0;
}

void tell(const Verdict& verdict) {
  std::cout << counted(verdict.changes, "change") << " in " << counted(verdict.logs, "log") << "; "
            << counted(verdict.seals, "seal") << " and " << counted(verdict.arrivals, "arrival") << " hold; "
            << counted(verdict.unsealed, "change") << " not sealed yet; " << counted(verdict.records, "record")
            << ", digest " << verdict.digest << ".\n";
}

struct VerifyArgs {
  HubDirectory directory;
  std::string backup, work, hub_key;
};

// From elsewhere than the file that is looked at: named, or the key of the hub whose directory is named.
Result<std::optional<PublicKey>> known_hub_key(const VerifyArgs& args) {
  if (!args.hub_key.empty()) {
    PublicKey key{};
    const auto bytes = read_hex(args.hub_key);
    if (!bytes || !copy_exactly(*bytes, key)) {
      return fail(ErrorCode::kInvalid, "verifying: the hub's key is 64 hexadecimal digits; nothing was looked at; `wrackline-server devices --dir DIR` prints it");
    }
    return std::optional<PublicKey>(key);
  }
  if (args.directory.path.empty()) return std::optional<PublicKey>();
  WRACKLINE_TRY_VALUE(keystore, FileKeystore::open(args.directory.key()));
  return std::optional<PublicKey>(keystore->public_key());
}

int run_verify(const VerifyArgs& args) {
  const bool is_backup = !args.backup.empty();
  const std::string records = is_backup ? args.backup : args.directory.records();
  const auto hub_key = known_hub_key(args);
  if (!hub_key) return report(hub_key.error());
  const auto verdict = verify(records, args.work, *hub_key, progress_on_terminal());
  if (!verdict) return report(verdict.error());
  end_progress();
  if (verdict->good() && !verdict->is_vouched) {
    std::cout << "WHOLE by its own word: " << records << " is as it was sealed by the hub whose key is\n  "
              << to_hex(view(verdict->hub_key))
              << ".\nThe file itself says so: compare the key with the hub's, or name it with --hub-key or the hub's "
                 "directory with --dir.\n";
    tell(*verdict);
    return kExitUnvouched;
  }
  if (verdict->good()) {
    std::cout << "GOOD: " << records << " is whole and as it was sealed.\n";
    tell(*verdict);
    return 0;
  }
  std::cout << "BAD: " << records << " is not what was sealed. First: " << verdict->problems.front() << ".\n";
  for (std::size_t i = 1; i < verdict->problems.size() && i < kProblemsShownMax; ++i)
    std::cout << "  also: " << verdict->problems[i] << '\n';
  std::cout
      << "Keep this file as it is, as evidence. Restore the hub from a backup that verifies; devices bring "
         "what it lacks.\n";
  return kExitFailed;
}

int run_restore(const RestoreOptions& options) {
  const auto verdict = restore(options, progress_on_terminal());
  if (!verdict) return report(verdict.error());
  end_progress();
  std::cout << "Restored " << options.from << " to " << options.directory.path << ".\n";
  tell(*verdict);
  std::cout
      << "What to do next:\n"
      << "  1. Revoke again the devices that were revoked after this backup, before serving.\n"
      << "  2. Serve it at the address of the lost hub, and never start the lost one again.\n"
      << "  3. Let every device exchange, then once more: they bring what the backup lacks. A device that\n"
      << "     was enrolled after the backup and is refused needs a new code.\n";
  return 0;
}

}  // namespace

void add_copy_commands(CLI::App& app, Action& chosen) {
  auto backup = std::make_shared<BackupOptions>();
  CLI::App* b = app.add_subcommand("backup", "Copy the records into one file, also while the hub serves");
  b->add_option("--dir", backup->directory.path, "The hub's directory")->required();
  b->add_option("--to", backup->to, "The file; must not be there")->required();
  b->add_flag("--with-keys", backup->with_keys, "Also the hub's keys, to FILE.keys");
  b->callback([backup, &chosen] { chosen = [backup] { return run_backup(*backup); }; });

  auto verifying = std::make_shared<VerifyArgs>();
  CLI::App* v =
      app.add_subcommand("verify", "Look whether records or a backup are whole and as they were sealed");
  auto* directory = v->add_option("--dir", verifying->directory.path, "The hub's directory");
  auto* file = v->add_option("--backup", verifying->backup, "A backup file; with --dir, of that hub");
  v->add_option("--hub-key", verifying->hub_key, "The hub's key in hexadecimal, from elsewhere than the file");
  v->add_option("--work", verifying->work,
                "Where to put the copy that is looked at; beside the file if not given");
  v->callback([verifying, directory, file, &chosen] {
    if (directory->count() + file->count() == 0) throw CLI::RequiredError("--dir or --backup");
    chosen = [verifying] { return run_verify(*verifying); };
  });

  auto restoring = std::make_shared<RestoreOptions>();
  CLI::App* r = app.add_subcommand(
      "restore",
      "Make a hub's directory from a backup and the hub's keys, which are not in the backup: have the keys file at hand");
  r->add_option(
      "--keys", restoring->keys,
      "The hub's keys: a file that `backup --with-keys` wrote, or a directory with hub.key, tls-cert.pem and "
      "tls-key.pem. Needed, unless the file lies beside the backup as FILE.keys");
  r->add_option("--from", restoring->from, "The backup")->required();
  r->add_option("--dir", restoring->directory.path, "Where; must not exist or be empty")->required();
  r->callback([restoring, &chosen] { chosen = [restoring] { return run_restore(*restoring); }; });
}

}  // namespace wrackline
