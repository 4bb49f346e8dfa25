// Goal: on a tablet that many share, nobody writes in the name of somebody who has a PIN without having signed in by
// it; trying PINs is slow, also for who restarts the tablet or sets its clock; and nobody who has none is locked out
// unless the facility wants that. Method: an invented centre through the public call, with a clock that the test sets.
#include <catch2/catch.hpp>

#include "base/built_in_fields.h"
#include "model/kinds.h"
#include "support/test_pins.h"

using namespace wrackline;

namespace {

constexpr WallMs kSecond = 1000, kMinute = 60 * kSecond, kHour = 60 * kMinute;

struct Centre {
  Facility facility;
  Device& tablet;
  RecordId admin, ines, ole;

  Centre() : tablet(facility.add_device("tablet")) {
    facility.exchange_all();
    admin = facility.keeper();
    ines = person("Ines Vik");
    ole = person("Ole Moen");
  }

  proto::Reply call(const proto::Call& call) {
    proto::Reply reply;
    REQUIRE(reply.ParseFromString(dispatch(*tablet.replica, call.SerializeAsString())));
    UNSCOPED_INFO(reply.failure().message());  // Shown when the test fails.
    return reply;
  }
  static ErrorCode code(const proto::Reply& reply) { return static_cast<ErrorCode>(reply.failure().code()); }

  RecordId person(const std::string& name) {
    proto::Person message;
    message.set_name(name);
    message.add_roles(proto::ROLE_KEEPER);
    return must(tablet.replica->author().log_records(admin, {{static_cast<std::uint32_t>(Kind::kPerson), message.SerializeAsString(), {}, {}}})).front();
  }
  // An observation in somebody's name.
  proto::Reply write(RecordId by, const Bytes& session = {}) {
    proto::Call c;
    *c.mutable_author() = ref_of(by);
    c.set_session(session);
    proto::NewRecord& record = *c.mutable_log()->add_records();
    record.set_kind(static_cast<std::uint32_t>(Kind::kObservation));
    proto::Observation seen;
    *seen.mutable_animal() = ref_of(seal());
    seen.set_day(20'717);
    seen.set_text("calm");
    record.set_fields(seen.SerializeAsString());
    return call(c);
  }
  RecordId seal() {
    if (!seal_) {
      proto::Animal animal;
      animal.set_name("Sila");
      seal_ = must(tablet.replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kAnimal), animal.SerializeAsString()}})).front();
    }
    return seal_;
  }
  // They choose a PIN, and have proved it from this tablet.
  void know(RecordId who, const std::string& pin) {
    give_pin(facility, who, pin);
    REQUIRE(prove_pin(facility, tablet, who, pin));
  }
  proto::Reply sign_in(RecordId who, const std::string& pin, const Bytes& instead_of = {}) {
    proto::Call c;
    *c.mutable_sign_in()->mutable_person() = ref_of(who);
    c.mutable_sign_in()->set_pin(pin);
    c.mutable_sign_in()->set_instead_of(instead_of);
    return call(c);
  }
  Bytes session_of(RecordId who, const std::string& pin, const Bytes& instead_of = {}) {
    const proto::Reply reply = sign_in(who, pin, instead_of);
    INFO(reply.failure().message());
    REQUIRE(reply.sign_in().token().size() == 32);
    return reply.sign_in().token();
  }
  bool is_open(const Bytes& session) {
    proto::Call c;
    c.set_session(session);
    c.mutable_status();
    return call(c).status().has_session();
  }
  void wait(WallMs ms) { *tablet.clock += ms; }

 private:
  RecordId seal_;
};

// Whether somebody is let in at a device without the hub.
bool is_known_at(Device& device, RecordId who, const std::string& pin) {
  proto::Call c;
  *c.mutable_sign_in()->mutable_person() = ref_of(who);
  c.mutable_sign_in()->set_pin(pin);
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(dispatch(*device.replica, c.SerializeAsString())));
  return !reply.has_failure();
}

}  // namespace

