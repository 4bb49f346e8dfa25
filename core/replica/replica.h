// One whole copy of a facility's records: a tablet's, a desk's or the hub's. The composition root of the core.
//
// A Replica puts together the pieces below it (clock, log, store, projections, exchange) and offers what an
// app or the hub does with them. It opens no socket and reads no clock but the one it is given.
//
// A write returns only after its changes are durably committed; what it returned is never lost by a crash.
// A refused or failed write leaves the store as it was.
//
// Threads: one at a time. Lifetime: the keystore, the clock and the fence in Options outlive the Replica.
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "sync/bundle.h"
#include "sync/device_registry.h"
#include "sync/hub_acts.h"
#include "sync/hub_session.h"
#include "sync/presences.h"
#include "sync/told_vectors.h"

namespace wrackline {

class Author;
class Exchange;
class Fence;
class LogFollower;
class Pins;
class SharedLog;
class SignIn;
struct ExchangeClock;

// A device learns this when it is enrolled, and it is kept with the records.
struct Membership {
  FacilityId facility{};
  // The hub's key that is pinned; those it was handed over to follow from it (store/hub_lineage.h). A replica whose
  // keystore holds one of them is the hub.
  PublicKey hub_key{};
  std::string device_name;
  // A hub's key that goes into the hashes of people's PINs (crypto/pin_hash.h). Empty on devices.
  Bytes pin_key = {};
};

class Replica {
 public:
  struct Options {
    std::string path;    // The path of the SQLite database; -wal and -shm stand beside it while it is open.
    Keystore* keystore;  // This device's key.
    std::function<WallMs()> wall_clock;
    // See replica/fence.h; null where there is none.
    Fence* fence = nullptr;
    // Where the nonces of logs and the seeds of salts come from; the platform's where it is empty. For simulations and
    // made-up records, in which everything follows from one seed.
    std::function<Result<Bytes>(std::size_t)> random = {};
    // Called by open() with changes done and changes in all while it arranges anew what another release arranged (see
    // Store::open), which may take minutes.
    std::function<void(std::uint64_t, std::uint64_t)> arranging = {};
  };

  // Makes a new database. Errors: kStorage (also when the file exists), kDiskFull, kReadOnly, kKeystore.
  static Result<std::unique_ptr<Replica>> create(Options options, const Membership& membership);
  // Opens one that create() made. Errors: kNotFound, kStorage, kNewerDatabase, kMalformed (no database of
  // ours), kKeystore when the key is not the one the database was made with.
  static Result<std::unique_ptr<Replica>> open(Options options);
  // With which key the database at `path` is to be opened. Errors: as open().
  static Result<PublicKey> key_of(const std::string& path);
  ~Replica();

  const Membership& membership() const;
  bool is_hub() const;

  // Goes on under another key and in a log of its own: all that was written before is sealed with the old one first. In
  // one transaction, so the database is that of one key or the other. `next` outlives the replica; the hub must know it
  // before anything is exchanged. Errors: kInvalid when this is the hub; kKeystore, kStorage and kin.
  Status change_key(Keystore& next);

  // Believes another key of the hub from here on, since a person has compared it: for a hub whose old key was lost or is
  // known to others. All records stay. What only the old key has said about devices and holds counts again when the new
  // one says so. Errors: kInvalid when the key is not sound; kStorage and kin.
  Status repin(const PublicKey& hub_key);

  // The header for one request in a session with the hub (sync/hub_session.h). No number is used twice while this replica is open.
  // Errors: kKeystore.
  Result<std::string> authorize(std::string_view token, const RequestHead& head, const Hash& body);

  // ---- The hub's part ---------------------------------------------------------------------------------

  // Takes in an ExchangeRequest and says what its sender lacks. `peer` is the device the session belongs to. When `is_over`
  // says that the request has taken its time, the rest of it is left for the next.
  // Logs that cannot be taken in are named in the reply's refusals; the others are kept.
  // Errors: kMalformed, kTooLarge, kWrongFacility, kUnsupported: nothing was kept. kStorage and its kin.
  Result<Bytes> answer_exchange(ByteView request, const PublicKey& peer, const std::function<bool()>& is_over = {});

  // Writes a device into the hub's own log, which makes its seals good on every replica.
  // `inviter` had the code made that let it in, at which device; nobody for the hub's own machine.
  // Errors: kInvalid when the key is enrolled already, or none that may be one (is_sound_key).
  struct Inviter {
    RecordId person, device;
  };
  Result<RecordId> admit_device(const std::string& name, const PublicKey& key, const Inviter& inviter = {});
  Result<DeviceStanding> device_standing(const PublicKey& key);

