// Goal: several hubs behind one shared log are one hub: nothing answered for is lost or taken in twice, whichever of them a
// device speaks to and whatever fails between; all of them come to the same. Method: real databases, a log in memory
// that fails, loses answers and forgets its end.
#include <filesystem>

#include "support/memory_shared_log.h"
#include "support/random.h"
#include "support/shift.h"
#include "support/sound.h"

using namespace wrackline;
using Fault = MemorySharedLog::Fault;

namespace {

struct Hub {
  std::string path;
  std::unique_ptr<MemorySharedLog> log;
  std::unique_ptr<Replica> replica;
};

// The facility's hub and others made from copies of its database under the same key, as `restore` makes them.
class Hubs {
 public:
  explicit Hubs(std::size_t count, std::uint64_t seed = 1) : facility(seed) {
    for (int i = 0; i < 3; ++i) facility.add_device("tablet " + std::to_string(i));
    facility.hub().replica.reset();
    const std::string first = facility.hub().path;
    for (std::size_t i = 0; i < count; ++i) {
      Hub hub{i == 0 ? first : first + std::to_string(i), std::make_unique<MemorySharedLog>(shared), nullptr};
      if (i > 0) std::filesystem::copy_file(first, hub.path);
      hubs.push_back(std::move(hub));
      if (i > 0) must(open_alone(hubs.back())->author().leave_logs());
    }
    for (Hub& hub : hubs) open(hub);
  }

  void open(Hub& hub) {
    hub.replica.reset();
    hub.replica = open_alone(hub);
    hub.replica->follow(*hub.log);
    must(hub.replica->catch_up());
  }

  // Answers as a hub process does: again when another was first.
  Result<Bytes> answer(Hub& hub, ByteView request, const PublicKey& device) {
    for (int tries = 0; tries < 4; ++tries) {
      WRACKLINE_TRY(hub.replica->catch_up());
      auto answer = hub.replica->answer_exchange(request, device);
      if (answer || !hub.replica->was_overtaken()) return answer;
    }
    return fail(ErrorCode::kBusy, "it was overtaken again and again");
  }

  Status exchange(Device& device, Hub& hub) {
    Bytes reply;
    for (int round = 0; round < 100; ++round) {
      WRACKLINE_TRY_VALUE(request, device.replica->exchange(reply));
      if (request.empty()) return {};
      WRACKLINE_TRY_VALUE(said, answer(hub, request, device.keystore->public_key()));
      reply = said;
    }
    return fail(ErrorCode::kInternal, "the exchange does not end");
  }

  std::string state(Hub& hub) { return to_hex(view(must(hub.replica->store().records().state_digest()).sha256)); }

  // Until everybody has met every hub, and all hubs have read everything.
  void settle() {
    for (int round = 0; round < 2; ++round) {
      for (Hub& hub : hubs) {
        must(hub.replica->catch_up());
        for (auto& device : facility.devices()) must(exchange(*device, hub));
      }
    }
    for (Hub& hub : hubs) must(hub.replica->catch_up());
  }

  void check_all_equal() {
    for (Hub& hub : hubs) {
      CHECK(state(hub) == state(hubs.front()));
      CHECK(find_unsound(*hub.replica) == "");
    }
    for (auto& device : facility.devices()) CHECK(state_of(*device) == state(hubs.front()));
  }

  Device& tablet(std::size_t i) { return *facility.devices()[i]; }

  // The first hub takes in an animal from the first tablet, and hears no answer to its append.
  void append_unheard() {
    settle();
    Shift(tablet(0), facility.keeper()).animal("Nereid");
    hubs[0].log->next_append = Fault::kKeptUnheard;
    CHECK(code_of(exchange(tablet(0), hubs[0])) == ErrorCode::kTransport);
  }

  std::shared_ptr<SharedBatches> shared = std::make_shared<SharedBatches>();
  Facility facility;
  std::vector<Hub> hubs;

 private:
  Replica::Options options_of(Hub& hub) {
    auto clock = facility.hub().clock;
    return {hub.path, facility.hub().keystore.get(), [clock] { return *clock; }};
  }
  std::unique_ptr<Replica> open_alone(Hub& hub) { return must(Replica::open(options_of(hub))); }
};

}  // namespace

