// Goal: an admin sees which devices there are and when they came, and can end one's access while the hub
// serves. Method: real devices over TLS; the commands' functions on the same directory.
#include "devices.h"

#include <catch2/catch.hpp>

#include "hosts/http_date.h"
#include "hosts/system_clock.h"
#include "rate_limiter.h"
#include "test_device.h"

using namespace wrackline;

namespace {

DeviceRow row_of(const HubDirectory& directory, const std::string& name) {
  for (const DeviceRow& row : must(list_devices(directory))) {
    if (row.name == name) return row;
  }
  FAIL("no device " << name);
  return {};
}

}  // namespace

TEST_CASE("devices are listed with their last contact, and a clock that is off is seen", "[devices]") {
  RunningHub hub;
  const WallMs begun = wall_clock_ms();
  TestDevice right(hub, "right"), early(hub, "early", 3'600'000);
  right.log_people(3);
  must(right.exchange());
  REQUIRE(must(list_devices(hub.directory)).size() == 3);
  CHECK(row_of(hub.directory, "hub").is_hub);
  // The hub writes its notes when it stops at the latest, and reads them again.
  CHECK(hub.stop() == 0);
  const DeviceRow row = row_of(hub.directory, "right");
  CHECK_FALSE(row.revoked);
  CHECK(row.word.size() == 8);
  CHECK(row.enrolled_ms >= begun);
  REQUIRE(row.contact);
  CHECK(row.contact->last_ms >= begun);
  CHECK(row.contact->unsent == 0u);
  CHECK(row.contact->address_group == "127.0.0.1");
  REQUIRE(row.contact->clock_offset_ms);
  CHECK(std::abs(*row.contact->clock_offset_ms) < 60'000);
  const auto off = row_of(hub.directory, "early").contact->clock_offset_ms;
  REQUIRE(off);
  CHECK(std::abs(*off - 3'600'000) < 60'000);
  hub.start();
  CHECK(row_of(hub.directory, "right").contact->last_ms == row.contact->last_ms);
}

TEST_CASE("a device revoked while the hub serves is refused at its next request; what it sealed stays",
          "[devices]") {
  RunningHub hub;
  TestDevice lost(hub, "lost"), other(hub, "other");
  lost.log_people(5);
  must(lost.exchange());
  must(other.exchange());
  lost.log_people(1);
  CHECK(revoke({hub.directory, "nobody", "lost at the beach", {}}).error().code == ErrorCode::kNotFound);
  CHECK(revoke({hub.directory, "hub", "lost at the beach", {}}).error().code == ErrorCode::kInvalid);
  CHECK(revoke({hub.directory, "lost", "", {}}).error().code == ErrorCode::kInvalid);
  CHECK(revoke({hub.directory, "lost", "lost at the beach", "Nobody"}).error().code == ErrorCode::kNotFound);
  must(revoke({hub.directory, "lost", "lost at the beach", "Ada"}));
  CHECK(revoke({hub.directory, "lost", "again", {}}).error().code == ErrorCode::kInvalid);

  CHECK(lost.exchange().error().code == ErrorCode::kRevokedDevice);
  must(other.exchange());
  CHECK(must(other.replica().device_standing(lost.key().public_key())) == DeviceStanding::kRevoked);
  CHECK(other.digest() == other.hub_digest());
  const DeviceRow row = row_of(hub.directory, "lost");
  CHECK(row.revoked);
  CHECK(row.revoked_reason == "lost at the beach");
  CHECK(row.revoked_ms > 0);

  // A device that first hears of it now still gets what it had sent.
  TestDevice late(hub, "late");
  CHECK(late.refusals().empty());
  CHECK(late.digest() == late.hub_digest());
  CHECK(late.changes() == other.changes() + 1);  // Its own enrolment.

  // Its name may be given to another device; the word tells them apart.
  TestDevice fresh(hub, "lost2");
  must(revoke({hub.directory, row_of(hub.directory, "lost2").word, "lost too", {}}));
  CHECK(fresh.exchange().error().code == ErrorCode::kRevokedDevice);
}

TEST_CASE("device contacts survive a file that is damaged, and forget nothing they did not hear anew",
          "[devices]") {
  Scratch scratch;
  PublicKey key{};
  key[0] = 7;
  DeviceContacts contacts(scratch / "contacts");
  DeviceContact contact;
  contact.last_ms = 1000;
  contact.unsent = 4;
  contact.clock_offset_ms = -2000;
  contact.address_group = "2001:db8::/64";
  contacts.note(key, contact);
  contact.unsent.reset();
  contact.last_ms = 2000;
  contacts.note(key, contact);
  must(contacts.write(2000, true));
  const auto read = must(DeviceContacts::read(scratch / "contacts"));
  REQUIRE(read.size() == 1);
  CHECK(read.at(key).last_ms == 2000);
  CHECK(read.at(key).unsent == 4u);
  CHECK(read.at(key).clock_offset_ms == -2000);
  CHECK(read.at(key).address_group == "2001:db8::/64");
  std::ofstream(scratch / "contacts") << "something else\n";
  CHECK(DeviceContacts::read(scratch / "contacts").error().code == ErrorCode::kStorage);
  DeviceContacts anew(scratch / "contacts");
  anew.note(key, contact);
  must(anew.write(30'000, false));
  CHECK(must(DeviceContacts::read(scratch / "contacts")).size() == 1);
}

TEST_CASE("dates of HTTP headers are read as the standard writes them", "[devices]") {
  // RFC 9110, 5.6.7: the example of the preferred form. 784111777 by `date -d '1994-11-06 08:49:37 UTC' +%s`.
  CHECK(parse_http_date("Sun, 06 Nov 1994 08:49:37 GMT") == WallMs{784111777000});
  CHECK(http_date(784111777999) == "Sun, 06 Nov 1994 08:49:37 GMT");
  for (const char* bad :
       {"", "Sunday, 06-Nov-94 08:49:37 GMT", "Sun Nov  6 08:49:37 1994", "Mon, 06 Nov 1994 08:49:37 GMT",
        "Sun, 06 Nov 1994 08:49:37 UTC", "Thu, 31 Feb 1994 08:49:37 GMT", "Sun, 06 Nov 1994 24:49:37 GMT",
        "Sun, 06 Nov 1994 08:49:-7 GMT"})
    CHECK_FALSE(parse_http_date(bad));
}

TEST_CASE("a rate limit lets a minute's worth through and then as much as comes back", "[devices]") {
  RateLimiter limiter({60, 1000, 500}, 2);
  for (int i = 0; i < 60; ++i) CHECK(limiter.take("a", 5000) == 0);
  CHECK(limiter.take("a", 5000) == 1000);
  CHECK(limiter.take("a", 6000) == 0);
  CHECK(limiter.take("a", 1000) > 0);  // A clock set back gives nothing.
  CHECK(limiter.take("b", 6000) == 0);
  limiter.note_cost("b", 1500, 0);
  CHECK(limiter.take("b", 6000) == 30'000);  // 500 overdrawn of 1000 a minute.
  CHECK(limiter.take("b", 36'000) == 0);
  CHECK(limiter.take("c", 36'000) == 60'000);  // Two are remembered, and no more.
  CHECK(limiter.take("c", 10'000'000) == 0);   // They are full again and forgotten.
  limiter.note_cost("c", 0, 750);
  CHECK(limiter.take("c", 10'000'000) == 30'000);  // 250 ms of work overdrawn of 500 a minute.
  CHECK(limiter.take("c", 10'030'000) == 0);
}
