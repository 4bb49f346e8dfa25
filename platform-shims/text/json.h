// Writes JSON: members in the order they were added, whole numbers as they are, text escaped.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <type_traits>

namespace wrackline::text {

// object() and array() open, end() closes; key() goes before each member's value of an object.
class Json {
 public:
  Json& object() { return open('{', '}'); }
  Json& array() { return open('[', ']'); }
  Json& end();
  Json& key(std::string_view name);

  Json& text(std::string_view value);
  Json& flag(bool value) { return put(value ? "true" : "false"); }
  Json& null() { return put("null"); }
  template <typename T>
  Json& number(T value) {
    static_assert(std::is_integral_v<T>, "JSON numbers here are whole; fractions have a scaled unit");
    return put(std::to_string(value));
  }

  // One member in one go.
  Json& member(std::string_view name, std::string_view value) { return key(name).text(value); }
  Json& member(std::string_view name, const char* value) { return key(name).text(value); }
  Json& member(std::string_view name, bool value) { return key(name).flag(value); }
  template <typename T, typename = std::enable_if_t<std::is_integral_v<T> && !std::is_same_v<T, bool>>>
  Json& member(std::string_view name, T value) {
    return key(name).number(value);
  }

  const std::string& str() const { return out_; }

 private:
  Json& open(char opening, char closing);
  Json& put(std::string_view raw);
  void before_value();
  void new_line();

  std::string out_;
  std::string closings_;  // The closing marks still owed, innermost last.
  bool first_ = true;     // Nothing is in the innermost object or array yet.
  bool after_key_ = false;
};

}  // namespace wrackline::text
