// Goal: a challenge is answered once, in a minute, by its own device; a session ends when it must. Method: a
// clock by hand.
#include "sessions.h"

#include <catch2/catch.hpp>
#include <set>

#include "scratch.h"

using namespace wrackline;

namespace {

constexpr WallMs kNow = 1'800'000'000'000;

PublicKey key(unsigned char number) {
  PublicKey made{};
  made[0] = number;
  return made;
}

}  // namespace

TEST_CASE("a nonce is good once, for its device, for a minute", "[sessions]") {
  Sessions sessions;
  const Bytes nonce = must(sessions.challenge(key(1), kNow));
  CHECK(nonce.size() == 32);
  CHECK_FALSE(sessions.take_nonce(key(2), nonce, kNow));
  CHECK_FALSE(sessions.take_nonce(key(1), Bytes(32, 'x'), kNow));
  CHECK_FALSE(sessions.take_nonce(key(1), "", kNow));
  CHECK(sessions.take_nonce(key(1), nonce, kNow + Sessions::kNonceLifetimeMs - 1));
  CHECK_FALSE(sessions.take_nonce(key(1), nonce, kNow));
  const Bytes late = must(sessions.challenge(key(1), kNow));
  CHECK_FALSE(sessions.take_nonce(key(1), late, kNow + Sessions::kNonceLifetimeMs));
}

TEST_CASE("whoever asks for challenges in a device's name, without end, pushes none of its own out", "[sessions]") {
  Sessions sessions;
  const Bytes first = must(sessions.challenge(key(1), kNow));
  std::set<Bytes> all = {first};
  for (int i = 0; i < 10'000; ++i) all.insert(must(sessions.challenge(key(1), kNow)));
  CHECK(all.size() == 10'001);
  CHECK(sessions.take_nonce(key(1), first, kNow));
}

TEST_CASE("a nonce altered in any bit, or made by another hub, is none", "[sessions]") {
  Sessions sessions, elsewhere;
  const Bytes nonce = must(sessions.challenge(key(1), kNow));
  for (std::size_t bit = 0; bit < nonce.size() * 8; ++bit) {
    Bytes other = nonce;
    other[bit / 8] = static_cast<char>(other[bit / 8] ^ (1 << bit % 8));
    CHECK_FALSE(sessions.take_nonce(key(1), other, kNow));
  }
  CHECK_FALSE(elsewhere.take_nonce(key(1), nonce, kNow));
  must(elsewhere.challenge(key(1), kNow));
  CHECK_FALSE(elsewhere.take_nonce(key(1), nonce, kNow));
  CHECK(sessions.take_nonce(key(1), nonce, kNow));
}

TEST_CASE("a nonce is good once, also when the hub's clock goes back or others come between", "[sessions]") {
  Sessions sessions;
  const Bytes nonce = must(sessions.challenge(key(1), kNow));
  CHECK(sessions.take_nonce(key(1), nonce, kNow + 50'000));
  for (WallMs later = 0; later < Sessions::kNonceLifetimeMs; later += 1'000) {
    must(sessions.take_nonce(key(1), must(sessions.challenge(key(1), kNow + later)), kNow + later) ? Status() : Status(fail(ErrorCode::kInternal, "not taken")));
    CHECK_FALSE(sessions.take_nonce(key(1), nonce, kNow + later));
  }
  CHECK_FALSE(sessions.take_nonce(key(1), nonce, kNow - 5'000));
}

TEST_CASE("a token finds its device until it expires", "[sessions]") {
  Sessions sessions;
  const auto opened = must(sessions.open(key(1), kNow));
  CHECK(opened.token.size() == 64);
  CHECK(opened.expires_ms == kNow + Sessions::kLifetimeMs);
  CHECK(sessions.find(opened.token, kNow) == key(1));
  for (WallMs at = kNow; at < opened.expires_ms; at += Sessions::kIdleMs / 2) CHECK(sessions.find(opened.token, at) == key(1));
  CHECK(sessions.find(opened.token, opened.expires_ms - 1) == key(1));
  CHECK(sessions.open_count(opened.expires_ms - 1) == 1);
  CHECK_FALSE(sessions.find(opened.token, opened.expires_ms));
  CHECK(sessions.open_count(opened.expires_ms) == 0);
}

TEST_CASE("a session that nobody uses for an hour ends, and each use puts that off", "[sessions]") {
  Sessions sessions;
  const std::string token = must(sessions.open(key(1), kNow)).token;
  CHECK(sessions.find(token, kNow + Sessions::kIdleMs - 1) == key(1));
  CHECK(sessions.find(token, kNow + 2 * Sessions::kIdleMs - 2) == key(1));
  CHECK(sessions.open_count(kNow + 3 * Sessions::kIdleMs - 3) == 1);
  CHECK_FALSE(sessions.find(token, kNow + 3 * Sessions::kIdleMs - 2));
  CHECK(sessions.open_count(kNow + 3 * Sessions::kIdleMs - 2) == 0);
}

TEST_CASE("nothing but the whole token finds a session", "[sessions]") {
  Sessions sessions;
  const std::string token = must(sessions.open(key(1), kNow)).token;
  CHECK_FALSE(sessions.find("", kNow));
  CHECK_FALSE(sessions.find(token.substr(1), kNow));
  CHECK_FALSE(sessions.find(token + "0", kNow));
  std::string other = token;
  other.back() = other.back() == '0' ? '1' : '0';
  CHECK_FALSE(sessions.find(other, kNow));
}

TEST_CASE("a device's sessions are bounded, and end together when it is revoked", "[sessions]") {
  Sessions sessions;
  const std::string others = must(sessions.open(key(2), kNow)).token;
  const std::string first = must(sessions.open(key(1), kNow)).token;
  std::string last;
  for (std::size_t i = 0; i < Sessions::kSessionsPerDeviceMax; ++i)
    last = must(sessions.open(key(1), kNow)).token;
  CHECK_FALSE(sessions.find(first, kNow));
  CHECK(sessions.find(last, kNow) == key(1));
  sessions.end_all_of(key(1));
  CHECK_FALSE(sessions.find(last, kNow));
  CHECK(sessions.find(others, kNow) == key(2));
}
