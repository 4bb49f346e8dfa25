#include "rekey.h"

#include "file_lock.h"
#include "hosts/key_change.h"
#include "hub_records.h"
#include "no_key.h"
#include "people.h"
#include "plain_text.h"
#include "replica/replica.h"

namespace wrackline {
namespace {

constexpr std::size_t kReasonBytesMax = 1000;

Result<std::unique_ptr<Keystore>> old_key(const RekeyOptions& options) {
  if (options.is_lost) {
    WRACKLINE_TRY_VALUE(key, Replica::key_of(options.directory.records()));
    return std::unique_ptr<Keystore>(std::make_unique<NoKey>(key));
  }
  WRACKLINE_TRY_VALUE(keystore, open_key(options.directory.key(), options.directory.records()));
  return std::unique_ptr<Keystore>(std::move(keystore));
}

}  // namespace

Result<RekeyOutcome> rekey(const RekeyOptions& options) {
  const std::string doing = "changing the hub's key";
  if (!is_plain_text(options.reason, kReasonBytesMax))
    return fail(ErrorCode::kInvalid,
                doing + ": it needs a reason of one line, which stays in the trail; nothing was changed");
  if (!has_records(options.directory))
    return fail(ErrorCode::kNotFound, doing + ": " + options.directory.path + " is no hub's directory");
  auto lock = FileLock::take(options.directory.serve_lock(), FileLock::Wait::kNo);
  if (!lock && lock.error().code == ErrorCode::kBusy)
    return fail(ErrorCode::kBusy,
                doing + ": the hub is serving with its key; nothing was changed; stop it first");
  if (!lock) return fail(lock.error());
  WRACKLINE_TRY_VALUE(before, old_key(options));
  WRACKLINE_TRY_VALUE(hub, HubRecords::open_with(options.directory, std::move(before)));
  WRACKLINE_TRY_VALUE(by, find_admin(*hub.replica, options.by, doing));
  WRACKLINE_TRY_VALUE(next, begin_key_change(options.directory.key()));
  WRACKLINE_TRY_VALUE(dropped, hub.replica->change_hub_key(
                                   *next, options.is_lost ? Replica::OldKey::kLost : Replica::OldKey::kSigns,
                                   by, options.reason));
  WRACKLINE_TRY(end_key_change(options.directory.key()));
  return RekeyOutcome{to_hex(view(next->public_key())), dropped};
}

Result<std::string> hub_key_of(const HubDirectory& directory) {
  if (!has_records(directory))
    return fail(ErrorCode::kNotFound, "reading the hub's key: " + directory.path + " is no hub's directory");
  WRACKLINE_TRY_VALUE(key, Replica::key_of(directory.records()));
  return to_hex(view(key));
}

}  // namespace wrackline
