// Goal: an evidence file shows an outsider who wrote a record's values, when and on what device, and cannot be altered
// unnoticed. Method: files of real replicas, checked by the verifier's own code; then altered, with the checks of their
// lines made anew, as a forger would.
#include <filesystem>

#include "base/base64.h"
#include "base/wire.h"
#include "history.h"
#include "log/marks.h"
#include "model/hold.h"
#include "support/random.h"
#include "writing.h"

using namespace wrackline;
using namespace wrackline::evidence;

namespace {

bool says(const std::string& text, const std::string& what) { return text.find(what) != std::string::npos; }

// A portion that two people on two tablets gave values to, and a settlement; both tablets and the hub know of it.
struct Disputed {
  TwoKeepers keepers;
  RecordId meal, portion;

  Disputed() {
    auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
    std::tie(meal, portion) = on_north.meal(animal, food, 510, 1'200'000);
    facility.exchange_all();
    *north.clock += 60'000;
    *south.clock += 90'000;
    REQUIRE(on_north.try_left(portion, 80'000, "weighed at the pool"));
    REQUIRE(on_south.try_left(portion, 95'000, "weighed in the kitchen"));
    on_south.meal(animal, food, 700, 300'000);
    facility.exchange_all();
    REQUIRE(on_north.try_left(portion, 90'000, "both were asked", true));
    facility.exchange_all();
  }
  Device& device() { return keepers.north; }
  PublicKey hub_key() { return keepers.facility.hub().keystore->public_key(); }
};

// Index of the lines of a type.
std::vector<std::size_t> lines_with(const std::vector<std::string>& lines, const std::string& type) {
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (lines[i].rfind("{\"type\":\"" + type + "\"", 0) == 0) out.push_back(i);
  }
  return out;
}

std::string member_of(const std::string& line, const std::string& before) {
  const std::size_t from = line.find(before) + before.size();
  return line.substr(from, line.find_first_of("\",}", from) - from);
}

// "log 00c0ffee00c0ffee, change 17" for a line of a change.
std::string change_at(const std::vector<std::string>& lines, std::size_t at) {
  std::size_t log = at;
  while (lines[log].rfind("{\"type\":\"log\"", 0) != 0) --log;
  return "log " + member_of(lines[log], "\"log\":\"") + ", change " + member_of(lines[at], "\"seq\":");
}

}  // namespace

TEST_CASE("evidence of a record that two devices edited holds, and tells its history", "[evidence]") {
  Disputed disputed;
  const WrittenEvidence written = evidence_of(disputed.device(), {disputed.portion});
  const File file = must(read_file(written.text));
  const Verdict verdict = check(file, {disputed.hub_key()});
  INFO(written.text);
  REQUIRE(verdict.problems == std::vector<std::string>{});
  CHECK(verdict.changes >= 4);
  CHECK(verdict.seals >= 3);
  CHECK(verdict.receipts >= 3);
  CHECK(verdict.devices.size() >= 2);
  const std::string history = history_text(file, verdict);
  INFO(history);
  CHECK(says(history, "Record " + to_text(disputed.portion) + ", a portion"));
  CHECK(says(history, "by Ines Valdor on \"north tablet\""));
  CHECK(says(history, "on \"south tablet\""));
  CHECK(says(history, "left: 80 g and 95 g -> 90 g"));
  CHECK(says(history, "why: both were asked"));
  CHECK(says(history, "held by the hub 20"));
  CHECK_FALSE(says(history, "no receipt"));
  CHECK_FALSE(says(history, "not in this file"));
  // The food is not in the file's changes of its own; its name is the writer's word.
  CHECK(says(history, "*"));
  CHECK(written.neighbours > 0);
}

TEST_CASE("the same file comes from every replica that holds the record", "[evidence]") {
  Disputed disputed;
  const auto of = [&](Device& device) {
    std::vector<std::string> lines = lines_of(evidence_of(device, {disputed.portion}).text);
    lines.erase(lines.begin());  // Says when it was written.
    lines.pop_back();
    for (std::string& line : lines) line.resize(line.rfind(kEvidenceCheckMember));
    return lines;
  };
  CHECK(of(disputed.keepers.south) == of(disputed.keepers.north));
  CHECK(of(disputed.keepers.facility.hub()) == of(disputed.keepers.north));
}

TEST_CASE("what a device has not sealed yet is sealed for the file", "[evidence]") {
  Disputed disputed;
  auto& on_north = disputed.keepers.on_north;
  REQUIRE(on_north.try_left(disputed.portion, 70'000, "looked again"));
  const WrittenEvidence written = evidence_of(disputed.device(), {disputed.portion});
  const File file = must(read_file(written.text));
  const Verdict verdict = check(file, {disputed.hub_key()});
  REQUIRE(verdict.problems == std::vector<std::string>{});
  CHECK(says(history_text(file, verdict), "90 g -> 70 g"));
  CHECK(says(history_text(file, verdict), "no receipt of the hub for it"));
}

TEST_CASE("whole logs begin at their first change", "[evidence]") {
  Disputed disputed;
  const std::string text = evidence_of(disputed.device(), {disputed.portion}, true).text;
  const File file = must(read_file(text));
  REQUIRE(check(file, {disputed.hub_key()}).problems == std::vector<std::string>{});
  CHECK(file.whole);
  std::size_t from_first = 0;
  for (const FilePart& part : file.parts) {
    CAPTURE(to_text(part.log));
    CHECK(part.first == 1);
    const LogEntry* log = disputed.device().replica->store().logs().find(part.log);
    CHECK(part.last == log->head.seq);
    from_first += part.first == 1 ? 1 : 0;
  }
  CHECK(from_first == 3);  // The hub's and both tablets'.
  // A file that only says so is found out.
  std::vector<std::string> lines = lines_of(evidence_of(disputed.device(), {disputed.portion}).text);
  const std::size_t at = lines[0].find("\"whole\":false");
  REQUIRE(at != std::string::npos);
  lines[0].replace(at, 13, "\"whole\":true");
  const auto problems = problems_of(with_checks(lines));
  REQUIRE_FALSE(problems.empty());
  CHECK(says(problems.front(), "says it holds whole logs"));
}

TEST_CASE("a large file is written in pieces", "[evidence]") {
  Disputed disputed;
  auto& on_north = disputed.keepers.on_north;
  for (int i = 0; i < 40; ++i) {
    REQUIRE(on_north.try_left(disputed.portion, 70'000 + static_cast<std::uint64_t>(i), std::string(60'000, 'x')));
  }
  const WrittenEvidence written = evidence_of(disputed.device(), {disputed.portion});
  CHECK(written.pieces > 2);
  CHECK(problems_of(written.text, {disputed.hub_key()}) == std::vector<std::string>{});
}

TEST_CASE("any altered change is named exactly, though its line was made to look right", "[evidence]") {
  Disputed disputed;
  const std::vector<std::string> good = lines_of(evidence_of(disputed.device(), {disputed.portion}, true).text);
  const auto changes = lines_with(good, "change");
  REQUIRE(changes.size() > 8);
  Random random = test_random("any altered change is named exactly");
  for (int round = 0; round < 60; ++round) {
    std::vector<std::string> lines = good;
    const std::size_t at = random.pick(changes);
    Bytes bytes = *from_base64(member_of(lines[at], "\"bytes\":\""));
    const std::size_t byte = random.below(bytes.size());
    bytes[byte] = static_cast<char>(bytes[byte] ^ static_cast<char>(1 + random.below(255)));
    replace_member(lines[at], "\"bytes\":\"", to_base64(bytes));
    CAPTURE(round, at, byte);
    const auto problems = problems_of(with_checks(lines));
    REQUIRE(problems.size() == 1);
    CHECK(problems.front().rfind(change_at(good, at) + " (line " + std::to_string(at + 1) + "): altered after sealing",
                                 0) == 0);
  }
}

TEST_CASE("who forges marks as well does not get past the seal", "[evidence]") {
  Disputed disputed;
  std::vector<std::string> lines = lines_of(evidence_of(disputed.device(), {disputed.portion}, true).text);
  // The last change of the first part, so that one mark is all there is to forge.
  const std::size_t seal = lines_with(lines, "seal").front();
  const std::size_t at = seal - 1;
  const File file = must(read_file(with_checks(lines)));
  const FilePart& part = file.parts.front();
  Hash chain = part.before;
  for (std::size_t i = 0; i + 1 < seal - lines_with(lines, "change").front(); ++i)
    chain = chain_next(chain, part.changes[i].bytes);
  Bytes bytes = *from_base64(member_of(lines[at], "\"bytes\":\""));
  bytes.back() = static_cast<char>(bytes.back() ^ 1);
  replace_member(lines[at], "\"bytes\":\"", to_base64(bytes));
  replace_member(lines[at], "\"mark\":\"", to_hex(mark_of(chain_next(chain, bytes))));
  const auto problems = problems_of(with_checks(lines));
  REQUIRE(problems.size() == 1);
  CHECK(says(problems.front(), "not what their device sealed"));
  CHECK(says(problems.front(), "log " + to_text(part.log)));
}

TEST_CASE("receipts, seals, keys and beginnings cannot be exchanged for others", "[evidence]") {
  Disputed disputed;
  const std::vector<std::string> good = lines_of(evidence_of(disputed.device(), {disputed.portion}, true).text);
  const auto problem_with = [&](std::size_t at, const std::string& before, const std::string& value) {
    std::vector<std::string> lines = good;
    replace_member(lines[at], before, value);
    const auto problems = problems_of(with_checks(lines));
    REQUIRE_FALSE(problems.empty());
    return problems.front();
  };
  const std::size_t receipt = lines_with(good, "receipt").front(), seal = lines_with(good, "seal").front();
  const std::size_t log = lines_with(good, "log").back();
  const std::string other_hash(64, 'a'), other_signature(128, 'b');
  CHECK(says(problem_with(receipt, "\"signature\":\"", other_signature), "is not the hub's word"));
  CHECK(says(problem_with(seal, "\"signature\":\"", other_signature),
             "the seal (line " + std::to_string(seal + 1) + ")"));
  CHECK(says(problem_with(seal, "\"hash\":\"", other_hash), "only the hash beside its seal was altered"));
  CHECK(says(problem_with(log, "\"before\":\"", other_hash), "is not that of this facility, log and device"));
  CHECK(says(problem_with(log, "\"device\":\"", other_hash), "log "));
  CHECK(says(problem_with(0, "\"facility\":\"", std::string(32, 'c')), "is not that of this facility"));
  // Another hub's key: then nobody has enrolled the devices.
  const std::string stranger = problem_with(0, "\"hub_key\":\"", other_hash);
  CHECK((says(stranger, "none that the hub has enrolled") || says(stranger, "not the hub's word")));
  const std::string held = member_of(good[receipt], "\"held_ms\":");
  std::vector<std::string> lines = good;
  lines[receipt].replace(lines[receipt].find(held), held.size(), std::to_string(std::stoull(held) - 1000));
  CHECK(says(problems_of(with_checks(lines)).at(0), "is not the hub's word"));
}

TEST_CASE("a whole file made up with another hub is told by the hub's key only", "[evidence]") {
  Disputed disputed, made_up;
  Facility other(77);
  Device& device = other.add_device("north tablet");
  Shift shift(device, other.keeper());
  other.exchange_all();
  const RecordId animal = shift.animal("Nereid");
  const std::string text = evidence_of(device, {animal}).text;
  CHECK(problems_of(text) == std::vector<std::string>{});
  const auto problems = problems_of(text, {disputed.hub_key()});
  REQUIRE_FALSE(problems.empty());
  CHECK(says(problems.front(), "not made for the hub whose key was given"));
}

TEST_CASE("evidence of a branch holds, with the hub's hold that named it", "[evidence]") {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  facility.exchange_all();
  Shift keeper(tablet, facility.keeper());
  const RecordId animal = keeper.animal("Nereid"), food = keeper.food("herring");
  facility.exchange_all();
  tablet.replica.reset();
  Device clone;
  clone.path = tablet.path + "-clone";
  std::filesystem::copy_file(tablet.path, clone.path);
  clone.keystore = std::make_unique<SeededKeystore>(1001);
  clone.clock = std::make_shared<WallMs>(*tablet.clock + 5'000);
  clone.reopen();
  tablet.reopen();
  keeper.meal(animal, food, 900, 1'000'000);
  Shift second(clone, facility.keeper());
  const auto [meal, portion] = second.meal(animal, food, 1'000, 2'000'000);
  REQUIRE(second.try_left(portion, 50'000, "weighed"));
  for (int round = 0; round < 3; ++round) {
    facility.exchange_all();
    must(facility.exchange(clone));
  }
  Store& store = tablet.replica->store();
  must(store.refresh());
  const auto holds = must(store.records().find(0, Kind::kHold, 0, 0));
  REQUIRE(holds.size() == 1);
  const HeldChanges held = held_changes(must(store.records().load(holds.front()))->fields);
  const RecordId in_branch{held.log, portion.seq};
  for (const bool whole : {false, true}) {
    CAPTURE(whole);
    const std::string text = evidence_of(tablet, {in_branch}, whole).text;
    INFO(text);
    const File file = must(read_file(text));
    const Verdict verdict = check(file, {facility.hub().keystore->public_key()});
    REQUIRE(verdict.problems == std::vector<std::string>{});
    const std::string history = history_text(file, verdict);
    INFO(history);
    CHECK(says(history, "the hub keeps it out of account"));
    CHECK(says(history, "left: 50 g"));
    CHECK(says(text, "\"branch_of\":\""));
  }
  // Called by another log's id, the branch is refused.
  std::vector<std::string> lines = lines_of(evidence_of(tablet, {in_branch}, true).text);
  for (std::string& line : lines) {
    if (says(line, "\"branch_of\"")) replace_member(line, "\"log\":\"", "00000000000000aa");
  }
  const auto problems = problems_of(with_checks(lines));
  REQUIRE_FALSE(problems.empty());
  CHECK(says(problems.front(), "log 00000000000000aa"));
}

TEST_CASE("what a person signs in with stays out, unless a seal covers it too", "[evidence]") {
  Disputed disputed;
  auto& [facility, north, south, on_north, on_south, animal, food] = disputed.keepers;
  proto::Person person;
  person.set_pin(Bytes(52, '\1'));  // As long as the hash of one.
  REQUIRE(on_south.try_edit(facility.keeper(), person, "a new one"));
  facility.exchange_all();
  CHECK(evidence_of(north, {disputed.portion}).secrets == 0);
  const WrittenEvidence whole = evidence_of(north, {disputed.portion}, true);
  CHECK(whole.secrets == 1);
  const File file = must(read_file(whole.text));
  CHECK_FALSE(says(history_text(file, check(file, {})), "4711"));
}

TEST_CASE("evidence is refused in a sentence when there is nothing to show, or what is here was altered",
          "[evidence]") {
  Disputed disputed;
  proto::Call call;
  const auto failure = [&] {
    proto::Reply reply;
    REQUIRE(reply.ParseFromString(dispatch(*disputed.device().replica, call.SerializeAsString())));
    return static_cast<ErrorCode>(reply.failure().code());
  };
  call.mutable_evidence();
  CHECK(failure() == ErrorCode::kInvalid);
  *call.mutable_evidence()->add_records() = ref_of({LogId{7}, 7});
  CHECK(failure() == ErrorCode::kNotFound);
  *call.mutable_evidence()->mutable_records(0) = ref_of(disputed.portion);
  // A place to go on at that this replica never gave.
  proto::EvidencePart& part = *call.mutable_evidence()->mutable_at()->add_parts();
  call.mutable_evidence()->mutable_at()->set_check(std::string(32, 'x'));
  CHECK(failure() == ErrorCode::kInvalid);
  part.set_log(disputed.portion.log.value);
  part.set_first_seq(1);
  for (const std::uint32_t last : {0u, 1'000'000u, 0xffffffffu}) {
    part.set_last_seq(last);
    CHECK(failure() == ErrorCode::kInvalid);
  }
  part.set_last_seq(2);
  call.mutable_evidence()->mutable_at()->set_seq(3);
  CHECK(failure() == ErrorCode::kInvalid);
  call.mutable_evidence()->mutable_at()->set_check("short");
  CHECK(failure() == ErrorCode::kInvalid);
}
