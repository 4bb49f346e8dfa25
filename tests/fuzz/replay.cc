// Runs every file of the corpus and of the regressions through its target, by any compiler, and some inputs that the mutators
// make of the corpus, so that targets, oracles and mutators are tried in each run of the tests and not only when somebody fuzzes.
//
//   wrackline_fuzz_replay                  one test case a target
//   wrackline_fuzz_replay --write DIR      writes the corpus anew, DIR/TARGET/NAME
//   wrackline_fuzz_replay --run TARGET FILE...   these files
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>

#include "fuzz_world.h"
#include "support/session.h"
#include "target.h"

using namespace wrackline;
using namespace wrackline::fuzz;
namespace files = std::filesystem;

namespace {

Bytes content_of(const files::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

std::vector<files::path> files_of(const char* kind, const char* target) {
  std::vector<files::path> out;
  std::error_code error;
  for (const auto& entry : files::directory_iterator(files::path(WRACKLINE_FUZZ_DIR) / kind / target, error)) out.push_back(entry.path());
  std::sort(out.begin(), out.end());
  return out;
}

// The property that did not hold, in words; empty when all did.
std::string find_broken(const Target& target, ByteView input) {
  try {
    target.run(input);
    return {};
  } catch (const std::exception& broken) {
    for (const Role role : {Role::kHub, Role::kNorth, Role::kSouth}) World::get().spoil(role);
    return broken.what();
  }
}

void replay(const std::string& name) {
  constexpr int kMutationsOfEach = 12;
  for (const Target& target : all_targets()) {
    if (target.name != name) continue;
    const auto corpus = files_of("corpus", target.name);
    REQUIRE(!corpus.empty());
    Random random = test_random("fuzz " + name);
    int inputs = 0;
    for (const files::path& path : corpus) {
      INFO(path.filename().string());
      Bytes input = content_of(path);
      REQUIRE(find_broken(target, input) == "");
      for (int i = 0; i < kMutationsOfEach; ++i, ++inputs) {
        input = target.mutate(i % 4 == 0 ? content_of(path) : input, random);
        const std::string broken = find_broken(target, input);
        INFO("after mutation " << i << ", as hexadecimal: " << to_hex(input));
        REQUIRE(broken == "");
      }
    }
    const auto regressions = files_of("regressions", target.name);
    for (const files::path& path : regressions) {
      INFO(path.filename().string());
      CHECK(find_broken(target, content_of(path)) == "");
    }
    std::printf("fuzz-replay: %s: %zu files of the corpus, %zu regressions, %d mutations\n", target.name, corpus.size(), regressions.size(), inputs);
    return;
  }
  FAIL("there is no target " << name);
}

int write_corpus(const files::path& folder) {
  for (const Target& target : all_targets()) {
    files::create_directories(folder / target.name);
    std::map<std::string, int> numbers;
    for (const Seed& seed : target.seeds()) {
      const int number = ++numbers[seed.name];
      std::ofstream(folder / target.name / (seed.name + "_" + std::to_string(number)), std::ios::binary) << seed.bytes;
    }
  }
  return 0;
}

int run_files(const std::string& name, char** paths, int count) {
  int broken_files = 0;
  for (const Target& target : all_targets()) {
    if (target.name != name) continue;
    for (int i = 0; i < count; ++i) {
      const std::string broken = find_broken(target, content_of(paths[i]));
      std::printf("%s: %s\n", paths[i], broken.empty() ? "holds" : broken.c_str());
      broken_files += !broken.empty();
    }
  }
  return broken_files == 0 ? 0 : 1;
}

}  // namespace

TEST_CASE("changes from outside are read the same twice, or refused", "[fuzz]") { replay("change"); }
TEST_CASE("packed runs from outside give the same bytes however they are packed, or are refused", "[fuzz]") { replay("segment"); }
TEST_CASE("a bundle from outside is taken in whole, or nothing of it", "[fuzz]") { replay("bundle"); }
TEST_CASE("a request from outside leaves the hub whole and other logs going on", "[fuzz]") { replay("exchange_request"); }
TEST_CASE("a reply from outside leaves the tablet whole and other logs going on", "[fuzz]") { replay("exchange_reply"); }
TEST_CASE("any call gets a reply, and one that fails changes nothing", "[fuzz]") { replay("call"); }
TEST_CASE("any bytes to the hub's port get a documented answer", "[fuzz]") { replay("http"); }
TEST_CASE("any table is imported as it says, or refused by line and column", "[fuzz]") { replay("csv"); }

TEST_CASE("the mutators get past the signatures", "[fuzz]") {
  // Otherwise the fuzzer would look at the first check only, and no figure would tell.
  Random random = test_random("fuzz signatures");
  World& world = World::get();
  int taken = 0, tried = 0;
  // The share that is taken in is a few in a hundred; the bound is far behind what a working mutator needs.
  for (; tried < 1000 && taken < 6; ++tried) {
    Bytes request = random.pick(world.north_requests());
    request = kExchangeRequestTarget.mutate(request, random);
    Replica& hub = world.use(Role::kHub);
    const Standing before = standing_of(hub);
    if (!hub.answer_exchange(request, world.keystore(Role::kNorth).public_key())) continue;
    const Standing after = standing_of(hub);
    world.spoil(Role::kHub);
    const auto head = after.heads.find(world.log(Role::kNorth));
    // Changes that the north tablet never wrote, under its seal.
    const MadeLog* honest = head == after.heads.end() ? nullptr : world.made_at(head->first, head->second.seq);
    taken += !(after == before) && (honest == nullptr || honest->tree.root() != head->second.root || after.heads.size() > before.heads.size());
  }
  INFO(tried << " requests were tried");
  std::printf("fuzz-replay: %d of %d mutated requests were taken in under a good seal\n", taken, tried);
  CHECK(taken == 6);
}

TEST_CASE("an oracle that does not hold is found", "[fuzz]") {
  const Target broken{"broken", [](ByteView input) { insist(input.empty(), "no input is there"); }, nullptr, nullptr};
  CHECK(find_broken(broken, "") == "");
  CHECK(find_broken(broken, "x") == "no input is there");
}

int main(int argc, char** argv) {
  silence_messages();
  if (argc == 3 && std::string(argv[1]) == "--write") return write_corpus(argv[2]);
  if (argc > 3 && std::string(argv[1]) == "--run") return run_files(argv[2], argv + 3, argc - 3);
  return run_tests(argc, argv);
}
