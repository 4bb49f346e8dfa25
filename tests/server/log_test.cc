// Goal: a line of the log is one line, whatever is in it. Method: a sink that keeps what it gets.
#include "log.h"

#include <catch2/catch.hpp>

#include "metrics.h"
#include "plain_text.h"

using namespace wrackline;

TEST_CASE("an event is one line of key=value", "[log]") {
  std::string out;
  Log log([&](std::string_view line) { out += line; }, [] { return WallMs{1'772'892'311'042}; });
  log.info("request").with("peer", "192.0.2.7").with("status", std::uint64_t{200});
  CHECK(out == "ts=2026-03-07T14:05:11.042Z level=info event=request peer=192.0.2.7 status=200\n");
}

TEST_CASE("a value cannot begin a line or a pair of its own", "[log]") {
  std::string out;
  Log log([&](std::string_view line) { out += line; }, [] { return WallMs{0}; });
  log.warn("event").with("value", "a\nts=0 level=error").with("quote", "\"x\" \\").with("empty", "");
  CHECK(out ==
        "ts=1970-01-01T00:00:00.000Z level=warn event=event value=\"a\\x0ats=0 level=error\" "
        "quote=\"\\\"x\\\" \\\\\" empty=\"\"\n");
}

TEST_CASE("requests are counted by path and status, and sorted into buckets by duration", "[metrics]") {
  Metrics metrics;
  metrics.count(Metrics::Counter::kCodesWrong);
  metrics.count_request("/v1/exchange", 200, 0.01, 5, 7);
  metrics.count_request("/v1/exchange", 200, 100, 1, 1);
  const std::string text = metrics.text({2, 1, -5, 9});
  const auto has = [&](const char* line) { return text.find(std::string(line) + "\n") != std::string::npos; };
  CHECK(has("wrackline_enrolment_codes_wrong_total 1"));
  CHECK(has("wrackline_requests_total{path=\"/v1/exchange\",status=\"200\"} 2"));
  CHECK(has("wrackline_request_seconds_bucket{path=\"/v1/exchange\",le=\"0.005\"} 0"));
  CHECK(has("wrackline_request_seconds_bucket{path=\"/v1/exchange\",le=\"0.02\"} 1"));
  CHECK(has("wrackline_request_seconds_bucket{path=\"/v1/exchange\",le=\"+Inf\"} 2"));
  CHECK(has("wrackline_received_bytes_total{path=\"/v1/exchange\"} 6"));
  CHECK(has("wrackline_connections_open 2"));
  CHECK(has("wrackline_certificate_seconds_left -5"));
}

TEST_CASE("a name is text that can be shown", "[text]") {
  for (const char* good : {"Pool tablet 2", "Å", "日本", "a"}) CHECK(is_plain_text(good, 64));
  for (const char* bad : {"", " ", "a\nb", "a\x7f", "\xc2\x85", "\xff", "\xc3", "\xc0\xaf", "\xed\xa0\x80",
                          "\xf8\x88\x80\x80\x80"})
    CHECK_FALSE(is_plain_text(bad, 64));
  CHECK_FALSE(is_plain_text("12345", 4));
}
