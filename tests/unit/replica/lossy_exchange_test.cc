// Goal: whatever the network does, replicas that have exchanged hold the same and nothing logged is lost; on real files,
// and in WebAssembly too. Method: four replicas and a hub, random work on all of them, a network that loses, repeats and
// delays messages, restarts, wild clocks, bundles; all from one printed seed. At the end a calm exchange, then every
// digest, review queue and acknowledged change is compared. (tests/simulation has the faults of disks, and thousands of
// schedules.)
#include <catch2/catch.hpp>
#include <set>

#include "support/random.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

struct Message {
  Bytes bytes;
  std::size_t device;
};

class LossyWork {
 public:
  LossyWork(Random& random, std::uint64_t seed) : random_(random), facility_(seed) {
    for (int i = 0; i < 4; ++i) facility_.add_device("tablet " + std::to_string(i));
    facility_.exchange_all();
    Shift desk(*facility_.devices()[0], facility_.keeper());
    animals_ = {desk.animal("Nereid"), desk.animal("Thetis")};
    foods_ = {desk.food("herring"), desk.food("squid")};
    order_ = desk.order(animals_[0]);
    facility_.exchange_all();
    acknowledged_ = {animals_[0], animals_[1], foods_[0], foods_[1], order_};
  }

  void step() {
    const std::size_t index = random_.below(4);
    Device& device = *facility_.devices()[index];
    Shift shift(device, facility_.keeper());
    switch (random_.below(12)) {
      case 0: case 1: case 2: {
        const auto [meal, portion] = shift.meal(random_.pick(animals_), random_.pick(foods_),
                                                random_.once_in(2) ? 510 : 960, 1000 * (1 + random_.below(2000)));
        acknowledged_.insert({meal, portion});
        portions_.push_back(portion);
        break;
      }
      case 3: acknowledged_.insert(shift.dose(order_, 480)); break;
      case 4: case 5: {
        if (portions_.empty()) break;
        const RecordId portion = random_.pick(portions_);
        const auto change = shift.try_left(portion, 1000 * random_.below(50), "weighed", random_.once_in(2));
        if (change) acknowledged_.insert(*change);
        break;
      }
      case 6: {
        if (portions_.empty()) break;
        proto::Call call;
        const RecordId portion = random_.pick(portions_);
        call.mutable_strike()->mutable_record()->set_log(portion.log.value);
        call.mutable_strike()->mutable_record()->set_seq(portion.seq);
        call.mutable_strike()->set_reason("not this animal");
        call.mutable_strike()->set_lift(random_.once_in(3));
        call.mutable_strike()->set_settle(random_.once_in(2));
        shift.call(call);
        break;
      }
      case 7:  // A clock between 1970 and 2099.
        *device.clock = random_.once_in(4) ? random_.below(4'070'908'800'000) : *device.clock + random_.below(3'600'000);
        break;
      case 8: device.reopen(); break;
      case 9: lossy_exchange(index); break;
      case 10: deliver_late(); break;
      default: carry_bundle(index, random_.below(4)); break;
    }
  }

  void calm_down_and_check() {
    facility_.exchange_all();
    facility_.exchange_all();
    const std::string state = state_of(facility_.hub());
    const Bytes review = Shift(facility_.hub(), facility_.keeper()).review().SerializeAsString();
    for (auto& device : facility_.devices()) {
      INFO(device->name);
      REQUIRE(state_of(*device) == state);
      REQUIRE(Shift(*device, facility_.keeper()).review().SerializeAsString() == review);
      for (ChangeId id : acknowledged_) {
        LogTable& logs = device->replica->store().logs();
        REQUIRE_FALSE(must(logs.bytes_of(logs.find_place(id))).empty());
      }
      REQUIRE(Shift(*device, facility_.keeper()).rebuild().same());
    }
  }

  std::size_t acknowledged() const { return acknowledged_.size(); }
  std::size_t lost = 0, repeated = 0, late = 0, bundles = 0;

 private:
  // One exchange in which requests and replies get lost, come twice, or come much later.
  void lossy_exchange(std::size_t index) {
    Device& device = *facility_.devices()[index];
    Bytes reply;
    for (int round = 0; round < 6; ++round) {
      Bytes request = must(device.replica->exchange(reply));
      if (request.empty()) return;
      if (random_.once_in(4)) return void(++lost);
      if (random_.once_in(5)) pending_.push_back({request, index}), ++late;
      if (random_.once_in(5)) {
        must(facility_.hub().replica->answer_exchange(request, device.keystore->public_key()));
        ++repeated;
      }
      reply = must(facility_.hub().replica->answer_exchange(request, device.keystore->public_key()));
      if (random_.once_in(4)) return void(++lost);
    }
  }

  void deliver_late() {
    if (pending_.empty()) return;
    random_.shuffle(pending_);
    const Message message = pending_.back();
    if (random_.once_in(2)) pending_.pop_back();
    must(facility_.hub().replica->answer_exchange(message.bytes, facility_.devices()[message.device]->keystore->public_key()));
  }

  void carry_bundle(std::size_t from, std::size_t to) {
    const auto bundle = must(facility_.devices()[from]->replica->export_bundle({}));
    must(facility_.devices()[to]->replica->import_bundle(bundle.bytes, false));
    REQUIRE(must(facility_.devices()[to]->replica->import_bundle(bundle.bytes, false)).new_here == 0);
    ++bundles;
  }

  Random& random_;
  Facility facility_;
  std::vector<RecordId> animals_, foods_, portions_;
  RecordId order_;
  std::set<ChangeId> acknowledged_;
  std::vector<Message> pending_;
};

}  // namespace

TEST_CASE("four replicas and a hub over a lossy network end equal with nothing lost", "[lossy-exchange]") {
  Random random = test_random("lossy exchange");
  std::size_t acknowledged = 0, lost = 0, repeated = 0, late = 0, bundles = 0;
  const int schedules = 4, steps = 150;
  for (int schedule = 0; schedule < schedules; ++schedule) {
    LossyWork work(random, 100 + static_cast<std::uint64_t>(schedule));
    for (int i = 0; i < steps; ++i) work.step();
    work.calm_down_and_check();
    acknowledged += work.acknowledged();
    lost += work.lost, repeated += work.repeated, late += work.late, bundles += work.bundles;
  }
  std::printf("lossy exchange: %d schedules of %d steps, %zu acknowledged changes checked on 4 replicas, %zu messages lost, "
              "%zu repeated, %zu late, %zu bundles carried\n",
              schedules, steps, acknowledged, lost, repeated, late, bundles);
  REQUIRE(lost + repeated + late + bundles > 50);
}