  // Somebody has proved by PIN that they are at a device: writes so into the hub's own log, sealed at once. One that is good for more
  // than half of its time is not written again, unless the device names another mark of the PIN (Presence.pin_mark).
  // Errors: kUnknownDevice, kRevokedDevice; kStorage and kin.
  struct Presence {
    RecordId record;
    WallMs until = 0;
  };
  Result<Presence> note_presence(RecordId person, const PublicKey& device, ByteView pin_mark = {});

  // A device goes on under another key: its record is struck, and another made that continues it. Doing it again is no
  // error. Errors: kUnknownDevice, kRevokedDevice when it may not come any more; kInvalid when `next` is known already or not sound.
  Status rekey_device(const PublicKey& before, const PublicKey& next);

  // The hub itself goes on under another key and in a log of its own, in one transaction. When the old key still signs it
  // says so in its last change, which every replica follows by itself. When it is lost, or not to be trusted, each
  // device has to be told by a person (repin); changes of the hub's own that were not sealed yet are then dropped, and
  // their number is returned. `by` decides, a person or none. `next` outlives the replica.
  // Errors: kInvalid when this is no hub, or `next` is known already or not sound; kKeystore, kStorage and kin.
  enum class OldKey { kSigns, kLost };
  Result<std::uint32_t> change_hub_key(Keystore& next, OldKey old, RecordId by, const std::string& reason);

  // ---- Of a hub that is one of several; see sync/log_follower.h ----------------------------------------

  // From here on nothing is committed that the shared log has not taken. It outlives the replica.
  void follow(SharedLog& log);
  // Takes in what the other hubs have made known, and makes known what is here. Before anything is answered or written:
  // else that fails, since the shared log goes on elsewhere. Does nothing without a shared log. Returns how many changes
  // came. Errors: see LogFollower::catch_up.
  Result<std::uint32_t> catch_up();
  // Whether the last write failed because another hub was first: catch_up(), then the same again.
  bool was_overtaken() const;
  // Around catch_up() and the same again, for one that was overtaken more than once: the other hubs wait meanwhile. Does
  // nothing without a shared log.
  void take_turn();
  void end_turn();
  // Whether the shared log was found put back since this was asked last; what it lacked was appended anew.
  bool was_shared_log_put_back_since_asked();

  // The fault that kept the last answer_exchange() from taking in, though it answered: a full disk.
  const std::optional<Error>& trouble() const { return trouble_; }

  // Writes records without an author; for the hub's own first records (facility, first admin).
  struct Draft {
    std::uint32_t kind;
    Bytes fields;
  };
  Result<std::vector<RecordId>> log_unauthored(const std::vector<Draft>& drafts);

  // ---- The app's part: see call/dispatch.h, which maps the calls of call.proto onto these -------------

  Store& store() { return *store_; }
  Author& author() { return *author_; }
  DeviceRegistry& devices() { return devices_; }
  Presences& presences() { return presences_; }
  HubActs& hub_acts() { return hub_acts_; }
  SignIn& sign_in() { return *sign_in_; }
  Pins& pins() { return *pins_; }  // Only a hub has these.
  WallMs now() const { return options_.wall_clock(); }

  // Drives an exchange with the hub (see sync/exchange.h): an empty reply begins a new one. The step's request
  // is empty when it is done.
  Result<Bytes> exchange(ByteView reply);
  // The running or last exchange, to see what it did; null before the first.
  const Exchange* last_exchange() const { return exchange_.get(); }

  // See sync/bundle.h. A dry run tells what an import would do and changes nothing.
  Result<WrittenBundle> export_bundle(const VersionVector& have);
  Result<TakenBundle> import_bundle(ByteView bundle, bool dry_run);

 private:
  class Hand;
  Replica(Options options, const Membership& membership, std::unique_ptr<Store> store);
  ExchangeClock exchange_clock();
  Status strike_device(Author& author, RecordId by, RecordId device, const std::string& reason);
  void go_on_with(Keystore& next, std::unique_ptr<Author> author);
  Options options_;
  Membership membership_;
  std::unique_ptr<Store> store_;
  DeviceRegistry devices_;
  Presences presences_;
  std::uint64_t requests_ = 0;  // Authorized so far.
  HubActs hub_acts_;
  std::unique_ptr<Author> author_;
  std::unique_ptr<SignIn> sign_in_;
  std::unique_ptr<Pins> pins_;
  std::unique_ptr<Exchange> exchange_;
  ToldVectors told_;  // The vectors that this hub told.
  std::unique_ptr<LogFollower> follower_;
  std::optional<Error> trouble_;
  std::map<PublicKey, std::uint32_t> leaves_for_;  // How often this hub has left its logs on a device's word.
};

}  // namespace wrackline
