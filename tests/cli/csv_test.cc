// Goal: sheets are read as RFC 4180 has them, and what is broken is named by line and column.
// Method: the RFC's own examples and what spreadsheets are known to write.
#include "text/csv.h"

#include <catch2/catch.hpp>

#include "report/csv_cell.h"

namespace wrackline::text {
namespace {

using Cells = std::vector<std::string>;

TEST_CASE("RFC 4180 section 2: quotes hold line ends, commas and doubled quotes", "[csv]") {
  auto rows = parse_csv("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx\r\n");
  REQUIRE(rows);
  REQUIRE(rows->size() == 2);
  CHECK((*rows)[0].cells == Cells{"aaa", "b\r\nbb", "ccc"});
  CHECK((*rows)[0].line == 1);
  CHECK((*rows)[1].cells == Cells{"zzz", "yyy", "xxx"});
  CHECK((*rows)[1].line == 3);

  rows = parse_csv("\"aaa\",\"b\"\"bb\",\"c,cc\"");
  REQUIRE(rows);
  CHECK((*rows)[0].cells == Cells{"aaa", "b\"bb", "c,cc"});
}

TEST_CASE("spaces are data, empty cells count, empty lines do not", "[csv]") {
  auto rows = parse_csv("a, b ,\n\n,,\nlast");
  REQUIRE(rows);
  REQUIRE(rows->size() == 3);
  CHECK((*rows)[0].cells == Cells{"a", " b ", ""});
  CHECK((*rows)[1].cells == Cells{"", "", ""});
  CHECK((*rows)[1].line == 3);
  CHECK((*rows)[2].cells == Cells{"last"});
}

TEST_CASE("a byte order mark and semicolons are taken, as spreadsheets write them", "[csv]") {
  auto rows = parse_csv(
      "\xef\xbb\xbf"
      "a;1,5\r\n",
      ';');
  REQUIRE(rows);
  CHECK((*rows)[0].cells == Cells{"a", "1,5"});
}

TEST_CASE("broken quoting is refused with its place", "[csv]") {
  auto open = parse_csv("a,b\nc,\"d\ne,f\n");
  REQUIRE_FALSE(open);
  CHECK_THAT(open.error().message, Catch::Contains("line 2, column 2"));
  auto after = parse_csv("a,\"b\"c\n");
  REQUIRE_FALSE(after);
  CHECK_THAT(after.error().message, Catch::Contains("line 1, column 2"));
}

TEST_CASE("a cell for a spreadsheet can not run as a formula", "[csv]") {
  CHECK(csv_cell("=1+1") == "'=1+1");
  CHECK(csv_cell("-5") == "'-5");
  CHECK(csv_cell("@a,b") == "\"'@a,b\"");
  CHECK(csv_cell("say \"hi\"") == "\"say \"\"hi\"\"\"");
  CHECK(csv_cell("plain") == "plain");
}

TEST_CASE("what csv_cell changed comes back, and what it did not change is left alone", "[csv]") {
  for (const char* text : {"=1+1", "-5", "'=1+1", "''@x", "'tis", "'", "''", "", "\tx", "\rx", "5 - 3", "'x=1"}) {
    INFO(text);
    const std::string cell = csv_cell(text);
    auto rows = parse_csv("first," + cell + "\r\n");
    REQUIRE(rows);
    REQUIRE(rows->size() == 1);
    CHECK(csv_text((*rows)[0].cells[1]) == text);
  }
  CHECK(csv_cell("'tis") == "'tis");
}

}  // namespace
}  // namespace wrackline::text
