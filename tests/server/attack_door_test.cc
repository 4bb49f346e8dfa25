// Goal: nobody comes in, or stays in, by anything but a code and a key of their own. Method: real TLS,
// requests made by hand; afterwards the hub must hold what it held.
#include <catch2/catch.hpp>

#include "attack_world.h"
#include "crypto/texts.h"
#include "enrolment_codes.h"
#include "support/random.h"

using namespace wrackline;

namespace {

std::string enrol_body(const std::string& code, Keystore& shown, Keystore& signer,
                       const std::string& name = "tablet") {
  proto::EnrolRequest request;
  request.set_protocol(1);
  request.set_code(code);
  request.set_device_key(Bytes(view(shown.public_key())));
  request.set_device_name(name);
  request.set_signature(Bytes(view(must(signer.sign(enrolment_text(code, shown.public_key()))))));
  return request.SerializeAsString();
}

std::string session_body(Keystore& shown, const Bytes& nonce = {}, Keystore* signer = nullptr,
                         const FacilityId& facility = {}) {
  proto::SessionRequest request;
  request.set_protocol(1);
  request.set_device_key(Bytes(view(shown.public_key())));
  request.set_nonce(nonce);
  if (signer != nullptr)
    request.set_signature(Bytes(view(must(signer->sign(session_text(facility, nonce))))));
  return request.SerializeAsString();
}

Bytes challenge(TestDevice& device) {
  proto::SessionReply reply;
  REQUIRE(reply.ParseFromString(must(device.post("/v1/session", session_body(device.key())))));
  return reply.nonce();
}

}  // namespace

