#include "fuzz_world.h"

#include <filesystem>
#include <fstream>
#include <iterator>

#include "support/shift.h"
#include "sync/messages.h"
#include "sync/told_vectors.h"

namespace wrackline::fuzz {
namespace {

constexpr std::uint64_t kSeed = 7;

Bytes file_content(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

template <typename Message>
Bytes with_whole_vector(const Bytes& bytes, const VersionVector& base) {
  Message message;
  if (!message.ParseFromString(bytes)) return bytes;
  const VersionVector whole = sum(base, take_vector(message.vector()));
  message.clear_vector();
  put_vector(whole, *message.mutable_vector());
  return message.SerializeAsString();
}

// One whole exchange, written down as it would be between two that remember nothing of each other: then it means the same
// whenever it is said again.
void record_exchange(Device& device, Device& hub, std::vector<Bytes>& requests, std::vector<Bytes>& replies) {
  VersionVector told;
  Bytes reply;
  for (;;) {
    const Bytes request = must(device.replica->exchange(reply));
    if (request.empty()) return;
    reply = must(hub.replica->answer_exchange(request, device.keystore->public_key()));
    proto::ExchangeRequest asked;
    proto::ExchangeReply answer;
    if (!asked.ParseFromString(request) || !answer.ParseFromString(reply)) continue;
    const bool is_forgotten = !asked.vector().base().empty() && answer.vector().base().empty();
    if (!is_forgotten) {
      requests.push_back(with_whole_vector<proto::ExchangeRequest>(request, asked.vector().base().empty() ? VersionVector() : told));
      replies.push_back(with_whole_vector<proto::ExchangeReply>(reply, answer.vector().base().empty() ? VersionVector() : told));
    }
    told = vector_of(hub.replica->store());
  }
}

}  // namespace

bool Standing::operator==(const Standing& other) const {
  if (digest != other.digest || heads.size() != other.heads.size()) return false;
  for (const auto& [id, head] : heads) {
    const auto there = other.heads.find(id);
    if (there == other.heads.end() || there->second.seq != head.seq || there->second.root != head.root) return false;
  }
  return true;
}

Standing standing_of(Replica& replica) {
  Standing out;
  must(replica.store().refresh());
  out.digest = to_hex(view(must(replica.store().records().state_digest()).sha256));
  for (const auto& [id, log] : replica.store().logs().all()) {
    if (log.opening) out.heads[id] = log.head;
  }
  return out;
}

World& World::get() {
  static World world;
  return world;
}

World::World() {
  Facility facility(kSeed, LogIds::kFixed);
  facility_id_ = facility.membership("").facility;
  keeper_ = facility.keeper();
  Device& north = facility.add_device("north tablet");
  Device& south = facility.add_device("south tablet");
  Device* const devices[] = {&facility.hub(), &north, &south};
  facility.exchange_all();

  Shift on_north(north, keeper_), on_south(south, keeper_);
  proto::Area yard;  // The one whose day the seed of a close names.
  yard.set_name("yard");
  on_north.log(Kind::kArea, yard);
  animal_ = on_north.animal("Nereid");
  const RecordId food = on_north.food("herring");
  order_ = on_north.order(animal_);
  portion_ = on_north.meal(animal_, food, 480, 1'000'000).second;
  on_north.dose(order_, 420);
  facility.exchange_all();
  // So that everybody holds a part of each log.
  on_south.animal("Thetis");
  on_south.meal(animal_, food, 470, 1'000'000);
  on_south.dose(order_, 430);
  facility.exchange_all();
  // Out of reach of each other: the same portion weighed twice, a dose given twice, a meal struck.
  on_north.meal(animal_, food, 500, 800'000);
  must(on_north.try_left(portion_, 40'000, "weighed"));
  on_north.dose(order_, 480);
  on_north.strike(on_north.meal(animal_, food, 510, 1'000).first, "written twice");
  on_south.meal(animal_, food, 500, 700'000);
  must(on_south.try_left(portion_, 50'000, "weighed at the other pool"));
  on_south.dose(order_, 480);
  for (Device* device : devices) must(device->replica->author().seal());
  bundles_.push_back(must(south.replica->export_bundle({})).bytes);

  const std::uint64_t key_seeds[] = {kSeed, kSeed * 1000 + 1, kSeed * 1000 + 2};
  for (std::size_t i = 0; i < 3; ++i) {
    Live& live = live_[i];
    devices[i]->replica.reset();  // So that the file holds all of it.
    live.image = file_content(devices[i]->path);
    live.path = folder_ / (std::to_string(i) + ".db");
    live.keystore = std::make_unique<SeededKeystore>(key_seeds[i]);
    devices[i]->reopen();
    live.log = devices[i]->replica->author().log(i == static_cast<std::size_t>(Role::kHub) ? LogClass::kRoster : LogClass::kBulk);
  }
  std::vector<Bytes> unused;
  record_exchange(south, facility.hub(), south_requests_, unused);
  record_exchange(north, facility.hub(), north_requests_, replies_);
  bundles_.push_back(must(facility.hub().replica->export_bundle({})).bytes);

  LogTable& logs = facility.hub().replica->store().logs();
  for (const auto& [id, log] : logs.all()) {
    if (!log.opening) continue;
    std::vector<MadeLog>& made = made_[id];
    for (Seq seq = 0; seq <= log.head.seq; ++seq) made.push_back(made_behind(facility_id_, logs, log, seq));
    must(logs.for_each(log, 0, [&](Seq, ByteView change) {
      changes_.emplace_back(change);
      return Status{};
    }));
  }
}

Replica::Options World::options(Live& live) const {
  return {live.path, live.keystore.get(), [] { return Facility::kStartMs + 60'000; }};
}

Replica& World::use(Role role) {
  Live& live = live_[static_cast<std::size_t>(role)];
  if (!live.is_spoilt) return *live.replica;
  live.replica.reset();
  for (const char* beside : {"-wal", "-shm"}) {
    std::error_code ignored;
    std::filesystem::remove(live.path + beside, ignored);
  }
  std::ofstream(live.path, std::ios::binary | std::ios::trunc) << live.image;
  live.replica = must(Replica::open(options(live)));
  live.standing = standing_of(*live.replica);
  live.is_spoilt = false;
  return *live.replica;
}

Keystore* World::keystore_of(ByteView key) {
  for (Live& live : live_) {
    if (key == view(live.keystore->public_key())) return live.keystore.get();
  }
  return nullptr;
}

const MadeLog* World::made_at(LogId log, Seq seq) const {
  const auto made = made_.find(log);
  return made == made_.end() || seq >= made->second.size() ? nullptr : &made->second[seq];
}

}  // namespace wrackline::fuzz
