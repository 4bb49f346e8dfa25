// Goal: files that records name go to the hub and to other devices in parts, go on after any stop, and never stand in the way
// of records. Method: real TLS, hubs that are killed in the middle of a part, hubs without room or patience.
#include <catch2/catch.hpp>
#include <thread>

#include "attaching.h"
#include "hosts/system_clock.h"
#include "raw_tls.h"
#include "retention_review.h"
#include "store/store.h"
#include "support/random.h"

using namespace wrackline;

namespace {

constexpr std::uint64_t kMiB = 1 << 20;

const auto no_progress = [](std::uint64_t, std::uint64_t) {};

BlobFolder::Held held_by_hub(AttachingDevice& device, const Hash& hash) { return must(ask_held(device.route(), {hash})).front(); }

}  // namespace

TEST_CASE("a file goes to the hub in parts and from there to another device, and is the same", "[files]") {
  Random random = test_random("files over TLS");
  RunningHub hub;
  AttachingDevice tablet(hub, "tablet"), desk(hub, "desk");
  for (const std::uint64_t size : {std::uint64_t{1}, kMiB - 1, kMiB, kMiB + 1, 5 * kMiB + 17}) {
    const Bytes content = random.bytes(static_cast<std::size_t>(size));
    const Hash hash = tablet.attach(content);
    // Before its record is there, the hub takes nothing of it, and says what to do.
    const Status early = tablet.send(hash);
    REQUIRE_FALSE(early);
    CHECK(early.error().code == ErrorCode::kNotFound);
    CHECK_THAT(early.error().message, Catch::Contains("Exchange records first"));
    must(tablet.device.exchange());
    must(desk.device.exchange());
    CHECK(code_of(fetch_file(desk.route(), desk.folder, hash, size, no_progress)) == ErrorCode::kNotFound);

    int parts = 0;
    must(tablet.send(hash, [&](std::uint64_t, std::uint64_t) { ++parts; }));
    CHECK(parts == static_cast<int>((size + kMiB - 1) / kMiB));
    CHECK(held_by_hub(desk, hash).whole);
    must(tablet.send(hash, [&](std::uint64_t, std::uint64_t) { FAIL("it was there already"); }));
    must(fetch_file(desk.route(), desk.folder, hash, size, no_progress));
    CHECK(must(desk.folder.read(hash, 0, static_cast<std::size_t>(size) + 1)) == content);
    CHECK(hub.log().find(blob_name(hash)) == std::string::npos);
  }
  CHECK(files_below(hub.directory.blobs()) == 5);
  CHECK(hub.log().find("path=/v1/blob/ ") != std::string::npos);
  must(desk.device.exchange());
  CHECK(desk.device.digest() == desk.device.hub_digest());
}

