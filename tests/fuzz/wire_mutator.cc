#include "wire_mutator.h"

#include <algorithm>
#include <optional>
#include <vector>

#include "base/wire.h"

namespace wrackline::fuzz {
namespace {

struct Field {
  std::uint32_t number = 0;
  WireType type = WireType::kVarint;
  std::uint64_t scalar = 0;
  Bytes bytes;
};

std::optional<std::vector<Field>> fields_of(ByteView message) {
  std::vector<Field> fields;
  WireReader reader(message);
  WireField field;
  while (reader.next(field)) fields.push_back({field.number, field.type, field.scalar, Bytes(field.bytes)});
  if (!reader.ok()) return std::nullopt;
  return fields;
}

void append(Bytes& out, const Field& field) {
  switch (field.type) {
    case WireType::kVarint: return append_varint_field(out, field.number, field.scalar);
    case WireType::kFixed64: return append_fixed64_field(out, field.number, field.scalar);
    case WireType::kFixed32: return append_fixed32_field(out, field.number, static_cast<std::uint32_t>(field.scalar));
    case WireType::kBytes: return append_bytes_field(out, field.number, field.bytes);
  }
}

Bytes joined(const std::vector<Field>& fields) {
  Bytes out;
  for (const Field& field : fields) append(out, field);
  return out;
}

std::uint32_t odd_field_number(Random& random) {
  static const std::vector<std::uint32_t> numbers = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 15, 16, 40, 1000, 1001, 1002, 1003, 2047, 536870911};
  return random.pick(numbers);
}

Field new_field(Random& random) {
  static const std::vector<WireType> types = {WireType::kVarint, WireType::kFixed64, WireType::kBytes, WireType::kFixed32};
  Field field;
  field.number = odd_field_number(random);
  field.type = random.pick(types);
  field.scalar = odd_number(random);
  field.bytes = random.bytes(random.below(12));
  return field;
}

// A message that claims another length for one of its fields than it has.
Bytes with_wrong_length(const std::vector<Field>& fields, std::size_t at, Random& random) {
  Bytes out;
  for (std::size_t i = 0; i < fields.size(); ++i) {
    if (i != at) {
      append(out, fields[i]);
      continue;
    }
    append_varint(out, std::uint64_t{fields[i].number} << 3 | 2);
    append_varint(out, random.once_in(2) ? odd_number(random) : fields[i].bytes.size() + random.below(3) - 1);
    out += fields[i].bytes;
  }
  return out;
}

void mutate_value(Field& field, Random& random) {
  if (field.type == WireType::kBytes) {
    const bool as_message = !field.bytes.empty() && fields_of(field.bytes) && !random.once_in(5);
    field.bytes = as_message ? mutate_message(field.bytes, random) : mutate_bytes(field.bytes, random);
    return;
  }
  switch (random.below(4)) {
    case 0: field.scalar = odd_number(random); break;
    case 1: field.scalar ^= 1ull << random.below(64); break;
    case 2: field.scalar += random.below(3) - 1; break;
    default: field.scalar = random.below(64);
  }
}

}  // namespace

std::uint64_t odd_number(Random& random) {
  static const std::vector<std::uint64_t> numbers = {
      0, 1, 2, 7, 100, 127, 128, 255, 1440, 4095, 4096, 4097, 65535, 65536, (1u << 20) - 1, 1u << 20, (1u << 24) - 1, 1u << 24,
      0x7fffffff, 0x80000000, 0xffffffff, 1ull << 32, 1ull << 48, 0x7fffffffffffffff, 0x8000000000000000, ~0ull, ~0ull - 1,
      static_cast<std::uint64_t>(-1000), 1'790'000'000'000, 1'790'000'000'000ull << 16};
  return random.once_in(4) ? random.next() >> random.below(64) : random.pick(numbers);
}

Bytes mutate_bytes(ByteView bytes, Random& random) {
  Bytes out(bytes);
  const auto place = [&] { return out.empty() ? 0 : static_cast<std::size_t>(random.below(out.size())); };
  switch (random.below(8)) {
    case 0:
      if (!out.empty()) out[place()] ^= static_cast<char>(1u << random.below(8));
      break;
    case 1:
      if (!out.empty()) out[place()] = static_cast<char>(random.next());
      break;
    case 2: out.insert(place(), random.bytes(1 + random.below(8))); break;
    case 3:
      if (!out.empty()) out.erase(place(), 1 + random.below(std::min<std::size_t>(out.size(), 16)));
      break;
    case 4: {
      const std::size_t from = place();
      out.insert(place(), Bytes(out.substr(from, 1 + random.below(32))));
      break;
    }
    case 5:
      if (!out.empty()) out.resize(random.below(out.size()));
      break;
    case 6: {
      Bytes number;
      append_le(number, odd_number(random), 1 << random.below(4));
      const std::size_t at = place();
      out.replace(at, std::min(number.size(), out.size() - at), number);
      break;
    }
    default:
      if (out.size() > 1) std::swap(out[place()], out[place()]);
  }
  return out;
}

Bytes mutate_message(ByteView message, Random& random) {
  auto read = fields_of(message);
  if (!read || random.once_in(40)) return mutate_bytes(message, random);
  std::vector<Field>& fields = *read;
  if (fields.empty()) {
    fields.push_back(new_field(random));
    return joined(fields);
  }
  const auto at = static_cast<std::size_t>(random.below(fields.size()));
  const auto other = static_cast<std::size_t>(random.below(fields.size()));
  switch (random.below(16)) {
    case 0: fields.erase(fields.begin() + static_cast<std::ptrdiff_t>(at)); break;
    case 1: fields.insert(fields.begin() + static_cast<std::ptrdiff_t>(other), Field(fields[at])); break;
    case 2: std::swap(fields[at], fields[other]); break;
    case 3: fields.insert(fields.begin() + static_cast<std::ptrdiff_t>(at), new_field(random)); break;
    case 4: fields[at].number = odd_field_number(random); break;
    case 5: fields[at].type = new_field(random).type; break;
    case 6: fields[at].bytes = fields[other].bytes; break;
    case 7:
      if (fields[at].type == WireType::kBytes) return with_wrong_length(fields, at, random);
      break;
    case 8:  // A message in itself.
      if (fields[at].type == WireType::kBytes && message.size() < 4096) append(fields[at].bytes, Field(fields[at]));
      break;
    default: mutate_value(fields[at], random);
  }
  return joined(fields);
}

}  // namespace wrackline::fuzz
