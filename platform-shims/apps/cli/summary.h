// Records in a line or a list, for people.
#pragma once

#include <string>
#include <vector>

#include "cli/client.h"
#include "cli/names.h"
#include "text/message_schema.h"

namespace wrackline::cli {

// "offered 1.2 kg; left 80 g": the set fields but for built-in ones, offsets and those named in `without`.
std::string record_summary(const RecordView& view, Client& client, Names& names,
                           const std::vector<std::string>& without = {});

// Tells what happened, for an event in a list that has columns for who, when and to which animal: a meal's
// portions, a dose's outcome and amount, what was measured or seen.
std::string event_text(const RecordView& view, Client& client, Names& names);

// A meal's portions: "Herring 1.2 kg, left 80 g; Squid 300 g".
std::string portions_text(const RecordView& meal, Client& client, Names& names);

// A table of records of one kind with the columns of listing.h. `without`: fields that are the same everywhere
// and said above the table.
std::string records_table(const std::vector<RecordView>& views, Client& client, Names& names,
                          const std::vector<std::string>& without = {});

// "struck", "folded into 3f9a.12", "in disagreement: left"; "" for a plain record.
std::string standing_text(const RecordView& view, Names& names);

// "proven", "written at the hub", "by the device's word".
const char* authorship_text(proto::Authorship authorship);
// Says by name who wrote a record; where the facility asks for proofs, it says so of a name that is the device's word
// alone.
std::string author_text(const RecordView& view, Client& client, Names& names);
std::string author_text(const TrailEntry& entry, Client& client);  // The same of one change.

// The device a log belongs to, or the beginning of the log's id.
std::string device_of(const RecordRef& record, Client& client);

}  // namespace wrackline::cli
