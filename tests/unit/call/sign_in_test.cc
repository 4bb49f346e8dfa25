// Goal: on a tablet that many share, nobody writes in the name of somebody who has a PIN without having signed in by
// it; trying PINs is slow, also for who restarts the tablet or sets its clock; and nobody who has none is locked out
// unless the facility wants that. Method: an invented centre through the public call, with a clock that the test sets.
#include <catch2/catch.hpp>

#include "base/built_in_fields.h"
#include "model/kinds.h"
#include "support/shift.h"

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
    UNSCOPED_INFO(reply.failure().message());  // Of a test that fails.
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
  proto::Reply set_pin(RecordId by, RecordId whose, const std::string& pin, const Bytes& session = {}) {
    proto::Call c;
    *c.mutable_author() = ref_of(by);
    c.set_session(session);
    *c.mutable_set_pin()->mutable_person() = ref_of(whose);
    c.mutable_set_pin()->set_pin(pin);
    if (by != whose) c.mutable_set_pin()->set_reason("forgotten");
    return call(c);
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

}  // namespace

TEST_CASE("somebody without a PIN writes as before, and with one only after signing in", "[sign-in]") {
  Centre centre;
  CHECK_FALSE(centre.write(centre.ines).has_failure());
  REQUIRE_FALSE(centre.set_pin(centre.ines, centre.ines, "2580").has_failure());

  const proto::Reply refused = centre.write(centre.ines);
  CHECK(Centre::code(refused) == ErrorCode::kUnauthorized);
  CHECK(refused.failure().message().find("Ines Vik is not signed in here") != std::string::npos);

  const Bytes session = centre.session_of(centre.ines, "2580");
  CHECK_FALSE(centre.write(centre.ines, session).has_failure());
  // Her session is for her name only.
  REQUIRE_FALSE(centre.set_pin(centre.ole, centre.ole, "1470").has_failure());
  CHECK(Centre::code(centre.write(centre.ole, session)) == ErrorCode::kUnauthorized);
  CHECK(Centre::code(centre.write(centre.ines, Bytes(32, 'x'))) == ErrorCode::kUnauthorized);
}

