#include "replica/replica.h"

#include "base/wire.h"
#include "model/device.h"
#include "model/kinds.h"
#include "records.pb.h"
#include "replica/author.h"
#include "replica/pins.h"
#include "replica/sign_in.h"
#include "store/store.h"
#include "sync/bundle.h"
#include "sync/exchange.h"
#include "sync/facility_policy.h"
#include "sync/log_follower.h"

namespace wrackline {
namespace {

constexpr const char* kDeviceName = "device_name";
constexpr const char* kPinKey = "pin_key";

}  // namespace

// The hub at its own desk: what it signs, and what it writes while it takes in what others bring. Made and used only
// while a Write is under way, which its user commits.
class Replica::Hand : public HubHand {
 public:
  // `asker`: whose request it is; none for a bundle.
  Hand(Replica& replica, const PublicKey& asker) : replica_(replica), asker_(asker) {}

  PublicKey key() const override { return replica_.author_->key(); }
  WallMs now() const override { return replica_.now(); }
  void note_trouble(const Error& error) override { replica_.trouble_ = error; }
  Status note_arrivals() override { return replica_.author_->note_arrivals(); }

  Result<bool> leave_logs_known_further(const VersionVector& theirs) override {
    for (const auto& [id, log] : replica_.store_->logs().all()) {
      const auto there = theirs.find(id);
      if (!log.is_of(key()) || log.branch || there == theirs.end() || there->second.seq <= log.head.seq) continue;
      if (!replica_.author_->goes_on_in(id)) continue;
      if (++replica_.leaves_for_[asker_] > kLeavesMax) return false;
      WRACKLINE_TRY(replica_.author_->leave_logs_in());
      return true;
    }
    return false;
  }

  Status hold(const HeldChanges& changes, const Objection& objection) override {
    NewRecord record;
    record.kind = static_cast<std::uint32_t>(Kind::kHold);
    const LogEntry* log = replica_.store_->logs().find(changes.log);
    NamedBranch branch;
    const bool is_branch = log != nullptr && log->branch;
    if (is_branch) {
      const Branch& b = *log->branch;
      branch = {b.root, b.of, b.after, log->start.bytes(), b.first, to_bytes(*log->opening)};
    }
    record.fields = hold_fields(changes, objection.cause, objection.note, replica_.now(), is_branch ? &branch : nullptr);
    WRACKLINE_TRY_VALUE(ids, replica_.author_->log_records_in({}, {record}));
    (void)ids;
    return {};
  }

  Status note_former_role(RecordId author, const HeldChanges& changes, WallMs written) override {
    const LogEntry* log = replica_.store_->logs().find(changes.log);
    if (log == nullptr || !log->opening) return {};
    WRACKLINE_TRY_VALUE(device, replica_.devices_.find(log->opening->device));
    proto::FormerRole note;
    note.mutable_person()->set_log(author.log.value);
    note.mutable_person()->set_seq(author.seq);
    note.mutable_device()->set_log(device.record.log.value);
    note.mutable_device()->set_seq(device.record.seq);
    note.set_of_log(changes.log.value);
    note.set_first_seq(changes.first);
    note.set_last_seq(changes.last);
    note.set_written_ms(written);
    note.set_at_ms(replica_.now());
    NewRecord record;
    record.kind = static_cast<std::uint32_t>(Kind::kFormerRole);
    record.fields = note.SerializeAsString();
    WRACKLINE_TRY(replica_.author_->log_records_in({}, {record}));
    return {};
  }

  Status lift(RecordId hold, const std::string& reason) override {
    Edit edit;
    edit.record = hold;
    append_varint_field(edit.fields, kStandingField, kStruck);
    edit.reason = reason;
    edit.settle = true;
    WRACKLINE_TRY_VALUE(change, replica_.author_->edit_in({}, std::move(edit)));
    (void)change;
    return {};
  }

 private:
  // A claim to know more of the hub's log shows only later whether it was true, and each one heeded opens logs that stay for
  // ever. So no device is believed without end.
  static constexpr std::uint32_t kLeavesMax = 3;

