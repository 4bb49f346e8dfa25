#include "base/base64.h"

#include <array>

namespace wrackline {
namespace {

constexpr char kAlphabet[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

constexpr std::array<signed char, 256> values() {
  std::array<signed char, 256> out{};
  for (signed char& v : out) v = -1;
  for (int i = 0; i < 64; ++i) out[static_cast<unsigned char>(kAlphabet[i])] = static_cast<signed char>(i);
  return out;
}
constexpr std::array<signed char, 256> kValues = values();

}  // namespace

Bytes to_base64(ByteView bytes) {
  Bytes out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t at = 0; at < bytes.size(); at += 3) {
    const std::size_t have = bytes.size() - at < 3 ? bytes.size() - at : 3;
    std::uint32_t three = 0;
    for (std::size_t i = 0; i < 3; ++i)
      three = three << 8 | (i < have ? static_cast<unsigned char>(bytes[at + i]) : 0u);
    for (std::size_t i = 0; i < 4; ++i) out.push_back(i <= have ? kAlphabet[three >> (18 - 6 * i) & 63] : '=');
  }
  return out;
}

std::optional<Bytes> from_base64(ByteView text) {
  if (text.size() % 4 != 0) return std::nullopt;
  Bytes out;
  out.reserve(text.size() / 4 * 3);
  for (std::size_t at = 0; at < text.size(); at += 4) {
    const bool is_last = at + 4 == text.size();
    const std::size_t letters = !is_last || text[at + 3] != '=' ? 4 : text[at + 2] != '=' ? 3 : 2;
    std::uint32_t three = 0;
    for (std::size_t i = 0; i < letters; ++i) {
      const signed char value = kValues[static_cast<unsigned char>(text[at + i])];
      if (value < 0) return std::nullopt;
      three |= static_cast<std::uint32_t>(value) << (18 - 6 * i);
    }
    // Bits that stand for no byte are zero, so that one run of bytes has one text.
    if ((letters == 3 && (three & 0xff) != 0) || (letters == 2 && (three & 0xffff) != 0)) return std::nullopt;
    for (std::size_t i = 0; i + 1 < letters; ++i) out.push_back(static_cast<char>(three >> (16 - 8 * i)));
  }
  return out;
}

}  // namespace wrackline
