#include "crypto/one_time_code.h"

#include "crypto/signing.h"

namespace wrackline {
namespace {

constexpr std::string_view kCodeAlphabet = "BCDFGHJKLMNPQRSTVWXZ";

}  // namespace

Result<std::string> draw_code() {
  std::string code;
  while (code.size() < kCodeLetters) {
    WRACKLINE_TRY_VALUE(bytes, random_bytes(16));
    for (const char byte : bytes) {
      // A byte that would favour the first letters is thrown away.
      const auto value = static_cast<unsigned char>(byte);
      if (value < 256 / kCodeAlphabet.size() * kCodeAlphabet.size() && code.size() < kCodeLetters) code.push_back(kCodeAlphabet[value % kCodeAlphabet.size()]);
    }
  }
  return code;
}

std::string shown_code(const std::string& code) { return code.substr(0, kCodeLetters / 2) + '-' + code.substr(kCodeLetters / 2); }

std::string normal_code(std::string_view typed) {
  std::string normal;
  for (char c : typed) {
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    if (c != ' ' && c != '-' && c != '\t' && c != '\n' && c != '\r') normal.push_back(c);
  }
  return normal;
}

Hash hash_of_code(std::string_view purpose, std::string_view normal, ByteView key) {
  if (key.empty()) return sha256(purpose, normal);
  return sha256(purpose, view(sha256(key)), normal);
}

}  // namespace wrackline
