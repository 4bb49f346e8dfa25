// Goal: an evidence file shows an outsider who wrote a record's values, when and on what device, and cannot be altered
// unnoticed. Method: files of real replicas, checked by the verifier's own code; then altered, with the checks of their
// lines made anew, as a forger would.
#include <filesystem>

#include "base/base64.h"
#include "base/wire.h"
#include "history.h"
#include "model/hold.h"
#include "replica/at_hub.h"
#include "store/store.h"
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
  const Verdict verdict = check(file, disputed.hub_key());
  INFO(written.text);
  REQUIRE(verdict.problems == std::vector<std::string>{});
  CHECK(verdict.changes >= 4);
  CHECK(verdict.seals >= 3);
  CHECK(verdict.arrivals >= 3);
  CHECK(verdict.devices.size() >= 2);
  const std::string history = history_text(file, verdict);
  INFO(history);
  CHECK(says(history, "Record " + to_text(disputed.portion) + ", a portion"));
  CHECK(says(history, "by Ines Valdor on \"north tablet\""));
  CHECK(says(history, "on \"south tablet\""));
  CHECK(says(history, "left: 80 g and 95 g -> 90 g"));
  CHECK(says(history, "why: both were asked"));
  CHECK(says(history, "held by the hub 20"));
  CHECK_FALSE(says(history, "no word of the hub"));
  CHECK_FALSE(says(history, "does not show"));
  // The food is not in the file's changes of its own; its name is the writer's word.
  CHECK(says(history, "*"));
  CHECK(written.withheld == 0);
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
  const Verdict verdict = check(file, disputed.hub_key());
  REQUIRE(verdict.problems == std::vector<std::string>{});
  CHECK(says(history_text(file, verdict), "90 g -> 70 g"));
  CHECK(says(history_text(file, verdict), "no word of the hub in this file"));
}

TEST_CASE("whole logs are there from their first change to their last, others' content withheld", "[evidence]") {
  Disputed disputed;
  const WrittenEvidence written = evidence_of(disputed.device(), {disputed.portion}, true);
  const File file = must(read_file(written.text));
  const Verdict verdict = check(file, disputed.hub_key());
  REQUIRE(verdict.problems == std::vector<std::string>{});
  CHECK(file.whole);
  CHECK(written.withheld > 0);
  CHECK(verdict.withheld == written.withheld);
  CHECK(says(history_text(file, verdict), "left: 80 g and 95 g -> 90 g"));
  std::size_t whole = 0;
  for (const auto& [id, log] : file.logs) {
    CAPTURE(to_text(id));
    const LogEntry* held = disputed.device().replica->store().logs().find(id);
    CHECK(log.size() == held->head.seq);
    whole += log.whole ? 1 : 0;
    CHECK(log.whole != log.is_arrivals());
    if (log.whole) CHECK(log.changes.size() == log.size());
  }
  CHECK(whole == 3);  // The hub's and both tablets'.
  // A file that only says so is found out.
  std::vector<std::string> lines = lines_of(evidence_of(disputed.device(), {disputed.portion}).text);
  const std::size_t at = lines[0].find("\"whole\":false");
  REQUIRE(at != std::string::npos);
  lines[0].replace(at, 13, "\"whole\":true");
  const auto problems = problems_of(with_checks(lines));
  REQUIRE_FALSE(problems.empty());
  CHECK(says(problems.front(), "says that it holds whole logs"));
}

TEST_CASE("a large file is written in pieces", "[evidence]") {
  Disputed disputed;
  auto& on_north = disputed.keepers.on_north;
  for (int i = 0; i < 40; ++i) {
    REQUIRE(on_north.try_left(disputed.portion, 70'000 + static_cast<std::uint64_t>(i), std::string(60'000, 'x')));
  }
  const WrittenEvidence written = evidence_of(disputed.device(), {disputed.portion});
  CHECK(written.pieces > 2);
  CHECK(problems_of(written.text, disputed.hub_key()) == std::vector<std::string>{});
}

TEST_CASE("any altered change is named, and no other, though its line was made to look right", "[evidence]") {
  Disputed disputed;
  const std::vector<std::string> good = lines_of(evidence_of(disputed.device(), {disputed.portion}).text);
  const auto changes = lines_with(good, "change");
  REQUIRE(changes.size() > 8);
  Random random = test_random("any altered change is named");
  for (int round = 0; round < 100; ++round) {
    std::vector<std::string> lines = good;
    const std::size_t at = random.pick(changes);
    const std::string member = random.pick(std::vector<std::string>{"\"envelope\":\"", "\"content\":\"", "\"salt\":\"", "\"path\":\""});
    if (!says(lines[at], member)) continue;
    Bytes bytes = *from_base64(member_of(lines[at], member));
    const std::size_t byte = random.below(bytes.size());
    bytes[byte] = static_cast<char>(bytes[byte] ^ static_cast<char>(1 + random.below(255)));
    replace_member(lines[at], member, to_base64(bytes));
    CAPTURE(round, at, member, byte);
    const auto problems = problems_of(with_checks(lines));
    REQUIRE_FALSE(problems.empty());
    CHECK(problems.front().rfind(change_at(good, at) + " (line " + std::to_string(at + 1) + "): altered after sealing", 0) == 0);
    // Where a hash beside the way was altered, the change that stands below it is at odds with the file as well.
    if (member != "\"path\":\"") CHECK(problems.size() == 1);
  }
}