TEST_CASE("a hub that is killed in the middle of a part goes on from what it answered", "[files]") {
  Random random = test_random("killed in a part");
  RunningHub hub;
  AttachingDevice tablet(hub, "tablet"), desk(hub, "desk");
  const Bytes content = random.bytes(static_cast<std::size_t>(6 * kMiB));
  const Hash hash = tablet.attach(content);
  must(tablet.device.exchange());

  // Killed after two whole parts, while half of the third has come.
  const Status cut = tablet.send(hash, [&](std::uint64_t bytes, std::uint64_t) {
    if (bytes != 2 * kMiB) return;
    RawPeer peer(hub.port());
    REQUIRE(peer.is_open());
    const std::string path = "/v1/blob/" + blob_name(hash);
    const std::string authorization = must(tablet.device.session().authorize(
        {"PUT", path, "bytes 2097152-3145727/6291456"}, content.substr(static_cast<std::size_t>(2 * kMiB), static_cast<std::size_t>(kMiB))));
    REQUIRE(peer.send("PUT " + path + " HTTP/1.1\r\nHost: hub\r\nAuthorization: " + authorization +
                      "\r\nContent-Type: application/octet-stream\r\nContent-Range: bytes 2097152-3145727/6291456\r\n"
                      "Content-Length: 1048576\r\n\r\n" +
                      content.substr(static_cast<std::size_t>(2 * kMiB), 500'000)));
    hub.stop(SIGKILL);
  });
  REQUIRE_FALSE(cut);
  CHECK(cut.error().code == ErrorCode::kTransport);
  hub.start();
  must(tablet.device.exchange());  // This opens a session, too, since the hub has forgotten the one before.
  CHECK(held_by_hub(tablet, hash).bytes == 2 * kMiB);
  CHECK_FALSE(held_by_hub(tablet, hash).whole);
  std::vector<std::uint64_t> steps;
  must(tablet.send(hash, [&](std::uint64_t bytes, std::uint64_t) { steps.push_back(bytes); }));
  CHECK(steps == std::vector<std::uint64_t>{3 * kMiB, 4 * kMiB, 5 * kMiB, 6 * kMiB});

  // The way back likewise.
  must(desk.device.exchange());
  const Status broken = fetch_file(desk.route(), desk.folder, hash, content.size(), [&](std::uint64_t bytes, std::uint64_t) {
    if (bytes == 4 * kMiB) hub.stop(SIGKILL);
  });
  CHECK(code_of(broken) == ErrorCode::kTransport);
  hub.start();
  must(desk.device.exchange());
  CHECK(must(desk.folder.held(hash)).bytes == 4 * kMiB);
  steps.clear();
  must(fetch_file(desk.route(), desk.folder, hash, content.size(), [&](std::uint64_t bytes, std::uint64_t) { steps.push_back(bytes); }));
  CHECK(steps == std::vector<std::uint64_t>{5 * kMiB, 6 * kMiB});
  CHECK(must(desk.folder.read(hash, 0, content.size())) == content);
}

TEST_CASE("a hub has its room for files, and records go on when it is used up", "[files]") {
  RunningHub::Options options;
  options.blobs_bytes_max = 3'000'000;
  RunningHub hub(options);
  AttachingDevice tablet(hub, "tablet");
  const Hash first = tablet.attach(Bytes(2'000'000, 'a')), second = tablet.attach(Bytes(1'000'001, 'b')), third = tablet.attach(Bytes(1'000'000, 'c'));
  must(tablet.device.exchange());
  must(tablet.send(first));
  const Status refused = tablet.send(second);
  REQUIRE_FALSE(refused);
  CHECK(refused.error().code == ErrorCode::kDiskFull);
  CHECK_THAT(hub.log(), Catch::Contains("--blobs-max"));
  CHECK(files_below(hub.directory.blobs()) == 1);
  must(tablet.send(third));
  tablet.device.log_people(3);
  must(tablet.device.exchange());
  CHECK(tablet.device.digest() == tablet.device.hub_digest());
  // It counts what it finds when it starts anew.
  hub.stop();
  hub.start();
  must(tablet.device.exchange());
  CHECK(code_of(tablet.send(second)) == ErrorCode::kDiskFull);
}

TEST_CASE("a device that has sent files enough for a minute still exchanges records", "[files]") {
  RunningHub::Options options;
  options.limits.of_files = {3, 1 << 30};
  RunningHub hub(options);
  AttachingDevice tablet(hub, "tablet");
  const Hash hash = tablet.attach(Bytes(static_cast<std::size_t>(8 * kMiB), 'a'));
  must(tablet.device.exchange());
  const Status sent = tablet.send(hash);
  REQUIRE_FALSE(sent);
  CHECK(sent.error().code == ErrorCode::kRateLimited);
  for (int i = 0; i < 20; ++i) {
    tablet.device.log_people(1);
    must(tablet.device.exchange());
  }
  CHECK(tablet.device.digest() == tablet.device.hub_digest());
}

TEST_CASE("the wrong bytes under a hash are thrown away, and the right ones are taken after them", "[files]") {
  RunningHub hub;
  AttachingDevice tablet(hub, "tablet");
  const Bytes content = Bytes(static_cast<std::size_t>(kMiB), 'a') + "end";
  const Hash hash = tablet.attach(content);
  must(tablet.device.exchange());
  const FileRoute route = tablet.route();
  const std::string path = "/v1/blob/" + blob_name(hash);
  must(route.put(path, 0, content.size(), Bytes(static_cast<std::size_t>(kMiB), 'b')));
  CHECK(code_of(route.put(path, kMiB, content.size(), "end")) == ErrorCode::kMalformed);
  CHECK(files_below(hub.directory.blobs()) == 0);
  must(tablet.send(hash));
  CHECK(held_by_hub(tablet, hash).whole);
}

TEST_CASE("retention counts attachments, their files and what of them has come", "[files]") {
  RunningHub hub;
  AttachingDevice tablet(hub, "tablet");
  const Hash hash = tablet.attach(Bytes(1000, 'a'));
  tablet.attach(Bytes(1000, 'a'));  // The same file at two records counts once.
  tablet.attach(Bytes(500, 'b'));
  must(tablet.device.exchange());
  must(tablet.send(hash));
  hub.stop();
  const auto today = static_cast<std::int32_t>(wall_clock_ms() / kDayMs);
  for (const std::int32_t day : {today, today + 5 * 366}) {
    const FilesKept kept = must(count_files(hub.directory, day));
    CHECK(kept.files == 2);
    CHECK(kept.bytes == 1500);
    CHECK(kept.files_past_minimum == (day == today ? 0 : 2));
    CHECK(kept.bytes_past_minimum == (day == today ? 0 : 1500));
    CHECK(kept.files_here == 1);
    CHECK(kept.bytes_here == 1000);
    bool is_listed = false;
    for (const RetentionRow& row : must(list_retention(hub.directory, day))) {
      if (row.kind_name != "attachment") continue;
      is_listed = true;
      CHECK(row.events == 3);
      CHECK(row.past_minimum == (day == today ? 0 : 3));
    }
    CHECK(is_listed);
  }
}
