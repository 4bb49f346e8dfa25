// Goal: whoever holds some keys, a given-up key of the hub's among them, gets nothing past the checker that those keys cannot say,
// and no text of a file steers the terminal. Method: files made up whole with such keys.
//
// With the environment variable WRACKLINE_EVIDENCE_FILES each file is written to that folder too, for the checker that knows the
// description only (run.sh): NAME.evidence, and its hub key and verdict in NAME.wanted.
#include <records.pb.h>

#include <cstdlib>
#include <fstream>

#include "base/wire.h"
#include "forge.h"
#include "history.h"
#include "text/visible.h"
#include "writing.h"

using namespace wrackline;
using namespace wrackline::evidence;

namespace {

bool has_words(const std::string& text, const std::string& words) { return text.find(words) != std::string::npos; }

// The sentences against a file by a known key.
std::vector<std::string> judged(const std::string& name, const std::string& text, const PublicKey& hub_key) {
  const auto problems = problems_of(text, hub_key);
  if (const char* folder = std::getenv("WRACKLINE_EVIDENCE_FILES")) {
    std::ofstream(std::string(folder) + "/" + name + ".evidence", std::ios::binary) << text;
    std::ofstream(std::string(folder) + "/" + name + ".wanted") << to_hex(view(hub_key)) << (problems.empty() ? " GOOD\n" : " BAD\n");
  }
  return problems;
}

Bytes animal_fields(const std::string& name) {
  proto::Animal animal;
  animal.set_name(name);
  return animal.SerializeAsString();
}

constexpr auto kAnimal = static_cast<std::uint32_t>(Kind::kAnimal);

// A hub that gave up its first key for a second one, and a device that it never enrolled.
struct HandedOver {
  SeededKeystore first{901}, second{902}, invented{903};
  ForgedLog before{first}, after{second}, made_up{invented};
  RecordId record = made_up.add(kAnimal, animal_fields("Nereid"));

  std::string file(const PublicKey& hub_key, const std::vector<const ForgedLog*>& logs) const {
    std::vector<std::vector<std::string>> lines;
    for (const ForgedLog* log : logs) lines.push_back(log->lines());
    return forged_file(hub_key, record, lines);
  }
};

}  // namespace

TEST_CASE("a device that the hub enrolled before it gave its key up counts under both keys", "[evidence][forged]") {
  HandedOver made;
  made.before.enrol(made.invented.public_key(), "north tablet");
  const ChangeId end = made.before.hand_over(made.second.public_key());
  made.after.hand_over(made.first.public_key(), {end});
  const std::string text = made.file(made.second.public_key(), {&made.before, &made.after, &made.made_up});
  CHECK(judged("handed-over", text, made.second.public_key()) == std::vector<std::string>{});
  CHECK(judged("handed-over-by-the-old-key", text, made.first.public_key()) == std::vector<std::string>{});
  CHECK_FALSE(judged("handed-over-by-a-stranger", text, made.invented.public_key()).empty());
}

TEST_CASE("a given-up hub key that enrols an invented device is found out", "[evidence][forged]") {
  HandedOver made;
  made.before.enrol(made.first.public_key(), "hub");
  const ChangeId end = made.before.hand_over(made.second.public_key());
  made.after.hand_over(made.first.public_key(), {end});
  SECTION("behind the end of its log") {
    made.before.enrol(made.invented.public_key(), "north tablet");
    const std::string text = made.file(made.second.public_key(), {&made.before, &made.after, &made.made_up});
    for (const PublicKey& key : {made.first.public_key(), made.second.public_key()}) {
      const auto problems = judged(key == made.first.public_key() ? "behind-end-old" : "behind-end-new", text, key);
      REQUIRE_FALSE(problems.empty());
      CHECK(has_words(problems.front(), "change 3"));
      CHECK(has_words(problems.front(), "given up"));
    }
  }
  SECTION("in a log of its own") {
    ForgedLog fresh(made.first, LogClass::kMixed, 9);
    fresh.enrol(made.invented.public_key(), "north tablet");
    const std::string text = made.file(made.second.public_key(), {&made.before, &made.after, &fresh, &made.made_up});
    CHECK_FALSE(judged("fresh-log-new", text, made.second.public_key()).empty());
    CHECK_FALSE(judged("fresh-log-old", text, made.first.public_key()).empty());
  }
  SECTION("without the word of the key that came after it") {
    made.before.enrol(made.invented.public_key(), "north tablet");
    for (const PublicKey& named : {made.first.public_key(), made.second.public_key()}) {
      const std::string text = made.file(named, {&made.before, &made.made_up});
      CHECK_FALSE(judged(named == made.first.public_key() ? "left-out-old" : "left-out-new", text, made.second.public_key()).empty());
    }
  }
}