TEST_CASE("in a whole log an altered line is named, and the log where lines were made anew", "[evidence]") {
  Disputed disputed;
  const std::vector<std::string> good = lines_of(evidence_of(disputed.device(), {disputed.portion}, true).text);
  std::vector<std::size_t> withheld;
  for (const std::size_t at : lines_with(good, "change")) {
    if (says(good[at], "\"commit\"")) withheld.push_back(at);
  }
  REQUIRE(withheld.size() > 2);
  Random random = test_random("in a whole log");
  for (int round = 0; round < 20; ++round) {
    std::vector<std::string> lines = good;
    const std::size_t at = random.pick(withheld);
    Bytes bytes = *from_base64(member_of(lines[at], "\"commit\":\""));
    bytes[random.below(bytes.size())] ^= 1;
    replace_member(lines[at], "\"commit\":\"", to_base64(bytes));
    CAPTURE(round, at);
    std::string as_is;
    for (const std::string& line : lines) as_is += line + "\n";
    const auto damaged = problems_of(as_is);
    REQUIRE_FALSE(damaged.empty());
    CHECK(damaged.front().rfind(change_at(good, at) + " (line " + std::to_string(at + 1) + "): altered after sealing", 0) == 0);
    const auto forged = problems_of(with_checks(lines));
    REQUIRE_FALSE(forged.empty());
    CHECK(says(forged.front(), "which of them was altered cannot be told"));
  }
}

