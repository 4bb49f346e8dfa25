// Goal: nobody writes or reads a file of the machine by way of attached files, fills the hub's disk with what no record names,
// or puts something else under a hash. Method: heads and bodies made by hand over TLS; afterwards the folder of
// files must hold what it held, and the honest sender must still be served.
#include <catch2/catch.hpp>

#include "attaching.h"
#include "attack_world.h"
#include "support/random.h"

using namespace wrackline;

namespace {

// A world with a tablet whose records name one file of 20 bytes.
struct FilesWorld {
  FilesWorld() : world(AttackWorld::quick()), tablet(world.hub, "tablet"), hash(tablet.attach("twenty bytes of text")) {
    must(tablet.device.exchange());
    must(world.keeper->exchange());
    world.digest_before = world.keeper->hub_digest();
    world.changes_before = world.hub_changes();
    key_before = content_of(world.hub.directory.key());
  }
  // At the end: nothing is there but what the honest sender brings now.
  ~FilesWorld() {
    CHECK(files_below(world.hub.directory.blobs()) == 0);
    CHECK(content_of(world.hub.directory.key()) == key_before);
    const Status sent = tablet.send(hash);
    CHECK((sent ? "" : sent.error().message) == "");
    CHECK(files_below(world.hub.directory.blobs()) == 1);
  }

  std::string path() const { return "/v1/blob/" + blob_name(hash); }
  // For one request of the thief's: `range` is its Range or Content-Range.
  std::string authorized(const std::string& method, const std::string& at, const std::string& range = {}, const std::string& body = {}) {
    return "Authorization: " + must(world.thief->session().authorize({method, at, range}, body)) + "\r\n";
  }
  std::string asked(const std::string& method, const std::string& at, const std::string& fields, const std::string& body = {}) const {
    return method + " " + at + " HTTP/1.1\r\nHost: hub\r\nConnection: close\r\n" + fields +
           (fields.find("Transfer-Encoding") == std::string::npos ? "Content-Length: " + std::to_string(body.size()) + "\r\n" : "") +
           "\r\n" + body;
  }
  int put(const std::string& at, const std::string& range, const std::string& body) {
    return world.ask(asked("PUT", at, authorized("PUT", at, range, body) + "Content-Type: application/octet-stream\r\nContent-Range: " + range + "\r\n", body));
  }

  AttackWorld world;
  AttachingDevice tablet;
  Hash hash;
  std::string key_before;
};

bool refused(int status) { return status >= 400 && status < 500; }

}  // namespace

TEST_CASE("no file comes or goes without a session", "[attack]") {
  FilesWorld files;
  const std::string body = "twenty bytes of text";
  const std::string type = "Content-Type: application/octet-stream\r\nContent-Range: bytes 0-19/20\r\n";
  for (const std::string& who : {std::string(), std::string("Authorization: Wrackline \r\n"),
                                 "Authorization: Wrackline " + std::string(64, '0') + "\r\n", std::string("Authorization: Basic YTpi\r\n")}) {
    CHECK(tried(files.world.ask(files.asked("PUT", files.path(), who + type, body)) == 401));
    CHECK(tried(files.world.ask(files.asked("GET", files.path(), who + "Range: bytes=0-19\r\n")) == 401));
    CHECK(tried(files.world.ask(files.asked("POST", "/v1/blobs", who + "Content-Type: application/x-protobuf\r\n")) == 401));
  }
}

TEST_CASE("a file that no record names, or not with this size, is not taken", "[attack]") {
  FilesWorld files;
  Random random = test_random("unnamed files");
  for (int i = 0; i < 20; ++i) {
    const Bytes content = random.bytes(20);
    CHECK(tried(files.put("/v1/blob/" + blob_name(sha256(content)), "bytes 0-19/20", content) == 404));
  }
  for (const std::string range : {"bytes 0-9/10", "bytes 0-19/21", "bytes 0-19/67108864"})
    CHECK(tried(files.put(files.path(), range, Bytes(range == "bytes 0-9/10" ? 10 : 20, 'x')) == 404));
  CHECK(tried(files.put(files.path(), "bytes 0-19/67108865", Bytes(20, 'x')) == 413));
  // A record that breaks the rules of its kind names nothing that would be taken beyond the limit.
  const Bytes large(40, 'l');
  const Hash lie = sha256(large);
  CHECK(tried(files.put("/v1/blob/" + blob_name(lie), "bytes 0-1048575/18446744073709551615", Bytes(1 << 20, 'l')) == 413));
}

TEST_CASE("a path that is no hash leads nowhere", "[attack]") {
  FilesWorld files;
  const std::string name = blob_name(files.hash);
  std::string capitals = name;
  for (char& c : capitals) c = static_cast<char>(std::toupper(c));
  for (const std::string& at :
       {std::string("/v1/blob/"), std::string("/v1/blob"), "/v1/blob/" + capitals, "/v1/blob/" + name + "/", "/v1/blob/" + name + ".part",
        "/v1/blob/" + name + "/../../hub.key", std::string("/v1/blob/../hub.key"), std::string("/v1/blob/../../../../../../etc/passwd"),
        std::string("/v1/blob/..%2f..%2fhub.key"), "/v1/blob//" + name, "/v1/blob/" + name.substr(0, 63) + "%00",
        "/v1/blob/" + std::string(64, '.'), "/v1/blob/" + std::string(64, '/'), "/v1/blob/" + name + name, "/v1/blob/" + name.substr(0, 2) + "/" + name,
        "https://hub/v1/blob/" + name, "//v1/blob/" + name, "/V1/BLOB/" + name, "/v1/blob/" + std::string(4000, 'a')}) {
    CAPTURE(at);
    CHECK(tried(refused(files.put(at, "bytes 0-19/20", "twenty bytes of text"))));
    CHECK(tried(refused(files.world.ask(files.asked("GET", at, files.authorized("GET", at, "bytes=0-19") + "Range: bytes=0-19\r\n")))));
  }
  for (const char* method : {"DELETE", "POST", "HEAD", "PATCH", "OPTIONS"})
    CHECK(tried(files.world.ask(files.asked(method, files.path(), files.authorized(method, files.path(), "bytes=0-19") + "Range: bytes=0-19\r\n")) == 405));
}

