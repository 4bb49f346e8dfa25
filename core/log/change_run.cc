#include "log/change_run.h"

#include "base/wire.h"
#include "log/columns.h"
#include "log/compression.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kPlain = 0;
constexpr std::uint32_t kColumns = 1;

Unexpected damaged() {
  return fail(ErrorCode::kMalformed, "unpacking a run of changes: it does not hold the changes it says");
}

Unexpected too_large() {
  return fail(ErrorCode::kTooLarge, "unpacking a run of changes: it claims too much for its size; send fewer of its kind at once");
}

Result<ChangeRun> unpack_plain(ByteView body, std::size_t count, UnpackWork& work) {
  ChangeRun run;
  if (!work.take(body.size())) return too_large();
  while (!body.empty()) {
    std::uint64_t size = 0;
    if (!take_varint(body, size) || size > body.size()) return damaged();
    run.append(body.substr(0, size));
    body.remove_prefix(size);
    // The lengths take room in the body too, so its size alone does not say.
    if (run.size() > count || run.bytes() > kRunBytesMax) return damaged();
  }
  if (run.size() != count) return damaged();
  return run;
}

}  // namespace

PackedRun pack_run_plain(const ChangeRun& run) {
  PackedRun packed{kPlain, {}};
  packed.body.reserve(run.bytes() + 2 * run.size());
  for (std::size_t i = 0; i < run.size(); ++i) {
    append_varint(packed.body, run[i].size());
    packed.body += run[i];
  }
  return packed;
}

PackedRun pack_run(const ChangeRun& run) {
  PackedRun plain = pack_run_plain(run);
  Bytes columns;
  std::size_t work = 0;
  if (!split_columns(run, columns, work)) return plain;
  Bytes packed = compress(columns);
  if (work > run_work_allowed(packed.size())) append_padding(packed, (work - kRunWorkFree) / kRunWorkPerByte + 1);
  if (packed.size() >= plain.body.size()) return plain;
  return {kColumns, std::move(packed)};
}

Result<ChangeRun> unpack_run(std::uint32_t codec, ByteView body, std::size_t count, UnpackWork& work) {
  if (count == 0 || count > kRunChangesMax || body.size() > kRunBytesMax + 5 * kRunChangesMax) {
    return fail(ErrorCode::kTooLarge, "unpacking a run of changes: it is empty or over the limits of a run");
  }
  if (codec == kPlain) return unpack_plain(body, count, work);
  if (codec == kColumns) {
    WRACKLINE_TRY_VALUE(size, size_unpacked(body));
    if (size > kColumnsBytesMax || !work.take(size)) return too_large();
    WRACKLINE_TRY_VALUE(columns, decompress(body, size));
    ChangeRun run;
    if (!join_columns(columns, count, run, work)) return work.is_refused() ? too_large() : damaged();
    return run;
  }
  return fail(ErrorCode::kUnsupported,
              "unpacking a run of changes: it is packed in a way only a newer release knows; update this one");
}

Result<ChangeRun> unpack_run(std::uint32_t codec, ByteView body, std::size_t count) {
  UnpackWork work(kRunWorkMax);
  return unpack_run(codec, body, count, work);
}

}  // namespace wrackline