TEST_CASE("a hand-over ends the session before, and signing out ends one", "[sign-in]") {
  Centre centre;
  REQUIRE_FALSE(centre.set_pin(centre.ines, centre.ines, "2580").has_failure());
  REQUIRE_FALSE(centre.set_pin(centre.ole, centre.ole, "1470").has_failure());
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

TEST_CASE("a session locks after ten idle minutes, later with each entry, and after a long shift at the latest", "[sign-in]") {
  Centre centre;
  REQUIRE_FALSE(centre.set_pin(centre.ines, centre.ines, "2580").has_failure());
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
  REQUIRE_FALSE(centre.set_pin(centre.ines, centre.ines, "2580").has_failure());
  const Bytes session = centre.session_of(centre.ines, "2580");
  *centre.tablet.clock -= kHour;
  CHECK_FALSE(centre.is_open(session));
}

TEST_CASE("sessions and wrong tries outlive a restart of the tablet", "[sign-in]") {
  Centre centre;
  REQUIRE_FALSE(centre.set_pin(centre.ines, centre.ines, "2580").has_failure());
  const Bytes session = centre.session_of(centre.ines, "2580");
  centre.tablet.reopen();
  CHECK(centre.is_open(session));
  for (int i = 0; i < 3; ++i) CHECK(Centre::code(centre.sign_in(centre.ines, "0000")) == ErrorCode::kUnauthorized);
  centre.tablet.reopen();
  CHECK(Centre::code(centre.sign_in(centre.ines, "2580")) == ErrorCode::kRateLimited);
}

TEST_CASE("after three wrong PINs each further try waits longer, the right one included", "[sign-in]") {
  Centre centre;
  REQUIRE_FALSE(centre.set_pin(centre.ines, centre.ines, "2580").has_failure());
  for (int i = 0; i < 3; ++i) CHECK(Centre::code(centre.sign_in(centre.ines, "0000")) == ErrorCode::kUnauthorized);
  const proto::Reply slowed = centre.sign_in(centre.ines, "2580");
  CHECK(Centre::code(slowed) == ErrorCode::kRateLimited);
  CHECK(slowed.failure().message().find("try again in 30 s") != std::string::npos);
  centre.wait(29 * kSecond);
  CHECK(Centre::code(centre.sign_in(centre.ines, "2580")) == ErrorCode::kRateLimited);
  // Somebody else is not kept from working by it.
  REQUIRE_FALSE(centre.set_pin(centre.ole, centre.ole, "1470").has_failure());
  CHECK_FALSE(centre.sign_in(centre.ole, "1470").has_failure());
  centre.wait(2 * kSecond);
  CHECK(Centre::code(centre.sign_in(centre.ines, "1111")) == ErrorCode::kUnauthorized);
  centre.wait(31 * kSecond);
  CHECK(Centre::code(centre.sign_in(centre.ines, "2580")) == ErrorCode::kRateLimited);  // Now a minute.
  // A clock set forwards ends a wait; set back, it makes it begin anew.
  *centre.tablet.clock -= kHour;
  CHECK(Centre::code(centre.sign_in(centre.ines, "2580")) == ErrorCode::kRateLimited);
  centre.wait(61 * kSecond);
  CHECK_FALSE(centre.sign_in(centre.ines, "2580").has_failure());
  // And with it the count begins anew.
  CHECK(Centre::code(centre.sign_in(centre.ines, "0000")) == ErrorCode::kUnauthorized);
  CHECK_FALSE(centre.sign_in(centre.ines, "2580").has_failure());
}

TEST_CASE("thousands of tries would take months", "[sign-in]") {
  Centre centre;
  REQUIRE_FALSE(centre.set_pin(centre.ines, centre.ines, "2580").has_failure());
  // How long 20 tries take when each is made as soon as it may be.
  const WallMs begun = *centre.tablet.clock;
  int tries = 0;
  while (tries < 20) {
    const ErrorCode code = Centre::code(centre.sign_in(centre.ines, "0000"));
    if (code == ErrorCode::kUnauthorized) ++tries;
    if (code == ErrorCode::kRateLimited) centre.wait(kSecond * 5);
  }
  const WallMs took = *centre.tablet.clock - begun;
  // 30 s, 1, 2, 4, 8 minutes, then 15 each: the ten thousand PINs of four digits are some hundred days.
  CHECK(took > 11 * 15 * kMinute);
}

TEST_CASE("a new PIN ends what was opened with the old one, on whatever device it is set", "[sign-in]") {
  Centre centre;
  Device& other = centre.facility.add_device("other");
  REQUIRE_FALSE(centre.set_pin(centre.ines, centre.ines, "2580").has_failure());
  const Bytes session = centre.session_of(centre.ines, "2580");
  // Nobody changes it without the old one.
  CHECK(Centre::code(centre.set_pin(centre.ines, centre.ines, "9753")) == ErrorCode::kUnauthorized);
  CHECK(Centre::code(centre.set_pin(centre.ole, centre.ines, "9753")) == ErrorCode::kUnauthorized);
  CHECK(centre.is_open(session));
  REQUIRE_FALSE(centre.set_pin(centre.ines, centre.ines, "9753", session).has_failure());
  CHECK_FALSE(centre.is_open(session));
  CHECK(Centre::code(centre.sign_in(centre.ines, "2580")) == ErrorCode::kUnauthorized);
  centre.facility.exchange_all();
  proto::Call there;
  *there.mutable_sign_in()->mutable_person() = ref_of(centre.ines);
  there.mutable_sign_in()->set_pin("9753");
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(dispatch(*other.replica, there.SerializeAsString())));
  CHECK(reply.sign_in().name() == "Ines Vik");
}