TEST_CASE("a part that is not what its head says is not kept", "[attack]") {
  FilesWorld files;
  const std::string body = "twenty bytes of text";
  for (const std::string range :
       {"", "bytes", "bytes 0-19", "bytes */20", "bytes 0-19/*", "bytes 5-4/20", "bytes 0-20/20", "bytes -1-18/20", "bytes +0-19/20",
        "bytes 0-19/20, 20-39/40", "bytes=0-19/20", "bytes 0x0-19/20", "bytes 0 -19/20", "bytes 0-99999999999999999999/20",
        "bytes 99999999999999999999-19/20", "bytes 0-19/99999999999999999999", "lines 0-19/20", "bytes 0-18446744073709551615/20",
        "bytes 20-39/40", "bytes 19-38/20"}) {
    CAPTURE(range);
    CHECK(tried(refused(files.put(files.path(), range, body))));
  }
  CHECK(tried(files.put(files.path(), "bytes 1-19/20", body.substr(1)) == 400));   // Behind what is there.
  CHECK(tried(files.put(files.path(), "bytes 0-18/20", body) == 413));             // More than it says,
  CHECK(tried(files.put(files.path(), "bytes 0-19/20", body.substr(1)) == 400));   // or less,
  CHECK(tried(files.put(files.path(), "bytes 0-19/20", {}) == 400));
  const auto in_one_chunk = [&](const std::string& content, const char* size) {
    const std::string fields = files.authorized("PUT", files.path(), "bytes 0-19/20", content) +
                               "Content-Type: application/octet-stream\r\nContent-Range: bytes 0-19/20\r\nTransfer-Encoding: chunked\r\n";
    return files.world.ask(files.asked("PUT", files.path(), fields, std::string(size) + "\r\n" + content + "\r\n0\r\n\r\n"));
  };
  CHECK(tried(in_one_chunk(body + "x", "15") == 413));  // also in chunks.
  CHECK(tried(in_one_chunk(body.substr(1), "13") == 400));
  CHECK(tried(files.put(files.path(), "bytes 0-19/20", "twenty bytes of tex!") == 400));  // Another file.
  for (const std::string type : {"Content-Type: application/x-protobuf\r\n", "Content-Type: text/html\r\n", ""})
    CHECK(tried(files.world.ask(files.asked("PUT", files.path(), files.authorized("PUT", files.path(), "bytes 0-19/20", body) + type + "Content-Range: bytes 0-19/20\r\n", body)) == 415));
  // A body that never comes whole ends its own connection.
  RawPeer peer(files.world.hub.port());
  REQUIRE(peer.is_open());
  peer.send("PUT " + files.path() + " HTTP/1.1\r\nHost: hub\r\n" + files.authorized("PUT", files.path(), "bytes 0-19/20", body) +
            "Content-Type: application/octet-stream\r\nContent-Range: bytes 0-19/20\r\nContent-Length: 20\r\n\r\ntwenty");
  CHECK(tried(peer.hear(30'000).empty() && peer.was_closed()));
}

TEST_CASE("what is not there, or not whole, is not read", "[attack]") {
  FilesWorld files;
  const auto get = [&](const std::string& range) {
    return files.world.ask(files.asked("GET", files.path(), files.authorized("GET", files.path(), range) + (range.empty() ? "" : "Range: " + range + "\r\n")));
  };
  CHECK(tried(get("bytes=0-19") == 404));
  for (const std::string range : {"", "bytes=0-", "bytes=-5", "bytes=5-4", "bytes=0-1,3-4", "bytes 0-19", "bytes=0-99999999999999999999",
                                  "bytes=0-18446744073709551615", "bytes=0-67108864", "bytes=a-b"}) {
    CAPTURE(range);
    CHECK(tried(get(range) == 400));
  }
  // Half of it.
  const FileRoute route = files.tablet.route();
  must(route.put(files.path(), 0, 20, "twenty byt"));
  CHECK(tried(get("bytes=0-9") == 404));
  // The wrong end takes what was there along, so that the world ends as it began.
  CHECK(tried(files.put(files.path(), "bytes 10-19/20", "xxxxxxxxxx") == 400));

  proto::BlobsRequest request;
  request.set_protocol(1);
  for (int i = 0; i < 1025; ++i) request.add_sha256(Bytes(32, 'h'));
  const auto ask = [&](const Bytes& body) { return files.world.ask(files.world.request("/v1/blobs", body, &files.world.thief->session())); };
  CHECK(tried(ask(request.SerializeAsString()) == 413));
  request.clear_sha256();
  for (const std::size_t size : {0u, 31u, 33u, 4000u}) {
    request.add_sha256(Bytes(size, 'h'));
    CHECK(tried(ask(request.SerializeAsString()) == 400));
    request.clear_sha256();
  }
  request.set_protocol(2);
  CHECK(tried(ask(request.SerializeAsString()) == 400));
  CHECK(tried(ask(Bytes(200, '\xff')) == 400));
}
