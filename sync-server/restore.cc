#include "restore.h"

#include <filesystem>

#include "certificate.h"
#include "hub_backup.h"
#include "hub_keys.h"
#include "hub_records.h"
#include "replica/author.h"
#include "scaffold.h"
#include "store/backup.h"

namespace wrackline {
namespace {

namespace fs = std::filesystem;

Status put_keys(const RestoreOptions& options, const HubDirectory& making) {
  const std::string path = options.keys.empty() ? keys_file_of(options.from) : options.keys;
  std::error_code error;
  auto keys = fs::is_directory(path, error) ? read_hub_keys({path}) : read_keys_file(path);
  if (!keys && keys.error().code == ErrorCode::kNotFound)
    return fail(ErrorCode::kNotFound,
                "restoring a hub: there are no keys at " + path +
                    "; name the hub's keys with --keys, a file that `backup --with-keys` "
                    "wrote or a directory with hub.key, tls-cert.pem and tls-key.pem");
  if (!keys) return fail(keys.error());
  const auto facts = check_pair(keys->certificate, keys->certificate_key);
  const Status put = facts ? write_hub_keys(*keys, making) : Status(fail(facts.error()));
  wipe(*keys);
  return put;
}

// The records with the keys that were put beside them, if they belong together.
Result<HubRecords> open_restored(const HubDirectory& making) {
  auto hub = HubRecords::open(making, "restoring a hub");
  if (!hub && hub.error().code == ErrorCode::kKeystore)
    return fail(ErrorCode::kInvalid,
                "restoring a hub: the keys are not those of the hub this backup is of, or not of its time, since a "
                "hub may have been given another key; nothing was made; name the keys that were kept with it");
  if (!hub) return fail(hub.error());
  if (!hub->replica->is_hub())
    return fail(ErrorCode::kInvalid, "restoring a hub: the backup is of a device, not of a hub");
  return hub;
}

Result<PublicKey> key_of_restored(const HubDirectory& making) {
  WRACKLINE_TRY_VALUE(hub, open_restored(making));
  return hub.keystore->public_key();
}

// Others may know the logs of the backup further than it does.
Status leave_logs(const HubDirectory& making) {
  WRACKLINE_TRY_VALUE(hub, open_restored(making));
  return hub.replica->author().leave_logs();
}

}  // namespace

Result<Verdict> restore(const RestoreOptions& options, const Progress& progress) {
  const std::string place = without_slash(options.directory.path);
  if (!is_free_place(place))
    return fail(ErrorCode::kInvalid, "restoring a hub: " + place +
                                         " is there already and not empty; nothing in it was touched. Name "
                                         "another directory");
  WRACKLINE_TRY_VALUE(scaffold, Scaffold::make(place));
  const HubDirectory making{scaffold.path()};
  WRACKLINE_TRY(put_keys(options, making));
  WRACKLINE_TRY(copy_records(options.from, making.records(), [&](std::int64_t done, std::int64_t all) {
    if (progress) progress("copying", static_cast<std::uint64_t>(done), static_cast<std::uint64_t>(all));
  }));
  WRACKLINE_TRY_VALUE(hub_key, key_of_restored(making));
  WRACKLINE_TRY_VALUE(verdict, verify_private(making.records(), hub_key, progress));
  if (!verdict.good())
    return fail(ErrorCode::kInvalid, "restoring a hub: the backup is not whole: " + verdict.problems.front() +
                                         ". Nothing was made; try an older backup");
  WRACKLINE_TRY(leave_logs(making));
  std::error_code error;
  fs::permissions(making.records(), fs::perms::owner_read | fs::perms::owner_write, error);
  WRACKLINE_TRY(scaffold.move_to(place));
  return verdict;
}

}  // namespace wrackline
