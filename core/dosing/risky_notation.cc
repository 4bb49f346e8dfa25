#include "dosing/risky_notation.h"

#include <string>

#include "base/digits.h"

namespace wrackline {
namespace {

struct Word {
  std::string_view text;  // Lower case, without points
  const char* advice;
};

constexpr Word kWords[] = {
    {"u", "write \"units\""},
    {"iu", "write \"units\""},
    {"qd", "write \"once a day\""},
    {"q1d", "write \"once a day\""},
    {"sid", "write \"once a day\""},
    {"qod", "write \"every 48 hours\""},
    {"od", "write \"once a day\" or \"right eye\""},
    {"qhs", "write the time of the day"},
    {"mso4", "write the drug's name in full"},
    {"mgso4", "write the drug's name in full"},
    {"cc", "write \"mL\""},
    {"\xC2\xB5g", "write \"micrograms\""},  // Micro sign
    {"\xCE\xBCg", "write \"micrograms\""},  // Greek small mu
    {"sc", "write \"under the skin\""},
    {"sq", "write \"under the skin\""},
};

bool parts_words(char c) {
  return std::string_view(" \t\r\n/,;:()[]{}\"'").find(c) != std::string_view::npos;
}

std::string plain_word(std::string_view word) {
  std::string out;
  for (char c : word) {
    if (c != '.') out.push_back(c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c);
  }
  return out;
}

// The number at the front of `token`: digits, at most one point with a digit behind it.
std::size_t number_size(std::string_view token) {
  std::size_t n = 0;
  bool point = false;
  while (n < token.size()) {
    if (is_digit(token[n])) {
      ++n;
    } else if (token[n] == '.' && !point && n + 1 < token.size() && is_digit(token[n + 1])) {
      point = true;
      ++n;
    } else {
      break;
    }
  }
  return n;
}

const char* advice_on_number(std::string_view number) {
  const std::size_t point = number.find('.');
  if (point == std::string_view::npos) return nullptr;
  if (point == 0) return "write a zero before the point";
  if (number.back() == '0') return "leave out the zero at the end";
  return nullptr;
}

const char* advice_on_word(std::string_view word) {
  if (word == "MS") return "write the drug's name in full";  // In small letters it is no drug.
  const std::string wanted = plain_word(word);
  for (const Word& known : kWords) {
    if (known.text == wanted) return known.advice;
  }
  return nullptr;
}

}  // namespace

std::vector<RiskyNotation> find_risky_notation(std::string_view text) {
  std::vector<RiskyNotation> out;
  std::size_t begin = 0;
  while (begin < text.size()) {
    if (parts_words(text[begin])) {
      ++begin;
      continue;
    }
    std::size_t end = begin;
    while (end < text.size() && !parts_words(text[end])) ++end;
    const std::string_view token = text.substr(begin, end - begin);
    const std::size_t digits = number_size(token);
    if (const char* advice = advice_on_number(token.substr(0, digits)))
      out.push_back({begin, digits, advice});
    if (digits < token.size()) {
      const std::size_t at = begin + digits;
      if (const char* advice = advice_on_word(token.substr(digits)))
        out.push_back({at, token.size() - digits, advice});
    }
    begin = end;
  }
  return out;
}

}  // namespace wrackline
