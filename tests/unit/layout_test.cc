// The layout of the source tree: which part may include which, and where the libraries' headers may appear.
//
// It shows, too, that every test in the tree is in the build: one that is not proves nothing, for years.
//
// The rules are a function from files to complaints; it is run on the tree as it stands, and on small
// invented trees that break each rule, so that it is seen to find what it looks for.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>

namespace {

namespace fs = std::filesystem;

struct SourceFile {
  std::string path;  // From the root of the repository, with forward slashes.
  std::string text;
};

// A module of core/ and those it may include besides itself.
const std::map<std::string, std::set<std::string>> kMayInclude = {
    {"base", {}},
    {"crypto", {"base"}},
    {"log", {"base", "crypto"}},
    {"state", {"base", "crypto", "log"}},
    {"model", {"base", "crypto", "dosing"}},
    {"analytics", {"base"}},
    {"water", {"base"}},
    {"nutrition", {"base"}},
    {"dosing", {"base"}},
    {"schedule", {"base"}},
    {"store", {"base", "crypto", "log", "state", "model", "dosing"}},
    {"sync", {"base", "crypto", "log", "state", "model", "dosing", "store"}},
    {"replica", {"base", "crypto", "log", "state", "model", "dosing", "store", "sync"}},
    {"reading", {"base", "crypto", "dosing", "log", "model", "replica", "schedule", "state", "store", "sync"}},
    {"husbandry",
     {"analytics", "base", "crypto", "dosing", "log", "model", "nutrition", "reading", "replica", "schedule", "state", "store", "sync",
      "water"}},
    {"provenance", {"base", "crypto", "dosing", "log", "model", "reading", "replica", "schedule", "state", "store", "sync"}},
    {"report",
     {"analytics", "base", "crypto", "dosing", "husbandry", "log", "model", "nutrition", "provenance", "reading", "replica", "schedule",
      "state", "store", "sync", "water"}},
    {"call",
     {"analytics", "base", "crypto", "dosing", "husbandry", "log", "model", "nutrition", "provenance", "reading", "replica", "report",
      "schedule", "state", "store", "sync", "water"}},
};

// A room around the core, and those around the core that it may include besides itself. All of them may include the core.
const std::map<std::string, std::set<std::string>> kRoomMayInclude = {
    {"platform-shims/text", {}},
    {"platform-shims/hosts", {}},
    {"platform-shims/bindings", {}},
    {"platform-shims/apps/cli", {"hosts", "text"}},
    {"platform-shims/apps/demo-data", {"hosts", "text"}},
    {"platform-shims/apps/evidence", {"text"}},
    {"platform-shims/packages", {}},  // The manuals include each program's application and nothing else of it.
    {"sync-server", {"hosts"}},
};
const std::set<std::string> kRooms = {"cli", "hosts", "text"};  // Includes begin with these.

// Generated messages stay out of headers, so that only those who build or read one depend on it. The rooms of the calls speak in
// them; below those, this header alone does, for its own module.
const std::set<std::string> kMessageRooms = {"call", "husbandry", "provenance", "reading", "report"};
const std::set<std::string> kMessageHeaders = {"core/sync/messages.h"};

// On the top level: these, dot-files, and what .gitignore lets lie there.
const std::set<std::string> kTopLevel = {"CMakeLists.txt", "DEVELOPERS.md", "README.md",   "core",
                                         "platform-shims", "proto",         "sync-server", "tests"};

bool ends_with(const std::string& text, const std::string& end) {
  return text.size() >= end.size() && text.compare(text.size() - end.size(), end.size(), end) == 0;
}

bool starts_with(const std::string& text, const std::string& start) {
  return text.compare(0, start.size(), start) == 0;
}

std::string module_of(const std::string& path) {
  if (!starts_with(path, "core/")) return "";
  const std::size_t end = path.find('/', 5);
  return end == std::string::npos ? "" : path.substr(5, end - 5);
}

std::vector<std::string> includes_of(const std::string& text) {
  static const std::regex kInclude(R"(^[ \t]*#[ \t]*include[ \t]*[<"]([^>"]+)[>"])");
  std::vector<std::string> out;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    std::smatch match;
    if (std::regex_search(line, match, kInclude)) out.push_back(match[1]);
  }
  return out;
}