TEST_CASE("what one hub took in, a device gets from another") {
  Hubs all(2);
  must(all.exchange(all.tablet(0), all.hubs[0]));
  must(all.exchange(all.tablet(1), all.hubs[0]));
  Shift(all.tablet(0), all.facility.keeper()).animal("Nereid");
  must(all.exchange(all.tablet(0), all.hubs[0]));
  must(all.exchange(all.tablet(1), all.hubs[1]));
  CHECK(state_of(all.tablet(1)) == state_of(all.tablet(0)));
  // Receipts too: the other hub has nothing to say that the first has not said.
  const std::size_t batches = all.shared->batches.size();
  must(all.exchange(all.tablet(0), all.hubs[1]));
  CHECK(all.shared->batches.size() == batches);
  all.settle();
  all.check_all_equal();
}

TEST_CASE("a hub that did business alone gives an empty log all it has") {
  Hubs all(1);
  CHECK(all.shared->batches.size() >= 1);
  Hub second{all.hubs[0].path + "-second", std::make_unique<MemorySharedLog>(all.shared), nullptr};
  // A database of the same facility that has none of it, but its place in the log's sequence.
  all.hubs[0].replica.reset();
  std::filesystem::copy_file(all.hubs[0].path, second.path);
  all.open(all.hubs[0]);
  all.open(second);
  CHECK(all.state(second) == all.state(all.hubs[0]));
}

TEST_CASE("what a backup held unsealed leaves a hub that was made from it") {
  // The facility's own first records are not sealed when the copies are made; the first hub seals and continues them.
  Hubs all(2);
  must(all.exchange(all.tablet(0), all.hubs[0]));
  must(all.exchange(all.tablet(1), all.hubs[1]));
  CHECK(state_of(all.tablet(1)) == all.state(all.hubs[1]));
}

TEST_CASE("a device enrolled at one hub is known at the others, and never twice") {
  Hubs all(2);
  SeededKeystore fresh(77);
  // The second hub admits it between the first's decision and its commit.
  all.hubs[0].log->before_append = [&] {
    must(all.hubs[1].replica->catch_up());
    must(all.hubs[1].replica->admit_device("new", fresh.public_key()));
  };
  CHECK_FALSE(all.hubs[0].replica->admit_device("new", fresh.public_key()).has_value());
  CHECK(all.hubs[0].replica->was_overtaken());
  must(all.hubs[0].replica->catch_up());
  CHECK(must(all.hubs[0].replica->device_standing(fresh.public_key())) == DeviceStanding::kEnrolled);
  CHECK(code_of(all.hubs[0].replica->admit_device("new", fresh.public_key())) == ErrorCode::kInvalid);
  all.settle();
  all.check_all_equal();
}

TEST_CASE("both hubs let the same branch of a log that was continued twice keep its id") {
  Hubs all(2);
  all.settle();
  Device& tablet = all.tablet(0);
  Shift(tablet, all.facility.keeper()).animal("Nereid");
  tablet.replica.reset();
  Device clone;
  clone.name = "clone";
  clone.path = tablet.path + "-clone";
  std::filesystem::copy_file(tablet.path, clone.path);
  clone.keystore = std::make_unique<SeededKeystore>(1001);
  clone.clock = tablet.clock;
  clone.reopen();
  tablet.reopen();
  Shift(tablet, all.facility.keeper()).animal("Thetis");
  Shift(clone, all.facility.keeper()).animal("Galene");
  // Both at once, each at another hub: the second hub's take-in comes between the first's look and its commit.
  all.hubs[0].log->before_append = [&] { must(all.exchange(clone, all.hubs[1])); };
  must(all.exchange(tablet, all.hubs[0]));
  must(all.exchange(clone, all.hubs[1]));
  all.settle();
  must(all.exchange(clone, all.hubs[0]));
  all.settle();
  all.check_all_equal();
  CHECK(state_of(clone) == all.state(all.hubs[0]));
  std::size_t branches = 0;
  for (const auto& [id, log] : all.hubs[0].replica->store().logs().all()) branches += log.branch ? 1 : 0;
  CHECK(branches == 1);
}

TEST_CASE("an append whose answer was lost is read back, not made twice") {
  Hubs all(2);
  all.append_unheard();
  must(all.exchange(all.tablet(0), all.hubs[0]));
  all.settle();
  all.check_all_equal();
}

TEST_CASE("an append unheard, read by another hub and forgotten by the log is not made differently") {
  const bool dies = GENERATE(false, true);
  Hubs all(2);
  all.append_unheard();
  must(all.hubs[1].replica->catch_up());
  all.shared->forget(1);
  if (dies) all.open(all.hubs[0]);
  // Without catching up first it writes nothing.
  if (!dies) {
    CHECK(code_of(all.hubs[0].replica->admit_device("new", SeededKeystore(77).public_key())) == ErrorCode::kBusy);
    CHECK(all.hubs[0].replica->was_overtaken());
  }
  must(all.exchange(all.tablet(0), all.hubs[0]));
  all.settle();
  all.check_all_equal();
}

