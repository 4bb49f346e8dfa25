#include "proving_world.h"

#include <proving.pb.h>
#include <records.pb.h>

#include <algorithm>
#include <catch2/catch.hpp>

#include "hub_records.h"
#include "model/kinds.h"
#include "people.h"
#include "replica/at_hub.h"
#include "replica/author.h"
#include "store/store.h"

namespace wrackline {
namespace {

RunningHub::Options guarded() {
  RunningHub::Options options = AttackWorld::quick();
  options.proof_required = true;
  return options;
}

void put(RecordId id, proto::RecordRef& out) {
  out.set_log(id.log.value);
  out.set_seq(id.seq);
}

}  // namespace

ProvingWorld::ProvingWorld() : AttackWorld(guarded()) {
  {
    auto records = must(HubRecords::open(hub.directory, "setting the stage"));
    Store& store = records.replica->store();
    home = store.logs().id_of(must(store.records().find(0, Kind::kFacility, 0, 0)).front());
    ada = must(find_admin(*records.replica, "Ada", "looking"));
    must(set_pin_at_machine(*records.replica, ada, kPin, "her first"));
    const auto person = [&](const std::string& name, std::vector<proto::Role> roles) {
      proto::Person made;
      made.set_name(name);
      for (const proto::Role role : roles) made.add_roles(role);
      const RecordId id = must(records.replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kPerson), made.SerializeAsString()}})).front();
      must(set_pin_at_machine(*records.replica, id, kKnownPin, "a first one"));
      return id;
    };
    otto = person("Otto", {proto::ROLE_OFFICER, proto::ROLE_CURATOR});
    vera = person("Vera", {proto::ROLE_VET});
    kim = person("Kim", {proto::ROLE_KEEPER});
  }
  must(keeper->exchange());
  must(thief->exchange());
  secrets.push_back(kPin);
  secrets.push_back(kKnownPin);
  before_ = authority_in(keeper->replica());
}

ProvingWorld::~ProvingWorld() { rebase(); }

void ProvingWorld::rebase() {
  must(keeper->exchange());
  digest_before = keeper->hub_digest();
  changes_before = hub_changes();
}

std::vector<std::string> ProvingWorld::authority_in(Replica& replica) {
  Store& store = replica.store();
  must(store.refresh());
  std::vector<std::string> out;
  for (const Kind kind : {Kind::kFacility, Kind::kPerson, Kind::kDevice, Kind::kSiteLimit}) {
    for (const Place place : must(store.records().find(0, kind, 0, 0))) {
      const auto state = must(store.records().load(place));
      if (state) out.push_back(std::to_string(static_cast<int>(kind)) + " " + to_text(store.logs().id_of(place)) + " " + to_hex(state->fields));
    }
  }
  std::sort(out.begin(), out.end());
  return out;
}

bool ProvingWorld::is_unchanged() {
  for (int round = 0; round < 2; ++round) {
    (void)thief->exchange();  // It may have been refused as a whole.
    must(keeper->exchange());
  }
  auto records = must(HubRecords::open(hub.directory, "looking"));
  const bool is_at_thief = authority_in(thief->replica()) == before_;
  return authority_in(*records.replica) == before_ && authority_in(keeper->replica()) == before_ && is_at_thief;
}

Result<Bytes> ProvingWorld::prove(TestDevice& device, RecordId person, const std::string& pin) {
  proto::PresenceRequest request;
  put(person, *request.mutable_person());
  request.set_pin(pin);
  return device.post("/v1/presence", request.SerializeAsString());
}

Result<Bytes> ProvingWorld::choose_pin(TestDevice& device, RecordId person, const std::string& secret, const std::string& pin) {
  proto::ChoosePinRequest request;
  put(person, *request.mutable_person());
  request.set_secret(secret);
  request.set_new_pin(pin);
  return device.post("/v1/pin", request.SerializeAsString());
}

Result<Bytes> ProvingWorld::act(TestDevice& device, RecordId person, const std::string& pin, const Bytes& call) {
  proto::ActRequest request;
  put(person, *request.mutable_person());
  request.set_pin(pin);
  request.set_call(call);
  return device.post("/v1/act", request.SerializeAsString());
}

RecordId ProvingWorld::device_of(TestDevice& device) { return must(keeper->replica().devices().find(device.key().public_key())).record; }

}  // namespace wrackline