  Replica& replica_;
  PublicKey asker_;
};

Replica::Replica(Options options, const Membership& membership, std::unique_ptr<Store> store)
    : options_(std::move(options)),
      membership_(membership),
      store_(std::move(store)),
      devices_(*store_),
      presences_(*store_, devices_),
      hub_acts_(*store_, devices_),
      author_(std::make_unique<Author>(*store_, *options_.keystore, options_.wall_clock, options_.fence, options_.random)),
      sign_in_(std::make_unique<SignIn>(*store_, presences_, *options_.keystore, options_.wall_clock)),
      pins_(std::make_unique<Pins>(*store_, membership_.pin_key, options_.wall_clock)) {}

Replica::~Replica() = default;

Result<std::string> Replica::authorize(std::string_view token, const RequestHead& head, const Hash& body) {
  return wrackline::authorize(membership_.facility, *options_.keystore, token, ++requests_, head, body);
}

Result<std::unique_ptr<Replica>> Replica::create(Options options, const Membership& membership) {
  WRACKLINE_TRY_VALUE(store, Store::create(options.path, membership.facility));
  {
    WRACKLINE_TRY_VALUE(write, store->begin_write());
    WRACKLINE_TRY(store->set_hub_key(membership.hub_key));
    WRACKLINE_TRY(store->set_device_key(options.keystore->public_key()));
    WRACKLINE_TRY(store->set_meta(kDeviceName, membership.device_name));
    WRACKLINE_TRY(store->set_meta(kPinKey, membership.pin_key));
    WRACKLINE_TRY(write.commit());
  }
  return std::unique_ptr<Replica>(new Replica(std::move(options), membership, std::move(store)));
}

Result<std::unique_ptr<Replica>> Replica::open(Options options) {
  WRACKLINE_TRY_VALUE(store, Store::open(options.path, options.arranging));
  Membership membership;
  membership.facility = store->facility();
  WRACKLINE_TRY_VALUE(hub_key, store->hub_key());
  WRACKLINE_TRY_VALUE(device_key, store->device_key());
  WRACKLINE_TRY_VALUE(name, store->meta(kDeviceName));
  if (!hub_key || !name || !device_key) {
    return fail(ErrorCode::kMalformed, "opening the records: the database was never finished; it was left as it is; enrol this device anew");
  }
  membership.hub_key = *hub_key;
  if (*device_key != options.keystore->public_key()) {
    return fail(ErrorCode::kKeystore,
                "opening the records: the device key is not the one this database was made with; nothing was changed; "
                "put the right key file back, or enrol as a new device");
  }
  membership.device_name = *name;
  WRACKLINE_TRY_VALUE(pin_key, store->meta(kPinKey));
  if (pin_key) membership.pin_key = *pin_key;
  std::unique_ptr<Replica> replica(new Replica(std::move(options), membership, std::move(store)));
  WRACKLINE_TRY(replica->author_->find_logs());
  WRACKLINE_TRY(replica->author_->take_over_former(replica->is_hub()));
  return replica;
}

void Replica::follow(SharedLog& log) {
  follower_ = std::make_unique<LogFollower>(*store_, devices_, log, [this] { return author_->seal_in(); }, [this] { return author_->leave_logs_in(); });
  store_->before_commit([this] { return follower_->append_news(); });
}

Result<std::uint32_t> Replica::catch_up() {
  if (!follower_) return 0u;
  return follower_->catch_up(exchange_clock());
}
bool Replica::was_overtaken() const { return follower_ && follower_->was_overtaken(); }
void Replica::take_turn() {
  if (follower_) follower_->take_turn();
}
void Replica::end_turn() {
  if (follower_) follower_->end_turn();
}
bool Replica::was_shared_log_put_back_since_asked() { return follower_ && follower_->was_put_back_since_asked(); }

const Membership& Replica::membership() const { return membership_; }

bool Replica::is_hub() const {
  const PublicKey own = options_.keystore->public_key();
  return devices_.hub().is_key(own) && !devices_.hub().is_former(own);
}

Result<PublicKey> Replica::key_of(const std::string& path) {
  WRACKLINE_TRY_VALUE(store, Store::open(path));
  WRACKLINE_TRY_VALUE(key, store->device_key());
  if (!key) return fail(ErrorCode::kMalformed, "opening the records: the database does not say whose it is; it was left as it is");
  return *key;
}

ExchangeClock Replica::exchange_clock() {
  return {now(), [this](Stamp stamp) { return author_->observe_in(stamp); }, {}};
}

Result<Bytes> Replica::answer_exchange(ByteView request, const PublicKey& peer, const std::function<bool()>& is_over) {
  WRACKLINE_TRY(store_->refresh());
  WRACKLINE_TRY_VALUE(device, devices_.find(peer));
  if (device.standing != DeviceStanding::kEnrolled) {
    return fail(device.standing == DeviceStanding::kRevoked ? ErrorCode::kRevokedDevice : ErrorCode::kUnknownDevice,
                "answering an exchange: this device may not exchange any more; its records stay on it; ask an admin");
  }
  trouble_.reset();
  if (const Status sealed = author_->seal(); !sealed) {
    if (sealed.error().code != ErrorCode::kDiskFull) return fail(sealed.error());
    trouble_ = sealed.error();  // A log that is not sealed does not leave; the others may.
    WRACKLINE_TRY(store_->refresh());
  }
  Hand hand(*this, peer);
  ExchangeClock clock = exchange_clock();
  clock.is_over = is_over;
  auto answer = wrackline::answer_exchange(*store_, devices_, request, clock, told_, hand);
  if (answer) author_->mark();
  return answer;
}

Result<RecordId> Replica::admit_device(const std::string& name, const PublicKey& key, const Inviter& inviter) {
  if (!is_sound_key(key)) return fail(ErrorCode::kInvalid, "enrolling a device: anybody could sign under its key; nothing was changed; make another");
  WRACKLINE_TRY(store_->refresh());
  WRACKLINE_TRY_VALUE(device, devices_.find(key));
  const bool is_own = key == author_->key() && !device.record;
  if (device.standing != DeviceStanding::kUnknown && !is_own) {
    return fail(ErrorCode::kInvalid, "enrolling a device: its key is enrolled already; nothing was changed; a device that was revoked needs a new key");
  }
  DeviceFields fields;
  fields.name = name;
  fields.key = key;
  fields.enrolled_ms = now();
  fields.invited_by = inviter.person;
  fields.invited_from = inviter.device;
  NewRecord record;
  record.kind = static_cast<std::uint32_t>(Kind::kDevice);
  record.fields = to_fields(fields);
  WRACKLINE_TRY_VALUE(write, store_->begin_write());
  WRACKLINE_TRY_VALUE(ids, author_->log_records_in({}, {record}));
  // At once: unsealed it would be lost with the hub's key, and the device would have to be let in again.
  WRACKLINE_TRY(author_->seal_in());
  WRACKLINE_TRY(author_->commit(write));
  return ids.front();
}

Result<Replica::Presence> Replica::note_presence(RecordId person, const PublicKey& key, ByteView pin_mark) {
  WRACKLINE_TRY(store_->refresh());
  WRACKLINE_TRY_VALUE(device, devices_.find(key));
  if (device.standing != DeviceStanding::kEnrolled || !device.record) {
    return fail(device.standing == DeviceStanding::kRevoked ? ErrorCode::kRevokedDevice : ErrorCode::kUnknownDevice,
                "proving who is at a device: this device may not come any more; nothing was noted; ask an admin");
  }
  WRACKLINE_TRY_VALUE(policy, facility_policy(*store_));
  const WallMs span = policy.proof_hours * 60 * kMinuteMs, from = now();
  WRACKLINE_TRY_VALUE(before, presences_.proof({person, key, from, from}));
  if (pin_mark.empty() && before && before->until > from + span / 2) return Presence{before->presence, before->until};
  proto::Presence presence;
  presence.mutable_person()->set_log(person.log.value);
  presence.mutable_person()->set_seq(person.seq);
  presence.mutable_device()->set_log(device.record.log.value);
  presence.mutable_device()->set_seq(device.record.seq);
  presence.set_from_ms(from);
  presence.set_until_ms(from + span);
  presence.set_pin_mark(Bytes(pin_mark));
  NewRecord record;
  record.kind = static_cast<std::uint32_t>(Kind::kPresence);
  record.fields = presence.SerializeAsString();
  WRACKLINE_TRY_VALUE(write, store_->begin_write());
  WRACKLINE_TRY_VALUE(ids, author_->log_records_in({}, {record}));
  WRACKLINE_TRY(author_->seal_in());
  WRACKLINE_TRY(author_->commit(write));
  return Presence{ids.front(), from + span};
}

Result<DeviceStanding> Replica::device_standing(const PublicKey& key) {
  WRACKLINE_TRY(store_->refresh());
  WRACKLINE_TRY_VALUE(device, devices_.find(key));
  return device.standing;
}

Result<std::vector<RecordId>> Replica::log_unauthored(const std::vector<Draft>& drafts) {
  std::vector<NewRecord> records;
  for (const Draft& draft : drafts) {
    NewRecord& record = records.emplace_back();
    record.kind = draft.kind;
    record.fields = draft.fields;
  }
  return author_->log_records({}, records);
}

Result<Bytes> Replica::exchange(ByteView reply) {
  if (reply.empty()) {
    WRACKLINE_TRY(author_->seal());
    exchange_ = std::make_unique<Exchange>(*store_, devices_);
    return exchange_->begin();
  }
  if (!exchange_) {
    return fail(ErrorCode::kInvalid, "exchanging: no exchange has begun; nothing was changed; begin one with an empty reply");
  }
  WRACKLINE_TRY_VALUE(request, exchange_->receive(reply, exchange_clock()));
  // The own log may have turned out to be continued elsewhere: then this device goes on in another.
  WRACKLINE_TRY(author_->find_logs());
  return request;
}

Result<WrittenBundle> Replica::export_bundle(const VersionVector& have) {
  WRACKLINE_TRY(author_->seal());
  return write_bundle(*store_, have, now());
}

Result<TakenBundle> Replica::import_bundle(ByteView bundle, bool dry_run) {
  // The changes that a restored database has not sealed yet may come back in the bundle with those that follow. A tail that
  // stays unsealed in the middle of its log could never leave here again.
  if (!dry_run) WRACKLINE_TRY(author_->seal());
  WRACKLINE_TRY_VALUE(write, store_->begin_write());
  Admission admission(*store_, devices_, is_hub() ? Source::kToHub : Source::kFromPeer);
  WRACKLINE_TRY_VALUE(taken, take_bundle(*store_, devices_, bundle, admission));
  if (dry_run) return taken;
  if (taken.new_here > 0) WRACKLINE_TRY(author_->observe_in(admission.latest_stamp()));
  if (is_hub()) {
    Hand hand(*this, PublicKey{});
    WRACKLINE_TRY(admission.conclude(hand));
    WRACKLINE_TRY(hand.note_arrivals());
  }
  WRACKLINE_TRY(write.commit());
  author_->mark();
  return taken;
}

}  // namespace wrackline
