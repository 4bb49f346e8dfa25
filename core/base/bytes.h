// Bytes as the core passes them around.
//
// Bytes owns; ByteView borrows and is valid only as long as what it points into. Both hold arbitrary bytes,
// not text. std::string is the owner because protobuf and SQLite both speak it without copies.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace wrackline {

using Bytes = std::string;
using ByteView = std::string_view;

// Lower-case hexadecimal, two digits a byte.
inline std::string to_hex(ByteView bytes) {
  static constexpr char kDigits[] = "0123456789abcdef";
  std::string out;
  out.reserve(bytes.size() * 2);
  for (unsigned char c : bytes) {
    out.push_back(kDigits[c >> 4]);
    out.push_back(kDigits[c & 15]);
  }
  return out;
}

// The bytes of lower-case hexadecimal digits; none for anything else.
inline std::optional<Bytes> read_hex(ByteView text) {
  const auto value = [](char c) { return c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1; };
  if (text.size() % 2 != 0) return std::nullopt;
  Bytes out;
  for (std::size_t i = 0; i < text.size(); i += 2) {
    const int high = value(text[i]), low = value(text[i + 1]);
    if (high < 0 || low < 0) return std::nullopt;
    out.push_back(static_cast<char>(high << 4 | low));
  }
  return out;
}

// Keys, hashes and ids are arrays; this is how they are passed where bytes are wanted.
template <std::size_t N>
ByteView view(const std::array<unsigned char, N>& bytes) {
  return {reinterpret_cast<const char*>(bytes.data()), N};
}

// Fills an array of exactly the right size; false when `bytes` has another.
template <std::size_t N>
bool copy_exactly(ByteView bytes, std::array<unsigned char, N>& out) {
  if (bytes.size() != N) return false;
  for (std::size_t i = 0; i < N; ++i) out[i] = static_cast<unsigned char>(bytes[i]);
  return true;
}

// Reads unsigned little-endian integers of fixed size; the caller has checked the size.
inline std::uint64_t load_le(ByteView bytes) {
  std::uint64_t v = 0;
  for (std::size_t i = bytes.size(); i-- > 0;) v = v << 8 | static_cast<unsigned char>(bytes[i]);
  return v;
}

// Appends `size` bytes of `v`, least significant first.
inline void append_le(Bytes& out, std::uint64_t v, int size) {
  for (int i = 0; i < size; ++i) out.push_back(static_cast<char>(v >> (8 * i)));
}

}  // namespace wrackline
