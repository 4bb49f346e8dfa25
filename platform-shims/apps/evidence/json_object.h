// One flat JSON object (RFC 8259), as the lines of an evidence file are: strings, whole numbers, true and
// false, lists of strings. Anything else, a member named twice among it, is refused.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace wrackline::evidence {

class JsonObject {
 public:
  using Value = std::variant<std::string, std::uint64_t, bool, std::vector<std::string>>;

  // None for anything but one such object and nothing after it.
  static std::optional<JsonObject> parse(std::string_view text);

  // Takes a member out; none when it is absent or of another type.
  template <typename T>
  std::optional<T> take(std::string_view name) {
    const auto it = members_.find(name);
    if (it == members_.end() || !std::holds_alternative<T>(it->second)) return std::nullopt;
    T value = std::move(std::get<T>(it->second));
    members_.erase(it);
    return value;
  }
  bool has(std::string_view name) const { return members_.find(name) != members_.end(); }
  // True when every member was taken: none is there that a reader did not look at.
  bool is_spent() const { return members_.empty(); }

 private:
  std::map<std::string, Value, std::less<>> members_;
};

}  // namespace wrackline::evidence
