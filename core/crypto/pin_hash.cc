#include "crypto/pin_hash.h"

#include "crypto/constant_time.h"
#include "crypto/scrypt.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"
#include "crypto/texts.h"

namespace wrackline {
namespace {

constexpr char kForm = 1;
constexpr std::size_t kHeadBytes = 4, kSaltBytes = 16, kOutputBytes = 32;
// 32 MiB and some tenths of a second on a tablet: one of the settings of equal strength that the OWASP Password Storage
// Cheat Sheet names as the least for scrypt (n = 2^15, r = 8, p = 3; from memory).
constexpr unsigned kLog2N = 15, kR = 8, kP = 3;

// The parameters of a device's hash.
constexpr char kBySignature = 1, kBySecret = 2;
constexpr std::size_t kSecretBytes = 32;

constexpr char kHead[kHeadBytes] = {kForm, static_cast<char>(kLog2N), static_cast<char>(kR), static_cast<char>(kP)};

Bytes whose(RecordId person) {
  Bytes out;
  append_le(out, person.log.value, 8);
  append_le(out, person.seq, 4);
  return out;
}

// Gives what PIN, person and key come to, with this salt.
Result<Bytes> output_of(ByteView own_salt, ByteView pin, RecordId person, ByteView pin_key) {
  const Hash salt = sha256(own_salt, view(sha256(pin_key)), whose(person));
  return scrypt(pin, view(salt), {std::uint32_t{1} << kLog2N, kR, kP}, kOutputBytes);
}

}  // namespace

Result<Bytes> make_pin_hash(ByteView pin, RecordId person, ByteView pin_key) {
  WRACKLINE_TRY_VALUE(salt, random_bytes(kSaltBytes));
  WRACKLINE_TRY_VALUE(output, output_of(salt, pin, person, pin_key));
  return Bytes(kHead, kHeadBytes) + salt + output;
}

Result<bool> pin_fits(ByteView pin_hash, ByteView pin, RecordId person, ByteView pin_key) {
  // A hash from outside must not decide how much work its check costs.
  if (pin_hash.size() != kHeadBytes + kSaltBytes + kOutputBytes || pin_hash.substr(0, kHeadBytes) != ByteView(kHead, kHeadBytes)) {
    return fail(ErrorCode::kInvalid, "checking a PIN: it was made by another release, or by something else; nobody was signed in; update this program, or "
                                     "have an admin give a code for a new one");
  }
  WRACKLINE_TRY_VALUE(output, output_of(pin_hash.substr(kHeadBytes, kSaltBytes), pin, person, pin_key));
  return equal_in_constant_time(output, pin_hash.substr(kHeadBytes + kSaltBytes));
}

Result<Bytes> make_device_pin_hash(ByteView pin, RecordId person, Keystore& keystore) {
  WRACKLINE_TRY_VALUE(salt, random_bytes(kSaltBytes));
  WRACKLINE_TRY_VALUE(stretched, output_of(salt, pin, person, {}));
  const Bytes text = device_pin_text(stretched);
  WRACKLINE_TRY_VALUE(first, keystore.sign(text));
  WRACKLINE_TRY_VALUE(second, keystore.sign(text));
  if (first == second) return Bytes(1, kBySignature) + salt + Bytes(view(sha256(view(first))));
  // RFC 8032 makes one signature for a text; some platforms' keystores make another each time.
  WRACKLINE_TRY_VALUE(secret, random_bytes(kSecretBytes));
  return Bytes(1, kBySecret) + salt + secret + Bytes(view(sha256(secret, stretched)));
}

Result<bool> device_pin_fits(ByteView pin_hash, ByteView pin, RecordId person, Keystore& keystore) {
  const bool is_by_signature = pin_hash.size() == 1 + kSaltBytes + kOutputBytes && pin_hash[0] == kBySignature;
  const bool is_by_secret = pin_hash.size() == 1 + kSaltBytes + kSecretBytes + kOutputBytes && pin_hash[0] == kBySecret;
  if (!is_by_signature && !is_by_secret) {
    return fail(ErrorCode::kInvalid, "checking a PIN: another release kept it on this device; nobody was signed in; sign in within reach of the hub");
  }
  const ByteView output = pin_hash.substr(pin_hash.size() - kOutputBytes);
  WRACKLINE_TRY_VALUE(stretched, output_of(pin_hash.substr(1, kSaltBytes), pin, person, {}));
  if (is_by_secret) return equal_in_constant_time(view(sha256(pin_hash.substr(1 + kSaltBytes, kSecretBytes), stretched)), output);
  WRACKLINE_TRY_VALUE(signature, keystore.sign(device_pin_text(stretched)));
  return equal_in_constant_time(view(sha256(view(signature))), output);
}

}  // namespace wrackline
