// Goal: several hubs behind one PostgreSQL are one hub, and neither their deaths nor the database's lose or double what a
// device was told is kept. Method: real programs, real TLS, a real PostgreSQL, SIGKILL.
#include <call.pb.h>
#include <exchange.pb.h>
#include <records.pb.h>

#include <atomic>
#include <chrono>
#include <cstdio>
#include <map>
#include <memory>
#include <mutex>
#include <set>
#include <thread>

#include "call/dispatch.h"
#include "hub_process.h"
#include "postgres_log.h"
#include "running_postgres.h"
#include "store/store.h"
#include "support/random.h"
#include "sync/exchange.h"
#include "test_device.h"

using namespace wrackline;

namespace {

// Serves `count` hubs of one facility, with one PostgreSQL behind them.
struct Site {
  explicit Site(std::size_t count) {
    hubs.push_back(std::make_unique<HubProcess>(postgres.address()));
    // All of them are made before the first serves; what one knows reaches the others by the log alone.
    for (std::size_t i = 1; i < count; ++i) hubs.push_back(std::make_unique<HubProcess>(*hubs.front(), postgres.address()));
    for (auto& hub : hubs) hub->start();
  }
  std::unique_ptr<TestDevice> device(const std::string& name, std::size_t hub) {
    return std::make_unique<TestDevice>(scratch, hubs[hub]->client_options(), hubs[hub]->new_code(), name);
  }
  // It tries again like a tablet: a hub that could not reach its database a moment ago rests first.
  void exchange(TestDevice& device, HubProcess& hub) {
    device.go_to(hub.client_options());
    Status done;
    for (int tries = 0; tries < 400; ++tries) {
      done = device.exchange();
      if (done) return;
      std::this_thread::sleep_for(std::chrono::milliseconds(50));
    }
    must(done);
  }
  // Every replica meets every hub until nothing is new any more.
  void settle(std::vector<std::unique_ptr<TestDevice>>& devices) {
    for (int round = 0; round < 2; ++round) {
      for (auto& hub : hubs) {
        for (auto& device : devices) exchange(*device, *hub);
      }
    }
  }

  Scratch scratch;
  RunningPostgres postgres;
  std::vector<std::unique_ptr<HubProcess>> hubs;
};

std::multiset<std::string> names_in(Replica& replica) {
  std::multiset<std::string> out;
  proto::Call call;
  call.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kPerson));
  for (;;) {
    proto::Reply reply;
    REQUIRE(reply.ParseFromString(dispatch(replica, call.SerializeAsString())));
    for (const auto& record : reply.list().records()) {
      proto::Person person;
      REQUIRE(person.ParseFromString(record.fields()));
      out.insert(person.name());
    }
    if (!reply.list().more()) return out;
    *call.mutable_list()->mutable_after() = reply.list().records(reply.list().records_size() - 1).record();
  }
}

struct LogContent {
  std::uint64_t batches = 0, changes = 0;
  std::vector<std::string> twice;  // Logs with a place that was accepted twice, or never.
};

// Reads the whole log, its chain included, as a hub does.
LogContent read_log(const std::string& address, const FacilityId& facility) {
  auto log = must(PostgresLog::open(address, facility));
  LogContent out;
  SharedEnd end;
  std::map<std::uint64_t, Seq> heads;
  for (;;) {
    const std::vector<Bytes> page = must(log->read(end, 1 << 20));
    if (page.empty()) return out;
    for (const Bytes& bytes : page) {
      proto::SharedBatch batch;
      REQUIRE(batch.ParseFromString(bytes));
      for (const proto::Segment& segment : batch.segments()) {
        Seq& head = heads[segment.log()];
        if (segment.first_seq() != head + 1) out.twice.push_back(to_text(LogId{segment.log()}) + " at " + std::to_string(segment.first_seq()));
        head = segment.first_seq() + segment.count() - 1;
        out.changes += segment.count();
      }
      end = behind(end, bytes);
      ++out.batches;
    }
  }
}

}  // namespace