// `quoted` is an include that may or may not name a module of core/.
void judge_module(const SourceFile& file, const std::string& include, std::vector<std::string>& complaints) {
  const std::string own = module_of(file.path);
  const auto own_row = kMayInclude.find(own);
  if (own_row == kMayInclude.end()) {
    complaints.push_back(file.path + " is in no module of core/");
    return;
  }
  const std::string other = include.substr(0, include.find('/'));
  if (include.find('/') == std::string::npos || kMayInclude.count(other) == 0 || other == own) return;
  if (own_row->second.count(other) == 0) complaints.push_back(file.path + " includes " + include);
}

void judge_room(const SourceFile& file, const std::string& include, std::vector<std::string>& complaints) {
  const std::string other = include.substr(0, include.find('/'));
  if (starts_with(file.path, "core/")) {
    if (kRooms.count(other) != 0 && include.find('/') != std::string::npos) complaints.push_back(file.path + " includes " + include);
    return;
  }
  for (const auto& [room, may_include] : kRoomMayInclude) {
    if (!starts_with(file.path, room + "/")) continue;
    const bool is_own = ends_with(room, "/" + other);
    const bool is_manual = room == "platform-shims/packages" && ends_with(include, "_application.h");
    if (kRooms.count(other) != 0 && include.find('/') != std::string::npos && !is_own && !is_manual && may_include.count(other) == 0) {
      complaints.push_back(file.path + " includes " + include);
    }
    return;
  }
  complaints.push_back(file.path + " is in no room");
}

void judge_libraries(const SourceFile& file, const std::string& include, std::set<std::string>& zstd_files,
                     std::vector<std::string>& complaints) {
  const bool in_core = starts_with(file.path, "core/");
  // A browser's files are SQLite's business in a shim's file of its own.
  if (include == "sqlite3.h" && !starts_with(file.path, "core/store/") && file.path != "platform-shims/bindings/wasm/opfs_vfs.cc") {
    complaints.push_back(file.path + " includes sqlite3.h");
  }
  if (in_core && starts_with(include, "openssl/") && file.path != "core/crypto/openssl.cc") {
    complaints.push_back(file.path + " includes " + include);
  }
  if (in_core && starts_with(include, "sodium") && file.path != "core/crypto/sodium.cc") {
    complaints.push_back(file.path + " includes " + include);
  }
  if (include == "zstd.h" || include == "zdict.h") zstd_files.insert(file.path);
  if (in_core && ends_with(include, ".pb.h") && !ends_with(file.path, ".cc") && kMessageHeaders.count(file.path) == 0 &&
      kMessageRooms.count(module_of(file.path)) == 0) {
    complaints.push_back(file.path + " includes " + include + " in a header");
  }
  // Headers for apps name no message, since apps may be linked with a protobuf of their own.
  if ((file.path == "core/call/core.h" || file.path == "core/call/dispatch.h") && ends_with(include, ".pb.h")) {
    complaints.push_back(file.path + " includes " + include + ", and is for apps");
  }
  const std::string included = "core/" + include;
  if (kMessageHeaders.count(included) != 0 &&
      !((ends_with(file.path, ".cc") || kMessageHeaders.count(file.path) != 0) &&
        module_of(file.path) == module_of(included))) {
    complaints.push_back(file.path + " includes " + include);
  }
}

std::vector<std::string> complaints_about(const std::vector<SourceFile>& files) {
  std::vector<std::string> complaints;
  std::set<std::string> zstd_files;
  for (const SourceFile& file : files) {
    for (const std::string& include : includes_of(file.text)) {
      if (starts_with(file.path, "core/")) judge_module(file, include, complaints);
      judge_room(file, include, complaints);
      judge_libraries(file, include, zstd_files, complaints);
    }
  }
  if (zstd_files.size() > 1) complaints.push_back("zstd is included by more than one file");
  return complaints;
}

