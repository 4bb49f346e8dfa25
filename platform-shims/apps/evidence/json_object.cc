#include "json_object.h"

namespace wrackline::evidence {
namespace {

constexpr std::size_t kMembersMax = 32;
constexpr std::size_t kListMax = 10'000;

// Each reader takes what it reads off the front of `rest`.
class Reader {
 public:
  explicit Reader(std::string_view text) : rest_(text) {}

  void skip_space() {
    while (!rest_.empty() && std::string_view(" \t\r\n").find(rest_.front()) != std::string_view::npos)
      rest_.remove_prefix(1);
  }
  bool take(char c) {
    skip_space();
    if (rest_.empty() || rest_.front() != c) return false;
    rest_.remove_prefix(1);
    return true;
  }
  bool at_end() {
    skip_space();
    return rest_.empty();
  }
  bool string(std::string& out);
  bool value(JsonObject::Value& out);

 private:
  bool word(std::string_view text) {
    if (rest_.substr(0, text.size()) != text) return false;
    rest_.remove_prefix(text.size());
    return true;
  }
  bool number(std::uint64_t& out);
  bool hex4(std::uint32_t& out);
  bool escape(std::string& out);

  std::string_view rest_;
};

void append_utf8(std::string& out, std::uint32_t code) {
  if (code < 0x80) {
    out += static_cast<char>(code);
  } else if (code < 0x800) {
    out += {static_cast<char>(0xc0 | code >> 6), static_cast<char>(0x80 | (code & 0x3f))};
  } else if (code < 0x10000) {
    out += {static_cast<char>(0xe0 | code >> 12), static_cast<char>(0x80 | (code >> 6 & 0x3f)),
            static_cast<char>(0x80 | (code & 0x3f))};
  } else {
    out += {static_cast<char>(0xf0 | code >> 18), static_cast<char>(0x80 | (code >> 12 & 0x3f)),
            static_cast<char>(0x80 | (code >> 6 & 0x3f)), static_cast<char>(0x80 | (code & 0x3f))};
  }
}

bool Reader::hex4(std::uint32_t& out) {
  if (rest_.size() < 4) return false;
  out = 0;
  for (int i = 0; i < 4; ++i) {
    const char c = rest_[static_cast<std::size_t>(i)];
    const int digit = c >= '0' && c <= '9'   ? c - '0'
                      : c >= 'a' && c <= 'f' ? c - 'a' + 10
                      : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                             : -1;
    if (digit < 0) return false;
    out = out << 4 | static_cast<std::uint32_t>(digit);
  }
  rest_.remove_prefix(4);
  return true;
}

bool Reader::escape(std::string& out) {
  if (rest_.empty()) return false;
  const char c = rest_.front();
  rest_.remove_prefix(1);
  constexpr std::string_view kShort = "\"\\/bfnrt", kMeant = "\"\\/\b\f\n\r\t";
  if (const auto at = kShort.find(c); at != std::string_view::npos) {
    out += kMeant[at];
    return true;
  }
  std::uint32_t code = 0;
  if (c != 'u' || !hex4(code)) return false;
  if (code >= 0xdc00 && code <= 0xdfff) return false;
  if (code >= 0xd800 && code <= 0xdbff) {
    std::uint32_t low = 0;
    if (!word("\\u") || !hex4(low) || low < 0xdc00 || low > 0xdfff) return false;
    code = 0x10000 + ((code - 0xd800) << 10) + (low - 0xdc00);
  }
  append_utf8(out, code);
  return true;
}

bool Reader::string(std::string& out) {
  out.clear();
  if (!take('"')) return false;
  while (!rest_.empty()) {
    // Most of a line is one long text: taken in one piece.
    std::size_t plain = 0;
    while (plain < rest_.size() && rest_[plain] != '"' && rest_[plain] != '\\' &&
           static_cast<unsigned char>(rest_[plain]) >= 0x20)
      ++plain;
    out += rest_.substr(0, plain);
    rest_.remove_prefix(plain);
    if (rest_.empty()) return false;
    const char c = rest_.front();
    rest_.remove_prefix(1);
    if (c == '"') return true;
    if (c != '\\' || !escape(out)) return false;
  }
  return false;
}

bool Reader::number(std::uint64_t& out) {
  out = 0;
  std::size_t digits = 0;
  while (!rest_.empty() && rest_.front() >= '0' && rest_.front() <= '9') {
    // Nineteen digits are below 2^64; no number of an evidence file is longer.
    if (++digits > 19 || (digits == 2 && out == 0)) return false;
    out = out * 10 + static_cast<std::uint64_t>(rest_.front() - '0');
    rest_.remove_prefix(1);
  }
  return digits > 0;
}

bool Reader::value(JsonObject::Value& out) {
  skip_space();
  if (rest_.empty()) return false;
  if (rest_.front() == '"') {
    std::string text;
    if (!string(text)) return false;
    out = std::move(text);
    return true;
  }
  if (rest_.front() == '[') {
    std::vector<std::string> list;
    (void)take('[');
    if (take(']')) return out = std::move(list), true;
    do {
      if (list.size() == kListMax || !string(list.emplace_back())) return false;
    } while (take(','));
    out = std::move(list);
    return take(']');
  }
  if (word("true")) return out = true, true;
  if (word("false")) return out = false, true;
  std::uint64_t whole = 0;
  if (!number(whole)) return false;
  out = whole;
  return true;
}

}  // namespace

std::optional<JsonObject> JsonObject::parse(std::string_view text) {
  Reader reader(text);
  JsonObject object;
  if (!reader.take('{')) return std::nullopt;
  if (reader.take('}')) return reader.at_end() ? std::optional<JsonObject>(std::move(object)) : std::nullopt;
  do {
    std::string name;
    Value value;
    if (object.members_.size() == kMembersMax || !reader.string(name) || !reader.take(':') ||
        !reader.value(value))
      return std::nullopt;
    if (!object.members_.emplace(std::move(name), std::move(value)).second) return std::nullopt;
  } while (reader.take(','));
  if (!reader.take('}') || !reader.at_end()) return std::nullopt;
  return object;
}

}  // namespace wrackline::evidence
