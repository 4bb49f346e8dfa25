// One-time codes as people read them out and type them.
//
// A code is ten of twenty consonants, shown as BCDFG-HJKLM: 43 bits. Letters alone, so that gloved fingers need one keyboard page;
// none that is taken for another or for a digit; no vowels, so no words. (RFC 8628, 6.1.)
#pragma once

#include <string>
#include <string_view>

#include "base/bytes.h"
#include "base/result.h"
#include "crypto/sha256.h"

namespace wrackline {

inline constexpr std::size_t kCodeLetters = 10;

// The letters alone, drawn evenly. Errors: kKeystore.
Result<std::string> draw_code();
// A person sees it like this: BCDFG-HJKLM.
std::string shown_code(const std::string& code);
// Capital letters, without what stands between them: "bcdfg hjklm" and "BCDFG-HJKLM" are one code.
std::string normal_code(std::string_view typed);
// Makes the hash that is kept of a code; `purpose` keeps one made for one thing from serving another. Without `key`, which
// may be empty, nobody can try codes against it.
Hash hash_of_code(std::string_view purpose, std::string_view normal, ByteView key = {});

}  // namespace wrackline
