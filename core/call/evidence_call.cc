// Evidence of some records for an outsider, as the text of a file, piece by piece. See core/README.md for the file.
#include <algorithm>

#include "base/base64.h"
#include "base/wire.h"
#include "call/evidence_plan.h"
#include "call/handlers.h"
#include "call/hub_word.h"
#include "crypto/texts.h"
#include "log/evidence_lines.h"
#include "log/marks.h"
#include "model/kinds.h"
#include "replica/author.h"

namespace wrackline {
namespace {

constexpr int kRecordsMax = 1000;
// A piece ends with the run that passes this.
constexpr std::size_t kPieceBytes = 512 * 1024;
// Fields of the message Person.
constexpr std::uint32_t kPinField = 3;

std::string member(const char* name, ByteView text) { return std::string(",\"") + name + "\":" + json_string(text); }
std::string member(const char* name, std::uint64_t number) {
  return std::string(",\"") + name + "\":" + std::to_string(number);
}
std::string member(const char* name, bool yes) { return std::string(",\"") + name + "\":" + (yes ? "true" : "false"); }

Unexpected refuse(const std::string& why) {
  return fail(ErrorCode::kInvalid, "writing evidence: " + why + "; nothing was written");
}

class Piece {
 public:
  Piece(Replica& replica, const proto::EvidenceCall& call, proto::EvidenceReply& out, EvidenceCheck check)
      : replica_(replica), logs_(replica.store().logs()), out_(out), writer_(check) {
    for (const proto::RecordRef& ref : call.records()) records_.push_back(id_of(ref));
  }

  Status begin(const EvidencePlan& plan, bool whole);
  // Goes on at `cursor`, moves it, and says whether there is more.
  Result<bool> go_on(proto::EvidenceCursor& cursor);
  void end(proto::EvidenceCursor& cursor);
  EvidenceWriter& writer() { return writer_; }

 private:
  void begin_part(const LogEntry& log, const proto::EvidencePart& part, const Hash& before);
  // The rest of the run that holds the cursor's change.
  Status write_run(const LogEntry& log, proto::EvidenceCursor& cursor);
  void count(ChangeId id, ByteView bytes, const LogEntry& log);