TEST_CASE("an older TLS, or none, gets no answer", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  for (const int version : {TLS1_2_VERSION, TLS1_1_VERSION, TLS1_VERSION}) {
    RawPeer::Options options;
    options.version = version;
    CHECK(tried(!RawPeer(world.hub.port(), options).is_open()));
  }
  RawPeer::Options plain;
  plain.speaks = RawPeer::Speaks::kNothing;
  for (const char* words : {"GET /healthz HTTP/1.1\r\nHost: hub\r\n\r\n", "SSH-2.0-x\r\n",
                            "\x16\x03\x00\x00\x00", "\x80\x2e\x01\x00\x02"}) {
    RawPeer peer(world.hub.port(), plain);
    peer.send(words);
    peer.half_close();
    const std::string heard = peer.hear(30'000);
    CHECK(tried(heard.find("HTTP") == std::string::npos && peer.was_closed()));
  }
}

TEST_CASE("a session's answer is good once, for its own device and its own challenge", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  const FacilityId facility = world.keeper->enrolment().facility;
  const Bytes nonce = challenge(*world.keeper);
  world.secrets.push_back(to_hex(nonce));
  const std::string answer =
      world.request("/v1/session", session_body(world.keeper->key(), nonce, &world.keeper->key(), facility));
  REQUIRE(world.ask(answer) == 200);
  for (int i = 0; i < 5; ++i) CHECK(tried(world.ask(answer) == 401));

  FileKeystore& thief = world.thief->key();
  const auto refuse = [&](const std::string& body) {
    return tried(world.ask(world.request("/v1/session", body)) == 401);
  };
  CHECK(refuse(session_body(thief, challenge(*world.keeper), &thief, facility)));  // Another's challenge.
  CHECK(refuse(
      session_body(world.keeper->key(), challenge(*world.keeper), &thief, facility)));  // Another's key.
  FacilityId elsewhere = facility;
  elsewhere[0] ^= 1;
  CHECK(refuse(
      session_body(thief, challenge(*world.thief), &thief, elsewhere)));  // Signed for another facility.
  CHECK(refuse(session_body(thief, Bytes(32, '\0'), &thief, facility)));
  CHECK(refuse(session_body(thief, Bytes(1, 'n'), &thief, facility)));
}

TEST_CASE("an authorization that is garbage, another's in part, or in another form opens nothing", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  Random random = test_random("authorizations");
  const std::string good = must(world.keeper->session().authorize({"POST", "/v1/query"}, ""));
  const std::string token = world.keeper->session().token();
  const auto refuse = [&](const std::string& authorization) {
    const int status = world.ask(
        "POST /v1/query HTTP/1.1\r\nHost: hub\r\nContent-Type: application/x-protobuf\r\n"
        "Authorization: " +
        authorization + "\r\nConnection: close\r\nContent-Length: 0\r\n\r\n");
    return tried(status == 401);
  };
  const std::string said = good.substr(kAuthorizationScheme.size() + 1);
  for (const std::string& other :
       {std::string(), "-" + said, said.substr(1), said + "0", said + ".", said.substr(0, said.size() - 1), std::string(64, '0'), said + said, token,
        "0" + said, std::string(8000, 'a')})
    CHECK(refuse(std::string(kAuthorizationScheme) + " " + other));
  for (const std::string scheme : {"Basic ", "wrackline ", "Wrackline  ", "Wrackline\t", "Bearer ", ""}) CHECK(refuse(scheme + said));
  std::string capitals = said;
  for (char& c : capitals) c = static_cast<char>(std::toupper(c));
  CHECK(refuse(std::string(kAuthorizationScheme) + " " + capitals));
  for (int i = 0; i < 40; ++i) {
    std::string other = good;
    char& digit = other[kAuthorizationScheme.size() + 1 + static_cast<std::size_t>(random.below(said.size()))];
    digit = digit == 'f' ? '0' : digit == '.' ? ':' : digit == '0' ? '1' : 'f';
    CHECK(refuse(other));
    CHECK(refuse(std::string(kAuthorizationScheme) + " " + to_hex(random.bytes(32)) + said.substr(64)));
  }
  CHECK(world.ask("POST /v1/query HTTP/1.1\r\nHost: hub\r\nContent-Type: application/x-protobuf\r\nAuthorization: " + good +
                  "\r\nConnection: close\r\nContent-Length: 0\r\n\r\n") == 200);  // None of them has used it up.
}

TEST_CASE("a stolen or a guessed code lets nobody in", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  const auto key = must(FileKeystore::create(world.hub.scratch / "stolen.key"));
  const auto other = must(FileKeystore::create(world.hub.scratch / "other.key"));
  const std::string used = world.hub.new_code();
  world.secrets.insert(world.secrets.end(), {used, normal_code(used)});
  // Used by its rightful holder, who is enrolled already: so the code is spent and nothing is added.
  REQUIRE(world.ask(world.request("/v1/enrol", enrol_body(used, world.keeper->key(), world.keeper->key()))) ==
          200);
  CHECK(tried(world.ask(world.request("/v1/enrol", enrol_body(used, *key, *key)), "127.0.0.5") == 401));
  // An open code that was overheard, without the key that is shown; the code is not used up by it.
  const std::string open = world.hub.new_code();
  world.secrets.insert(world.secrets.end(), {open, normal_code(open)});
  CHECK(tried(world.ask(world.request("/v1/enrol", enrol_body(open, *key, *other)), "127.0.0.6") == 400));

  Random random = test_random("codes");
  static constexpr std::string_view kLetters = "BCDFGHJKLMNPQRSTVWXZ";
  for (int i = 0; i < 300; ++i) {
    std::string guess;
    for (int letter = 0; letter < 10; ++letter) guess += kLetters[static_cast<std::size_t>(random.below(20))];
    CHECK(tried(world.ask(world.request("/v1/enrol", enrol_body(guess, *key, *key)), "127.0.0.7") == 401));
  }
  for (const std::string& name :
       {std::string(), std::string(65, 'n'), std::string("two\nlines"), std::string("\0", 1)})
    CHECK(
        tried(world.ask(world.request("/v1/enrol", enrol_body(open, *key, *key, name)), "127.0.0.8") == 400));
}