TEST_CASE("somebody without a PIN writes as before, and with one only after signing in", "[sign-in]") {
  Centre centre;
  CHECK_FALSE(centre.write(centre.ines).has_failure());
  centre.know(centre.ines, "2580");

  const proto::Reply refused = centre.write(centre.ines);
  CHECK(Centre::code(refused) == ErrorCode::kUnauthorized);
  CHECK(refused.failure().message().find("Ines Vik is not signed in here") != std::string::npos);

  const Bytes session = centre.session_of(centre.ines, "2580");
  CHECK_FALSE(centre.write(centre.ines, session).has_failure());
  // Her session is for her name only.
  centre.know(centre.ole, "1470");
  CHECK(Centre::code(centre.write(centre.ole, session)) == ErrorCode::kUnauthorized);
  CHECK(Centre::code(centre.write(centre.ines, Bytes(32, 'x'))) == ErrorCode::kUnauthorized);
}

TEST_CASE("a hand-over ends the session before, and signing out ends one", "[sign-in]") {
  Centre centre;
  centre.know(centre.ines, "2580");
  centre.know(centre.ole, "1470");
  const Bytes hers = centre.session_of(centre.ines, "2580");
  CHECK(centre.is_open(hers));
  const Bytes his = centre.session_of(centre.ole, "1470", hers);
  CHECK_FALSE(centre.is_open(hers));
  CHECK(centre.is_open(his));
  proto::Call out;
  out.mutable_sign_out()->set_token(his);
  CHECK_FALSE(centre.call(out).has_failure());
  CHECK_FALSE(centre.is_open(his));
  CHECK(Centre::code(centre.write(centre.ole, his)) == ErrorCode::kUnauthorized);
}

TEST_CASE("a session locks after ten idle minutes, and after a long shift at the latest", "[sign-in]") {
  Centre centre;
  centre.know(centre.ines, "2580");
  const Bytes session = centre.session_of(centre.ines, "2580");
  centre.wait(9 * kMinute);
  CHECK_FALSE(centre.write(centre.ines, session).has_failure());
  centre.wait(9 * kMinute);
  CHECK(centre.is_open(session));
  centre.wait(2 * kMinute);
  CHECK_FALSE(centre.is_open(session));
  CHECK(Centre::code(centre.write(centre.ines, session)) == ErrorCode::kUnauthorized);

  const Bytes busy = centre.session_of(centre.ines, "2580");
  for (WallMs waited = 0; waited < 12 * kHour; waited += 8 * kMinute) {
    REQUIRE_FALSE(centre.write(centre.ines, busy).has_failure());
    centre.wait(8 * kMinute);
  }
  CHECK(Centre::code(centre.write(centre.ines, busy)) == ErrorCode::kUnauthorized);
}

TEST_CASE("setting the clock back does not keep a session open", "[sign-in]") {
  Centre centre;
  centre.know(centre.ines, "2580");
  const Bytes session = centre.session_of(centre.ines, "2580");
  *centre.tablet.clock -= kHour;
  CHECK_FALSE(centre.is_open(session));
}

TEST_CASE("sessions and wrong tries outlive a restart of the tablet", "[sign-in]") {
  Centre centre;
  centre.know(centre.ines, "2580");
  const Bytes session = centre.session_of(centre.ines, "2580");
  centre.tablet.reopen();
  CHECK(centre.is_open(session));
  for (int i = 0; i < 3; ++i) CHECK(Centre::code(centre.sign_in(centre.ines, "0000")) == ErrorCode::kWrongPin);
  centre.tablet.reopen();
  CHECK(Centre::code(centre.sign_in(centre.ines, "2580")) == ErrorCode::kRateLimited);
}

