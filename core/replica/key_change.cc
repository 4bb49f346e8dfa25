// The part of Replica in which keys take the place of others: a device's, the hub's, and the one that is pinned.
//
// A log is bound to its key by the beginning of its chain, so another key means another log. Each change of a key is one
// transaction of the database; the files in which keys are kept follow it (platform-shims/hosts/key_change.h).
#include "base/wire.h"
#include "model/device.h"
#include "model/kinds.h"
#include "replica/author.h"
#include "replica/replica.h"
#include "replica/sign_in.h"
#include "store/store.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kDeviceKind = static_cast<std::uint32_t>(Kind::kDevice);

NewRecord device_record(const DeviceFields& fields, const std::string& reason) {
  NewRecord record;
  record.kind = kDeviceKind;
  record.fields = to_fields(fields);
  record.reason = reason;
  return record;
}

}  // namespace

void Replica::go_on_with(Keystore& next, std::unique_ptr<Author> author) {
  author_ = std::move(author);
  options_.keystore = &next;
  sign_in_->change_key(next);
  author_->mark();
}

Status Replica::change_key(Keystore& next) {
  if (is_hub()) return fail(ErrorCode::kInvalid, "changing this device's key: this is the hub, whose key others have pinned; nothing was changed; use `wrackline-server rekey`");
  const PublicKey before = author_->key();
  if (next.public_key() == before) return {};
  auto successor = std::make_unique<Author>(*store_, next, options_.wall_clock, options_.fence, options_.random);
  WRACKLINE_TRY_VALUE(write, store_->begin_write());
  WRACKLINE_TRY(author_->seal_in());
  WRACKLINE_TRY(successor->succeed_in(before));
  WRACKLINE_TRY(write.commit());
  go_on_with(next, std::move(successor));
  return {};
}

Status Replica::repin(const PublicKey& hub_key) {
  if (!is_sound_key(hub_key)) return fail(ErrorCode::kInvalid, "pinning the hub's key: anybody could sign under this one; nothing was changed; compare it once more");
  {
    WRACKLINE_TRY_VALUE(write, store_->begin_write());
    WRACKLINE_TRY(store_->set_hub_key(hub_key));
    WRACKLINE_TRY(store_->records().flush());
    WRACKLINE_TRY(store_->records().rebuild());
    WRACKLINE_TRY(write.commit());
  }
  membership_.hub_key = hub_key;
  return {};
}

Status Replica::strike_device(Author& author, RecordId by, RecordId device, const std::string& reason) {
  Edit strike;
  strike.record = device;
  append_varint_field(strike.fields, kStandingField, kStruck);
  strike.reason = reason;
  WRACKLINE_TRY_VALUE(change, author.edit_in(by, std::move(strike)));
  (void)change;
  return {};
}

Status Replica::rekey_device(const PublicKey& before, const PublicKey& next) {
  if (!is_sound_key(next)) return fail(ErrorCode::kInvalid, "changing a device's key: anybody could sign under the new key; nothing was changed; make another");
  WRACKLINE_TRY(store_->refresh());
  WRACKLINE_TRY_VALUE(old, devices_.find(before));
  WRACKLINE_TRY_VALUE(known, devices_.find(next));
  if (known.standing == DeviceStanding::kEnrolled && known.continues == before) return {};  // The answer was lost.
  if (old.standing != DeviceStanding::kEnrolled) {
    return fail(old.standing == DeviceStanding::kRevoked ? ErrorCode::kRevokedDevice : ErrorCode::kUnknownDevice,
                "changing a device's key: the key it has may not come any more; nothing was changed; ask an admin");
  }
  if (known.standing != DeviceStanding::kUnknown || devices_.hub().is_key(before)) {
    return fail(ErrorCode::kInvalid, "changing a device's key: the new key is in use or was; nothing was changed; make another");
  }
  DeviceFields fields;
  fields.name = old.name;
  fields.key = next;
  fields.enrolled_ms = now();
  fields.continues = old.record;
  WRACKLINE_TRY_VALUE(write, store_->begin_write());
  WRACKLINE_TRY_VALUE(ids, author_->log_records_in({}, {device_record(fields, "key replaced")}));
  (void)ids;
  // A key that was enrolled twice has two records.
  for (;;) {
    WRACKLINE_TRY_VALUE(device, devices_.find(before));
    if (device.standing != DeviceStanding::kEnrolled) break;
    WRACKLINE_TRY(strike_device(*author_, {}, device.record, "key replaced"));
  }
  WRACKLINE_TRY(author_->seal_in());  // At once, as in admit_device().
  return author_->commit(write);
}