TEST_CASE("what a device brings to one hub, another device gets from the other, and hears of at once") {
  Site site(2);
  std::vector<std::unique_ptr<TestDevice>> devices;
  devices.push_back(site.device("north", 0));
  devices.push_back(site.device("south", 1));
  must(devices[1]->exchange());
  // South waits at its hub for news while north goes to the other.
  std::thread north([&] {
    devices[0]->log_people(5);
    (void)devices[0]->exchange();
  });
  proto::NewsReply reply;
  // Devices enrolled meanwhile are news as well.
  for (int i = 0; i < 50 && names_in(devices[1]->replica()).count("Keeper 5 of north") == 0; ++i) {
    REQUIRE(reply.ParseFromString(must(devices[1]->post("/v1/news", must(news_request(devices[1]->replica().store()))))));
    if (reply.is_news()) must(devices[1]->exchange());
  }
  north.join();
  CHECK(names_in(devices[1]->replica()).count("Keeper 5 of north") == 1);
  site.settle(devices);
  CHECK(devices[0]->digest() == devices[1]->digest());
  CHECK(devices[0]->hub_digest() == devices[0]->digest());
}

TEST_CASE("a device that was revoked at one hub is refused by the other") {
  Site site(2);
  auto device = site.device("lost tablet", 0);
  const std::string log = site.scratch / "revoke.log";
  REQUIRE(run_child({WRACKLINE_SERVER, "revoke", "--dir", site.hubs[0]->directory.path, "lost tablet", "--reason", "left in a taxi"}, log) == 0);
  // The other hub knows when the log has it; the first brings it there within its next look.
  device->go_to(site.hubs[1]->client_options());
  ErrorCode code = ErrorCode::kOk;
  for (int i = 0; i < 200 && code == ErrorCode::kOk; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
    code = code_of(device->exchange());
  }
  CHECK(code == ErrorCode::kRevokedDevice);
}

TEST_CASE("hubs and a database killed in mid-exchange lose nothing and take nothing in twice") {
  constexpr std::size_t kHubs = 3, kDevices = 6;
  constexpr int kExchanges = 60, kPeople = 20;
  Site site(kHubs);
  std::vector<std::unique_ptr<TestDevice>> devices;
  for (std::size_t i = 0; i < kDevices; ++i) devices.push_back(site.device("tablet " + std::to_string(i), i % kHubs));
  for (auto& device : devices) device->log_people(1);  // Finds the admin, which a thread must not look for.

  std::atomic<int> exchanged = 0, failed = 0;
  std::atomic<bool> is_over = false;
  // So that something that never comes up again fails here, and does not keep everybody waiting.
  const auto patience_ends = std::chrono::steady_clock::now() + std::chrono::minutes(5);
  const auto is_patient = [&] { return std::chrono::steady_clock::now() < patience_ends; };
  std::mutex addresses;
  std::vector<std::thread> keepers;
  for (std::size_t i = 0; i < kDevices; ++i) {
    keepers.emplace_back([&, i] {
      Random random(test_seed() + i);
      while (exchanged < kExchanges && is_patient()) {
        devices[i]->log_people(kPeople);
        // Until one hub has said that it has all of it.
        for (;;) {
          if (!is_patient()) return;
          {
            const std::lock_guard<std::mutex> lock(addresses);
            devices[i]->go_to(site.hubs[random.below(kHubs)]->client_options());
          }
          if (devices[i]->exchange()) break;
          ++failed;
          std::this_thread::sleep_for(std::chrono::milliseconds(20));
        }
        ++exchanged;
      }
    });
  }
  int hub_kills = 0, database_kills = 0;
  std::thread killer([&] {
    Random random(test_seed() ^ 0x6b696c6c);
    while (!is_over) {
      std::this_thread::sleep_for(std::chrono::milliseconds(100 + random.below(400)));
      if (random.once_in(3)) {
        site.postgres.kill();
        ++database_kills;
        site.postgres.start();
        continue;
      }
      HubProcess& hub = *site.hubs[random.below(kHubs)];
      hub.kill();
      ++hub_kills;
      // Without its database it says so and ends; whoever runs it starts it again.
      while (!hub.try_start() && is_patient()) std::this_thread::sleep_for(std::chrono::milliseconds(100));
    }
  });
  for (std::thread& keeper : keepers) keeper.join();
  is_over = true;
  killer.join();
  REQUIRE(exchanged >= kExchanges);

  // Half of the tablets fall into the water: what the hubs said they hold must be there without them.
  std::multiset<std::string> logged;
  for (auto& device : devices) {
    for (const std::string& name : names_in(device->replica())) {
      if (name.find(" of " + device->name()) != std::string::npos) logged.insert(name);
    }
  }
  devices.resize(kDevices / 2);
  for (auto& hub : site.hubs) site.exchange(*devices.front(), *hub);
  devices.push_back(site.device("late", 0));
  site.settle(devices);
  std::multiset<std::string> kept = names_in(devices.back()->replica());
  kept.erase("Ada");
  CHECK(kept == logged);
  for (auto& hub : site.hubs) {
    site.exchange(*devices.front(), *hub);
    CHECK(devices.front()->hub_digest() == devices.back()->digest());
  }
  const LogContent content = read_log(site.postgres.address(), devices.front()->enrolment().facility);
  CHECK(content.twice == std::vector<std::string>());
  std::printf("%d exchanges answered (%d tries failed), %d hubs and %d databases killed meanwhile: %zu of %zu entries kept, none twice; "
              "%llu batches, %llu changes\n",
              exchanged.load(), failed.load(), hub_kills, database_kills, kept.size(), logged.size(),
              static_cast<unsigned long long>(content.batches), static_cast<unsigned long long>(content.changes));
}

