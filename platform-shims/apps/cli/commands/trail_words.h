// Entries of the trail in words: shared by the trail, the review and the closes of days.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "cli/client.h"
#include "cli/names.h"
#include "text/json.h"
#include "text/message_schema.h"

namespace wrackline::cli {

class TrailWords {
 public:
  TrailWords(Client& client, Names& names) : client_(client), names_(names) {}

  // A value as it stood, in the unit its record gives it; "absent" for none.
  std::string value(const TrailEntry& entry, const std::string& partial);
  std::string new_value(const TrailEntry& entry) { return value(entry, entry.value()); }
  // The values it replaced, "84 kg" or "84 kg and 85 kg"; "" where it is the first.
  std::string old_values(const TrailEntry& entry);
  // "84 kg -> 85 kg", or the new value alone.
  std::string step(const TrailEntry& entry);

  // "stands", "replaced", "disagrees", "HELD"
  static const char* state(const TrailEntry& entry);
  // "LATE, CLOCK SUSPECT, after close": what there is to notice; "" for nothing.
  static std::string marks(const TrailEntry& entry);
  static std::string author(const TrailEntry& entry) { return entry.author_name().empty() ? "the hub" : entry.author_name(); }
  // "tablet", or "hub, asked from tablet".
  std::string device(const TrailEntry& entry);
  // "edited 2026-11-24 08:35 by Ines Vik on tablet north": how a change came about.
  std::string origin(const TrailEntry& entry);
  std::string record_name(const TrailEntry& entry);

  void put_json(Json& json, const TrailEntry& entry);

 private:
  const google::protobuf::Message* whole(const RecordRef& record);

  Client& client_;
  Names& names_;
  std::map<ChangeId, MessagePtr> wholes_;
  std::map<ChangeId, std::string> record_names_;
};

}  // namespace wrackline::cli
