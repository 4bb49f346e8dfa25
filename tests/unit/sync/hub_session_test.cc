// Goal: an app gets a header for each request to the hub, which names that request and no other, and which nobody but its device makes.
// Method: the public call on a device and on the hub.
#include <call.pb.h>

#include <catch2/catch.hpp>
#include <set>

#include "call/dispatch.h"
#include "support/facility.h"
#include "sync/hub_session.h"

using namespace wrackline;

namespace {

proto::Call authorize_call(const std::string& token, const Bytes& body) {
  proto::Call call;
  proto::AuthorizeCall& asked = *call.mutable_authorize();
  asked.set_token(token);
  asked.set_method("POST");
  asked.set_path("/v1/exchange");
  asked.set_body_sha256(Bytes(view(sha256(body))));
  return call;
}

proto::Reply answer(Replica& replica, const proto::Call& call, CallScope scope = CallScope::kAll) {
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(dispatch(replica, call.SerializeAsString(), scope)));
  return reply;
}

}  // namespace

TEST_CASE("each header that an app gets has another number and is signed by its device", "[session]") {
  Facility facility;
  Replica& tablet = *facility.add_device("tablet").replica;
  const std::string token(64, 'a');
  std::set<std::uint64_t> numbers;
  for (int i = 0; i < 20; ++i) {
    const proto::Reply reply = answer(tablet, authorize_call(token, "body"));
    REQUIRE(reply.has_authorize());
    const auto read = read_authorization(reply.authorize().header());
    REQUIRE(read);
    CHECK(read->token == token);
    CHECK(read->body == sha256("body"));
    CHECK(numbers.insert(read->number).second);
    const Bytes text = request_text(tablet.membership().facility, token, read->number, {"POST", "/v1/exchange"}, read->body);
    CHECK(verify_signature(tablet.author().key(), text, read->signature));
  }
}

TEST_CASE("a request header needs a hash of 32 bytes, and a hub makes none over the network", "[session]") {
  Facility facility;
  Replica& tablet = *facility.add_device("tablet").replica;
  proto::Call call = authorize_call(std::string(64, 'a'), "body");
  CHECK(answer(tablet, call, CallScope::kReadOnly).failure().code() == static_cast<std::uint32_t>(ErrorCode::kUnauthorized));
  for (const std::size_t size : {0, 31, 33}) {
    call.mutable_authorize()->set_body_sha256(Bytes(size, 'x'));
    CHECK(answer(tablet, call).failure().code() == static_cast<std::uint32_t>(ErrorCode::kInvalid));
  }
}

TEST_CASE("the texts of two requests that differ in anything are different", "[session]") {
  const FacilityId facility{1};
  const Hash body = sha256("body");
  std::set<Bytes> texts;
  int count = 0;
  const auto add = [&](ByteView token, std::uint64_t number, const RequestHead& head, const Hash& hash) {
    texts.insert(request_text(facility, token, number, head, hash));
    ++count;
  };
  for (const char* method : {"POST", "GET", "PUT"})
    for (const char* path : {"/v1/blob/a", "/v1/blob/", "/v1/blob/ab"})
      for (const char* range : {"", "bytes=0-1", "b", "ab"})
        for (const std::uint64_t number : {1, 2, 256})
          for (const char* token : {"a", "b"}) add(token, number, {method, path, range}, body);
  add("a", 1, {"POST", "/v1/blob/a"}, sha256("other"));
  CHECK(texts.size() == static_cast<std::size_t>(count));
}
