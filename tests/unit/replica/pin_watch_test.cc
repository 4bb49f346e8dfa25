// Goal: whose PIN is tried at the hub is told to everybody, by the hub alone, and whoever tries on fills no log with it. Method: a hub and
// tablets, real databases, clocks by hand.
#include "replica/pin_watch.h"

#include "base/wire.h"
#include "support/attention_now.h"
#include "support/test_pins.h"

using namespace wrackline;

namespace {

constexpr WallMs kHour = 60 * kMinuteMs;

struct Site {
  Facility facility;
  Device& north = facility.add_device("north tablet");
  Device& south = facility.add_device("south tablet");
  RecordId vet;

  Site() {
    proto::Person person;
    person.set_name("Aske Lind");
    person.add_roles(proto::ROLE_VET);
    vet = must(facility.hub().replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kPerson), person.SerializeAsString()}})).front();
    give_pin(facility, vet, "604812");
  }
  void let_pass(WallMs ms) {
    for (Device* device : {&facility.hub(), &north, &south}) *device->clock += ms;
  }
  ErrorCode show(const std::string& pin, Device& device) {
    return code_of(check_pin_shown(*facility.hub().replica, vet, pin, device.keystore->public_key()));
  }
  std::size_t warnings() {
    Store& store = facility.hub().replica->store();
    must(store.refresh());
    return must(store.records().find_all_subjects(Kind::kPinWarning, 0, 0)).size();
  }
};

RecordId id(const proto::RecordRef& ref) { return {LogId{ref.log()}, ref.seq()}; }

}  // namespace

TEST_CASE("the third wrong PIN in a row, and no earlier one, stands in attention for a week", "[pins]") {
  Site site;
  const WallMs first = *site.facility.hub().clock;
  for (int i = 0; i < 2; ++i) {
    CHECK(site.show("111222", site.north) == ErrorCode::kWrongPin);
    site.let_pass(1000);
  }
  CHECK(attention(site.facility.hub(), proto::ATTENTION_RULE_WRONG_PINS).empty());
  CHECK(site.show("111222", site.north) == ErrorCode::kWrongPin);
  site.facility.exchange_all();
  for (Device* device : {&site.facility.hub(), &site.north, &site.south}) {
    CAPTURE(device->name);
    const auto items = attention(*device, proto::ATTENTION_RULE_WRONG_PINS);
    REQUIRE(items.size() == 1);
    CHECK(id(items[0].subject()) == site.vet);
    CHECK(items[0].subject_name() == "Aske Lind");
    CHECK(items[0].what() == "north tablet (3)");
    CHECK(items[0].since_ms() == first);
  }
  site.let_pass(8 * 24 * kHour);
  CHECK(attention(site.south, proto::ATTENTION_RULE_WRONG_PINS).empty());
}

TEST_CASE("a wrong PIN or code shown to choose another is told of like any other", "[pins]") {
  Site site;
  for (int i = 0; i < 3; ++i) {
    CHECK(code_of(check_pin_or_code_shown(*site.facility.hub().replica, site.vet, "BCDFG-HJKLM", site.north.keystore->public_key())) == ErrorCode::kWrongPin);
  }
  CHECK(attention(site.facility.hub(), proto::ATTENTION_RULE_WRONG_PINS).size() == 1);
}

TEST_CASE("a right PIN begins the count anew", "[pins]") {
  Site site;
  for (int round = 0; round < 3; ++round) {
    CHECK(site.show("111222", site.north) == ErrorCode::kWrongPin);
    CHECK(site.show("111222", site.north) == ErrorCode::kWrongPin);
    must(check_pin_shown(*site.facility.hub().replica, site.vet, "604812", site.north.keystore->public_key()));
  }
  CHECK(site.warnings() == 0);
}

TEST_CASE("two days of tries add a warning an hour at most, and one line with the last count", "[pins]") {
  Site site;
  std::uint32_t wrong = 0;
  for (WallMs passed = 0; passed < 48 * kHour; passed += kMinuteMs) {
    const ErrorCode answer = site.show("111222", site.north);
    wrong += answer == ErrorCode::kWrongPin ? 1 : 0;
    REQUIRE((answer == ErrorCode::kWrongPin || answer == ErrorCode::kRateLimited));
    site.let_pass(kMinuteMs);
  }
  CHECK(site.warnings() > 24);
  CHECK(site.warnings() <= 48);
  const auto items = attention(site.facility.hub(), proto::ATTENTION_RULE_WRONG_PINS);
  REQUIRE(items.size() == 1);
  // The last hour's may not be written yet.
  const std::string what = items[0].what();
  const auto told = static_cast<std::uint32_t>(std::stoul(what.substr(what.find('(') + 1)));
  CHECK(told <= wrong);
  CHECK(told + 5 >= wrong);
  // Requests alone, which the hub refuses unheard, add none.
  const std::size_t before = site.warnings();
  for (int i = 0; i < 50; ++i) (void)site.show("111222", site.north);
  CHECK(site.warnings() <= before + 1);
}

TEST_CASE("a clock of the hub's that is put back keeps no warning from being written", "[pins]") {
  Site site;
  for (int i = 0; i < 3; ++i) CHECK(site.show("111222", site.north) == ErrorCode::kWrongPin);
  CHECK(site.warnings() == 1);
  *site.facility.hub().clock -= 24 * kHour;
  for (int i = 0; i < 3; ++i) CHECK(site.show("111222", site.south) == ErrorCode::kWrongPin);
  CHECK(site.warnings() == 2);
}

TEST_CASE("a device's own warning is told to nobody, and the hub's stays whoever strikes it", "[pins]") {
  Site site;
  proto::PinWarning forged;
  *forged.mutable_person() = ref_of(site.vet);
  *forged.mutable_device() = ref_of(must(site.north.replica->devices().find(site.south.keystore->public_key())).record);
  forged.set_since_ms(*site.north.clock);
  forged.set_at_ms(*site.north.clock);
  forged.set_times(99);
  must(site.north.replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kPinWarning), forged.SerializeAsString()}}));
  site.facility.exchange_all();
  for (Device* device : {&site.facility.hub(), &site.north, &site.south}) CHECK(attention(*device, proto::ATTENTION_RULE_WRONG_PINS).empty());

  for (int i = 0; i < 3; ++i) CHECK(site.show("111222", site.north) == ErrorCode::kWrongPin);
  site.facility.exchange_all();
  const auto items = attention(site.north, proto::ATTENTION_RULE_WRONG_PINS);
  REQUIRE(items.size() == 1);
  Edit strike;
  strike.record = id(items[0].record());
  append_varint_field(strike.fields, kStandingField, kStruck);
  strike.reason = "nothing happened";
  must(site.facility.hub().replica->author().edit({}, strike));
  site.facility.exchange_all();
  CHECK(attention(site.south, proto::ATTENTION_RULE_WRONG_PINS).size() == 1);
}