TEST_CASE("a log that cannot be reached takes nothing in and leaves the hub as it was") {
  Hubs all(1);
  all.settle();
  const std::string before = all.state(all.hubs[0]);
  Shift(all.tablet(0), all.facility.keeper()).animal("Nereid");
  all.hubs[0].log->next_append = Fault::kUnreachable;
  CHECK(code_of(all.exchange(all.tablet(0), all.hubs[0])) == ErrorCode::kTransport);
  must(all.hubs[0].replica->store().refresh());
  CHECK(all.state(all.hubs[0]) == before);
  all.settle();
  all.check_all_equal();
}

TEST_CASE("a log that was put back gets what it lost from the hubs") {
  Hubs all(2);
  all.settle();
  Shift(all.tablet(0), all.facility.keeper()).animal("Nereid");
  must(all.exchange(all.tablet(0), all.hubs[0]));
  Shift(all.tablet(0), all.facility.keeper()).animal("Thetis");
  must(all.exchange(all.tablet(0), all.hubs[0]));
  all.shared->forget(2);
  // The other hub goes on before the first has noticed.
  Shift(all.tablet(1), all.facility.keeper()).animal("Galene");
  must(all.exchange(all.tablet(1), all.hubs[1]));
  must(all.hubs[0].replica->catch_up());
  CHECK(all.hubs[0].replica->was_shared_log_put_back_since_asked());
  CHECK_FALSE(all.hubs[0].replica->was_shared_log_put_back_since_asked());
  must(all.hubs[1].replica->catch_up());
  CHECK(all.state(all.hubs[0]) == all.state(all.hubs[1]));
  all.settle();
  all.check_all_equal();
}

TEST_CASE("a batch that is none stops the hub that reads it and changes nothing") {
  Hubs all(2);
  all.settle();
  const std::string before = all.state(all.hubs[0]);
  all.shared->batches.push_back("no batch");
  CHECK(code_of(all.hubs[0].replica->catch_up()) == ErrorCode::kFork);
  CHECK(all.state(all.hubs[0]) == before);
}

TEST_CASE("LAW: hubs that race, fail and forget agree in the end, and lose nothing acknowledged") {
  Random random = test_random("several hubs");
  for (int run = 0; run < 25; ++run) {
    Hubs all(2 + random.below(2), 1 + random.below(1000));
    all.settle();
    const auto any_hub = [&]() -> Hub& { return all.hubs[random.below(all.hubs.size())]; };
    int number = 0;
    for (int step = 0; step < 40; ++step) {
      Hub& hub = any_hub();
      const std::size_t which = random.below(3);
      switch (random.below(8)) {
        case 0:
          hub.log->next_append = random.once_in(2) ? Fault::kUnreachable : Fault::kKeptUnheard;
          break;
        case 1:
          hub.log->next_append = Fault::kNone;
          hub.log->before_append = {};
          all.open(hub);
          break;
        case 2:
          if (all.hubs.size() > 1) hub.log->before_append = [&all, &random, &hub] {
            Hub& other = all.hubs[random.below(all.hubs.size())];
            if (&other != &hub) (void)all.exchange(all.tablet(0), other);
          };
          break;
        case 3:
          if (random.once_in(3)) all.shared->forget(1 + random.below(3));
          break;
        case 4:
          (void)hub.replica->admit_device("extra", SeededKeystore(5000 + random.below(4)).public_key());
          break;
        default:
          // One device talks to one hub at a time; the first also speaks within others' commits.
          Shift(all.tablet(which), all.facility.keeper()).animal("Animal " + std::to_string(++number));
          if (which != 0) (void)all.exchange(all.tablet(which), hub);
      }
    }
    for (Hub& hub : all.hubs) {
      hub.log->next_append = Fault::kNone;
      hub.log->before_append = {};
    }
    all.settle();
    INFO("run " << run);
    all.check_all_equal();
    proto::Call call;
    call.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kAnimal));
    call.mutable_list()->set_limit(1000);
    proto::Reply reply;
    REQUIRE(reply.ParseFromString(dispatch(*all.hubs.front().replica, call.SerializeAsString())));
    CHECK(reply.list().records_size() == number);
  }
}