  Replica& replica_;
  LogTable& logs_;
  proto::EvidenceReply& out_;
  EvidenceWriter writer_;
  std::vector<RecordId> records_;
};

Status Piece::begin(const EvidencePlan& plan, bool whole) {
  std::string line = "{\"type\":\"evidence\"" + member("version", std::uint64_t{kEvidenceVersion});
  line += member("facility", to_hex(view(replica_.store().facility())));
  line += member("hub_key", to_hex(view(replica_.membership().hub_key)));
  line += member("written_ms", replica_.now()) + member("whole", whole) + ",\"records\":[";
  for (std::size_t i = 0; i < records_.size(); ++i) line += (i == 0 ? "" : ",") + json_string(to_text(records_[i]));
  writer_.line(line + "]");
  for (const auto& [record, name] : plan.names) {
    writer_.line("{\"type\":\"name\"" + member("record", to_text(record)) + member("name", name));
  }
  return {};
}

void Piece::begin_part(const LogEntry& log, const proto::EvidencePart& part, const Hash& before) {
  std::string line =
      "{\"type\":\"log\"" + member("log", to_text(log.id)) + member("sealed_as", to_text(log.sealed_as()));
  line += member("device", to_hex(view(*log.device)));
  line += member("first", std::uint64_t{part.first_seq()}) + member("last", std::uint64_t{part.last_seq()});
  line += member("before", to_hex(view(before)));
  if (log.branch)
    line += member("branch_of", to_text(log.branch->of)) + member("branch_after", std::uint64_t{log.branch->after});
  writer_.line(line);
}

Result<bool> Piece::go_on(proto::EvidenceCursor& cursor) {
  while (cursor.part() < static_cast<std::uint32_t>(cursor.parts_size())) {
    if (writer_.text().size() >= kPieceBytes) return true;
    const proto::EvidencePart& part = cursor.parts(static_cast<int>(cursor.part()));
    const LogEntry* log = logs_.find(LogId{part.log()});
    if (log == nullptr || !log->device || part.first_seq() <= log->base() || part.first_seq() > part.last_seq() ||
        part.last_seq() > log->sealed || cursor.seq() > part.last_seq() ||
        (cursor.seq() != 0 && cursor.seq() < part.first_seq())) {
      return refuse("where to go on is no place of this replica");
    }
    if (cursor.seq() == 0) {
      WRACKLINE_TRY_VALUE(before, logs_.chain_at(*log, part.first_seq() - 1));
      begin_part(*log, part, before);
      cursor.set_seq(part.first_seq());
    }
    WRACKLINE_TRY(write_run(*log, cursor));
    if (cursor.seq() <= part.last_seq()) continue;
    cursor.set_part(cursor.part() + 1);
    cursor.set_seq(0);
  }
  return false;
}

Status Piece::write_run(const LogEntry& log, proto::EvidenceCursor& cursor) {
  const Seq first = cursor.seq();
  WRACKLINE_TRY_VALUE(runs, logs_.runs_after(log, first - 1, 1));
  if (runs.empty() || runs.front().first > first) return refuse("where to go on is no place of this replica");
  const SealedRun& run = runs.front();
  WRACKLINE_TRY_VALUE(changes, unpack_run(run.codec, run.body, run.count));
  WRACKLINE_TRY_VALUE(chain, logs_.chain_at(log, run.first - 1));
  WRACKLINE_TRY_VALUE(receipts, replica_.store().receipts().after(log, first - 1));
  auto receipt = receipts.begin();
  MarkedChain computed{chain, {}};
  // In two walks: nothing of a run is written before its seal holds.
  for (std::size_t i = 0; i < changes.size(); ++i) computed.step(changes[i]);
  const ChangeId last{log.sealed_as(), run.last()};
  if (!verify_signature(*log.device, seal_text(replica_.store().facility(), last, computed.chain), run.seal)) {
    return fail(ErrorCode::kBadSeal,
                "writing evidence: log " + to_text(log.id) + ", changes " + std::to_string(run.first) + " to " +
                    std::to_string(run.last()) +
                    ": not what their device sealed, here; what was written proves nothing; see what `verify` says");
  }
  const auto put_receipts = [&](Seq seq) {
    for (; receipt != receipts.end() && receipt->seq <= seq; ++receipt) {
      writer_.line("{\"type\":\"receipt\"" + member("seq", std::uint64_t{receipt->seq}) +
                   member("held_ms", receipt->held_ms) + member("signature", to_hex(view(receipt->signature))));
      cursor.set_receipts(cursor.receipts() + 1);
    }
  };
  for (std::size_t i = first - run.first; i < changes.size(); ++i) {
    const Seq seq = run.first + static_cast<Seq>(i);
    writer_.line("{\"type\":\"change\"" + member("seq", std::uint64_t{seq}) + member("bytes", to_base64(changes[i])) +
                 member("mark", to_hex(ByteView(computed.marks).substr(i * kMarkBytes, kMarkBytes))));
    count({log.id, seq}, changes[i], log);
    if (seq != run.last()) put_receipts(seq);
  }
  writer_.line("{\"type\":\"seal\"" + member("seq", std::uint64_t{run.last()}) +
               member("hash", to_hex(view(computed.chain))) + member("signature", to_hex(view(run.seal))));
  put_receipts(run.last());
  cursor.set_changes(cursor.changes() + run.last() - first + 1);
  cursor.set_seals(cursor.seals() + 1);
  cursor.set_seq(run.last() + 1);
  return {};
}

// Whose changes go out with the file, beside those it is about.
void Piece::count(ChangeId id, ByteView bytes, const LogEntry& log) {
  Bytes content(bytes);
  logs_.bytes_to_content(log, content);
  const auto change = read_change(content);
  if (!change) return;
  const RecordId record = change->is_birth() ? id : change->record;
  const bool is_subject = std::find(records_.begin(), records_.end(), record) != records_.end();
  if (!is_subject) out_.set_neighbours(out_.neighbours() + 1);
  const auto state = replica_.store().records().load(logs_.find_place(record));
  if (!state || !*state || (*state)->kind != static_cast<std::uint32_t>(Kind::kPerson)) return;
  WireReader reader(change->fields);
  WireField field;
  while (reader.next(field)) {
    if (field.number != kPinField) continue;
    out_.set_secrets(out_.secrets() + 1);
    break;
  }
}

void Piece::end(proto::EvidenceCursor& cursor) {
  writer_.last_line("{\"type\":\"end\"" + member("lines", std::uint64_t{cursor.lines() + writer_.lines() + 1}) +
                    member("changes", std::uint64_t{cursor.changes()}) +
                    member("seals", std::uint64_t{cursor.seals()}) +
                    member("receipts", std::uint64_t{cursor.receipts()}));
}

}  // namespace

Status handle_evidence(Replica& replica, const proto::EvidenceCall& call, proto::EvidenceReply& out) {
  if (call.records_size() == 0 || call.records_size() > kRecordsMax) return refuse("name 1 to 1000 records");
  proto::EvidenceCursor cursor = call.at();
  Hash check = EvidenceCheck().chain();
  if (call.has_at() && !copy_exactly(cursor.check(), check))
    return refuse("where to go on is no place of this replica");
  Piece piece(replica, call, out, EvidenceCheck(check));
  if (!call.has_at()) {
    WRACKLINE_TRY(replica.author().seal());
    std::vector<RecordId> records;
    for (const proto::RecordRef& ref : call.records()) records.push_back(id_of(ref));
    WRACKLINE_TRY_VALUE(plan, plan_evidence(replica, records, call.whole()));
    for (const EvidenceSpan& span : plan.spans) {
      proto::EvidencePart& part = *cursor.add_parts();
      part.set_log(span.log.value);
      part.set_first_seq(span.first);
      part.set_last_seq(span.last);
    }
    WRACKLINE_TRY(piece.begin(plan, call.whole()));
  }
  WRACKLINE_TRY_VALUE(has_more, piece.go_on(cursor));
  if (!has_more) piece.end(cursor);
  cursor.set_lines(cursor.lines() + piece.writer().lines());
  cursor.set_check(Bytes(view(piece.writer().check())));
  out.set_text(piece.writer().text());
  out.set_changes(cursor.changes());
  out.set_seals(cursor.seals());
  out.set_receipts(cursor.receipts());
  for (const proto::EvidencePart& part : cursor.parts()) {
    out.set_changes_in_all(out.changes_in_all() + part.last_seq() - part.first_seq() + 1);
  }
  if (has_more) *out.mutable_next() = std::move(cursor);
  return {};
}

}  // namespace wrackline