TEST_CASE("after three wrong PINs each further try waits longer, the right one included", "[sign-in]") {
  Centre centre;
  centre.know(centre.ines, "2580");
  for (int i = 0; i < 3; ++i) CHECK(Centre::code(centre.sign_in(centre.ines, "0000")) == ErrorCode::kWrongPin);
  const proto::Reply slowed = centre.sign_in(centre.ines, "2580");
  CHECK(Centre::code(slowed) == ErrorCode::kRateLimited);
  CHECK(slowed.failure().message().find("try again in 30 s") != std::string::npos);
  centre.wait(29 * kSecond);
  CHECK(Centre::code(centre.sign_in(centre.ines, "2580")) == ErrorCode::kRateLimited);
  // Somebody else is not kept from working by it.
  centre.know(centre.ole, "1470");
  CHECK_FALSE(centre.sign_in(centre.ole, "1470").has_failure());
  centre.wait(2 * kSecond);
  CHECK(Centre::code(centre.sign_in(centre.ines, "1111")) == ErrorCode::kWrongPin);
  centre.wait(31 * kSecond);
  CHECK(Centre::code(centre.sign_in(centre.ines, "2580")) == ErrorCode::kRateLimited);  // Now a minute.
  // A clock set forwards ends a wait; set back, it makes it begin anew.
  *centre.tablet.clock -= kHour;
  CHECK(Centre::code(centre.sign_in(centre.ines, "2580")) == ErrorCode::kRateLimited);
  centre.wait(61 * kSecond);
  CHECK_FALSE(centre.sign_in(centre.ines, "2580").has_failure());
  // The count begins anew with it.
  CHECK(Centre::code(centre.sign_in(centre.ines, "0000")) == ErrorCode::kWrongPin);
  CHECK_FALSE(centre.sign_in(centre.ines, "2580").has_failure());
}

TEST_CASE("thousands of tries would take months", "[sign-in]") {
  Centre centre;
  centre.know(centre.ines, "2580");
  // How long 20 tries take when each is made as soon as it may be.
  const WallMs begun = *centre.tablet.clock;
  int tries = 0;
  while (tries < 20) {
    const ErrorCode code = Centre::code(centre.sign_in(centre.ines, "0000"));
    if (code == ErrorCode::kWrongPin) ++tries;
    if (code == ErrorCode::kRateLimited) centre.wait(kSecond * 5);
  }
  const WallMs took = *centre.tablet.clock - begun;
  // 30 s, 1, 2, 4, 8 minutes, then 15 each: the ten thousand PINs of four digits are some hundred days.
  CHECK(took > 11 * 15 * kMinute);
}

TEST_CASE("a new PIN ends what was opened with the old one, on each device that has heard of it", "[sign-in]") {
  Centre centre;
  Device& other = centre.facility.add_device("other");
  centre.know(centre.ines, "2580");
  const Bytes session = centre.session_of(centre.ines, "2580");
  centre.wait(kMinute);
  *centre.facility.hub().clock += kMinute;
  give_pin(centre.facility, centre.ines, "9753");
  CHECK_FALSE(centre.is_open(session));
  // This tablet knew the old one, and does not know the new one yet.
  CHECK(Centre::code(centre.sign_in(centre.ines, "2580")) == ErrorCode::kNotFound);
  CHECK(Centre::code(centre.sign_in(centre.ines, "9753")) == ErrorCode::kNotFound);
  REQUIRE(prove_pin(centre.facility, centre.tablet, centre.ines, "9753"));
  CHECK(Centre::code(centre.sign_in(centre.ines, "2580")) == ErrorCode::kWrongPin);
  CHECK_FALSE(centre.sign_in(centre.ines, "9753").has_failure());
  REQUIRE(prove_pin(centre.facility, other, centre.ines, "9753"));
  CHECK(is_known_at(other, centre.ines, "9753"));
}

