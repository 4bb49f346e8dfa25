// Goal: a challenge is answered once, in a minute, by its own device; a session ends when it must. Method: a
// clock by hand.
#include "sessions.h"

#include <catch2/catch.hpp>
#include <memory>
#include <set>
#include <vector>

#include "scratch.h"
#include "support/random.h"
#include "support/seeded_keystore.h"

using namespace wrackline;

namespace {

constexpr WallMs kNow = 1'800'000'000'000;

PublicKey key(unsigned char number) {
  PublicKey made{};
  made[0] = number;
  return made;
}

const FacilityId kFacility{1, 2, 3};
const RequestHead kHead{"POST", "/v1/query"};

// A device with an open session.
struct Device {
  Device(Sessions& in, unsigned char seed)
      : sessions(&in), keystore(std::make_unique<SeededKeystore>(seed)), opened(must(in.open(keystore->public_key(), kNow))) {}

  RequestAuthorization authorize() {
    return *read_authorization(must(wrackline::authorize(kFacility, *keystore, opened.token, ++number, kHead, sha256(""))));
  }
  bool finds_itself(WallMs now) { return sessions->find(kFacility, authorize(), kHead, now) == keystore->public_key(); }

  Sessions* sessions;
  std::unique_ptr<SeededKeystore> keystore;
  Sessions::Opened opened;
  std::uint64_t number = 0;
};

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

TEST_CASE("a request finds its device until the session expires", "[sessions]") {
  Sessions sessions;
  Device device(sessions, 1);
  CHECK(device.opened.token.size() == 64);
  CHECK(device.opened.expires_ms == kNow + Sessions::kLifetimeMs);
  CHECK(device.finds_itself(kNow));
  for (WallMs at = kNow; at < device.opened.expires_ms; at += Sessions::kIdleMs / 2) CHECK(device.finds_itself(at));
  CHECK(device.finds_itself(device.opened.expires_ms - 1));
  CHECK(sessions.open_count(device.opened.expires_ms - 1) == 1);
  CHECK_FALSE(device.finds_itself(device.opened.expires_ms));
  CHECK(sessions.open_count(device.opened.expires_ms) == 0);
}

TEST_CASE("a session that nobody uses for an hour ends, and each use puts that off", "[sessions]") {
  Sessions sessions;
  Device device(sessions, 1);
  CHECK(device.finds_itself(kNow + Sessions::kIdleMs - 1));
  CHECK(device.finds_itself(kNow + 2 * Sessions::kIdleMs - 2));
  CHECK(sessions.open_count(kNow + 3 * Sessions::kIdleMs - 3) == 1);
  CHECK_FALSE(device.finds_itself(kNow + 3 * Sessions::kIdleMs - 2));
  CHECK(sessions.open_count(kNow + 3 * Sessions::kIdleMs - 2) == 0);
}

TEST_CASE("a request altered in any part finds no session, and uses none", "[sessions]") {
  Sessions sessions;
  Device device(sessions, 1), other(sessions, 2);
  const auto good = device.authorize();
  const auto finds = [&](const RequestAuthorization& authorization, const RequestHead& head) { return sessions.find(kFacility, authorization, head, kNow).has_value(); };
  for (const RequestHead& head : {RequestHead{"GET", "/v1/query"}, RequestHead{"POST", "/v1/act"}, RequestHead{"POST", "/v1/query", "bytes=0-1"}}) CHECK_FALSE(finds(good, head));
  for (std::size_t bit = 0; bit < good.signature.size() * 8; ++bit) {
    RequestAuthorization altered = good;
    altered.signature[bit / 8] ^= static_cast<unsigned char>(1 << bit % 8);
    CHECK_FALSE(finds(altered, kHead));
  }
  for (std::size_t bit = 0; bit < good.body.size() * 8; ++bit) {
    RequestAuthorization altered = good;
    altered.body[bit / 8] ^= static_cast<unsigned char>(1 << bit % 8);
    CHECK_FALSE(finds(altered, kHead));
  }
  for (const std::string& token : {std::string(), good.token.substr(1), good.token + "0", other.opened.token}) {
    RequestAuthorization altered = good;
    altered.token = token;
    CHECK_FALSE(finds(altered, kHead));
  }
  FacilityId elsewhere{};
  CHECK_FALSE(sessions.find(elsewhere, good, kHead, kNow));
  CHECK_FALSE(sessions.find(kFacility, good, kHead, kNow + Sessions::kIdleMs));
  CHECK(finds(good, kHead));
  CHECK_FALSE(finds(good, kHead));
}

TEST_CASE("a device's sessions are bounded, and end together when it is revoked", "[sessions]") {
  Sessions sessions;
  Device other(sessions, 2), first(sessions, 1);
  std::vector<Device> later;
  for (std::size_t i = 0; i < Sessions::kSessionsPerDeviceMax; ++i) later.emplace_back(sessions, 1);
  CHECK_FALSE(first.finds_itself(kNow));
  CHECK(later.back().finds_itself(kNow));
  sessions.end_all_of(later.back().keystore->public_key());
  CHECK_FALSE(later.back().finds_itself(kNow));
  CHECK(other.finds_itself(kNow));
}

TEST_CASE("each number is taken once, in any order, as a set of the last 64 would take it", "[sessions]") {
  Random random = test_random("number window");
  for (int run = 0; run < 200; ++run) {
    NumberWindow window;
    std::set<std::uint64_t> came;
    for (int i = 0; i < 300; ++i) {
      const std::uint64_t last = came.empty() ? 0 : *came.rbegin();
      const std::uint64_t number = random.once_in(50) ? random.below(~std::uint64_t{0}) : last < 80 ? random.below(90) : last - 80 + random.below(90);
      const bool is_new = number != 0 && came.count(number) == 0 && (number > last || last - number < NumberWindow::kWidth);
      CAPTURE(last, number);
      REQUIRE(window.take(number) == is_new);
      if (is_new) came.insert(number);
      if (last > ~std::uint64_t{0} - 100) break;
    }
  }
}

TEST_CASE("the header of a request is read in its one form, and written again as it came", "[sessions]") {
  Sessions sessions;
  Device device(sessions, 1);
  const std::string good = to_text(device.authorize());
  REQUIRE(read_authorization(good));
  CHECK(to_text(*read_authorization(good)) == good);
  for (std::size_t size = 0; size < good.size(); ++size) CHECK_FALSE(read_authorization(good.substr(0, size)));
  for (const std::string& other : {good + "0", good + ".", good + " ", " " + good, "X" + good}) CHECK_FALSE(read_authorization(other));
  std::string zero = good;
  zero.insert(zero.find('.') + 1, "0");  // Another way to write the same number.
  CHECK_FALSE(read_authorization(zero));
  Random random = test_random("headers");
  for (int i = 0; i < 2'000; ++i) {
    std::string other = good;
    other[static_cast<std::size_t>(random.below(other.size()))] = static_cast<char>(random.below(256));
    const auto read = read_authorization(other);
    if (read) CHECK(to_text(*read) == other);
  }
}
