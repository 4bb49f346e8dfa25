// Goal: an exchange costs its receiver no more than a multiple of its size, before any seal is looked at. Method: requests made by hand, sealed by an enrolled device's key, and counted refusals.
#include <exchange.pb.h>

#include "log/columns.h"
#include "support/hostile_columns.h"
#include "support/made_log.h"
#include "support/shift.h"
#include "sync/exchange.h"

using namespace wrackline;

namespace {

struct World : TwoKeepers {
  proto::ExchangeRequest empty_request() {
    proto::ExchangeRequest request;
    request.set_protocol(kProtocol);
    request.set_facility(Bytes(view(north.replica->store().facility())));
    return request;
  }
  Result<Bytes> send(const Bytes& request) { return facility.hub().replica->answer_exchange(request, north.keystore->public_key()); }
  proto::ExchangeReply answer(const proto::ExchangeRequest& request) {
    proto::ExchangeReply reply;
    REQUIRE(reply.ParseFromString(must(send(request.SerializeAsString()))));
    return reply;
  }
  proto::Segment& add_segment(proto::ExchangeRequest& request, std::uint64_t number, std::size_t count, const Bytes& body) {
    const MadeLog log = made_log(north.replica->store().facility(), north.keystore->public_key(), number);
    proto::Segment& out = *request.add_segments();
    out.set_log(log.id.value);
    out.set_first_seq(1);
    out.set_count(static_cast<std::uint32_t>(count));
    out.set_codec(1);
    out.set_body(body);
    out.set_seeds(Bytes(16, 's'));
    *out.mutable_opening() = made_opening(log.opening);
    *out.mutable_sealing() = made_sealing(log, *north.keystore);
    return out;
  }
};

std::size_t count_of(const proto::ExchangeReply& reply, ErrorCode code) {
  std::size_t count = 0;
  for (const proto::Refusal& refusal : reply.refusals()) count += refusal.code() == static_cast<std::uint32_t>(code) ? 1 : 0;
  return count;
}

}  // namespace

TEST_CASE("many small runs that claim as much as a run may hold are not unpacked", "[sync]") {
  World world;
  proto::ExchangeRequest request = world.empty_request();
  const Bytes body = hostile_run(1, 127, 4'096);
  std::size_t segments = 0;
  for (; request.ByteSizeLong() < 43'000; ++segments) world.add_segment(request, 0x7100 + segments, 4'096, body);
  REQUIRE(segments > 100);
  const proto::ExchangeReply reply = world.answer(request);
  REQUIRE(static_cast<std::size_t>(reply.refusals_size()) == segments);
  CHECK(count_of(reply, ErrorCode::kTooLarge) == segments);
}

TEST_CASE("a frame that claims much and is damaged at its end is not unpacked again and again", "[sync]") {
  World world;
  proto::ExchangeRequest request = world.empty_request();
  Bytes body = compress(Bytes(kColumnsBytesMax, '\0'));
  body.back() = static_cast<char>(body.back() ^ 0x55);
  for (std::size_t i = 0; i < 100; ++i) world.add_segment(request, 0x7200 + i, 1, body);
  const proto::ExchangeReply reply = world.answer(request);
  REQUIRE(reply.refusals_size() == 100);
  CHECK(count_of(reply, ErrorCode::kTooLarge) == 100);
}

TEST_CASE("a message of more parts than its size has room for is not read, one of real entries is", "[sync]") {
  World world;
  const Bytes head = world.empty_request().SerializeAsString();
  Bytes segments = head, entries = head, nothing;
  for (int i = 0; i < 200'000; ++i) segments += Bytes("\x22\x00", 2);  // Field 4, empty.
  for (int i = 0; i < 200'000; ++i) nothing += Bytes("\x0a\x00", 2);
  append_bytes_field(entries, 3, nothing);
  CHECK(code_of(world.send(segments)) == ErrorCode::kTooLarge);
  CHECK(code_of(world.send(entries)) == ErrorCode::kTooLarge);
  proto::ExchangeRequest genuine = world.empty_request();
  for (std::uint64_t i = 1; i <= 10'000; ++i) {
    proto::VectorEntry& entry = *genuine.mutable_vector()->add_entries();
    entry.set_log(i);
    entry.set_seq(1);
    entry.set_head(i);
  }
  CHECK(code_of(world.send(genuine.SerializeAsString())) == ErrorCode::kOk);
}

TEST_CASE("after very many refusals the rest of a message is left for the next", "[sync]") {
  World world;
  proto::ExchangeRequest request = world.empty_request();
  for (std::uint64_t i = 1; i <= 3'000; ++i) {
    world.add_segment(request, 0x740000 + i, 1, "x").set_codec(0);
  }
  CHECK(world.answer(request).refusals_size() <= 1024);
}
