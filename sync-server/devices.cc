#include "devices.h"

#include <call.pb.h>
#include <records.pb.h>

#include <algorithm>
#include <filesystem>

#include "base/built_in_fields.h"
#include "base/wire.h"
#include "call/dispatch.h"
#include "device_word.h"
#include "hosts/system_clock.h"
#include "hub_records.h"
#include "model/kinds.h"
#include "people.h"
#include "plain_text.h"
#include "replica/author.h"
#include "replica/replica.h"

namespace wrackline {
namespace {

constexpr std::size_t kReasonBytesMax = 1000;

Result<proto::Reply> ask(Replica& replica, const proto::Call& call) {
  proto::Reply reply;
  if (!reply.ParseFromString(dispatch(replica, call.SerializeAsString(), CallScope::kReadOnly)))
    return fail(ErrorCode::kInternal, "reading the records: the core's answer cannot be read");
  if (reply.has_failure())
    return fail(static_cast<ErrorCode>(reply.failure().code()), reply.failure().message());
  return reply;
}

// When and why a struck record was struck.
Status read_strike(Replica& replica, RecordId record, DeviceRow& row) {
  proto::Call call;
  call.mutable_trail()->mutable_record()->set_log(record.log.value);
  call.mutable_trail()->mutable_record()->set_seq(record.seq);
  WRACKLINE_TRY_VALUE(reply, ask(replica, call));
  for (const proto::TrailEntry& entry : reply.trail().entries()) {
    if (entry.field() != kStandingField || !entry.head()) continue;
    row.revoked_ms = entry.entered_ms();
    row.revoked_reason = entry.reason();
  }
  return {};
}

Result<std::vector<std::pair<DeviceRow, RecordId>>> rows_of(Replica& replica, const HubDirectory& directory) {
  WRACKLINE_TRY_VALUE(devices, replica.devices().all());
  WRACKLINE_TRY_VALUE(contacts, DeviceContacts::read(directory.contacts()));
  std::vector<std::pair<DeviceRow, RecordId>> rows;
  for (const auto& [key, device] : devices) {
    DeviceRow row;
    row.name = device.name;
    row.word = device_word(key);
    row.enrolled_ms = device.enrolled_ms;
    row.is_hub = replica.devices().hub().is_key(key);
    row.revoked = device.standing == DeviceStanding::kRevoked;
    if (device.continues) row.continues = device_word(*device.continues);
    if (row.revoked) WRACKLINE_TRY(read_strike(replica, device.record, row));
    if (const auto found = contacts.find(key); found != contacts.end()) row.contact = found->second;
    rows.emplace_back(std::move(row), device.record);
  }
  std::stable_sort(rows.begin(), rows.end(),
                   [](const auto& a, const auto& b) { return a.first.enrolled_ms < b.first.enrolled_ms; });
  return rows;
}

}  // namespace

Result<std::vector<DeviceRow>> list_devices(const HubDirectory& directory) {
  WRACKLINE_TRY_VALUE(hub, HubRecords::open(directory, "listing devices"));
  WRACKLINE_TRY_VALUE(rows, rows_of(*hub.replica, directory));
  std::vector<DeviceRow> out;
  for (auto& [row, record] : rows) out.push_back(std::move(row));
  return out;
}

Result<DeviceRow> revoke(const RevokeOptions& options) {
  const auto refused = [](ErrorCode code, const std::string& what) {
    return fail(code, "revoking a device: " + what + "; nothing was changed");
  };
  if (!is_plain_text(options.reason, kReasonBytesMax))
    return refused(ErrorCode::kInvalid, "it needs a reason of one line, which stays in the trail");
  WRACKLINE_TRY_VALUE(hub, HubRecords::open(options.directory, "revoking a device"));
  WRACKLINE_TRY_VALUE(rows, rows_of(*hub.replica, options.directory));
  std::vector<std::pair<DeviceRow, RecordId>> meant;
  for (const auto& row : rows) {
    if (row.first.word == options.device || row.first.name == options.device) meant.push_back(row);
  }
  // A name may be given again after its first bearer was revoked.
  if (meant.size() > 1) std::erase_if(meant, [](const auto& row) { return row.first.revoked; });
  if (meant.empty())
    return refused(ErrorCode::kNotFound,
                   "no device is called \"" + options.device + "\"; `wrackline-server devices` lists them");
  if (meant.size() > 1)
    return refused(ErrorCode::kInvalid, "more than one device is called \"" + options.device +
                                            "\"; name it by the word that `wrackline-server devices` shows");
  auto& [row, record] = meant.front();
  if (row.is_hub) return refused(ErrorCode::kInvalid, "this is the hub itself");
  if (row.revoked) return refused(ErrorCode::kInvalid, "it was revoked already");
  RecordId by;
  if (!options.by.empty()) {
    WRACKLINE_TRY_VALUE(admin, find_admin(*hub.replica, options.by, "revoking a device"));
    by = admin;
  }
  Edit strike;
  strike.record = record;
  append_varint_field(strike.fields, kStandingField, kStruck);
  strike.reason = options.reason;
  WRACKLINE_TRY(hub.replica->author().edit(by, std::move(strike)));
  row.revoked = true;
  WRACKLINE_TRY(read_strike(*hub.replica, record, row));
  return row;
}

}  // namespace wrackline
