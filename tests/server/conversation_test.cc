// Goal: the client of a native app and the serving hub understand each other over real TLS, and the client
// trusts nobody else. Method: the hub runs in a child process on a free port of the loopback.
#include <exchange.pb.h>

#include <catch2/catch.hpp>
#include <thread>

#include "enrolment_codes.h"
#include "hosts/device_requests.h"
#include "hosts/file_keystore.h"
#include "hosts/private_file.h"
#include "hosts/system_clock.h"
#include "hub.h"
#include "new_certificate.h"
#include "replica/replica.h"
#include "running_hub.h"
#include "serve.h"
#include "store/store.h"
#include "sync/exchange.h"
#include "test_device.h"
#include "tls_authority.h"

using namespace wrackline;

TEST_CASE("a device enrols, opens a session and exchanges over TLS, also across a restart of the hub",
          "[conversation]") {
  RunningHub hub;
  const auto client = must(HubClient::create(hub.client_options()));
  const auto key = must(FileKeystore::create(hub.scratch / "device.key"));
  const std::string code = must(EnrolmentCodes(hub.directory.codes()).make(wall_clock_ms(), 600'000));
  const Enrolment enrolment = must(enrol(*client, code, *key, "Pool tablet"));
  CHECK(enrolment.facility_name == "Test Pier");
  HubSession session = must(open_session(*client, enrolment.facility, *key));

  const auto tablet = must(Replica::create({hub.scratch / "tablet.db", key.get(), wall_clock_ms},
                                           {enrolment.facility, enrolment.hub_key, "Pool tablet"}));
  Bytes request = must(tablet->exchange({}));
  while (!request.empty())
    request = must(tablet->exchange(must(client->post("/v1/exchange", request, &session))));
  CHECK(must(facility_name_of(*tablet)) == "Test Pier");

  CHECK(hub.stop() == 0);
  const auto unreachable = client->post("/v1/exchange", must(tablet->exchange({})), &session);
  REQUIRE_FALSE(unreachable);
  CHECK(unreachable.error().code == ErrorCode::kTransport);

  hub.start();
  // Sessions end with the hub; the kept connection is made anew without a word.
  CHECK(client->post("/v1/exchange", must(tablet->exchange({})), &session).error().code ==
        ErrorCode::kUnauthorized);
  session = must(open_session(*client, enrolment.facility, *key));
  must(client->post("/v1/exchange", must(tablet->exchange({})), &session));
}

TEST_CASE("a device that waits at the hub hears that another has brought something", "[conversation]") {
  RunningHub hub;
  TestDevice north(hub, "north"), south(hub, "south");
  const auto ask = [&] {
    proto::NewsReply reply;
    REQUIRE(reply.ParseFromString(must(north.post("/v1/news", must(news_request(north.replica().store()))))));
    return reply.is_news();
  };
  CHECK(ask());  // South was let in since north's exchange.
  must(north.exchange());
  must(south.exchange());
  must(north.exchange());
  std::thread other([&] {
    south.log_people(1);
    (void)south.exchange();
  });
  CHECK(ask());
  other.join();
  must(north.exchange());
  CHECK(north.digest() == south.digest());
  CHECK(north.post("/v1/news", "\xff\xff").error().code == ErrorCode::kMalformed);
  // A hub that stops lets nobody wait.
  int status = -1;
  std::thread stopper([&] { status = hub.stop(); });
  (void)north.post("/v1/news", must(news_request(north.replica().store())));
  stopper.join();
  CHECK(status == 0);
}

TEST_CASE("errors of the hub arrive as they are", "[conversation]") {
  RunningHub hub;
  const auto client = must(HubClient::create(hub.client_options()));
  const auto key = must(FileKeystore::create(hub.scratch / "device.key"));
  CHECK(enrol(*client, "BCDFG-HJKLM", *key, "Pool tablet").error().code == ErrorCode::kUnauthorized);
  CHECK(open_session(*client, {}, *key).error().code == ErrorCode::kUnknownDevice);
  CHECK(client->post("/v1/exchange", "").error().code == ErrorCode::kUnauthorized);
  CHECK(client->post("/nothing", "").error().code == ErrorCode::kNotFound);
  // Refused by its head, while the body is still on its way.
  CHECK(client->post("/v1/enrol", Bytes(3 << 20, 'x')).error().code == ErrorCode::kTooLarge);
  CHECK(client->post("/v1/enrol", "\xff\xff").error().code == ErrorCode::kMalformed);
}

TEST_CASE("the client trusts the certificate it was given and nothing else", "[conversation]") {
  RunningHub hub;
  HubClient::Options options = hub.client_options();
  const CertificatePair other = must(make_certificate(must(make_tls_authority({"127.0.0.1"}, wall_clock_ms())), {"127.0.0.1"}, wall_clock_ms()));
  must(create_private_file(hub.scratch / "other.pem", other.certificate_pem));
  options.certificate_path = hub.scratch / "other.pem";
  const auto client = must(HubClient::create(options));
  const auto answer = client->post("/v1/session", "");
  REQUIRE_FALSE(answer);
  CHECK(answer.error().code == ErrorCode::kTransport);
  CHECK_THAT(answer.error().message, Catch::Contains("does not show the certificate this device trusts"));
}

TEST_CASE("trust in the hub's authority carries over to its next certificate; trust in one does not",
          "[conversation]") {
  RunningHub hub;
  must(create_private_file(hub.scratch / "first.pem", content_of(hub.directory.certificate())));
  hub.stop();
  CHECK_FALSE(must(new_certificate({hub.directory, {}})).is_new_authority);
  hub.start();
  HubClient::Options options = hub.client_options();
  options.certificate_path = hub.directory.authority();
  CHECK(code_of(must(HubClient::create(options))->post("/nothing", "")) == ErrorCode::kNotFound);
  options.certificate_path = hub.scratch / "first.pem";
  CHECK(code_of(must(HubClient::create(options))->post("/nothing", "")) == ErrorCode::kTransport);
}

TEST_CASE("the client takes the right certificate under another address for a wrong one", "[conversation]") {
  RunningHub::Options elsewhere;
  elsewhere.address = "127.0.0.2";
  RunningHub hub(elsewhere);
  const auto client = must(HubClient::create(hub.client_options()));
  const auto answer = client->post("/v1/session", "");
  REQUIRE_FALSE(answer);
  CHECK(answer.error().code == ErrorCode::kTransport);
  CHECK_THAT(answer.error().message, Catch::Contains("for another name or address"));
}

TEST_CASE("a certificate file that is missing or empty is told at once", "[conversation]") {
  Scratch scratch;
  HubClient::Options options;
  options.hub = {"127.0.0.1", 1};
  options.certificate_path = scratch / "none.pem";
  CHECK(HubClient::create(options).error().code == ErrorCode::kInvalid);
  must(create_private_file(scratch / "none.pem", "nothing"));
  CHECK(HubClient::create(options).error().code == ErrorCode::kInvalid);
}

TEST_CASE("two processes cannot serve one directory", "[conversation]") {
  RunningHub hub;
  ServeOptions second;
  second.directory = hub.directory;
  second.listen = {"127.0.0.1", 0};
  const auto outcome = serve(second);
  REQUIRE_FALSE(outcome);
  CHECK(outcome.error().code == ErrorCode::kBusy);
}
