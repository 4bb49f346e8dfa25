// A table that is imported at a desk. An input is the kind (one byte, by its place in the list), then the file. Oracle: an import
// refuses with line and column, or says of each problem where it stands, and then nothing is written; or it imports the number
// of records it says, and the same file again is refused since all of it is here already.
#include <algorithm>
#include <cctype>
#include <fstream>

#include "cli/test_desk.h"
#include "fuzz_world.h"
#include "hosts/file_keystore.h"
#include "replica/replica.h"
#include "target.h"
#include "text/message_schema.h"
#include "wire_mutator.h"

namespace wrackline::fuzz {
namespace {

using cli::Desk;

// A desk with what tables speak of; made anew when something was imported.
class Bench {
 public:
  static Bench& get() {
    static Bench bench;
    return bench;
  }
  Desk& desk() {
    if (!desk_) desk_ = std::make_unique<Desk>(roster_);
    return *desk_;
  }
  void spoil() { desk_.reset(); }
  // All that the desk holds, from its file.
  Standing standing() {
    const auto keystore = must(FileKeystore::open(desk().options().dir.key()));
    const auto replica = must(Replica::open({desk().options().dir.records(), keystore.get(), cli::wall_clock_now}));
    return standing_of(*replica);
  }

 private:
  Bench() : roster_(7) {
    roster_.add("animal", Bytes("\x0a\x06Nereid", 8));
    roster_.add("food", Bytes("\x0a\x07herring", 9));
    roster_.add("pool", Bytes("\x0a\x05Skerry", 7));
  }
  cli::SharedRoster roster_;
  std::unique_ptr<Desk> desk_;
};

// Kinds that people import.
const std::vector<std::string>& kinds() {
  static const std::vector<std::string> names = [] {
    std::vector<std::string> out;
    for (const cli::KindInfo& kind : cli::kinds()) {
      if (kind.descriptor != nullptr && kind.name != "device" && kind.name != "facility") out.push_back(kind.name);
    }
    std::sort(out.begin(), out.end());
    return out;
  }();
  return names;
}

// The number that stands after `word`, or -1.
long number_after(const std::string& text, const std::string& word) {
  const std::size_t at = text.find(word);
  if (at == std::string::npos || at + word.size() >= text.size() || !std::isdigit(static_cast<unsigned char>(text[at + word.size()]))) return -1;
  return std::strtol(text.c_str() + at + word.size(), nullptr, 10);
}

void run(ByteView input) {
  if (input.empty()) return;
  const std::string kind = kinds()[static_cast<unsigned char>(input.front()) % kinds().size()];
  const ByteView table = input.substr(1);
  Bench& bench = Bench::get();
  const std::string path = bench.desk().path("table.csv");
  std::ofstream(path, std::ios::binary | std::ios::trunc) << table;
  const long lines = 1 + static_cast<long>(std::count(table.begin(), table.end(), '\n'));
  const Standing before = bench.standing();
  const Desk::Output out = bench.desk().run({"import", kind, path}, true);
  const Standing after = bench.standing();
  if (out.exit != cli::Exit::kOk) {
    insist(out.exit == cli::Exit::kRefused, "an import that does not go is refused, not " + std::to_string(static_cast<int>(out.exit)) + ": " + out.text);
    insist(after == before, "an import that was refused writes nothing");
    insist(!out.text.empty(), "a refusal says why");
    if (out.text.front() == '{') {  // Problems of its rows.
      const long line = number_after(out.text, "\"line\": ");
      insist(line >= 1 && line <= lines, "a problem names a line of the file: " + out.text);
      insist(out.text.find("\"column\":") != std::string::npos, "a problem names its column");
      insist(number_after(out.text, "\"imported\": ") == 0, "a refused import has imported nothing");
      return;
    }
    const bool is_empty = out.text.find("is empty") != std::string::npos;
    const long line = number_after(out.text, "line ");
    insist(is_empty || (line >= 1 && line <= lines), "a refusal names a line of the file: " + out.text);
    insist(is_empty || number_after(out.text, "column ") >= 1, "a refusal names a column: " + out.text);
    return;
  }
  const long imported = number_after(out.text, "\"imported\": ");
  insist(imported >= 0, "an import says how many records it made");
  Seq changes = 0;
  for (const auto& [log, head] : after.heads) {
    const auto was = before.heads.find(log);
    changes += head.seq - (was == before.heads.end() ? 0 : was->second.seq);
  }
  insist(changes == static_cast<Seq>(imported), "an import makes as many records as it says");
  if (imported == 0) return;
  const Desk::Output again = bench.desk().run({"import", kind, path}, true);
  const bool wrote_again = !(bench.standing() == after);
  bench.spoil();
  insist(again.exit == cli::Exit::kRefused && !wrote_again, "the same table a second time is refused: " + again.text);
}

Bytes mutate(ByteView input, Random& random) {
  static const std::vector<Bytes> words = {
      ",", ";", "\"", "\"\"", "\r\n", "\n", "\xef\xbb\xbf", "name", "id", "animal", "food", "day", "happened", "slot", "left", "offered", "Nereid", "herring",
      "2026-11-24", "2026-11-24T08:00:00+01:00", "08:00", "1.2 kg", "-1 g", "99999999999999999999 kg", "1e9 kg", "0.0000001 mg", "today", "'=1+1", "=1+1",
      "yes", "no", "true", "keeper", "vet", "0123456789abcdef/1", "\xff\xfe", "\xc3\xa9", "25:61", "2026-02-30", "area", "sex", "species", "born", "roles",
      "kcal", "%", "ppm", "psu", "12.5 C", "note"};
  if (input.empty() || random.once_in(3)) return mutate_bytes(input, random);
  Bytes out(input);
  const auto at = 1 + static_cast<std::size_t>(random.below(out.size()));
  if (random.once_in(2)) {
    out.insert(at, random.pick(words));
    return out;
  }
  // A cell in another's place.
  const std::size_t end = out.find_first_of(",\n", at);
  if (end == Bytes::npos) return out + random.pick(words);
  out.replace(std::min(at, end), end - std::min(at, end), random.pick(words));
  return out;
}

std::vector<Seed> seeds() {
  const auto of_kind = [](const std::string& kind) {
    const auto at = std::find(kinds().begin(), kinds().end(), kind) - kinds().begin();
    return Bytes(1, static_cast<char>(at));
  };
  return {{"animal", of_kind("animal") + "name\nThetis\nDoris\n"},
          {"food", of_kind("food") + "name,energy\r\n\"capelin, small\",1.2 kcal/g\r\n"},
          {"person", of_kind("person") + "name;roles\nPera Okafor;keeper\n"},
          {"pool", of_kind("pool") + "\xef\xbb\xbf" "name\nNorth basin\n"},
          {"meal", of_kind("meal") + "animal,happened,slot\nNereid,2026-11-24T08:00:00+01:00,08:00\n"},
          {"measure", of_kind("measure") + "animal,happened,mass\nNereid,2026-11-24T08:00:00+01:00,12.5 kg\n"},
          {"quote", of_kind("animal") + "name\n\"Thetis\n"}};
}

}  // namespace

const Target kCsvTarget{"csv", run, mutate, seeds};

}  // namespace wrackline::fuzz
