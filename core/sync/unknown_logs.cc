#include "sync/unknown_logs.h"

#include <set>

#include "base/wire.h"

namespace wrackline {
namespace {

std::string name_of(const PublicKey& device) { return "unknown-logs-" + to_hex(view(device)); }

// The logs that a change names, as a record or by a field that may be a reference, whatever kind of record it is of: the record may come
// later and say.
template <typename Take>
void for_each_log(const Change& change, Take take) {
  if (!change.is_birth()) take(change.record.log);
  WireReader reader(change.fields);
  WireField field;
  while (reader.next(field)) {
    if (field.type != WireType::kBytes) continue;
    if (const RecordId named = decode_record_ref(field.bytes)) take(named.log);
  }
}

}  // namespace

bool UnknownLogs::is_unknown(LogId log) const {
  const LogEntry* known = store_.logs().find(log);
  return known == nullptr || !known->opening;
}

Result<std::optional<Bytes>> UnknownLogs::look(const PublicKey& device, LogId own, const std::vector<Change>& changes) {
  std::set<LogId> named;
  LogId last = own;  // Most changes of a run name the same log.
  for (const Change& change : changes) {
    for_each_log(change, [&](LogId log) {
      if (log == last) return;
      last = log;
      // A name that another device has brought is here, and costs nothing more.
      if (log != own && store_.logs().find(log) == nullptr) named.insert(log);
    });
  }
  if (named.empty()) return std::optional<Bytes>();
  WRACKLINE_TRY_VALUE(kept, store_.meta(name_of(device)));
  for (std::size_t at = 0; kept && at + 8 <= kept->size(); at += 8) {
    const LogId log{load_le(ByteView(*kept).substr(at, 8))};
    if (is_unknown(log)) named.insert(log);
  }
  if (named.size() > kUnknownLogsMost) {
    return fail(ErrorCode::kTooLarge, "its device names records of " + std::to_string(named.size()) + " logs that are not here, more than " +
                                          std::to_string(kUnknownLogsMost) + "; nothing of it was kept and it stays where it is; bring some of those logs first");
  }
  Bytes out;
  for (const LogId log : named) append_le(out, log.value, 8);
  return std::optional<Bytes>(std::move(out));
}

Status UnknownLogs::keep(const PublicKey& device, const Bytes& named) { return store_.set_meta(name_of(device), named); }

}  // namespace wrackline
