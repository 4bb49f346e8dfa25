#include "base/wire.h"

namespace wrackline {

bool take_long_varint(ByteView& rest, std::uint64_t& value) {
  value = 0;
  for (std::size_t i = 0; i < rest.size() && i < 10; ++i) {
    const auto byte = static_cast<unsigned char>(rest[i]);
    if (i == 9 && byte > 1) break;  // More than 64 bits.
    value |= static_cast<std::uint64_t>(byte & 0x7f) << (7 * i);
    if (byte < 0x80) {
      rest.remove_prefix(i + 1);
      return true;
    }
  }
  rest = {};
  return false;
}

void append_varint(Bytes& out, std::uint64_t value) {
  while (value >= 0x80) {
    out.push_back(static_cast<char>(value | 0x80));
    value >>= 7;
  }
  out.push_back(static_cast<char>(value));
}

int varint_size(std::uint64_t value) {
  int size = 1;
  while (value >= 0x80) value >>= 7, ++size;
  return size;
}

bool WireReader::malformed() {
  at_ = end_;
  return ok_ = false;
}

inline bool WireReader::take(std::uint64_t& value) {
  if (at_ != end_ && static_cast<unsigned char>(*at_) < 0x80) {
    value = static_cast<unsigned char>(*at_++);
    return true;
  }
  ByteView rest(at_, static_cast<std::size_t>(end_ - at_));
  const bool is_whole = take_long_varint(rest, value);
  at_ = end_ - rest.size();
  return is_whole;
}

// Walked for every field of every change, so it works on bare pointers.
bool WireReader::next(WireField& field) {
  if (at_ == end_) return false;
  const char* const start = at_;
  std::uint64_t tag = 0;
  if (!take(tag)) return malformed();
  const std::uint64_t number = tag >> 3;
  if (number == 0 || number > 0x1fffffff) return malformed();
  field.number = static_cast<std::uint32_t>(number);
  field.scalar = 0;
  field.bytes = {};
  const auto fixed = [&](std::size_t size) {
    if (static_cast<std::size_t>(end_ - at_) < size) return false;
    field.scalar = load_le({at_, size});
    at_ += size;
    return true;
  };
  switch (tag & 7) {
    case 0:
      field.type = WireType::kVarint;
      if (!take(field.scalar)) return malformed();
      break;
    case 1:
      field.type = WireType::kFixed64;
      if (!fixed(8)) return malformed();
      break;
    case 2: {
      field.type = WireType::kBytes;
      std::uint64_t size = 0;
      if (!take(size) || size > static_cast<std::size_t>(end_ - at_)) return malformed();
      field.bytes = {at_, static_cast<std::size_t>(size)};
      at_ += size;
      break;
    }
    case 5:
      field.type = WireType::kFixed32;
      if (!fixed(4)) return malformed();
      break;
    default:
      return malformed();
  }
  field.slice = {start, static_cast<std::size_t>(at_ - start)};
  return true;
}

void append_varint_field(Bytes& out, std::uint32_t number, std::uint64_t value) {
  append_varint(out, static_cast<std::uint64_t>(number) << 3);
  append_varint(out, value);
}

void append_fixed64_field(Bytes& out, std::uint32_t number, std::uint64_t value) {
  append_varint(out, static_cast<std::uint64_t>(number) << 3 | 1);
  append_le(out, value, 8);
}

void append_fixed32_field(Bytes& out, std::uint32_t number, std::uint32_t value) {
  append_varint(out, static_cast<std::uint64_t>(number) << 3 | 5);
  append_le(out, value, 4);
}

void append_bytes_field(Bytes& out, std::uint32_t number, ByteView value) {
  append_varint(out, static_cast<std::uint64_t>(number) << 3 | 2);
  append_varint(out, value.size());
  out += value;
}

Bytes encode_record_ref(ChangeId id) {
  Bytes out;
  append_fixed64_field(out, 1, id.log.value);
  append_varint_field(out, 2, id.seq);
  return out;
}

void append_record_ref_field(Bytes& out, std::uint32_t number, ChangeId id) {
  append_varint(out, static_cast<std::uint64_t>(number) << 3 | 2);
  append_varint(out, static_cast<std::uint64_t>(10 + varint_size(id.seq)));
  append_fixed64_field(out, 1, id.log.value);
  append_varint_field(out, 2, id.seq);
}

ChangeId decode_record_ref(ByteView message) {
  ChangeId id;
  WireReader reader(message);
  WireField field;
  while (reader.next(field)) {
    if (field.number == 1 && field.type == WireType::kFixed64) id.log.value = field.scalar;
    if (field.number == 2 && field.type == WireType::kVarint) {
      id.seq = field.scalar <= kSeqMax ? static_cast<Seq>(field.scalar) : 0;
    }
  }
  return reader.ok() && id ? id : ChangeId{};
}

}  // namespace wrackline