std::vector<std::string> top_level_complaints(const std::set<std::string>& entries) {
  std::vector<std::string> complaints;
  for (const std::string& entry : entries) {
    const bool ignored = starts_with(entry, ".") || starts_with(entry, "build") || entry == "node_modules";
    if (!ignored && kTopLevel.count(entry) == 0)
      complaints.push_back(entry + " does not belong on the top level");
  }
  for (const std::string& wanted : kTopLevel) {
    if (entries.count(wanted) == 0) complaints.push_back(wanted + " is missing on the top level");
  }
  return complaints;
}

// Headers of one name make a reader ask which is meant.
std::vector<std::string> names_twice(const std::vector<std::string>& paths) {
  std::map<std::string, std::string> seen;
  std::vector<std::string> complaints;
  for (const std::string& path : paths) {
    const std::string name = path.substr(path.rfind('/') + 1);
    const auto [first, is_new] = seen.emplace(name, path);
    if (!is_new) complaints.push_back(path + " has the name of " + first->second);
  }
  return complaints;
}

std::vector<SourceFile> read_sources() {
  std::vector<SourceFile> files;
  const fs::path root = WRACKLINE_SOURCE_DIR;
  for (const char* part : {"core", "sync-server", "platform-shims"}) {
    if (!fs::exists(root / part)) continue;
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(root / part)) {
      const std::string path = entry.path().lexically_relative(root).generic_string();
      if (path.find("node_modules") != std::string::npos) continue;
      if (!ends_with(path, ".h") && !ends_with(path, ".cc")) continue;
      std::ifstream in(entry.path());
      files.push_back({path, {std::istreambuf_iterator<char>(in), {}}});
    }
  }
  return files;
}

// The names of test files that the build's list does not hold.
std::vector<std::string> unbuilt(const std::set<std::string>& test_files, const std::string& build_list) {
  std::vector<std::string> out;
  for (const std::string& file : test_files) {
    const std::regex entry("(^|[ \\t\\n])" + std::regex_replace(file, std::regex("\\."), "\\.") +
                           "([ \\t\\n)]|$)");
    // A line that is commented out is no entry.
    std::istringstream lines(build_list);
    bool found = false;
    for (std::string line; std::getline(lines, line);) {
      found = found || std::regex_search(line.substr(0, line.find('#')), entry);
    }
    if (!found) out.push_back(file);
  }
  return out;
}

std::string joined(const std::vector<std::string>& lines) {
  std::string out;
  for (const std::string& line : lines) out += line + "\n";
  return out;
}

bool complains(const std::vector<SourceFile>& files) { return !complaints_about(files).empty(); }

}  // namespace

TEST_CASE("the source tree keeps its include directions and its one door to each library", "[layout]") {
  const std::vector<SourceFile> files = read_sources();
  REQUIRE(files.size() > 30);
  std::set<std::string> modules;
  std::size_t includes = 0;
  for (const SourceFile& file : files) {
    modules.insert(module_of(file.path));
    includes += includes_of(file.text).size();
  }
  // It looked at something: every module is there, and its includes were found.
  for (const auto& [name, may_include] : kMayInclude) {
    CAPTURE(name);
    CHECK(modules.count(name) == 1);
  }
  CHECK(includes > files.size());
  const std::vector<std::string> complaints = complaints_about(files);
  INFO(joined(complaints));
  CHECK(complaints.empty());
}

TEST_CASE("the top level holds what it must and nothing else", "[layout]") {
  std::set<std::string> entries;
  for (const fs::directory_entry& entry : fs::directory_iterator(WRACKLINE_SOURCE_DIR)) {
    entries.insert(entry.path().filename().string());
  }
  const std::vector<std::string> complaints = top_level_complaints(entries);
  INFO(joined(complaints));
  CHECK(complaints.empty());
}

