#include "test_device.h"

#include <call.pb.h>
#include <records.pb.h>

#include "call/dispatch.h"
#include "hosts/system_clock.h"
#include "model/kinds.h"
#include "replica/author.h"
#include "store/store.h"
#include "sync/exchange.h"

namespace wrackline {

TestDevice::TestDevice(RunningHub& hub, std::string name, std::int64_t clock_ahead_ms)
    : TestDevice(hub.scratch, hub.client_options(), hub.new_code(), std::move(name), clock_ahead_ms) {}

TestDevice::TestDevice(const Scratch& folder, HubClient::Options hub, const std::string& code, std::string name,
                       std::int64_t clock_ahead_ms)
    : name_(std::move(name)), clock_([clock_ahead_ms] {
        return static_cast<WallMs>(static_cast<std::int64_t>(wall_clock_ms()) + clock_ahead_ms);
      }) {
  go_to(std::move(hub));
  key_ = must(FileKeystore::create(folder / (name_ + ".key")));
  enrolment_ = must(enrol(*client_, code, *key_, name_));
  replica_ = must(Replica::create({folder / (name_ + ".db"), key_.get(), clock_},
                                  {enrolment_.facility, enrolment_.hub_key, name_}));
  must(exchange());
}

void TestDevice::go_to(HubClient::Options hub) {
  hub.wall_clock = clock_;
  client_ = must(HubClient::create(std::move(hub)));
  session_ = {};
}

Status TestDevice::exchange() {
  WRACKLINE_TRY_VALUE(request, replica_->exchange({}));
  for (int rounds = 0; !request.empty(); ++rounds) {
    if (rounds > 200) return fail(ErrorCode::kInternal, "the exchange does not end");
    auto answer = client_->post("/v1/exchange", request, &session_);
    if (!answer && answer.error().code == ErrorCode::kUnauthorized) {
      WRACKLINE_TRY_VALUE(session, open_session(*client_, enrolment_.facility, *key_));
      session_ = std::move(session);
      answer = client_->post("/v1/exchange", request, &session_);
    }
    if (!answer) return fail(answer.error());
    WRACKLINE_TRY_VALUE(next, replica_->exchange(*answer));
    request = std::move(next);
  }
  refusals_.clear();
  for (const RefusedLog& refused : replica_->last_exchange()->refused()) refusals_.push_back(refused.error);
  return {};
}

RecordId TestDevice::find_admin() {
  proto::Call call;
  call.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kPerson));
  proto::Reply reply;
  do {
    REQUIRE(reply.ParseFromString(dispatch(*replica_, call.SerializeAsString())));
    for (const auto& view : reply.list().records()) {
      proto::Person person;
      if (person.ParseFromString(view.fields()) && person.name() == "Ada")
        return {LogId{view.record().log()}, view.record().seq()};
    }
    if (reply.list().more()) *call.mutable_list()->mutable_after() = reply.list().records().rbegin()->record();
  } while (reply.list().more());
  FAIL("the admin is not here");
  return {};
}

void TestDevice::log_people(int count) {
  if (!admin_) admin_ = find_admin();
  std::vector<NewRecord> records;
  for (int i = 0; i < count; ++i) {
    proto::Person person;
    person.set_name("Keeper " + std::to_string(++logged_) + " of " + name_);
    person.add_roles(proto::ROLE_KEEPER);
    records.push_back({static_cast<std::uint32_t>(Kind::kPerson), person.SerializeAsString(), {}, {}});
  }
  must(replica_->author().log_records(admin_, records));
}

std::string TestDevice::digest() {
  return to_hex(view(must(replica_->store().records().state_digest()).sha256));
}

std::string TestDevice::hub_digest() {
  proto::Call call;
  call.mutable_digest();
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(must(post("/v1/query", call.SerializeAsString()))));
  REQUIRE(reply.has_digest());
  return to_hex(reply.digest().sha256());
}

std::uint64_t TestDevice::changes() {
  must(replica_->store().refresh());
  return replica_->store().logs().count();
}

}  // namespace wrackline
