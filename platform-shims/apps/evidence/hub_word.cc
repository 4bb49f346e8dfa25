#include "hub_word.h"

#include <algorithm>
#include <numeric>

#include "base/wire.h"
#include "model/arrival.h"
#include "model/device.h"
#include "model/kinds.h"
#include "problems.h"
#include "text/visible.h"

namespace wrackline::evidence {
namespace {

// More than any hub has: what follows from many costs their number squared, and each may have sealed in a device's place.
constexpr std::size_t kHubKeyRecordsMax = 64;

bool is_birth_of_device(const ProvenChange& proven) {
  return proven.change.is_birth() && !proven.is_withheld && proven.change.kind == static_cast<std::uint32_t>(Kind::kDevice);
}

void learn_devices(Verdict& verdict) {
  std::map<RecordId, PublicKey> by_record;
  for (const auto& [id, proven] : verdict.proven) {
    if (!is_birth_of_device(proven) || !verdict.is_word_of_hub(id)) continue;
    const auto fields = device_fields(proven.change.fields);
    if (!fields) continue;
    verdict.devices.try_emplace(fields->key, KnownDevice{visible(fields->name), id, fields->enrolled_ms,
                                                         built_in_of(proven.change.fields).struck});
    by_record.emplace(id, fields->key);
  }
  std::map<RecordId, Stamp> latest;
  for (const auto& [id, proven] : verdict.proven) {
    const auto device = proven.change.is_birth() ? by_record.end() : by_record.find(proven.change.record);
    if (device == by_record.end()) continue;
    bool speaks_of_standing = false;
    WireReader reader(proven.change.fields);
    WireField field;
    while (reader.next(field)) speaks_of_standing = speaks_of_standing || field.number == kStandingField;
    Stamp& last = latest[proven.change.record];
    if (!speaks_of_standing || proven.change.stamp < last) continue;
    last = proven.change.stamp;
    verdict.devices[device->second].is_revoked = built_in_of(proven.change.fields).struck;
  }
}

struct Held {
  WallMs ms = 0;
  Seq first = 0;
  Seq last = 0;
};

// Each change takes the earliest word about it; each is looked at once, however many words there are.
void spread(const FileLog& log, std::vector<Held> words, std::map<ChangeId, WallMs>& held) {
  std::sort(words.begin(), words.end(), [](const Held& a, const Held& b) { return a.ms < b.ms; });
  const std::vector<FileChange>& changes = log.changes;
  // From each change the next one that no word has spoken of yet.
  std::vector<std::size_t> next(changes.size() + 1);
  std::iota(next.begin(), next.end(), std::size_t{0});
  const auto unspoken = [&](std::size_t at) {
    while (next[at] != at) at = next[at] = next[next[at]];
    return at;
  };
  for (const Held& word : words) {
    const auto from = std::lower_bound(changes.begin(), changes.end(), word.first, [](const FileChange& c, Seq seq) { return c.seq < seq; });
    for (std::size_t at = unspoken(static_cast<std::size_t>(from - changes.begin())); at < changes.size() && changes[at].seq <= word.last;
         at = unspoken(at)) {
      held[{log.log, changes[at].seq}] = word.ms;
      next[at] = at + 1;
    }
  }
}

void learn_arrivals(const File& file, const KnownRoots& roots, Verdict& verdict) {
  std::map<LogId, std::vector<Held>> words;
  for (const FileLog* log : file.in_order()) {
    if (!log->is_arrivals()) continue;
    for (const FileChange& change : log->changes) {
      const auto proven = verdict.proven.find({log->log, change.seq});
      if (proven == verdict.proven.end() || proven->second.is_withheld || !verdict.is_word_of_hub(proven->first)) continue;
      const Change& entry = proven->second.change;
      // A newer hub may write other kinds here.
      if (!entry.is_birth() || entry.kind != kArrivalKind) continue;
      for (const ArrivedSpan& span : arrived_spans(entry.fields)) {
        const auto known = roots.find(span.log);
        if (known == roots.end()) continue;
        const auto root = known->second.find(span.last);
        if (root == known->second.end()) continue;
        if (root->second != span.root) {
          put_problem(verdict, "log " + to_text(log->log) + ", change " + std::to_string(change.seq) + " (line " + std::to_string(change.line) +
                                   "): the hub came to hold another log " + to_text(span.log) + " up to change " + std::to_string(span.last) +
                                   " than the one that is here");
          continue;
        }
        ++verdict.arrivals;
        verdict.vouched.insert(span.log);
        words[span.log].push_back({entry.entered_ms(), span.first, span.last});
      }
    }
  }
  for (auto& [log, about] : words) spread(file.logs.at(log), std::move(about), verdict.held);
}

}  // namespace

HubLineage hub_lineage(const File& file, const PublicKey& known_key, const Verdict& verdict) {
  std::vector<HubKeyRecord> records;
  for (const auto& [id, proven] : verdict.proven) {
    if (!is_birth_of_device(proven) || file.logs.at(id.log).branch_of) continue;
    auto device = device_fields(proven.change.fields);
    if (device && device->of_hub) records.push_back({id, proven.device, device->key, std::move(device->ends)});
  }
  if (records.size() > kHubKeyRecordsMax) records.clear();
  return HubLineage(known_key, std::move(records));
}

void hear_hub(const File& file, const HubLineage& hub, const KnownRoots& roots, Verdict& verdict) {
  for (const auto& [id, log] : file.logs) {
    if (!log.branch_of) verdict.hub_reach[id] = hub.reach(id, log.opening.device);
  }
  learn_devices(verdict);
  learn_arrivals(file, roots, verdict);
}

void check_hub_keys(const File& file, const HubLineage& hub, Verdict& verdict) {
  std::size_t records = 0;
  for (const auto& [id, proven] : verdict.proven) {
    const auto device = is_birth_of_device(proven) ? device_fields(proven.change.fields) : std::nullopt;
    records += device && device->of_hub ? 1 : 0;
  }
  if (records > kHubKeyRecordsMax) {
    put_problem(verdict, "the file names " + std::to_string(records) + " keys of the hub, which is more than can be followed");
  } else if (!hub.is_key(file.hub_key)) {
    put_problem(verdict, "the file was not made for the hub whose key was given: it names the key " + to_hex(view(file.hub_key)) + " (line 1)");
  }
}

void check_owners(const File& file, const HubLineage& hub, Verdict& verdict) {
  for (const FileLog* log : file.in_order()) {
    const std::string name = "log " + to_text(log->log) + " (line " + std::to_string(log->line) + ")";
    const PublicKey& key = log->opening.device;
    if (hub.is_key(key)) {
      const Seq reach = hub.reach(log->log, key);
      const auto beyond = std::find_if(log->changes.begin(), log->changes.end(), [&](const FileChange& change) { return change.seq > reach; });
      if (beyond == log->changes.end()) continue;
      put_problem(verdict, "log " + to_text(log->log) + ", change " + std::to_string(beyond->seq) + " (line " + std::to_string(beyond->line) +
                               "): sealed by a key that the hub has given up, behind the end that its next key names; nobody's word");
    } else if (log->is_arrivals()) {
      put_problem(verdict, name + ": only the hub tells of arrivals, and the key that sealed it is none of the hub's");
    } else if (verdict.devices.count(key) == 0) {
      put_problem(verdict, name + ": the key that sealed it is none that the hub has enrolled, by what is in the file");
    } else if (log->opening.log_class == LogClass::kFormer && verdict.vouched.count(log->log) == 0) {
      put_problem(verdict, name + ": its id counts by the hub's word alone, and the hub neither sealed it nor told of it");
    }
  }
}

}  // namespace wrackline::evidence
