#include "cli/client.h"

#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <sstream>

#include "cli/act_at_hub.h"
#include "cli/asking.h"
#include "cli/names.h"
#include "hosts/file_fence.h"
#include "hosts/file_keystore.h"
#include "hosts/key_change.h"
#include "hosts/private_file.h"
#include "hosts/system_clock.h"
#include "records.pb.h"
#include "text/message_schema.h"

namespace wrackline::cli {

namespace {

constexpr std::size_t kSessionBytesMax = 64;

}  // namespace

WallMs wall_clock_now() {
  static const std::int64_t offset_ms = [] {
    const char* text = std::getenv("WRACKLINE_CLOCK_OFFSET_S");
    return text ? std::strtoll(text, nullptr, 10) * 1000 : 0LL;
  }();
  return static_cast<WallMs>(static_cast<std::int64_t>(wall_clock_ms()) + offset_ms);
}

Client::Client(Options options) : options_(std::move(options)) {
  const StateDir& dir = options_.dir;
  if (!std::filesystem::exists(dir.records()))
    throw Stop{Exit::kNotFound,
               "no records in " + dir.path +
                   ": this device is not enrolled there. Ask an admin for a one-time code and "
                   "run `wrack enrol`, or name another directory with --dir",
               "not_found"};
  keystore_ = take(open_key(dir.key(), dir.records()));
  fence_ = FileFence::beside(dir.records());
  core_ = take(Core::open({dir.records(), keystore_.get(), wall_clock_now, fence_.get()}));
  if (std::filesystem::exists(dir.session())) session_ = take(read_private_file(dir.session(), kSessionBytesMax));
}

void Client::keep_session(const Bytes& token) {
  session_ = token;
  if (!token.empty()) {
    take(replace_private_file(options_.dir.session(), token));
    return;
  }
  std::error_code error;
  std::filesystem::remove(options_.dir.session(), error);
  if (error)
    throw Stop{Exit::kStorage, "cannot remove " + options_.dir.session() + ": " + error.message(), "storage"};
}

Client::~Client() = default;

Keystore& Client::keystore() { return *keystore_; }

void Client::change_key(std::unique_ptr<Keystore> next) {
  take(core_->change_key(*next));
  keystore_ = std::move(next);
}

void Client::repin(const PublicKey& hub_key) {
  take(core_->repin(hub_key));
  refresh();
}

namespace {

Reply read_reply(const Bytes& bytes) {
  Reply reply;
  if (!reply.ParseFromString(bytes))
    throw Stop{Exit::kFailed, "the answer cannot be read; this is a fault of ours", "internal"};
  return reply;
}

}  // namespace

namespace {

bool is_failure(const Reply& reply, ErrorCode code) { return reply.failure().code() == static_cast<std::uint32_t>(code); }

}  // namespace

Reply Client::reply_of(const Bytes& bytes) {
  Reply reply = read_reply(bytes);
  if (reply.has_failure())
    throw stop_of({static_cast<ErrorCode>(reply.failure().code()), reply.failure().message()});
  return reply;
}

Bytes Client::call_bytes(const Bytes& call) {
  if (session_.empty()) return core_->call(call);
  // Fields may stand in any order, so the session goes before a call that need not be read for it; of two the later counts,
  // so that a call keeps its own.
  class Call with;
  with.set_session(session_);
  return core_->call(with.SerializeAsString() + call);
}

Reply Client::call(const Call& call) {
  if (ask_) return ask_(call);
  const Bytes bytes = call_bytes(call.SerializeAsString());
  const Reply reply = read_reply(bytes);
  if (is_failure(reply, ErrorCode::kAtHub)) return write_at_hub(call);
  if (!is_failure(reply, ErrorCode::kUnconfirmed)) return reply_of(bytes);
  class Call confirmed = call;
  answer_questions(*this, reply.failure(), confirmed);
  return reply_of(call_bytes(confirmed.SerializeAsString()));
}

Reply Client::write_at_hub(const Call& call) {
  AtHub hub(*this);
  Reply reply = hub.write(call);
  if (is_failure(reply, ErrorCode::kUnconfirmed)) {
    class Call confirmed = call;
    answer_questions(*this, reply.failure(), confirmed);
    reply = hub.write(confirmed);
  }
  return reply_of(reply.SerializeAsString());
}

void Client::let_answer(Ask ask) {
  ask_ = std::move(ask);
  status_.reset();
  zone_.reset();
}

RecordRef Client::author() {
  if (options_.person.empty() && status().has_session()) return status().session().person();
  if (options_.person.empty())
    throw usage(
        "who is writing? Sign in with `wrack sign-in NAME`, or name the person with --as NAME or in $WRACKLINE_PERSON "
        "(see `wrack people`)");
  return Names(*this).find("person", options_.person);
}

Call Client::authored() {
  Call call;
  *call.mutable_author() = author();
  return call;
}

const StatusReply& Client::status() {
  if (!status_) {
    Call call;
    call.mutable_status();
    status_ = this->call(call).status();
  }
  return *status_;
}

const Zone& Client::zone() {
  if (!zone_) {
    const std::string& name = status().time_zone();
    zone_ = take(Zone::find(name.empty() ? "Etc/UTC" : name));
  }
  return *zone_;
}

bool Client::asks_for_proofs() {
  if (!asks_for_proofs_) {
    asks_for_proofs_ = false;
    for (const RecordView& view : list(kind_number("facility"))) {
      proto::Facility facility;
      asks_for_proofs_ = *asks_for_proofs_ || (facility.ParseFromString(view.fields()) && facility.proof_required());
    }
  }
  return *asks_for_proofs_;
}

const Zone& Client::zone_for_writing() {
  if (status().time_zone().empty())
    throw refused(
        "the facility's time zone is not known here yet, so the day of an event cannot be told; run "
        "`wrack exchange`, or import a bundle, first");
  return zone();
}

When Client::event_time(const std::string& at) {
  const Zone& local = zone_for_writing();
  return local.when(at.empty() ? now() : typed(local.parse(at, now())));
}

RecordView Client::get(const RecordRef& record) {
  Call call;
  *call.mutable_get()->mutable_record() = record;
  return this->call(call).get().record();
}

std::vector<RecordView> Client::list(std::uint32_t kind, const std::optional<RecordRef>& subject, Range days,
                                     bool with_struck) {
  Call call;
  ListCall& list = *call.mutable_list();
  list.set_kind(kind);
  if (subject)
    *list.mutable_subject() = *subject;
  else
    list.set_all_subjects(true);
  if (days.first) list.set_first_day(*days.first);
  if (days.last) list.set_last_day(*days.last);
  list.set_with_struck(with_struck);
  list.set_limit(options_.page);
  std::vector<RecordView> out;
  for (bool more = true; more;) {
    Reply reply = this->call(call);
    more = reply.list().more();
    for (RecordView& view : *reply.mutable_list()->mutable_records()) out.push_back(std::move(view));
    if (more) *list.mutable_after() = out.back().record();
  }
  return out;
}

ChangeId id_of(const RecordRef& ref) { return {{ref.log()}, ref.seq()}; }

RecordRef ref_of(ChangeId id) {
  RecordRef ref;
  ref.set_log(id.log.value);
  ref.set_seq(id.seq);
  return ref;
}

void confirm(const Options& options, const std::string& question) {
  if (options.yes) return;
  if (options.json || !isatty(STDIN_FILENO))
    throw refused(question + " Nothing was written; add --yes if that is meant");
  std::cerr << question << " Type yes to go on: ";
  std::string answer;
  std::getline(std::cin, answer);
  if (answer != "yes") throw refused("nothing was written, since the answer was not yes");
}

std::string read_file(const std::string& path, const char* what) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream content;
  if (file && file.peek() != std::ifstream::traits_type::eof()) content << file.rdbuf();  // Nothing to copy is a failure to it.
  if (file.eof()) file.clear();
  if (!file || !content)
    throw Stop{std::filesystem::exists(path) ? Exit::kStorage : Exit::kNotFound,
               std::string("cannot read ") + what + " " + path + "; check the name and its permissions",
               "storage"};
  return content.str();
}

void write_file(const std::string& path, const std::string& content, const char* what) {
  // Beside it first, then renamed, so that a full disk leaves no half file under the name.
  const std::string beside = path + ".new";
  {
    std::ofstream file(beside, std::ios::binary | std::ios::trunc);
    file << content << std::flush;
    if (!file) {
      std::remove(beside.c_str());
      throw Stop{Exit::kStorage,
                 std::string("cannot write ") + what + " " + path + "; check space and permissions",
                 "storage"};
    }
  }
  std::error_code error;
  std::filesystem::rename(beside, path, error);
  if (error)
    throw Stop{Exit::kStorage, std::string("cannot write ") + what + " " + path + ": " + error.message(),
               "storage"};
}

}  // namespace wrackline::cli