TEST_CASE("every test in the tree is in the build", "[layout]") {
  const fs::path tests = fs::path(WRACKLINE_SOURCE_DIR) / "tests";
  std::set<std::string> files;
  for (const fs::directory_entry& entry : fs::recursive_directory_iterator(tests / "unit")) {
    const std::string path = entry.path().lexically_relative(tests).generic_string();
    if (ends_with(path, "_test.cc")) files.insert(path);
  }
  REQUIRE(files.count("unit/layout_test.cc") == 1);
  std::ifstream in(tests / "CMakeLists.txt"), unit(tests / "unit/files.cmake");
  const std::string built = std::string(std::istreambuf_iterator<char>(in), {}) +
                            std::string(std::istreambuf_iterator<char>(unit), {});
  const std::vector<std::string> missing = unbuilt(files, built);
  INFO(joined(missing));
  CHECK(missing.empty());
}

TEST_CASE("no two headers have one name", "[layout]") {
  std::vector<std::string> paths;
  for (const char* part : {"core", "sync-server", "platform-shims", "tests"}) {
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(fs::path(WRACKLINE_SOURCE_DIR) / part)) {
      const std::string path = entry.path().lexically_relative(WRACKLINE_SOURCE_DIR).generic_string();
      if (ends_with(path, ".h") && path.find("node_modules") == std::string::npos) paths.push_back(path);
    }
  }
  REQUIRE(paths.size() > 200);
  const std::vector<std::string> complaints = names_twice(paths);
  INFO(joined(complaints));
  CHECK(complaints.empty());
  CHECK(names_twice({"core/a/x.h", "core/b/y.h"}).empty());
  CHECK(names_twice({"core/a/x.h", "tests/b/x.h"}).size() == 1);
}

TEST_CASE("a test that is not in the build is found", "[layout]") {
  CHECK(unbuilt({"unit/a_test.cc", "unit/b_test.cc"}, "add(\n  unit/a_test.cc\n  unit/b_test.cc)\n").empty());
  CHECK(unbuilt({"unit/a_test.cc"}, "add(x\n  # unit/a_test.cc\n  unit/b/unit/a_test.cc unit/a_test.cc2)\n")
            .size() == 1);
}

TEST_CASE("an include against the direction is found", "[layout]") {
  CHECK_FALSE(complains({{"core/store/a.cc", "#include \"log/change.h\"\n"}}));
  CHECK(complains({{"core/log/a.cc", "#include \"store/store.h\"\n"}}));
  CHECK(complains({{"core/log/a.h", "// why\n  #  include <store/store.h>\n"}}));
  CHECK(complains({{"core/base/a.h", "#include \"crypto/sha256.h\"\n"}}));
  CHECK(complains({{"core/model/a.cc", "#include \"log/wire.h\"\n"}}));
  CHECK(complains({{"core/analytics/a.cc", "#include \"model/kinds.h\"\n"}}));
  CHECK(complains({{"core/nutrition/a.cc", "#include \"analytics/intake.h\"\n"}}));
  CHECK(complains({{"core/water/a.cc", "#include \"nutrition/atwater.h\"\n"}}));
  CHECK(complains({{"core/state/a.cc", "#include \"model/kinds.h\"\n"}}));
  CHECK(complains({{"core/replica/a.cc", "#include \"call/core.h\"\n"}}));
  CHECK(complains({{"core/replica/a.cc", "#include \"analytics/intake.h\"\n"}}));
  CHECK(complains({{"core/reading/a.cc", "#include \"husbandry/plans.h\"\n"}}));
  CHECK(complains({{"core/husbandry/a.cc", "#include \"provenance/trail_entry.h\"\n"}}));
  CHECK(complains({{"core/provenance/a.cc", "#include \"call/handlers.h\"\n"}}));
  CHECK_FALSE(complains({{"core/call/a.cc", "#include \"husbandry/plans.h\"\n"}}));
  CHECK(complains({{"core/newcomer/a.cc", "#include <vector>\n"}}));
  CHECK_FALSE(
      complains({{"core/log/a.cc", "// #include \"store/store.h\" would be wrong\n#include <vector>\n"}}));
}