TEST_CASE("seals, keys, roots, reaches and nonces cannot be exchanged for others", "[evidence]") {
  Disputed disputed;
  // Behind what the hub has told of.
  REQUIRE(disputed.keepers.on_north.try_left(disputed.portion, 70'000, "looked again"));
  const std::vector<std::string> good = lines_of(evidence_of(disputed.device(), {disputed.portion}).text);
  const auto problem_with = [&](std::size_t at, const std::string& before, const std::string& value) {
    std::vector<std::string> lines = good;
    replace_member(lines[at], before, value);
    const auto problems = problems_of(with_checks(lines));
    REQUIRE_FALSE(problems.empty());
    return problems.front();
  };
  const std::string other_hash = to_base64(std::string(32, 'a')), other_signature = to_base64(std::string(64, 'b'));
  const auto logs = lines_with(good, "log");
  REQUIRE(logs.size() >= 4);
  for (const std::size_t log : logs) {
    CAPTURE(good[log]);
    CHECK(says(problem_with(log, "\"signature\":\"", other_signature), "the seal is not its device's"));
    CHECK(says(problem_with(log, "\"root\":\"", other_hash), "the seal is not its device's"));
    CHECK(says(problem_with(log, "\"nonce\":\"", to_base64(std::string(16, 'c'))), "its id does not follow"));
    if (says(good[log], "\"device\"")) CHECK(says(problem_with(log, "\"device\":\"", other_hash), "its id does not follow"));
    if (says(good[log], "\"seen_root\"")) CHECK(says(problem_with(log, "\"seen_root\":\"", other_hash), "the seal is not its device's"));
  }
  CHECK(says(problem_with(0, "\"facility\":\"", to_base64(std::string(16, 'c'))), "its id does not follow"));
  CHECK(says(problem_with(0, "\"hub_key\":\"", other_hash), "its id does not follow"));
  const auto reaches = lines_with(good, "reach");
  REQUIRE_FALSE(reaches.empty());
  for (const std::size_t reach : reaches) {
    std::vector<std::string> lines = good;
    const std::string size = member_of(lines[reach], "\"size\":");
    const std::size_t at = lines[reach].find("\"size\":" + size) + 7;
    lines[reach].replace(at, size.size(), std::to_string(std::stoull(size) - 1));
    CHECK_FALSE(problems_of(with_checks(lines)).empty());
    if (says(good[reach], "\"path\"")) CHECK(says(problem_with(reach, "\"path\":\"", other_hash), "does not lead to what its device sealed"));
  }
}

TEST_CASE("a path from another log, another change or another size is refused", "[evidence]") {
  Disputed disputed;
  const std::vector<std::string> good = lines_of(evidence_of(disputed.device(), {disputed.portion}).text);
  std::vector<std::size_t> with_path;
  for (const std::size_t at : lines_with(good, "change")) {
    if (says(good[at], "\"path\"")) with_path.push_back(at);
  }
  REQUIRE(with_path.size() > 2);
  for (const std::size_t at : with_path) {
    for (const std::size_t from : with_path) {
      const std::string path = member_of(good[from], "\"path\":\"");
      if (path == member_of(good[at], "\"path\":\"")) continue;
      std::vector<std::string> lines = good;
      replace_member(lines[at], "\"path\":\"", path);
      CAPTURE(at, from);
      CHECK_FALSE(problems_of(with_checks(lines)).empty());
    }
    Bytes path = *from_base64(member_of(good[at], "\"path\":\""));
    for (const Bytes& wrong : {path + Bytes(32, 'x'), path.substr(32) + Bytes(32, 'x'), path.substr(0, path.size() - 1)}) {
      std::vector<std::string> lines = good;
      replace_member(lines[at], "\"path\":\"", to_base64(wrong));
      CHECK_FALSE(problems_of(with_checks(lines)).empty());
    }
  }
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
  const auto problems = problems_of(text, disputed.hub_key());
  REQUIRE_FALSE(problems.empty());
  CHECK(says(problems.front(), "not made for the hub whose key was given"));
}

TEST_CASE("evidence of a branch holds, with the hub's hold that named it", "[evidence]") {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  facility.exchange_all();
  Shift keeper(tablet, facility.keeper());
  const RecordId animal = keeper.animal("Nereid"), food = keeper.food("herring");
  keeper.meal(animal, food, 510, 1'000'000);
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

TEST_CASE("evidence says which author was proven to the hub, and which is the device's word", "[evidence]") {
  Disputed disputed;
  Facility& facility = disputed.keepers.facility;
  Device& north = disputed.keepers.north;
  const auto told = [&](Device& device) {
    const File file = must(read_file(evidence_of(device, {disputed.portion}).text));
    const Verdict verdict = check(file, disputed.hub_key());
    REQUIRE(verdict.problems == std::vector<std::string>{});
    return history_text(file, verdict);
  };
  CHECK(says(told(north), "by the device's word"));
  CHECK_FALSE(says(told(north), "proven to the hub"));
  must(facility.hub().replica->note_presence(facility.keeper(), north.keystore->public_key()));
  facility.exchange_all();
  for (Device* device : {&north, &facility.hub()}) *device->clock += 3'600'000;
  must(disputed.keepers.on_north.try_left(disputed.portion, 123'000, "weighed again", true));
  facility.exchange_all();
  for (Device* device : {&north, &facility.hub()}) {
    CHECK(says(told(*device), "proven to the hub"));
    CHECK(says(told(*device), "by the device's word"));  // Entries written before stay the device's word.
  }
}

TEST_CASE("evidence says since when a person has a PIN, and holds nothing to try PINs against", "[evidence]") {
  Disputed disputed;
  Facility& facility = disputed.keepers.facility;
  Replica& hub = *facility.hub().replica;
  must(set_pin_at_machine(hub, facility.keeper(), "604812", "for a test"));
  facility.exchange_all();
  const Bytes hash = must(hub.store().hub_secrets().find("pin-" + to_text(facility.keeper())));
  REQUIRE(hash.size() == 52);
  for (const bool whole : {false, true}) {
    CAPTURE(whole);
    for (Device* device : {&facility.hub(), &disputed.keepers.north}) {
      const File file = must(read_file(evidence_of(*device, {facility.keeper()}, whole).text));
      const Verdict verdict = check(file, disputed.hub_key());
      REQUIRE(verdict.problems == std::vector<std::string>{});
      CHECK(says(history_text(file, verdict), "pin set"));
      for (const auto& [id, log] : file.logs) {
        for (const FileChange& change : log.changes) {
          for (const Bytes& part : {Bytes("604812"), hash.substr(4, 16), hash.substr(20)}) CHECK(change.parts.content.find(part) == Bytes::npos);
        }
      }
    }
  }
}

TEST_CASE("a sentence refuses evidence when there is nothing to show, or when changes were altered",
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
  for (const std::uint32_t seq : {0u, 1'000'000u, 0xffffffffu}) {
    part.clear_shown();
    part.add_shown(seq);
    CHECK(failure() == ErrorCode::kInvalid);
    part.clear_shown();
    part.add_shown(1);
    part.add_reaches(seq);
    CHECK(failure() == ErrorCode::kInvalid);
    part.clear_reaches();
  }
  part.add_withheld(1);
  CHECK(failure() == ErrorCode::kInvalid);
  part.clear_withheld();
  call.mutable_evidence()->mutable_at()->set_at(3);
  CHECK(failure() == ErrorCode::kInvalid);
  call.mutable_evidence()->mutable_at()->set_check("short");
  CHECK(failure() == ErrorCode::kInvalid);
}
