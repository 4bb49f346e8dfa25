#include "crypto/pin_hash.h"

#include "crypto/constant_time.h"
#include "crypto/scrypt.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"

namespace wrackline {
namespace {

constexpr char kForm = 1;
constexpr std::size_t kHeadBytes = 4, kSaltBytes = 16, kOutputBytes = 32;
// 32 MiB and some tenths of a second on a tablet: one of the settings of equal strength that the OWASP Password Storage
// Cheat Sheet names as the least for scrypt (n = 2^15, r = 8, p = 3; from memory).
constexpr unsigned kLog2N = 15, kR = 8, kP = 3;

// What PIN, person and key come to, under the cost and salt at the front of `head`.
Result<Bytes> output_of(ByteView head, ByteView pin, RecordId person, ByteView pin_key) {
  const auto number = [&](std::size_t i) { return static_cast<unsigned char>(head[i]); };
  if (number(1) >= 32) return fail(ErrorCode::kInvalid, "checking a PIN: it was made by a newer release; nobody was signed in; update this program");
  Bytes whose;
  append_le(whose, person.log.value, 8);
  append_le(whose, person.seq, 4);
  const Hash salt = sha256(head.substr(kHeadBytes, kSaltBytes), view(sha256(pin_key)), whose);
  return scrypt(pin, view(salt), {std::uint32_t{1} << number(1), number(2), number(3)}, kOutputBytes);
}

}  // namespace

Result<Bytes> make_pin_hash(ByteView pin, RecordId person, ByteView pin_key) {
  Bytes out{kForm, static_cast<char>(kLog2N), static_cast<char>(kR), static_cast<char>(kP)};
  WRACKLINE_TRY_VALUE(salt, random_bytes(kSaltBytes));
  out += salt;
  WRACKLINE_TRY_VALUE(output, output_of(out, pin, person, pin_key));
  return out + output;
}

Result<bool> pin_fits(ByteView pin_hash, ByteView pin, RecordId person, ByteView pin_key) {
  if (pin_hash.size() != kHeadBytes + kSaltBytes + kOutputBytes || pin_hash[0] != kForm) {
    return fail(ErrorCode::kInvalid, "checking a PIN: it was made by a newer release; nobody was signed in; update this program");
  }
  WRACKLINE_TRY_VALUE(output, output_of(pin_hash, pin, person, pin_key));
  return equal_in_constant_time(output, pin_hash.substr(kHeadBytes + kSaltBytes));
}

}  // namespace wrackline
