// Goal: a hub's directory is made whole or not at all, and never over anything. Method: make it, look, and
// make it again where it cannot be.
#include "init.h"

#include <sys/stat.h>

#include <catch2/catch.hpp>

#include "certificate.h"
#include "hosts/file_keystore.h"
#include "hosts/system_clock.h"
#include "hub.h"
#include "replica/replica.h"
#include "scratch.h"

using namespace wrackline;

namespace {

InitOptions options_for(const std::string& path) {
  InitOptions options;
  options.directory.path = path;
  options.facility_name = "Test Pier";
  options.time_zone = "Europe/Oslo";
  options.hosts = {"hub.test"};
  options.admin_name = "Ada";
  return options;
}

std::size_t entries_beside(const std::string& path) {
  std::size_t count = 0;
  for (const auto& entry : std::filesystem::directory_iterator(std::filesystem::path(path).parent_path())) {
    static_cast<void>(entry);
    ++count;
  }
  return count;
}

}  // namespace

TEST_CASE("a new hub has its records, key and certificate, for its owner alone", "[init]") {
  Scratch scratch;
  const InitOptions options = options_for(scratch / "hub");
  const InitOutcome outcome = must(init(options));
  const HubDirectory& directory = options.directory;
  struct stat about {};
  REQUIRE(::stat(directory.path.c_str(), &about) == 0);
  CHECK((about.st_mode & 0777) == 0700);
  for (const std::string& path : {directory.key(), directory.certificate_key()}) {
    REQUIRE(::stat(path.c_str(), &about) == 0);
    CHECK((about.st_mode & 0777) == 0600);
  }
  CHECK(must(check_pair(content_of(directory.certificate()), content_of(directory.certificate_key())))
            .fingerprint == outcome.certificate_fingerprint);
  const auto keystore = must(FileKeystore::open(directory.key()));
  const auto replica = must(Replica::open({directory.records(), keystore.get(), wall_clock_ms}));
  CHECK(replica->is_hub());
  CHECK(to_hex(view(replica->membership().facility)) == outcome.facility_id);
  CHECK(must(replica->device_standing(keystore->public_key())) == DeviceStanding::kEnrolled);
  CHECK(must(facility_name_of(*replica)) == "Test Pier");
}

TEST_CASE("a hub is made in an empty directory, and never over another", "[init]") {
  Scratch scratch;
  const InitOptions options = options_for(scratch / "hub");
  std::filesystem::create_directory(options.directory.path);
  must(init(options));
  const std::string key = content_of(options.directory.key());
  const auto again = init(options);
  REQUIRE_FALSE(again);
  CHECK(again.error().code == ErrorCode::kInvalid);
  CHECK(content_of(options.directory.key()) == key);
  InitOptions over_file = options_for(scratch / "file");
  std::ofstream(scratch / "file") << "mine";
  CHECK_FALSE(init(over_file));
  CHECK(content_of(scratch / "file") == "mine");
}

TEST_CASE("what cannot be a hub leaves nothing behind", "[init]") {
  Scratch scratch;
  InitOptions options = options_for(scratch / "hub");
  SECTION("no name") { options.facility_name = " "; }
  SECTION("no admin") { options.admin_name = ""; }
  SECTION("no such zone") { options.time_zone = "Europe/Nowhere"; }
  SECTION("a zone outside the zones") { options.time_zone = "../../etc/passwd"; }
  SECTION("no host's name") { options.hosts = {"hub.test", "a b"}; }
  SECTION("a certificate without its key") { options.certificate_path = "cert.pem"; }
  SECTION("a certificate that is not there") {
    options.certificate_path = scratch / "no.pem";
    options.certificate_key_path = scratch / "no.key";
  }
  CHECK_FALSE(init(options));
  CHECK_FALSE(std::filesystem::exists(options.directory.path));
  CHECK(entries_beside(options.directory.path) == 0);
}
