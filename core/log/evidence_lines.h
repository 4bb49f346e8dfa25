// The lines of an evidence file: what an outsider checks without this program. core/README.md describes the file.
//
// Each line is one JSON object whose last member, `check`, binds it to all lines before it:
//
//   c(0) = SHA-256("wrackline/evidence/2")
//   c(k) = SHA-256(c(k-1) || the text of line k before `,"check":`)
//
// A line carries the first 4 bytes of c(k) in hexadecimal, the last line all 32. Whoever alters a file can make these
// anew: they tell where a file was damaged, as seals tell whether it was forged.
#pragma once

#include <cstdint>
#include <string>

#include "base/bytes.h"
#include "crypto/sha256.h"

namespace wrackline {

inline constexpr int kEvidenceVersion = 2;
inline constexpr ByteView kEvidenceCheckMember = ",\"check\":\"";
inline constexpr std::size_t kEvidenceCheckBytes = 4;

// Size of the UTF-8 character at the front (RFC 3629); 0 when there is none.
std::size_t utf8_size(ByteView text);
// A JSON string (RFC 8259) with its quotes. Bytes that are not UTF-8 become U+FFFD.
std::string json_string(ByteView text);

class EvidenceCheck {
 public:
  EvidenceCheck() : chain_(sha256("wrackline/evidence/2")) {}
  explicit EvidenceCheck(const Hash& chain) : chain_(chain) {}
  const Hash& step(ByteView line) { return chain_ = sha256(view(chain_), line); }
  const Hash& chain() const { return chain_; }

 private:
  Hash chain_;
};

// Writes lines. `body` is a line's object without its check and closing brace: {"type":"change","seq":7
class EvidenceWriter {
 public:
  explicit EvidenceWriter(EvidenceCheck check = {}) : check_(check) {}
  void line(ByteView body) { finish(body, kEvidenceCheckBytes); }
  void last_line(ByteView body) { finish(body, sizeof(Hash)); }
  const Bytes& text() const { return text_; }
  std::uint32_t lines() const { return lines_; }
  const Hash& check() const { return check_.chain(); }

 private:
  void finish(ByteView body, std::size_t check_bytes) {
    text_ += body;
    text_ += kEvidenceCheckMember;
    text_ += to_hex(view(check_.step(body)).substr(0, check_bytes));
    text_ += "\"}\n";
    ++lines_;
  }
  EvidenceCheck check_;
  Bytes text_;
  std::uint32_t lines_ = 0;
};

}  // namespace wrackline