TEST_CASE("an admin takes a forgotten PIN away, and a struck person signs in no more", "[sign-in]") {
  Centre centre;
  REQUIRE_FALSE(centre.set_pin(centre.ines, centre.ines, "2580").has_failure());
  const Bytes session = centre.session_of(centre.ines, "2580");
  REQUIRE_FALSE(centre.set_pin(centre.admin, centre.ines, "").has_failure());
  CHECK_FALSE(centre.is_open(session));
  CHECK_FALSE(centre.write(centre.ines).has_failure());
  REQUIRE_FALSE(centre.set_pin(centre.ines, centre.ines, "1597").has_failure());
  const Bytes later = centre.session_of(centre.ines, "1597");

  proto::Call strike;
  *strike.mutable_author() = ref_of(centre.admin);
  *strike.mutable_strike()->mutable_record() = ref_of(centre.ines);
  strike.mutable_strike()->set_reason("left the centre");
  REQUIRE_FALSE(centre.call(strike).has_failure());
  CHECK_FALSE(centre.is_open(later));
  CHECK(Centre::code(centre.sign_in(centre.ines, "1597")) == ErrorCode::kNotFound);
  CHECK(centre.write(centre.ines, later).has_failure());
}

TEST_CASE("where the facility asks everybody for a PIN, nobody writes without, but sets the first", "[sign-in]") {
  Centre centre;
  proto::Facility policy;
  policy.set_pin_required(true);
  policy.set_lock_after_min(3);
  policy.set_name("Skerry Bay Rescue");
  policy.set_time_zone("Europe/Oslo");
  must(centre.tablet.replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kFacility), policy.SerializeAsString()}}));
  const proto::Reply refused = centre.write(centre.ines);
  CHECK(Centre::code(refused) == ErrorCode::kUnauthorized);
  CHECK(refused.failure().message().find("has none yet") != std::string::npos);
  REQUIRE_FALSE(centre.set_pin(centre.ines, centre.ines, "2580").has_failure());
  const Bytes session = centre.session_of(centre.ines, "2580");
  CHECK_FALSE(centre.write(centre.ines, session).has_failure());
  centre.wait(4 * kMinute);
  CHECK_FALSE(centre.is_open(session));
}

TEST_CASE("a PIN that many would try first is refused", "[sign-in]") {
  Centre centre;
  for (const char* pin : {"12", "1111", "1234", "4321", "aaaa", "0000000"}) {
    INFO(pin);
    CHECK(Centre::code(centre.set_pin(centre.ines, centre.ines, pin)) == ErrorCode::kInvalid);
  }
  CHECK_FALSE(centre.set_pin(centre.ines, centre.ines, "wrack & line").has_failure());
}

TEST_CASE("who asks for proofs has a PIN, and PINs for more than care then have six signs", "[sign-in]") {
  Centre centre;
  proto::Facility home;
  home.set_name("Skerry Bay Rescue");
  home.set_time_zone("Europe/Oslo");
  const RecordId facility = must(centre.tablet.replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kFacility), home.SerializeAsString()}})).front();
  const auto ask_for_proofs = [&](const Bytes& session) {
    proto::Call c;
    *c.mutable_author() = ref_of(centre.admin);
    c.set_session(session);
    *c.mutable_edit()->mutable_record() = ref_of(facility);
    proto::Facility rule;
    rule.set_proof_required(true);
    c.mutable_edit()->set_fields(rule.SerializeAsString());
    c.mutable_edit()->set_reason("orders are to be proven");
    return centre.call(c);
  };
  const proto::Reply refused = ask_for_proofs({});
  CHECK(Centre::code(refused) == ErrorCode::kInvalid);
  CHECK(refused.failure().message().find("has none yet") != std::string::npos);
  REQUIRE_FALSE(centre.set_pin(centre.admin, centre.admin, "2580").has_failure());
  const Bytes session = centre.session_of(centre.admin, "2580");
  REQUIRE_FALSE(ask_for_proofs(session).has_failure());
  CHECK(centre.sign_in(centre.admin, "2580").sign_in().proof_required());

  CHECK(Centre::code(centre.set_pin(centre.admin, centre.admin, "2581", session)) == ErrorCode::kInvalid);
  CHECK_FALSE(centre.set_pin(centre.admin, centre.admin, "258136", session).has_failure());
  CHECK_FALSE(centre.set_pin(centre.ines, centre.ines, "2581").has_failure());
}
