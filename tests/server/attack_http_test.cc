// Goal: bytes that are no honest request end their own connection and nothing else: no crash, no second
// request hidden in a first, no file of the machine, no hold on the hub's time. Method: raw bytes over TLS on
// the loopback; a keeper's device exchanges before, during and after.
#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <thread>

#include "attack_world.h"
#include "support/random.h"

using namespace wrackline;
using namespace std::string_literals;

namespace {

constexpr int kFuzzedRequests = 2500;

std::string hear_from(std::uint16_t port, const std::string& bytes) {
  RawPeer peer(port);
  if (!peer.is_open()) return {};
  peer.send(bytes);
  peer.half_close();
  return peer.hear(30'000);
}

const std::string kHidden = "GET /metrics HTTP/1.1\r\nHost: hub\r\n\r\n";

std::string post_head(const std::string& fields) {
  return "POST /v1/enrol HTTP/1.1\r\nHost: hub\r\nContent-Type: application/x-protobuf\r\n" + fields + "\r\n";
}

}  // namespace

TEST_CASE("a second request hidden in a first is not answered", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  const std::string chunked_body = "0\r\n\r\n";
  const std::vector<std::string> attacks = {
      post_head("Content-Length: 5\r\nTransfer-Encoding: chunked\r\n") + chunked_body + kHidden,
      post_head("Transfer-Encoding: chunked\r\nContent-Length: 5\r\n") + chunked_body + kHidden,
      post_head("Content-Length: 0\r\nContent-Length: 37\r\n") + kHidden,
      post_head("Content-Length: 37\r\nContent-Length: 0\r\n") + kHidden,
      post_head("Content-Length: 0, 37\r\n") + kHidden,
      post_head("Content-Length: +0\r\n") + kHidden,
      post_head("Content-Length: -1\r\n") + kHidden,
      post_head("Content-Length: 0x25\r\n") + kHidden,
      post_head("Content-Length: 99999999999999999999\r\n") + kHidden,
      post_head("Content-Length:\r\n") + kHidden,
      post_head("Transfer-Encoding: xchunked\r\n") + kHidden,
      post_head("Transfer-Encoding: gzip\r\n") + kHidden,
      post_head("Transfer-Encoding: identity\r\n") + kHidden,
      post_head("Transfer-Encoding : chunked\r\n") + chunked_body + kHidden,
      post_head("Transfer-Encoding: chunked\r\nTransfer-Encoding: identity\r\n") + chunked_body + kHidden,
      post_head("Transfer-Encoding: chunked\r\n") + "zz\r\n\r\n" + kHidden,
      post_head("Transfer-Encoding: chunked\r\n") + "-1\r\n\r\n" + kHidden,
      post_head("Transfer-Encoding: chunked\r\n") + "ffffffffffffffffff\r\n\r\n" + kHidden,
      post_head("Transfer-Encoding: chunked\r\n") + "0\n\n" + kHidden,
      "POST /v1/enrol HTTP/1.0\r\nHost: hub\r\nContent-Type: application/x-protobuf\r\nTransfer-Encoding: "
      "chunked\r\n\r\n" +
          chunked_body + kHidden,
      post_head("X: a\n\nGET /metrics HTTP/1.1\nHost: hub\n\n"),
  };
  for (const std::string& attack : attacks) {
    const std::string heard = hear_from(world.hub.port(), attack);
    INFO(attack.substr(0, 160) << "\n-> " << heard.substr(0, 60));
    CHECK(tried(answers_in(heard) <= 1 && status_in(heard) != 200 &&
                heard.find("wrackline_") == std::string::npos));
  }
  // A folded line belongs to the field before it, and a server may refuse it (RFC 9112, 5.2): readers that know nothing of
  // folding see another field.
  for (const std::string folded : {" Content-Length: 37\r\n", "\tContent-Length: 37\r\n", "X: a\r\n b\r\n",
                                   "Content-Length: 0\r\n 37\r\n", "X: a\r\n\t\r\n", "X:\r\n Transfer-Encoding: chunked\r\n"}) {
    const std::string heard = hear_from(world.hub.port(), post_head(folded) + kHidden);
    INFO(folded << "\n-> " << heard.substr(0, 60));
    CHECK(tried(status_in(heard) == 400 && answers_in(heard) == 1));
  }
}

TEST_CASE("a head that is malformed or not HTTP/1.1 as it should be is refused", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  const std::vector<std::string> attacks = {
      "GET /metrics HTTP/1.1\r\n\r\n",
      "GET /metrics HTTP/1.1\r\nHost: hub\r\nHost: other\r\n\r\n",
      "GET /metrics HTTP/1.1\nHost: hub\n\n",
      "GET /metrics HTTP/2.0\r\nHost: hub\r\n\r\n",
      "GET /metrics HTTP/9.9\r\nHost: hub\r\n\r\n",
      "GET /metrics\r\n\r\n",
      "GET  /metrics HTTP/1.1\r\nHost: hub\r\n\r\n",
      "GET /met rics HTTP/1.1\r\nHost: hub\r\n\r\n",
      "GET https://hub/metrics HTTP/1.1\r\nHost: hub\r\n\r\n",
      "GET hub:443 HTTP/1.1\r\nHost: hub\r\n\r\n",
      "CONNECT hub:443 HTTP/1.1\r\nHost: hub\r\n\r\n",
      "TRACE /metrics HTTP/1.1\r\nHost: hub\r\n\r\n",
      "OPTIONS * HTTP/1.1\r\nHost: hub\r\n\r\n",
      "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
      "get /metrics HTTP/1.1\r\nHost: hub\r\n\r\n",
      "GET /metrics HTTP/1.1\r\nHost: hub\r\nX: a\0b\r\n\r\n"s,
      "GET /metrics HTTP/1.1\r\nHost: hub\r\nNo colon here\r\n\r\n",
      "GET /metrics HTTP/1.1\r\nHost: hub\r\n: no name\r\n\r\n",
      "GET /metrics HTTP/1.1\r\nHost: hub\r\nX y: z\r\n\r\n",
      "GET /metrics HTTP/1.1\r\nHost: hub\rX: y\r\n\r\n",
      std::string(3, '\0') + "GET /metrics HTTP/1.1\r\nHost: hub\r\n\r\n",
      "\r\n\r\n\r\n\r\n",
      std::string(60'000, '\xff'),
  };
  for (const std::string& attack : attacks) {
    const std::string heard = hear_from(world.hub.port(), attack);
    INFO(attack.substr(0, 100) << "\n-> " << heard.substr(0, 60));
    CHECK(tried(status_in(heard) != 200 && answers_in(heard) <= 1));
  }
}

TEST_CASE("no path leads to a file or around a check", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  for (const std::string path : {"/../../../../etc/passwd", "/..%2f..%2fetc%2fpasswd", "/%2e%2e/hub.key",
                                 "/hub.key", "/tls-key.pem", "//metrics", "/metrics/", "/v1/../metrics",
                                 "/./metrics", "/metrics%00", "/METRICS", "/v1/exchange/../../metrics",
                                 "/metrics;x", "\\metrics", "/v1//exchange", "/", "*", "/v1/exchange%20"}) {
    const std::string heard = hear_from(world.hub.port(), "GET " + path + " HTTP/1.1\r\nHost: hub\r\n\r\n");
    INFO(path << " -> " << heard.substr(0, 60));
    CHECK(tried(status_in(heard) != 200 && heard.find("PRIVATE") == std::string::npos &&
                heard.find("root:") == std::string::npos));
  }
  // Long, but within the header's limit.
  CHECK(tried(status_in(hear_from(world.hub.port(), "GET /" + std::string(8000, 'a') +
                                                        " HTTP/1.1\r\nHost: hub\r\n\r\n")) == 404));
}

TEST_CASE("floods of headers are cut off at their limit", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  std::string many = "GET /healthz HTTP/1.1\r\nHost: hub\r\n";
  for (int i = 0; i < 10'000; ++i) many += "X" + std::to_string(i) + ": y\r\n";
  CHECK(tried(status_in(hear_from(world.hub.port(), many + "\r\n")) == 431));
  CHECK(tried(status_in(hear_from(world.hub.port(), "GET /healthz HTTP/1.1\r\nHost: hub\r\nX: " +
                                                        std::string(1 << 20, 'x'))) == 431));
  CHECK(tried(status_in(hear_from(world.hub.port(), "GET /" + std::string(1 << 20, 'a'))) == 431));
  CHECK(tried(status_in(hear_from(world.hub.port(), post_head("Transfer-Encoding: chunked\r\n") + "1;" +
                                                        std::string(1 << 20, 'e'))) != 200));
}

TEST_CASE("requests sent all at once are answered one by one, up to the first that is wrong", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  const std::string good = "GET /healthz HTTP/1.1\r\nHost: hub\r\n\r\n";
  std::string many;
  for (int i = 0; i < 200; ++i) many += good;
  CHECK(answers_in(hear_from(world.hub.port(), many)) == 200);
  const std::string heard = hear_from(world.hub.port(), good + good + "nonsense\r\n\r\n" + kHidden);
  CHECK(tried(answers_in(heard) == 3 && heard.find("400 Bad Request") != std::string::npos));
}

TEST_CASE("slow peers lose their connection in time, and nobody waits for them", "[attack]") {
  RunningHub::Options deadlines = AttackWorld::quick();
  deadlines.limits.header = deadlines.limits.body_before_session = std::chrono::seconds(2);
  AttackWorld world(deadlines);
  std::vector<std::unique_ptr<RawPeer>> slow;
  for (int i = 0; i < 40; ++i) {
    RawPeer::Options options;
    options.address = i % 2 == 0 ? "127.0.0.21" : "127.0.0.22";
    slow.push_back(std::make_unique<RawPeer>(world.hub.port(), options));
    REQUIRE(slow.back()->is_open());
    const bool is_body = i % 4 >= 2;
    slow.back()->send(is_body ? post_head("Content-Length: 60000\r\n")
                              : std::string("GET /healthz HTTP/1.1\r\nX: "));
  }
  // A byte now and then.
  for (int tick = 0; tick < 8; ++tick) {
    std::this_thread::sleep_for(std::chrono::milliseconds(500));
    for (auto& peer : slow) peer->send("y");
    if (tick == 2) must(world.keeper->exchange());
  }
  for (auto& peer : slow) {
    peer->hear(30'000);
    CHECK(tried(peer->was_closed()));
  }
  // The peer that asks and does not listen: the answers fill the pipe, and the write has its deadline too.
  RawPeer deaf(world.hub.port());
  std::string many;
  for (int i = 0; i < 20'000; ++i) many += kHidden;
  deaf.send(many);  // About 100 MB of answers, more than the buffers of both ends.
  must(world.keeper->exchange());
  CHECK(tried(deaf.wait_until_ended(60'000)));
  // It was being answered until then, and not to the end.
  const int answers = answers_in(deaf.hear());
  CHECK(answers > 0);
  CHECK(answers < 20'000);
}

TEST_CASE("connections that end halfway, or are too many, leave nothing behind", "[attack]") {
  RunningHub::Options options = AttackWorld::quick();
  options.limits.handshake = std::chrono::seconds(300);  // Whoever goes here goes for a newcomer, however slow the machine is.
  AttackWorld world(options);
  RawPeer::Options plain;
  plain.speaks = RawPeer::Speaks::kNothing;
  plain.address = "127.0.0.31";
  for (int i = 0; i < 60; ++i) {
    RawPeer peer(world.hub.port(), plain);
    if (i % 3 == 0) peer.send("\x16\x03\x01\x02\x00\x01");
    if (i % 3 == 1) peer.half_close();
    CHECK(tried(peer.is_open()));
  }
  for (int i = 0; i < 30; ++i) {
    RawPeer peer(world.hub.port());
    peer.send(post_head("Content-Length: 60000\r\n") + std::string(1000, 'x'));
    if (i % 2 == 0) peer.half_close();
    CHECK(tried(i % 2 == 0 ? status_in(peer.hear(10'000)) != 200 : true));
  }
  std::vector<std::unique_ptr<RawPeer>> many;
  plain.address = "127.0.0.32";
  for (int i = 0; i < 80; ++i) many.push_back(std::make_unique<RawPeer>(world.hub.port(), plain));
  const auto gave_way = [&] {
    return std::count_if(many.begin(), many.end(), [](const auto& peer) { return peer->wait_until_ended(0); });
  };
  for (int i = 0; i < 600 && gave_way() < 16; ++i) std::this_thread::sleep_for(std::chrono::milliseconds(50));
  CHECK(tried(gave_way() == 16));  // 64 of one address stay.
  must(world.keeper->exchange());
}

TEST_CASE("connections that nobody uses keep no device out, not even one behind their own address", "[attack]") {
  RunningHub::Options options = AttackWorld::quick();
  options.limits.handshake = options.limits.header = options.limits.body_before_session = std::chrono::seconds(60);
  AttackWorld world(options);
  RawPeer::Options plain;
  plain.speaks = RawPeer::Speaks::kNothing;
  std::vector<std::unique_ptr<RawPeer>> idle;
  const auto fill = [&] {
    for (int i = 0; i < 64; ++i) {
      switch (i % 4) {
        case 0:
          idle.push_back(std::make_unique<RawPeer>(world.hub.port(), plain));  // Begins no TLS.
          break;
        case 1:
          idle.push_back(std::make_unique<RawPeer>(world.hub.port()));  // Asks for nothing.
          break;
        case 2:
          idle.push_back(std::make_unique<RawPeer>(world.hub.port()));
          idle.back()->send("GET /healthz HTTP/1.1\r\nHost: hub\r\n\r\n");  // Has asked once, and stays.
          break;
        default:
          idle.push_back(std::make_unique<RawPeer>(world.hub.port()));
          idle.back()->send("POST /v1/session HTTP/1.1\r\nHost: hub\r\nContent-Type: application/x-protobuf\r\nContent-Length: 6000\r\n\r\nx");
          break;
      }
    }
  };
  int served = 0;
  for (int round = 0; round < 5; ++round) {
    fill();
    for (int i = 0; i < 13; ++i) served += world.ask(world.request("/v1/query", "", &world.keeper->session())) == 200 ? 1 : 0;
  }
  CHECK(tried(served == 65));
  must(world.keeper->exchange());
}

TEST_CASE("a connection in which a device has shown its session gives way to nobody", "[attack]") {
  RunningHub::Options options = AttackWorld::quick();
  options.limits.idle = std::chrono::seconds(300);
  AttackWorld world(options);
  RawPeer::Options from;
  from.address = "127.0.0.33";
  const auto ask = [&] {
    return "POST /v1/query HTTP/1.1\r\nHost: hub\r\nContent-Type: application/x-protobuf\r\nAuthorization: " +
           must(world.keeper->session().authorize({"POST", "/v1/query"}, "")) + "\r\nContent-Length: 0\r\n\r\n";
  };
  std::vector<std::unique_ptr<RawPeer>> shown;
  for (int i = 0; i < 64; ++i) {
    shown.push_back(std::make_unique<RawPeer>(world.hub.port(), from));
    shown.back()->send(ask());
    REQUIRE(status_in(shown.back()->hear_answer()) == 200);
  }
  for (int i = 0; i < 20; ++i) CHECK(tried(!RawPeer(world.hub.port(), from).is_open()));
  for (auto& peer : shown) {
    peer->send(ask());
    CHECK(status_in(peer->hear_answer()) == 200);
  }
}

TEST_CASE("fuzzed requests change nothing", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  Random random = test_random("fuzzed requests");
  proto::SessionRequest session;
  session.set_protocol(1);
  session.set_device_key(Bytes(view(world.keeper->key().public_key())));
  const std::string exchange = must(world.keeper->replica().exchange({}));
  const std::vector<std::string> sound = {
      "GET /healthz HTTP/1.1\r\nHost: hub\r\n\r\n",
      kHidden,
      world.request("/v1/session", session.SerializeAsString()),
      world.request("/v1/exchange", exchange, &world.keeper->session()),
      world.request("/v1/query", Bytes("\x12\x00", 2), &world.keeper->session()),
      post_head("Transfer-Encoding: chunked\r\n") + "4\r\nabcd\r\n0\r\n\r\n",
  };
  const std::vector<std::string> tokens = {"\r\n",
                                           "\n",
                                           "\r",
                                           ":",
                                           " ",
                                           "\t",
                                           "Content-Length: 4\r\n",
                                           "Transfer-Encoding: chunked\r\n",
                                           "Host: a\r\n",
                                           "HTTP/1.1",
                                           "Expect: 100-continue\r\n",
                                           "Connection: keep-alive\r\n",
                                           "Upgrade: h2c\r\n",
                                           "%00",
                                           "0\r\n\r\n"};
  for (int i = 0; i < kFuzzedRequests; ++i) {
    std::string bytes = random.pick(sound);
    const int edits = 1 + static_cast<int>(random.below(6));
    for (int edit = 0; edit < edits && !bytes.empty(); ++edit) {
      const std::size_t at = static_cast<std::size_t>(random.below(bytes.size()));
      const std::size_t length =
          std::min<std::size_t>(bytes.size() - at, 1 + static_cast<std::size_t>(random.below(30)));
      switch (random.below(6)) {
        case 0:
          bytes[at] = static_cast<char>(random.below(256));
          break;
        case 1:
          bytes[at] ^= static_cast<char>(1 << random.below(8));
          break;
        case 2:
          bytes.erase(at, length);
          break;
        case 3:
          bytes.insert(at, bytes.substr(at, length));
          break;
        case 4:
          bytes.insert(at, random.pick(tokens));
          break;
        case 5:
          bytes.insert(at, random.bytes(length));
          break;
      }
    }
    if (random.once_in(4)) bytes.resize(static_cast<std::size_t>(random.below(bytes.size() + 1)));
    if (random.once_in(5)) bytes += random.pick(sound);
    RawPeer peer(world.hub.port());
    REQUIRE(peer.is_open());
    peer.send(bytes);
    peer.half_close();
    peer.hear(30'000);
    CHECK(tried(peer.was_closed()));
    if (i % 500 == 499) world.check_unchanged();
  }
}
