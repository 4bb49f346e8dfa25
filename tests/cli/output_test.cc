// Goal: tables stay inside 100 columns and line up; JSON is well-formed whatever the text.
// Method: small examples compared as text.
#include <catch2/catch.hpp>

#include "text/json.h"
#include "text/table.h"

namespace wrackline::text {
namespace {

TEST_CASE("columns line up by characters, numbers at the right, empty columns left out", "[table]") {
  Table table({"NAME", "NOTHING", ">MASS", "NOTE"});
  table.row({"Br\u00e5", "", "1.2 kg", "a"});
  table.row({"Sila", "", "80 g", "b\nc"});
  CHECK(table.str() ==
        "NAME    MASS  NOTE\n"
        "Br\u00e5   1.2 kg  a\n"
        "Sila    80 g  b c\n");
}

TEST_CASE("a long last column is wrapped under itself", "[table]") {
  Table table({"A", "TEXT"});
  std::string text;
  for (int i = 0; i < 40; ++i) text += "word ";
  table.row({"x", text});
  const std::string out = table.str();
  std::size_t from = 0;
  while (from < out.size()) {
    const std::size_t end = out.find('\n', from);
    CHECK(end - from <= kTableWidth);
    from = end + 1;
  }
  CHECK(out.find("\n   word") != std::string::npos);
}

TEST_CASE("JSON keeps order, escapes text and nests", "[json]") {
  Json json;
  json.object()
      .member("b", 1)
      .member("a", "say \"hi\"\n\x01\\")
      .key("list")
      .array()
      .number(1)
      .flag(true)
      .null()
      .end();
  json.key("empty").object().end().end();
  CHECK(json.str() ==
        "{\n  \"b\": 1,\n  \"a\": \"say \\\"hi\\\"\\n\\u0001\\\\\",\n  \"list\": [\n    1,\n    true,\n    "
        "null\n  ],\n"
        "  \"empty\": {}\n}");
}

}  // namespace
}  // namespace wrackline::text
