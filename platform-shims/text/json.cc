#include "text/json.h"

namespace wrackline::text {

void Json::new_line() {
  out_.push_back('\n');
  out_.append(2 * closings_.size(), ' ');
}

void Json::before_value() {
  if (after_key_) {
    after_key_ = false;
    return;
  }
  if (closings_.empty()) return;
  if (!first_) out_.push_back(',');
  first_ = false;
  new_line();
}

Json& Json::put(std::string_view raw) {
  before_value();
  out_ += raw;
  return *this;
}

Json& Json::open(char opening, char closing) {
  before_value();
  out_.push_back(opening);
  closings_.push_back(closing);
  first_ = true;
  return *this;
}

Json& Json::end() {
  const char closing = closings_.back();
  closings_.pop_back();
  if (!first_) new_line();
  out_.push_back(closing);
  first_ = false;
  return *this;
}

Json& Json::key(std::string_view name) {
  text(name);
  out_ += ": ";
  after_key_ = true;
  return *this;
}

Json& Json::text(std::string_view value) {
  before_value();
  out_.push_back('"');
  for (const char c : value) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      out_.push_back('\\');
      out_.push_back(c);
    } else if (c == '\n') {
      out_ += "\\n";
    } else if (byte < 0x20) {
      static constexpr char kDigits[] = "0123456789abcdef";
      out_ += "\\u00";
      out_.push_back(kDigits[byte >> 4]);
      out_.push_back(kDigits[byte & 15]);
    } else {
      out_.push_back(c);
    }
  }
  out_.push_back('"');
  return *this;
}

}  // namespace wrackline::text
