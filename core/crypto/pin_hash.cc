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

constexpr char kHead[kHeadBytes] = {kForm, static_cast<char>(kLog2N), static_cast<char>(kR), static_cast<char>(kP)};

// Gives what PIN, person and key come to, with this salt.
Result<Bytes> output_of(ByteView own_salt, ByteView pin, RecordId person, ByteView pin_key) {
  Bytes whose;
  append_le(whose, person.log.value, 8);
  append_le(whose, person.seq, 4);
  const Hash salt = sha256(own_salt, view(sha256(pin_key)), whose);
  return scrypt(pin, view(salt), {std::uint32_t{1} << kLog2N, kR, kP}, kOutputBytes);
}

}  // namespace

Result<Bytes> make_pin_hash(ByteView pin, RecordId person, ByteView pin_key) {
  WRACKLINE_TRY_VALUE(salt, random_bytes(kSaltBytes));
  WRACKLINE_TRY_VALUE(output, output_of(salt, pin, person, pin_key));
  return Bytes(kHead, kHeadBytes) + salt + output;
}

Result<bool> pin_fits(ByteView pin_hash, ByteView pin, RecordId person, ByteView pin_key) {
  // Anybody may write a hash into their own record, so what it costs to check one is never for the record to say.
  if (pin_hash.size() != kHeadBytes + kSaltBytes + kOutputBytes || pin_hash.substr(0, kHeadBytes) != ByteView(kHead, kHeadBytes)) {
    return fail(ErrorCode::kInvalid, "checking a PIN: it was made by another release, or by something else; nobody was signed in; update this program, or "
                                     "have an admin set it anew");
  }
  WRACKLINE_TRY_VALUE(output, output_of(pin_hash.substr(kHeadBytes, kSaltBytes), pin, person, pin_key));
  return equal_in_constant_time(output, pin_hash.substr(kHeadBytes + kSaltBytes));
}

}  // namespace wrackline
