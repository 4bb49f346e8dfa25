// Goal: behind a balancer everybody is counted by their own address, and nobody can claim one who is not the balancer. Method:
// headers byte by byte as "The PROXY protocol, versions 1 & 2", section 2.2, has them; then a hub behind one.
#include "proxy_header.h"

#include <catch2/catch.hpp>
#include <memory>

#include "raw_tls.h"
#include "running_hub.h"
#include "test_device.h"

using namespace wrackline;

namespace {

const std::string kSignature("\r\n\r\n\0\r\nQUIT\n", 12);

std::string header_of(char command, char family, const std::string& rest) {
  std::string out = kSignature;
  out += command;
  out += family;
  out += static_cast<char>(rest.size() >> 8);
  out += static_cast<char>(rest.size() & 0xff);
  return out + rest;
}

// From 192.0.2.`last`:49152 to 198.51.100.1:8443.
std::string from(unsigned char last) { return header_of(0x21, 0x11, {char(192), 0, 2, char(last), char(198), 51, 100, 1, char(0xc0), 0, 0x20, char(0xfb)}); }

// "none", "broken", or the address.
std::string read(const std::string& bytes) {
  const auto header = ProxyHeader::begin(ByteView(bytes).substr(0, ProxyHeader::kFirstBytes));
  if (!header) return "broken";
  const auto peer = header->peer(ByteView(bytes).substr(std::min(bytes.size(), ProxyHeader::kFirstBytes)));
  return !peer ? "broken" : *peer ? (*peer)->to_string() : "none";
}

}  // namespace

TEST_CASE("the address that a balancer names is read, of both families", "[proxy]") {
  CHECK(read(from(7)) == "192.0.2.7");
  std::string six(36, '\0');
  six.replace(0, 4, "\x20\x01\x0d\xb8", 4);
  six[15] = 9;
  CHECK(read(header_of(0x21, 0x21, six)) == "2001:db8::9");
  // Behind the addresses anything may stand (TLVs).
  CHECK(read(header_of(0x21, 0x11, from(7).substr(16) + std::string("\x04\x00\x02hi", 5))) == "192.0.2.7");
  // A balancer that looks whether the hub lives, and one in front of something that is no TCP.
  CHECK(read(header_of(0x20, 0x00, "")) == "none");
  CHECK(read(header_of(0x20, 0x11, from(7).substr(16))) == "none");
  CHECK(read(header_of(0x21, 0x31, std::string(216, 'u'))) == "none");
}

TEST_CASE("a header that is cut short or altered is none", "[proxy]") {
  const std::string whole = from(7);
  for (std::size_t size = 0; size < whole.size(); ++size) CHECK(read(whole.substr(0, size)) == "broken");
  for (std::size_t at = 0; at < 12; ++at) {
    std::string other = whole;
    other[at] = static_cast<char>(other[at] ^ 1);
    CHECK(read(other) == "broken");
  }
  CHECK(read(header_of(0x11, 0x11, whole.substr(16))) == "broken");
  CHECK(read(header_of(0x22, 0x11, whole.substr(16))) == "broken");
  CHECK(read(header_of(0x21, 0x11, whole.substr(16, 11))) == "broken");
  CHECK(read(header_of(0x21, 0x21, whole.substr(16))) == "broken");
  CHECK(read(header_of(0x21, 0x11, std::string(1025, 'x'))) == "broken");
}

TEST_CASE("behind a balancer connections are counted by whom they come from", "[proxy]") {
  RunningHub::Options options;
  options.behind = "127.0.0.9";
  options.limits.connections_per_address_max = 4;
  options.limits.handshake = options.limits.header = std::chrono::seconds(60);
  RunningHub hub(options);
  RawPeer::Options through;
  through.address = "127.0.0.9";
  const auto asks = [&](RawPeer& peer) {
    peer.send("GET /healthz HTTP/1.1\r\nHost: hub\r\n\r\n");
    return status_in(peer.hear_answer());
  };
  std::vector<std::unique_ptr<RawPeer>> open;
  for (unsigned char last = 1; last <= 6; ++last) {
    through.says_first = from(last);
    open.push_back(std::make_unique<RawPeer>(hub.port(), through));
    CHECK(asks(*open.back()) == 200);
  }
  for (auto& peer : open) CHECK(asks(*peer) == 200);  // None had to give way.
  CHECK(hub.log().find("peer=192.0.2.5 ") != std::string::npos);

  // More than four from one of them: it is its own that give way.
  through.says_first = from(1);
  for (int i = 0; i < 10; ++i) open.push_back(std::make_unique<RawPeer>(hub.port(), through));
  int closed_of_first = 0;
  for (std::size_t i = 0; i < open.size(); ++i) {
    const bool is_of_first = i == 0 || i >= 6;
    const bool is_served = asks(*open[i]) == 200;
    CHECK((is_served || is_of_first));
    closed_of_first += !is_served;
  }
  CHECK(closed_of_first == 7);
}

TEST_CASE("behind a balancer an address has its own quota of handshakes", "[proxy]") {
  RunningHub::Options options;
  options.behind = "127.0.0.9";
  options.limits.handshakes = {4, 1};
  RunningHub hub(options);
  RawPeer::Options through;
  through.address = "127.0.0.9";
  through.says_first = from(1);
  int served = 0;
  while (served < 1000 && RawPeer(hub.port(), through).is_open()) ++served;
  CHECK(served >= 4);
  CHECK(served < 1000);
  through.says_first = from(2);
  CHECK(RawPeer(hub.port(), through).is_open());
  CHECK(hub.log().find("event=over_quota peer=192.0.2.1 ") != std::string::npos);
}

TEST_CASE("a balancer that says something else gets no answer, and nobody else can name an address", "[proxy]") {
  RunningHub::Options options;
  options.behind = "127.0.0.9";
  options.limits.header = std::chrono::seconds(1);
  RunningHub hub(options);
  RawPeer::Options balancer;
  balancer.address = "127.0.0.9";
  CHECK_FALSE(RawPeer(hub.port(), balancer).is_open());  // Begins with TLS.
  balancer.speaks = RawPeer::Speaks::kNothing;
  for (const std::string& words : {std::string(), from(3).substr(0, 20), std::string("PROXY TCP4 192.0.2.3 198.51.100.1 49152 8443\r\n"), std::string(2000, '\r')}) {
    balancer.says_first = words;
    RawPeer peer(hub.port(), balancer);
    CHECK(peer.hear(30'000).empty());
    CHECK(peer.was_closed());
  }
  RawPeer::Options somebody;
  somebody.says_first = from(3);
  CHECK_FALSE(RawPeer(hub.port(), somebody).is_open());
  CHECK(hub.log().find("peer=192.0.2.3 ") == std::string::npos);
  TestDevice device(hub, "on the same wire");
  device.log_people(1);
  must(device.exchange());

  // Nobody waits for one that says nothing when the hub stops.
  balancer.says_first = from(3).substr(0, 20);
  const RawPeer silent(hub.port(), balancer);
  CHECK(hub.stop() == 0);
}