TEST_CASE("a made-up change of an enrolled device is dated by the hub alone", "[evidence][forged]") {
  SeededKeystore hub(911), device(912);
  ForgedLog devices(hub), changes(device), told(hub, LogClass::kArrivals), told_by_device(device, LogClass::kArrivals);
  devices.enrol(device.public_key(), "north tablet");
  const RecordId record = changes.add(kAnimal, animal_fields("Nereid"));
  ForgedLog others(device, LogClass::kMixed, 3);
  others.add(kAnimal, animal_fields("Triton"));
  told.tell(changes);
  told_by_device.tell(changes);
  const auto file_with = [&](const ForgedLog& arrivals) {
    return forged_file(hub.public_key(), record, {devices.lines(), changes.lines(), arrivals.lines()});
  };
  const std::string good = file_with(told);
  CHECK(judged("arrived", good, hub.public_key()) == std::vector<std::string>{});
  const File file = must(read_file(good));
  const Verdict verdict = check(file, hub.public_key());
  CHECK(verdict.arrivals == 1);
  REQUIRE(verdict.held.count(record) == 1);
  CHECK(verdict.held.at(record) == kForgedMs + 1000);
  // The device's own word of it.
  const auto problems = judged("arrived-by-device", file_with(told_by_device), hub.public_key());
  REQUIRE_FALSE(problems.empty());
  CHECK(has_words(problems.front(), "only the hub tells of arrivals"));
  // The hub held other changes under that id.
  ForgedLog astray(hub, LogClass::kArrivals);
  astray.add(kArrivalKind, arrival_fields({{changes.id(), 1, 1, sha256("something else")}}));
  const auto other = judged("arrived-other", file_with(astray), hub.public_key());
  REQUIRE_FALSE(other.empty());
  CHECK(has_words(other.front(), "came to hold another log"));
}

TEST_CASE("a seal of another size, size 0 and one over the limit are refused", "[evidence][forged]") {
  SeededKeystore hub(921);
  ForgedLog log(hub);
  const RecordId record = log.add(kAnimal, animal_fields("Nereid"));
  log.add(kAnimal, animal_fields("Triton"));
  CHECK(problems_of(forged_file(hub.public_key(), record, {log.lines()}), hub.public_key()) == std::vector<std::string>{});
  for (const std::uint64_t size : {std::uint64_t{1}, std::uint64_t{3}, std::uint64_t{kSeqMax}, std::uint64_t{kSeqMax} + 1, std::uint64_t{1} << 40}) {
    CAPTURE(size);
    CHECK_FALSE(judged("size-" + std::to_string(size), forged_file(hub.public_key(), record, {log.lines(size)}), hub.public_key()).empty());
  }
  std::vector<std::string> lines = log.lines();
  const std::size_t at = lines[0].find("\"size\":2");
  REQUIRE(at != std::string::npos);
  lines[0].replace(at, 8, "\"size\":0");
  CHECK_FALSE(judged("size-0", forged_file(hub.public_key(), record, {lines}), hub.public_key()).empty());
  // No change at all, and the same log twice.
  CHECK_FALSE(judged("no-change", forged_file(hub.public_key(), record, {{log.lines()[0]}}), hub.public_key()).empty());
  CHECK_FALSE(judged("twice", forged_file(hub.public_key(), record, {log.lines(), log.lines()}), hub.public_key()).empty());
}

TEST_CASE("a log under an id that does not follow from its opening is refused", "[evidence][forged]") {
  SeededKeystore hub(931);
  ForgedLog log(hub), other(hub, LogClass::kMixed, 2);
  const RecordId record = log.add(kAnimal, animal_fields("Nereid"));
  std::vector<std::string> lines = log.lines();
  replace_member(lines[0], "\"log\":\"", to_text(other.id()));
  const auto problems = judged("other-id", forged_file(hub.public_key(), {other.id(), record.seq}, {lines}), hub.public_key());
  REQUIRE_FALSE(problems.empty());
  CHECK(has_words(problems.front(), "its id does not follow"));
}