TEST_CASE("a tablet knows a PIN only from what the hub has seen proven there", "[sign-in]") {
  Centre centre;
  Device& other = centre.facility.add_device("other");
  centre.know(centre.ines, "2580");
  CHECK_FALSE(is_known_at(other, centre.ines, "2580"));
  // Somebody at the tablet prepares another PIN and sends nothing to the hub, or sends what is not hers.
  proto::Call prepared;
  *prepared.mutable_prove()->mutable_person() = ref_of(centre.ines);
  prepared.mutable_prove()->set_pin("1357");
  REQUIRE_FALSE(centre.call(prepared).has_failure());
  CHECK(Centre::code(centre.sign_in(centre.ines, "1357")) == ErrorCode::kWrongPin);
  CHECK_FALSE(prove_pin(centre.facility, centre.tablet, centre.ines, "1357"));
  centre.wait(kMinute);
  CHECK(Centre::code(centre.sign_in(centre.ines, "1357")) == ErrorCode::kWrongPin);
  CHECK_FALSE(centre.sign_in(centre.ines, "2580").has_failure());
}

TEST_CASE("no PIN and no hash of one stands in a record, a bundle or on another device", "[sign-in]") {
  Centre centre;
  Device& other = centre.facility.add_device("other");
  centre.know(centre.ines, "25809753");
  const Bytes hash = must(centre.facility.hub().replica->store().hub_secrets().find("pin-" + to_text(centre.ines)));
  REQUIRE(hash.size() == 52);
  const auto whole = must(centre.tablet.replica->export_bundle({}));
  const auto at_hub = must(centre.facility.hub().replica->export_bundle({}));
  for (const Bytes& bytes : {whole.bytes, at_hub.bytes}) {
    CHECK(bytes.find("25809753") == Bytes::npos);
    CHECK(bytes.find(hash.substr(20)) == Bytes::npos);
  }
  for (Device* device : {&centre.tablet, &other}) CHECK(must(device->replica->store().hub_secrets().find("pin-" + to_text(centre.ines))).empty());
}

TEST_CASE("whom a tablet does not know by PIN yet, it lets write care and no more", "[sign-in]") {
  Centre centre;
  give_pin(centre.facility, centre.ines, "2580");
  CHECK_FALSE(centre.write(centre.ines).has_failure());
  give_pin(centre.facility, centre.admin, "258013");
  proto::Call c;
  *c.mutable_author() = ref_of(centre.admin);
  proto::NewRecord& record = *c.mutable_log()->add_records();
  record.set_kind(static_cast<std::uint32_t>(Kind::kFood));
  proto::Food food;
  food.set_name("sprat");
  record.set_fields(food.SerializeAsString());
  const proto::Reply refused = centre.call(c);
  CHECK(Centre::code(refused) == ErrorCode::kUnauthorized);
  CHECK(refused.failure().message().find("does not know this person's PIN yet") != std::string::npos);
  REQUIRE(prove_pin(centre.facility, centre.tablet, centre.admin, "258013"));
  c.set_session(centre.session_of(centre.admin, "258013"));
  CHECK_FALSE(centre.call(c).has_failure());
}

TEST_CASE("a struck person signs in no more", "[sign-in]") {
  Centre centre;
  centre.know(centre.ines, "1597");
  const Bytes session = centre.session_of(centre.ines, "1597");
  proto::Call strike;
  *strike.mutable_author() = ref_of(centre.admin);
  *strike.mutable_strike()->mutable_record() = ref_of(centre.ines);
  strike.mutable_strike()->set_reason("left the centre");
  REQUIRE_FALSE(centre.call(strike).has_failure());
  CHECK_FALSE(centre.is_open(session));
  CHECK(Centre::code(centre.sign_in(centre.ines, "1597")) == ErrorCode::kNotFound);
  CHECK(centre.write(centre.ines, session).has_failure());
}

TEST_CASE("where the facility asks everybody for a PIN, nobody writes without one", "[sign-in]") {
  Centre centre;
  proto::Facility policy;
  policy.set_pin_required(true);
  policy.set_lock_after_min(3);
  policy.set_name("Skerry Bay Rescue");
  policy.set_time_zone("Europe/Oslo");
  must(centre.facility.hub().replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kFacility), policy.SerializeAsString()}}));
  centre.facility.exchange_all();
  const proto::Reply refused = centre.write(centre.ines);
  CHECK(Centre::code(refused) == ErrorCode::kUnauthorized);
  CHECK(refused.failure().message().find("has none yet") != std::string::npos);
  centre.know(centre.ines, "2580");
  const Bytes session = centre.session_of(centre.ines, "2580");
  CHECK_FALSE(centre.write(centre.ines, session).has_failure());
  centre.wait(4 * kMinute);
  CHECK_FALSE(centre.is_open(session));
}