TEST_CASE("a hub that another overtakes each time is waited for, and answers its device") {
  Site site(1);
  auto device = site.device("north", 0);
  const FacilityId facility = device->enrolment().facility;
  // This plays a hub that appends without a pause, faster than any decision is made.
  auto other = must(PostgresLog::open(site.postgres.address(), facility));
  proto::SharedBatch nothing;
  nothing.set_protocol(kProtocol);
  nothing.set_facility(Bytes(view(facility)));
  const Bytes batch = nothing.SerializeAsString();
  std::atomic<bool> is_over = false;
  int appended = 0, waited = 0;
  Status appending;
  std::thread overtaking([&] {
    SharedEnd end;
    while (appending && !is_over) {
      appending = other->append(end, batch);
      if (appending) {
        end = behind(end, batch);
        ++appended;
      } else if (appending.error().code == ErrorCode::kBusy) {
        ++waited;
        auto page = other->read(end, 64 << 20);
        appending = page ? Status() : Status(fail(page.error()));
        for (std::size_t i = 0; page && i < page->size(); ++i) end = behind(end, (*page)[i]);
      }
    }
  });
  int answered = 0;
  Status last;
  for (; last && answered < 20; answered += last ? 1 : 0) {
    device->log_people(50);
    last = device->exchange();
  }
  is_over = true;
  overtaking.join();
  must(appending);
  INFO(site.hubs[0]->log());
  must(last);
  CHECK(appended > answered);
  std::printf("%d exchanges answered while another appended %d batches and was overtaken %d times\n", answered, appended, waited);
}

