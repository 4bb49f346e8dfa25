// Goal: an address is read as people write it, or refused with what is wrong. Method: examples, both ways.
#include <catch2/catch.hpp>

#include "hosts/hub_address.h"
#include "listener.h"
#include "scratch.h"

using namespace wrackline;

TEST_CASE("an address is read with and without a port", "[address]") {
  struct Example {
    const char* text;
    const char* host;
    int port;
  };
  for (const Example& example :
       {Example{"hub.example.org:9000", "hub.example.org", 9000},
        Example{"hub.example.org", "hub.example.org", 8443},
        Example{" https://hub.example.org:9000/\n", "hub.example.org", 9000},
        Example{"192.0.2.7:1", "192.0.2.7", 1}, Example{"[2001:db8::7]:65535", "2001:db8::7", 65535},
        Example{"[2001:db8::7]", "2001:db8::7", 8443}, Example{"2001:db8::7", "2001:db8::7", 8443}}) {
    CAPTURE(example.text);
    const HubAddress address = must(parse_hub_address(example.text));
    CHECK(address.host == example.host);
    CHECK(address.port == example.port);
    const HubAddress again = must(parse_hub_address(to_text(address)));
    CHECK(again.host == address.host);
    CHECK(again.port == address.port);
  }
}

TEST_CASE("what is no address is refused", "[address]") {
  for (const char* text : {"", "  ", ":8443", "hub:", "hub:65536", "hub:8a", "hub:-1", "http://hub", "[::1",
                           "[::1]8443", "[::1]:", "hub one:8443", "hub/path:8443"}) {
    CAPTURE(text);
    const auto address = parse_hub_address(text);
    REQUIRE_FALSE(address);
    CHECK(address.error().code == ErrorCode::kInvalid);
  }
}

TEST_CASE("wrong tries are counted for an IPv6 network as one", "[address]") {
  const auto group = [](const char* text) { return peer_group_of(boost::asio::ip::make_address(text)); };
  CHECK(group("192.0.2.7") == "192.0.2.7");
  CHECK(group("::ffff:192.0.2.7") == "192.0.2.7");
  CHECK(group("2001:db8:1:2:aaaa::1") == group("2001:db8:1:2:bbbb::2"));
  CHECK(group("2001:db8:1:2::1") != group("2001:db8:1:3::1"));
}