TEST_CASE("a log brought over from an earlier form counts by the hub's word alone", "[evidence][forged]") {
  SeededKeystore hub(971), device(972), other(973);
  ForgedLog devices(hub), told(hub, LogClass::kArrivals), former(device);
  devices.enrol(device.public_key(), "north tablet");
  devices.enrol(other.public_key(), "south tablet");
  const LogId id{0x00c0ffee00c0ffee};
  const RecordId record{id, former.add(kAnimal, animal_fields("Nereid")).seq};
  const auto file_with = [&](const std::vector<std::string>& lines) {
    return forged_file(hub.public_key(), record, {devices.lines(), lines, told.lines()});
  };
  former.become_former(id, device);
  told.tell(former);
  CHECK(judged("former-told", file_with(former.lines()), hub.public_key()) == std::vector<std::string>{});
  // Nobody but its device says that the log has this id.
  const auto problems = judged("former-untold", forged_file(hub.public_key(), record, {devices.lines(), former.lines()}), hub.public_key());
  REQUIRE_FALSE(problems.empty());
  CHECK(has_words(problems.front(), "the hub's word alone"));
  former.become_former(id, hub);
  CHECK(judged("former-sealed-by-hub", forged_file(hub.public_key(), record, {devices.lines(), former.lines()}), hub.public_key()) ==
        std::vector<std::string>{});
  // Handed on as another device's, or as the hub's own.
  for (const PublicKey& claimed : {other.public_key(), hub.public_key()}) {
    std::vector<std::string> lines = former.lines();
    replace_member(lines[0], "\"device\":\"", to_base64(view(claimed)));
    CHECK_FALSE(judged(claimed == hub.public_key() ? "former-as-hub" : "former-as-other", file_with(lines), hub.public_key()).empty());
  }
  former.become_former(id, other);
  CHECK_FALSE(judged("former-sealed-by-other", file_with(former.lines()), hub.public_key()).empty());
}

TEST_CASE("more hub keys than can be followed are refused, not followed", "[evidence][forged]") {
  SeededKeystore hub(941);
  ForgedLog log(hub);
  for (unsigned i = 0; i < 200; ++i) {
    PublicKey key{};
    key[0] = static_cast<unsigned char>(i);
    key[1] = static_cast<unsigned char>(i >> 8);
    log.hand_over(key);
  }
  const auto problems = problems_of(forged_file(hub.public_key(), {log.id(), 1}, {log.lines()}), hub.public_key());
  REQUIRE_FALSE(problems.empty());
  CHECK(has_words(problems.front(), "more than can be followed"));
}

TEST_CASE("no name in a file steers the terminal or makes up a line of the verdict", "[evidence][forged]") {
  const std::vector<std::string> names = {"\x1b[2J\x1b[1;1HGOOD: every change", "x\nGOOD: every change", "a\rGOOD", "\xc2\x9b" "2J", "\x9b" "2J",
                                          "\xe2\x80\xae" "DAB", "\xe2\x81\xa6x\xe2\x81\xa9", "del\x7f", "tab\there", "\xe2\x80\xa8GOOD"};
  for (const std::string& name : names) {
    CAPTURE(to_hex(name));
    SeededKeystore hub(951);
    ForgedLog log(hub);
    const RecordId person = log.add(static_cast<std::uint32_t>(Kind::kPerson), [&] {
      Bytes fields;
      append_bytes_field(fields, 1, name);
      return fields;
    }());
    // A text of a message that is no UTF-8 cannot be written; a person's name is taken from the bytes as they stand.
    log.enrol(hub.public_key(), name.find("\x9b") == 0 ? "hub" : name);
    const RecordId record = log.add(kAnimal, animal_fields("Nereid"), person);
    const std::string text = forged_file(hub.public_key(), record, {log.lines()}, {{{LogId{77}, 7}, name}});
    const File file = must(read_file(text));
    const Verdict verdict = check(file, hub.public_key());
    REQUIRE(verdict.problems == std::vector<std::string>{});
    REQUIRE(verdict.devices.size() == 1);
    const std::string told = history_text(file, verdict) + verdict.devices.begin()->second.name;
    INFO(told);
    CHECK(visible_lines(told) == told);
    CHECK_FALSE(has_words(told, "\nGOOD"));
    CHECK(has_words(told, "\\"));
    // The same text must not get into a sentence against the file either.
    std::vector<std::string> lines = log.lines();
    replace_member(lines[3], "\"salt\":\"", to_base64(std::string(16, 'x')));
    const auto problems = problems_of(forged_file(hub.public_key(), record, {lines}, {{person, name}}), hub.public_key());
    REQUIRE_FALSE(problems.empty());
    for (const std::string& problem : problems) CHECK(visible(problem) == problem);
  }
  CHECK(visible("h\xc3\xa9llo \xe6\xb5\xb7") == "h\xc3\xa9llo \xe6\xb5\xb7");
  CHECK(visible("\x1b[31m") == "\\u001b[31m");
  CHECK(visible("\x9b") == "\\x9b");
  CHECK(visible(std::string("\0", 1)) == "\\u0000");
}