TEST_CASE("a database that was put back gets from the hubs what it lacks") {
  Site site(2);
  std::vector<std::unique_ptr<TestDevice>> devices;
  devices.push_back(site.device("north", 0));
  devices[0]->log_people(3);
  must(devices[0]->exchange());
  // The database now is like a standby that took over without having heard of the last batches.
  site.postgres.sql("DELETE FROM wrackline.batch WHERE number > (SELECT max(number) - 2 FROM wrackline.batch)");
  site.postgres.sql("UPDATE wrackline.log_end SET (batches, chain) = (SELECT number, chain FROM wrackline.batch ORDER BY number DESC LIMIT 1)");
  auto witness = site.device("south", 1);
  for (auto& hub : site.hubs) {
    witness->go_to(hub->client_options());
    must(witness->exchange());
  }
  witness->go_to(site.hubs[1]->client_options());
  must(witness->exchange());
  CHECK(names_in(witness->replica()).count("Keeper 3 of north") == 1);
  CHECK(site.hubs[0]->log().find("shared_log_went_back") != std::string::npos);
}

TEST_CASE("a hub left behind by a change of the hub's key answers nobody; made anew it goes on") {
  Site site(2);
  auto device = site.device("north", 0);
  device->log_people(1);
  must(device->exchange());
  site.hubs[0]->kill(SIGTERM);
  const std::string log = site.scratch / "rekey.log";
  REQUIRE(run_child({WRACKLINE_SERVER, "rekey", "--dir", site.hubs[0]->directory.path, "--by", "Ada", "--reason", "every two years"}, log) == 0);
  site.hubs[0]->start();
  device->go_to(site.hubs[1]->client_options());
  ErrorCode code = ErrorCode::kOk;
  for (int i = 0; i < 200 && code == ErrorCode::kOk; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
    code = code_of(device->exchange());
  }
  CHECK(code != ErrorCode::kOk);
  CHECK(site.hubs[1]->log().find("make this hub anew") != std::string::npos);
  HubProcess anew(*site.hubs[0], site.postgres.address());
  anew.start();
  device->go_to(anew.client_options());
  must(device->exchange());
  CHECK(device->hub_digest() == device->digest());
}

TEST_CASE("a hub moves from its own disk to a shared log, and its devices notice nothing") {
  RunningPostgres postgres;
  HubProcess alone;
  alone.start();
  Scratch scratch;
  TestDevice device(scratch, alone.client_options(), alone.new_code(), "north");
  device.log_people(3000);
  must(device.exchange());
  HubProcess first(alone, postgres.address()), second(alone, postgres.address());
  first.start();
  second.start();
  device.go_to(second.client_options());
  must(device.exchange());
  CHECK(device.hub_digest() == device.digest());
}

TEST_CASE("what must not be trusted with records is refused, with what to do") {
  RunningPostgres postgres;
  const FacilityId facility{1};
  const auto refusal = [&](const std::string& address) {
    auto log = PostgresLog::open(address, facility);
    return log ? std::string("none") : log.error().message;
  };
  CHECK(refusal("mysql://somewhere").find("postgresql://") != std::string::npos);
  // Its certificate is not one this machine trusts, and the address does not name it.
  const std::string bare = postgres.address().substr(0, postgres.address().find('?'));
  CHECK(refusal(bare).find("certificate") != std::string::npos);
  CHECK(refusal(postgres.address()) == "none");
  postgres.sql("UPDATE wrackline.form SET version = 99");
  CHECK(refusal(postgres.address()).find("update this hub") != std::string::npos);
  postgres.sql("UPDATE wrackline.form SET version = 1");
  postgres.kill();
  postgres.configure("fsync = off");
  postgres.start();
  CHECK(refusal(postgres.address()).find("fsync") != std::string::npos);
}

TEST_CASE("a batch that was altered in the database is not taken in") {
  Site site(1);
  auto device = site.device("north", 0);
  device->log_people(2);
  must(device->exchange());
  site.postgres.sql("UPDATE wrackline.batch SET body = set_byte(body, 60, get_byte(body, 60) # 1) WHERE number = (SELECT max(number) FROM wrackline.batch)");
  auto log = must(PostgresLog::open(site.postgres.address(), device->enrolment().facility));
  CHECK(code_of(log->read({}, 64 << 20)) == ErrorCode::kStorage);
}
