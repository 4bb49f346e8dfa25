// The protobuf wire format, seen as slices of bytes: which top-level field stands where, without knowing what
// it means. All the merge knows of a record is what this header shows.
//
// Groups (wire types 3 and 4), field number 0, varints over ten bytes and anything cut short are malformed.
#pragma once

#include <cstdint>

#include "base/bytes.h"
#include "base/ids.h"

namespace wrackline {

enum class WireType : std::uint8_t { kVarint = 0, kFixed64 = 1, kBytes = 2, kFixed32 = 5 };

struct WireField {
  std::uint32_t number = 0;
  WireType type = WireType::kVarint;
  ByteView slice;            // Tag and value as they stand, to be copied unread.
  std::uint64_t scalar = 0;  // The value of a varint, fixed64 or fixed32.
  ByteView bytes;            // The value of a length-delimited field.
};

// Walks the top-level fields of a message. The views point into the bytes it was made from.
class WireReader {
 public:
  explicit WireReader(ByteView message) : at_(message.data()), end_(message.data() + message.size()) {}
  // False at the end and at the first malformed field; ok() tells which.
  bool next(WireField& field);
  bool ok() const { return ok_; }

 private:
  bool take(std::uint64_t& value);  // A varint.
  bool malformed();
  const char* at_;
  const char* end_;
  bool ok_ = true;
};

// Takes a varint off the front of `rest`. False when it is cut short or over ten bytes; `rest` is then spent.
bool take_long_varint(ByteView& rest, std::uint64_t& value);
inline bool take_varint(ByteView& rest, std::uint64_t& value) {
  // Nearly all tags, lengths and small numbers are one byte.
  if (!rest.empty() && static_cast<unsigned char>(rest.front()) < 0x80) {
    value = static_cast<unsigned char>(rest.front());
    rest.remove_prefix(1);
    return true;
  }
  return take_long_varint(rest, value);
}
void append_varint(Bytes& out, std::uint64_t value);
int varint_size(std::uint64_t value);

void append_varint_field(Bytes& out, std::uint32_t number, std::uint64_t value);
void append_fixed64_field(Bytes& out, std::uint32_t number, std::uint64_t value);
void append_fixed32_field(Bytes& out, std::uint32_t number, std::uint32_t value);
void append_bytes_field(Bytes& out, std::uint32_t number, ByteView value);

// A RecordRef message, and as a field of another message.
Bytes encode_record_ref(ChangeId id);
void append_record_ref_field(Bytes& out, std::uint32_t number, ChangeId id);
// No id (seq 0) for anything that is not a usable RecordRef.
ChangeId decode_record_ref(ByteView message);

inline std::uint64_t zigzag(std::int64_t v) { return (static_cast<std::uint64_t>(v) << 1) ^ (v < 0 ? ~0ull : 0); }
inline std::int64_t unzigzag(std::uint64_t v) { return static_cast<std::int64_t>(v >> 1) ^ -static_cast<std::int64_t>(v & 1); }

}  // namespace wrackline