TEST_CASE("a PIN many would try first is refused, and one of four signs for more than a keeper", "[sign-in]") {
  Centre centre;
  centre.facility.exchange_all();
  Replica& hub = *centre.facility.hub().replica;
  const auto is_taken = [&](RecordId who, const char* pin) {
    INFO(pin);
    const Status set = set_pin_at_machine(hub, who, pin, "for a test");
    if (!set) CHECK(set.error().code == ErrorCode::kInvalid);
    return set.has_value();
  };
  for (const char* pin : {"12", "1111", "1234", "4321", "aaaa", "0000000"}) CHECK_FALSE(is_taken(centre.ines, pin));
  CHECK(is_taken(centre.ines, "wrack & line"));
  CHECK(is_taken(centre.ines, "2581"));
  CHECK_FALSE(is_taken(centre.admin, "2581"));
  CHECK(is_taken(centre.admin, "258136"));
}

TEST_CASE("a one-time code sets a PIN once, within three days; later the PIN itself is needed", "[sign-in]") {
  Centre centre;
  centre.facility.exchange_all();
  Replica& hub = *centre.facility.hub().replica;
  const RecordId device = must(hub.devices().find(centre.tablet.keystore->public_key())).record;
  const auto chooses = [&](const Bytes& secret, const Bytes& pin) -> Status {
    WRACKLINE_TRY(hub.pins().check_for_another(centre.ines, secret, "tablet"));
    return choose_pin(hub, {centre.ines, device}, pin);
  };
  CHECK(must(give_pin_code(hub, {centre.admin, device}, centre.ines)).size() == 11);
  const std::string code = must(give_pin_code(hub, {centre.admin, device}, centre.ines));  // The one before is good no longer.
  CHECK(give_pin_code(hub, {centre.ole, device}, centre.ines).error().code == ErrorCode::kUnauthorized);
  CHECK_FALSE(chooses("BCDFG-HJKLM", "2581"));
  CHECK(chooses(code, "1111").error().code == ErrorCode::kInvalid);
  must(chooses(code, "2581"));
  CHECK(chooses(code, "2582").error().code == ErrorCode::kWrongPin);
  must(chooses("2581", "2593"));
  must(hub.pins().check(centre.ines, "2593", "tablet"));
  // A code proves nobody, and its time ends.
  const std::string late = must(give_pin_code(hub, {centre.admin, device}, centre.ines));
  CHECK(hub.pins().check(centre.ines, late, "tablet").error().code == ErrorCode::kWrongPin);
  *centre.facility.hub().clock += Pins::kCodeMs;
  CHECK(chooses(late, "2604").error().code == ErrorCode::kWrongPin);
}

TEST_CASE("wrong PINs are counted at the hub for each device, and keep nobody out at another", "[sign-in]") {
  Centre centre;
  give_pin(centre.facility, centre.ines, "2580");
  Pins& pins = centre.facility.hub().replica->pins();
  for (int i = 0; i < 3; ++i) CHECK(pins.check(centre.ines, "0000", "one").error().code == ErrorCode::kWrongPin);
  CHECK(pins.check(centre.ines, "2580", "one").error().code == ErrorCode::kRateLimited);
  must(pins.check(centre.ines, "2580", "two"));
  // A device does not get to try everybody's either: twelve in a row, whosever they are.
  give_pin(centre.facility, centre.ole, "1470");
  int refused = 0;
  for (int i = 0; i < 14; ++i) {
    const RecordId whose = centre.person("Person " + std::to_string(i));
    give_pin(centre.facility, whose, "2580");
    if (pins.check(whose, "0000", "three").error().code == ErrorCode::kRateLimited) ++refused;
  }
  CHECK(refused == 2);
}
