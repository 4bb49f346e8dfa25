// wrackline-evidence: checks an evidence file by itself, without Wrackline's records, and tells what it
// proves.
#include <cstdio>
#include <fstream>
#include <iostream>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "base/counted.h"
#include "evidence_application.h"
#include "evidence_check.h"
#include "history.h"
#include "record_words.h"
#include "text/visible.h"

namespace wrackline::evidence {
namespace {

enum Exit { kGood = 0, kBad = 1, kUsage = 2, kUnvouched = 3 };

// All that goes out passes here: no text of the file steers the terminal.
void print(const std::string& text) { std::cout << visible_lines(text); }

int usage(const std::string& what) {
  std::cerr << "wrackline-evidence: " << what << "; see wrackline-evidence --help\n";
  return kUsage;
}

bool read_key(const std::string& text, PublicKey& out) {
  if (text.size() != 2 * out.size() || text.find_first_not_of("0123456789abcdefABCDEF") != std::string::npos)
    return false;
  for (std::size_t i = 0; i < out.size(); ++i)
    out[i] = static_cast<unsigned char>(std::stoul(text.substr(2 * i, 2), nullptr, 16));
  return true;
}

int bad(const std::string& path, const std::vector<std::string>& problems) {
  print("BAD: " + path + " does not prove what it says. First: " + problems.front() + "\n");
  for (std::size_t i = 1; i < problems.size() && i < 20; ++i) print("  also: " + problems[i] + "\n");
  print("Keep the file as it is, and ask whoever gave it to you for another.\n");
  return kBad;
}

std::string devices_text(const File& file, const Verdict& verdict) {
  std::set<PublicKey> used;
  for (const auto& [id, log] : file.logs) used.insert(log.opening.device);
  std::string out;
  for (const auto& [key, device] : verdict.devices) {
    if (used.count(key) == 0) continue;
    out += "  \"" + device.name + "\", key " + to_hex(view(key)) +
           (device.enrolled_ms ? ", enrolled " + utc_text(device.enrolled_ms) : "") +
           (device.is_revoked ? ", revoked since" : "") + "\n";
  }
  return out;
}

int tell(const std::string& path, const File& file, const Verdict& verdict, bool key_was_given) {
  std::string out;
  if (key_was_given) {
    out += "GOOD: every change in " + path + " is as its device sealed it.\n";
  } else {
    out += "UNVOUCHED: " + path + " holds by its own word, but nobody has vouched for the hub's key: whoever makes up a whole file makes\n"
           "up a key with it. Ask the facility for its hub's key by another way than the file, and give it with --hub-key.\n";
  }
  out += "  checked: " + counted(verdict.changes, "change") + " of " + counted(file.logs.size(), "log") + ", " +
         counted(verdict.seals, "seal") + ", " + counted(verdict.arrivals, "arrival") + " at the hub\n";
  if (verdict.withheld > 0) {
    out += "  withheld: the content of " + counted(verdict.withheld, "change") + "; the file shows only that there are such changes\n";
  }
  out += "  about: " + counted(file.records.size(), "record") + " of the facility " + to_hex(view(file.facility)) + ", written " +
         utc_text(file.written_ms) + " by its writer's word\n";
  out += "  hub key: " + to_hex(view(file.hub_key)) + "\n" +
         (key_was_given ? "    the one you gave, or one that follows from it\n" : "    by the file's word alone\n");
  out += file.whole ? "  whole logs: up to the last change here, nothing of the logs that the records stand in was left out\n"
                    : "  parts of logs: all that the file holds is proven; that there is nothing more is not (that takes --whole)\n";
  if (const std::string devices = devices_text(file, verdict); !devices.empty()) out += "Sealed by devices the hub enrolled:\n" + devices;
  print(out + history_text(file, verdict));
  return key_was_given ? kGood : kUnvouched;
}

int run(int argc, char** argv) {
  CLI::App app(kAbout, "wrackline-evidence");
  Arguments arguments;
  define_application(app, arguments);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return error.get_exit_code() == 0 ? app.exit(error) : usage(error.what());  // 0: help was asked for.
  }
  const std::string& path = arguments.path;
  std::optional<PublicKey> hub_key;
  if (!arguments.hub_key.empty() && !read_key(arguments.hub_key, hub_key.emplace())) return usage("--hub-key takes 64 hexadecimal digits");
  std::ifstream in(path, std::ios::binary);
  if (!in) return usage("cannot open " + path);
  std::string text;
  std::vector<char> piece(1 << 20);
  while (text.size() <= kFileBytesMax &&
         (in.read(piece.data(), static_cast<std::streamsize>(piece.size())) || in.gcount() > 0)) {
    text.append(piece.data(), static_cast<std::size_t>(in.gcount()));
  }
  const auto file = read_file(text);
  text = std::string();
  if (!file) return bad(path, {file.error().message});
  const Verdict verdict = check(*file, hub_key);
  return verdict.good() ? tell(path, *file, verdict, hub_key.has_value()) : bad(path, verdict.problems);
}

}  // namespace
}  // namespace wrackline::evidence

int main(int argc, char** argv) {
  // A file from outside may ask for more memory than there is; that is an answer too.
  try {
    return wrackline::evidence::run(argc, argv);
  } catch (const std::exception& e) {
    std::cerr << "wrackline-evidence: " << e.what() << "; nothing was checked\n";
    return wrackline::evidence::kBad;
  }
}
