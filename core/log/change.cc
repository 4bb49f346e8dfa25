#include "log/change.h"

#include "base/wire.h"

namespace wrackline {
namespace {

Unexpected malformed(const char* what) {
  return fail(ErrorCode::kMalformed, std::string("reading a change: ") + what + "; nothing of it was kept");
}

bool read_numbers(const WireField& field, std::vector<std::uint32_t>& out) {
  if (field.type == WireType::kVarint) {  // A writer may leave a repeated number unpacked.
    out.push_back(static_cast<std::uint32_t>(field.scalar));
    return true;
  }
  if (field.type != WireType::kBytes) return false;
  ByteView rest = field.bytes;
  while (!rest.empty()) {
    std::uint64_t number = 0;
    if (!take_varint(rest, number)) return false;
    out.push_back(static_cast<std::uint32_t>(number));
  }
  return true;
}

bool read_replaced(ByteView message, Replaced& out) {
  WireReader reader(message);
  WireField field;
  while (reader.next(field)) {
    switch (field.number) {
      case 1: out.change.log.value = field.scalar; break;
      case 2: out.change.seq = field.scalar <= kSeqMax ? static_cast<Seq>(field.scalar) : 0; break;
      case 3: out.check = static_cast<std::uint32_t>(field.scalar); break;
      case 4:
        if (!read_numbers(field, out.fields)) return false;
        break;
      default: break;
    }
  }
  return reader.ok();
}

void append_numbers_field(Bytes& out, std::uint32_t number, const std::vector<std::uint32_t>& values) {
  if (values.empty()) return;
  Bytes packed;
  for (std::uint32_t v : values) append_varint(packed, v);
  append_bytes_field(out, number, packed);
}

}  // namespace

Result<Change> read_change(ByteView bytes) {
  if (bytes.size() > kChangeBytesMax) {
    return fail(ErrorCode::kTooLarge, "reading a change: it is over 256 KiB; nothing of it was kept");
  }
  Change change;
  bool names_record = false;
  WireReader reader(bytes);
  WireField field;
  while (reader.next(field)) {
    const bool is_bytes = field.type == WireType::kBytes;
    switch (field.number) {
      case 1: change.stamp.value = field.scalar; break;
      case 2: change.wall_behind_ms = field.scalar; break;
      case 3: change.kind = static_cast<std::uint32_t>(field.scalar); break;
      case 4:
        names_record = true;
        change.record = decode_record_ref(field.bytes);
        break;
      case 5: change.author = decode_record_ref(field.bytes); break;
      case 6:
        if (!is_bytes) return malformed("its fields are no message");
        change.fields = field.bytes;
        break;
      case 7:
        if (!read_numbers(field, change.clears)) return malformed("its list of cleared fields is broken");
        break;
      case 8: {
        Replaced replaced;
        if (!is_bytes || !read_replaced(field.bytes, replaced)) return malformed("what it replaces is broken");
        change.replaces.push_back(std::move(replaced));
        break;
      }
      case 9: change.reason = field.bytes; break;
      case 10: change.record_check = static_cast<std::uint32_t>(field.scalar); break;
      default: break;  // A field of a newer release is kept with the bytes.
    }
  }
  if (!reader.ok()) return malformed("it is cut short or no protobuf message");
  if (names_record ? (!change.record || change.kind != 0) : change.kind == 0) {
    return malformed("it is neither the birth of a record nor an edit of one");
  }
  if (change.wall_behind_ms > change.stamp.ms()) return malformed("its time of entry lies before 1970");
  WireReader inner(change.fields);
  while (inner.next(field)) {
  }
  if (!inner.ok()) return malformed("its fields are cut short or no protobuf message");
  return change;
}

Bytes write_change(const Change& change) {
  Bytes out;
  out.reserve(48 + change.fields.size() + change.reason.size());
  append_fixed64_field(out, 1, change.stamp.value);
  if (change.wall_behind_ms != 0) append_varint_field(out, 2, change.wall_behind_ms);
  if (change.kind != 0) append_varint_field(out, 3, change.kind);
  if (change.record) append_record_ref_field(out, 4, change.record);
  if (change.author) append_record_ref_field(out, 5, change.author);
  if (!change.fields.empty()) append_bytes_field(out, 6, change.fields);
  append_numbers_field(out, 7, change.clears);
  for (const Replaced& replaced : change.replaces) {
    Bytes message;
    append_fixed64_field(message, 1, replaced.change.log.value);
    append_varint_field(message, 2, replaced.change.seq);
    append_fixed32_field(message, 3, replaced.check);
    append_numbers_field(message, 4, replaced.fields);
    append_bytes_field(out, 8, message);
  }
  if (!change.reason.empty()) append_bytes_field(out, 9, change.reason);
  if (change.record_check) append_fixed32_field(out, 10, *change.record_check);
  return out;
}

}  // namespace wrackline