TEST_CASE("an include of a room that is none of its business is found", "[layout]") {
  CHECK_FALSE(complains({{"platform-shims/apps/cli/a.cc", "#include \"text/csv.h\"\n#include \"cli/client.h\"\n"}}));
  CHECK_FALSE(complains({{"sync-server/a.cc", "#include \"hosts/private_file.h\"\n"}}));
  CHECK(complains({{"sync-server/a.cc", "#include \"text/csv.h\"\n"}}));
  CHECK(complains({{"platform-shims/apps/evidence/a.cc", "#include \"cli/client.h\"\n"}}));
  CHECK(complains({{"platform-shims/apps/evidence/a.cc", "#include \"hosts/hub_client.h\"\n"}}));
  CHECK(complains({{"platform-shims/hosts/a.cc", "#include \"cli/client.h\"\n"}}));
  CHECK(complains({{"platform-shims/text/a.cc", "#include \"hosts/hub_client.h\"\n"}}));
  CHECK(complains({{"platform-shims/bindings/c/a.cc", "#include \"text/csv.h\"\n"}}));
  CHECK(complains({{"core/call/a.cc", "#include \"text/csv.h\"\n"}}));
  CHECK(complains({{"platform-shims/newcomer/a.cc", "#include <vector>\n"}}));
}

TEST_CASE("the direction has no way round", "[layout]") {
  // A module must not be included by what it may include: together with the check above, no circle.
  for (const auto& [name, may_include] : kMayInclude) {
    for (const std::string& lower : may_include) {
      CAPTURE(name, lower);
      REQUIRE(kMayInclude.count(lower) == 1);
      CHECK(kMayInclude.at(lower).count(name) == 0);
      for (const std::string& lowest : kMayInclude.at(lower)) CHECK(may_include.count(lowest) == 1);
    }
  }
}

TEST_CASE("a library's header outside its door is found", "[layout]") {
  CHECK_FALSE(complains({{"core/store/a.cc", "#include <sqlite3.h>\n"}}));
  CHECK(complains({{"core/sync/a.cc", "#include <sqlite3.h>\n"}}));
  CHECK(complains({{"sync-server/a.cc", "#include <sqlite3.h>\n"}}));
  CHECK_FALSE(complains({{"core/crypto/openssl.cc", "#include <openssl/evp.h>\n"}}));
  CHECK(complains({{"core/crypto/other.cc", "#include <openssl/evp.h>\n"}}));
  CHECK_FALSE(complains({{"sync-server/tls.cc", "#include <openssl/ssl.h>\n"}}));
  CHECK_FALSE(complains({{"core/log/a.cc", "#include <zstd.h>\n"}}));
  CHECK(complains({{"core/log/a.cc", "#include <zstd.h>\n"}, {"core/log/b.cc", "#include <zstd.h>\n"}}));
}

TEST_CASE("a generated header in a header is found", "[layout]") {
  CHECK_FALSE(complains({{"core/model/a.cc", "#include \"records.pb.h\"\n"}}));
  CHECK(complains({{"core/model/a.h", "#include \"records.pb.h\"\n"}}));
  CHECK_FALSE(complains({{"core/sync/messages.h", "#include <exchange.pb.h>\n"}}));
  CHECK_FALSE(complains({{"core/reading/a.h", "#include <reading.pb.h>\n"}}));
  CHECK(complains({{"core/call/core.h", "#include <call.pb.h>\n"}}));
  CHECK_FALSE(complains({{"core/sync/a.cc", "#include \"sync/messages.h\"\n"}}));
  CHECK(complains({{"core/sync/a.h", "#include \"sync/messages.h\"\n"}}));
  CHECK(complains({{"core/replica/a.cc", "#include \"sync/messages.h\"\n"}}));
}

TEST_CASE("a stranger or a gap on the top level is found", "[layout]") {
  CHECK(top_level_complaints(kTopLevel).empty());
  std::set<std::string> entries = kTopLevel;
  entries.insert({".git", ".ci", "build", "build-clang"});
  CHECK(top_level_complaints(entries).empty());
  entries.insert("docs");
  CHECK(top_level_complaints(entries) == std::vector<std::string>{"docs does not belong on the top level"});
  entries.erase("docs");
  entries.erase("README.md");
  CHECK(top_level_complaints(entries) == std::vector<std::string>{"README.md is missing on the top level"});
}
