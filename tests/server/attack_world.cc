#include "attack_world.h"

#include <call.pb.h>

#include <exception>

#include "enrolment_codes.h"

namespace wrackline {

AttackTally& attack_tally() {
  static AttackTally tally;
  return tally;
}

bool tried(bool refused) {
  ++attack_tally().tried;
  if (refused) ++attack_tally().refused;
  return refused;
}

RunningHub::Options AttackWorld::quick() {
  RunningHub::Options options;
  options.limits.connections_per_address_max = 64;
  options.limits.handshake = options.limits.header = options.limits.body_before_session = std::chrono::seconds(20);
  options.limits.body = std::chrono::seconds(4);
  options.limits.write = std::chrono::seconds(4);
  options.limits.idle = std::chrono::seconds(20);
  options.limits.farewell = std::chrono::seconds(1);
  options.limits.of_device = options.limits.of_address = {10'000'000, 1ull << 50, 100'000'000};
  options.limits.of_files = options.limits.of_device;
  return options;
}

AttackWorld::AttackWorld(RunningHub::Options options) : hub(std::move(options)) {
  keeper = std::make_unique<TestDevice>(hub, "keeper");
  thief = std::make_unique<TestDevice>(hub, "thief");
  keeper->log_people(20);
  must(keeper->exchange());
  must(thief->exchange());
  digest_before = keeper->hub_digest();
  changes_before = hub_changes();
  secrets = {keeper->session().token(), thief->session().token(), "PRIVATE KEY"};
  health = std::make_unique<HealthWatch>(hub.port());
}

AttackWorld::~AttackWorld() {
  health.reset();
  if (std::uncaught_exceptions() == 0) check_unchanged();
}

void AttackWorld::check_unchanged() {
  CHECK(hub.is_running());
  const Status exchanged = keeper->exchange();
  CHECK((exchanged ? "" : exchanged.error().message) == "");
  if (!exchanged) return;
  CHECK(keeper->hub_digest() == digest_before);
  CHECK(hub_changes() == changes_before);
  const std::string log = hub.log();
  CHECK(log.find("connection_fault") == std::string::npos);
  for (const std::string& secret : secrets) CHECK(log.find(secret) == std::string::npos);
}

std::string AttackWorld::request(const std::string& path, const std::string& body,
                                 HubSession* session) const {
  std::string out = "POST " + path + " HTTP/1.1\r\nHost: hub\r\nContent-Type: application/x-protobuf\r\n";
  if (session != nullptr) out += "Authorization: " + must(session->authorize({"POST", path}, body)) + "\r\n";
  return out + "Connection: close\r\nContent-Length: " + std::to_string(body.size()) + "\r\n\r\n" + body;
}

int AttackWorld::ask(const std::string& whole_request, const char* address) {
  RawPeer::Options options;
  options.address = address;
  RawPeer peer(hub.port(), options);
  if (!peer.is_open()) return 0;
  peer.send(whole_request);
  peer.half_close();  // So that the hub need not wait for more of what it refuses.
  return status_in(peer.hear(30'000));
}

std::uint64_t AttackWorld::hub_changes() {
  proto::Call call;
  call.mutable_status();
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(must(keeper->post("/v1/query", call.SerializeAsString()))));
  return reply.status().changes();
}

}  // namespace wrackline