Result<std::uint32_t> Replica::change_hub_key(Keystore& next, OldKey old, RecordId by, const std::string& reason) {
  WRACKLINE_TRY(store_->refresh());
  const PublicKey before = author_->key(), key = next.public_key();
  if (!is_hub()) return fail(ErrorCode::kInvalid, "changing the hub's key: these records are a device's; nothing was changed");
  if (!is_sound_key(key)) return fail(ErrorCode::kInvalid, "changing the hub's key: anybody could sign under the new key; nothing was changed; make another");
  WRACKLINE_TRY_VALUE(known, devices_.find(key));
  if (known.standing != DeviceStanding::kUnknown) {
    return fail(ErrorCode::kInvalid, "changing the hub's key: the new key is in use or was; nothing was changed; make another");
  }
  auto successor = std::make_unique<Author>(*store_, next, options_.wall_clock, options_.fence, options_.random);
  std::uint32_t dropped = 0;
  {
    WRACKLINE_TRY_VALUE(write, store_->begin_write());
    if (old == OldKey::kLost) {
      std::vector<LogId> own;
      for (const auto& [id, log] : store_->logs().all()) {
        if (log.is_of(before)) own.push_back(id);
      }
      for (const LogId id : own) {
        WRACKLINE_TRY_VALUE(log, store_->logs().intern(id));
        WRACKLINE_TRY_VALUE(count, store_->logs().drop_tail(*log));
        dropped += count;
      }
      if (dropped > 0) {
        WRACKLINE_TRY(store_->records().flush());
        WRACKLINE_TRY(store_->records().rebuild());
      }
    }
    WRACKLINE_TRY_VALUE(device, devices_.find(before));
    Author& first = old == OldKey::kSigns ? *author_ : *successor;
    if (old == OldKey::kLost) WRACKLINE_TRY(successor->succeed_in(before));
    // The reason names who decided, and why: a record of the hub's own has no author.
    if (device.record) WRACKLINE_TRY(strike_device(first, by, device.record, reason));
    DeviceFields fields;
    fields.name = device.name;
    fields.enrolled_ms = now();
    fields.continues = device.record;
    fields.of_hub = true;
    fields.key = key;
    WRACKLINE_TRY(first.log_records_in({}, {device_record(fields, reason)}));
    if (old == OldKey::kSigns) {
      WRACKLINE_TRY(author_->seal_in());
      WRACKLINE_TRY(successor->succeed_in(before));
    }
    DeviceFields former;
    former.name = device.name;
    former.enrolled_ms = device.enrolled_ms;
    former.of_hub = true;
    former.key = before;
    for (const auto& [id, log] : store_->logs().all()) {
      if (log.is_of(before) && !log.branch && log.head.seq > 0) former.ends.push_back({id, log.head.seq});
    }
    WRACKLINE_TRY(successor->log_records_in({}, {device_record(former, reason)}));
    // At once: were this key lost before it sealed anything, all that came before it would be lost to the hub's word.
    WRACKLINE_TRY(successor->seal_in());
    WRACKLINE_TRY(store_->set_hub_key(key));
    if (store_->records().hub_has_moved()) {
      WRACKLINE_TRY(store_->records().flush());
      WRACKLINE_TRY(store_->records().rebuild());
    }
    WRACKLINE_TRY(write.commit());
  }
  membership_.hub_key = key;
  go_on_with(next, std::move(successor));
  return dropped;
}

}  // namespace wrackline
