// Evidence files made up from nothing, by somebody who holds some keys: logs of any changes, sealed and whole.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "base/base64.h"
#include "log/change.h"
#include "log/evidence_lines.h"
#include "log/leaf.h"
#include "log/seal.h"
#include "model/arrival.h"
#include "model/device.h"
#include "model/kinds.h"
#include "support/must.h"
#include "support/seeded_keystore.h"

namespace wrackline::evidence {

inline constexpr FacilityId kForgedFacility{'f', 'o', 'r', 'g', 'e', 'd'};
inline constexpr WallMs kForgedMs = 1'790'000'000'000;

class ForgedLog {
 public:
  explicit ForgedLog(SeededKeystore& key, LogClass log_class = LogClass::kMixed, unsigned char nonce = 1) : key_(key) {
    opening_.device = key.public_key();
    opening_.log_class = log_class;
    opening_.nonce[0] = nonce;
  }
  LogId id() const { return former_id_ ? former_id_ : log_id(kForgedFacility, opening_); }
  // A log as if it was brought over from an earlier form: under any id, sealed by any key.
  void become_former(LogId id, SeededKeystore& sealer) {
    opening_.log_class = LogClass::kFormer;
    opening_.nonce = {};
    former_id_ = id;
    sealer_ = &sealer;
  }

  ChangeId add(std::uint32_t kind, const Bytes& fields, RecordId author = {}) {
    Change change;
    change.stamp = Stamp::of(kForgedMs + 1000 * (changes_.size() + 1), 0);
    change.kind = kind;
    change.fields = fields;
    change.author = author;
    changes_.push_back(write_change(change));
    (void)tree_.append(change_leaf({}, changes_.back()));
    return {id(), static_cast<Seq>(changes_.size())};
  }
  ChangeId enrol(const PublicKey& device, const std::string& name) {
    DeviceFields fields;
    fields.name = name;
    fields.key = device;
    return add(static_cast<std::uint32_t>(Kind::kDevice), to_fields(fields));
  }
  // Names a key of the hub's: one that comes after this log's, or one that was given up, with the ends of its logs.
  ChangeId hand_over(const PublicKey& key, std::vector<ChangeId> ends = {}) {
    DeviceFields fields;
    fields.name = "hub";
    fields.key = key;
    fields.of_hub = true;
    fields.ends = std::move(ends);
    return add(static_cast<std::uint32_t>(Kind::kDevice), to_fields(fields));
  }
  ChangeId tell(const ForgedLog& arrived) {
    const Seq last = static_cast<Seq>(arrived.changes_.size());
    return add(kArrivalKind, arrival_fields({{arrived.id(), 1, last, arrived.tree_.root()}}));
  }

  // The log line and those of its changes, without checks. `sealed_size`: another size than it has.
  std::vector<std::string> lines(std::uint64_t sealed_size = 0) const {
    LogSeal seal;
    seal.size = sealed_size == 0 ? changes_.size() : sealed_size;
    seal.root = tree_.root();
    seal.signature = must((sealer_ == nullptr ? key_ : *sealer_).sign(seal_text(kForgedFacility, id(), opening_, seal)));
    std::string line = R"({"type":"log","log":")" + to_text(id()) + R"(","device":")" + to_base64(view(opening_.device)) + '"';
    if (opening_.log_class != LogClass::kMixed) line += R"(,"class":)" + std::to_string(static_cast<int>(opening_.log_class));
    line += R"(,"nonce":")" + to_base64(view(opening_.nonce)) + R"(","size":)" + std::to_string(seal.size) + R"(,"root":")" +
            to_base64(view(seal.root)) + R"(","whole":true,"signature":")" + to_base64(view(seal.signature)) + '"';
    std::vector<std::string> out{line};
    for (std::size_t i = 0; i < changes_.size(); ++i) {
      const LeafParts parts = leaf_parts(changes_[i]);
      out.push_back(R"({"type":"change","seq":)" + std::to_string(i + 1) + R"(,"envelope":")" + to_base64(parts.envelope) + R"(","content":")" +
                    to_base64(parts.content) + R"(","salt":")" + to_base64(view(Salt{})) + '"');
    }
    return out;
  }

 private:
  SeededKeystore& key_;
  SeededKeystore* sealer_ = nullptr;
  LogId former_id_;
  LogOpening opening_;
  std::vector<Bytes> changes_;
  Frontier tree_;
};

inline std::string forged_file(const PublicKey& hub_key, RecordId record, const std::vector<std::vector<std::string>>& logs,
                               const std::vector<std::pair<RecordId, std::string>>& names = {}) {
  EvidenceWriter writer;
  writer.line(R"({"type":"evidence","version":2,"facility":")" + to_base64(view(kForgedFacility)) + R"(","hub_key":")" +
              to_base64(view(hub_key)) + R"(","written_ms":)" + std::to_string(kForgedMs) + R"(,"whole":false,"records":[")" + to_text(record) +
              "\"]");
  for (const auto& [named, name] : names) writer.line(R"({"type":"name","record":")" + to_text(named) + R"(","name":)" + json_string(name));
  std::size_t changes = 0;
  for (const auto& lines : logs) {
    for (const std::string& line : lines) writer.line(line);
    changes += lines.size() - 1;
  }
  writer.last_line(R"({"type":"end","lines":)" + std::to_string(writer.lines() + 1) + R"(,"changes":)" + std::to_string(changes) +
                   R"(,"seals":)" + std::to_string(logs.size()));
  return writer.text();
}

}  // namespace wrackline::evidence
