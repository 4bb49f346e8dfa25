// This device's records as a command sees them: opened once, called through the one call.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "call.pb.h"
#include "call/core.h"
#include "replica/fence.h"
#include "text/exit_code.h"
#include "text/local_time.h"

// The command line speaks in the words and figures that apps share.
namespace wrackline::text {}
namespace wrackline::cli {
using namespace text;

// Commands speak in the messages of the one call on every line.
using namespace proto;  // NOLINT(google-build-using-namespace): this program's own namespace only

// Names the files in the state directory (--dir, $WRACKLINE_DIR, or ~/.wrackline).
struct StateDir {
  std::string path;
  std::string key() const { return path + "/device.key"; }  // The private key; readable by its owner only.
  std::string records() const { return path + "/records.db"; }  // SQLite.
  std::string hub_certificate() const { return path + "/hub.pem"; }
  std::string blobs() const { return path + "/blobs"; }  // Attached files, by their hashes (blob_folder.h).
  // The session of whoever is signed in; readable by its owner only.
  std::string session() const { return path + "/session"; }
  std::string hub_address() const { return path + "/hub.address"; }  // One line, host:port.
};

// Every command takes these options.
struct Options {
  StateDir dir;
  std::string person;  // --as or $WRACKLINE_PERSON; may be empty while nothing is written.
  bool json = false;
  std::uint32_t page = 20'000;  // Records that are asked for at a time.
  bool pin_stdin = false;  // PINs are lines of standard input.
  bool yes = false;  // Answers every question with yes.
  std::string because;  // Why, where a question was answered with yes; stands in the record.
};

// Whoever answers a question: this replica or the hub's.
using Ask = std::function<Reply(const Call&)>;

// The wall clock, moved by $WRACKLINE_CLOCK_OFFSET_S seconds: for demonstrations and tests of devices whose
// clock is wrong, never for real work.
WallMs wall_clock_now();

class Client {
 public:
  // Throws Stop when the directory holds no records or they cannot be opened.
  explicit Client(Options options);
  ~Client();

  const Options& options() const { return options_; }
  bool json() const { return options_.json; }
  Keystore& keystore();
  const Membership& membership() const { return core_->membership(); }
  // See Replica. Throw Stop.
  void change_key(std::unique_ptr<Keystore> next);
  void repin(const PublicKey& hub_key);
  bool is_hub_key(const PublicKey& key) const { return core_->is_hub_key(key); }

  // Throws Stop when the reply is a failure. A call that writes may be asked about first ("really?", asking.h): it is
  // sent again when the person confirms. What only the hub may write is asked of it, with the author's PIN (at_hub.h).
  Reply call(const Call& call);
  // From here on `ask` answers every call() in place of this replica; for commands that only read.
  void let_answer(Ask ask);
  // Whether another replica answers: the hub's, which knows what there is to know.
  bool is_answered_elsewhere() const { return static_cast<bool>(ask_); }
  // The same, byte for byte and unasked: the reply as the core gives it, failures and questions included.
  Bytes call_bytes(const Bytes& call);
  static Reply reply_of(const Bytes& reply);

  // The token of who is signed in here; empty when nobody is. keep_session() writes it down, an empty one goes.
  const Bytes& session() const { return session_; }
  void keep_session(const Bytes& token);

  // A Call whose author is the person named by --as, or else who is signed in. Throws Stop when nobody, or several, have that name.
  Call authored();
  RecordRef author();

  // Read once and kept; refresh() after an exchange.
  const StatusReply& status();
  void refresh() { status_.reset(); }
  // Whether the facility asks people to prove to the hub who they are.
  bool asks_for_proofs();
  // For printing; UTC while the facility's own record has not arrived.
  const Zone& zone();
  // For writing: throws Stop while the facility's time zone is not known, since a wrong husbandry day would
  // stay with the event for ever.
  const Zone& zone_for_writing();
  // The time of an event: `at` as typed, or now. What a record stores of its time is made here only.
  When event_time(const std::string& at);
  WallMs now() const { return wall_clock_now(); }

  RecordView get(const RecordRef& record);
  struct Range {
    std::optional<Day> first, last;
  };
  // All records of a kind, in the core's order, page after page. `subject` absent: whatever they belong to.
  std::vector<RecordView> list(std::uint32_t kind, const std::optional<RecordRef>& subject = {},
                               Range days = {}, bool with_struck = false);

  RecordRef write_edit(const Call& call) { return this->call(call).edit().change(); }

 private:
  Reply write_at_hub(const Call& call);

  Options options_;
  std::unique_ptr<Keystore> keystore_;
  std::unique_ptr<Fence> fence_;
  std::unique_ptr<Core> core_;
  Ask ask_;
  Bytes session_;
  std::optional<StatusReply> status_;
  std::optional<Zone> zone_;
  std::optional<bool> asks_for_proofs_;
};

ChangeId id_of(const RecordRef& ref);
RecordRef ref_of(ChangeId id);
inline bool same(const RecordRef& a, const RecordRef& b) { return a.log() == b.log() && a.seq() == b.seq(); }
inline bool is_set(const RecordRef& ref) { return ref.log() != 0 && ref.seq() != 0; }
// In account: neither struck nor folded into another record.
inline bool counts(const RecordView& view) { return !view.struck() && !is_set(view.folded_into()); }

// Asks on the terminal and waits for "yes". Without a terminal, or with --json, a question cannot be asked:
// throws Stop (refused) that tells of --yes. Returns at once when --yes was given.
void confirm(const Options& options, const std::string& question);

std::string read_file(const std::string& path, const char* what);
void write_file(const std::string& path, const std::string& content, const char* what);

}  // namespace wrackline::cli
