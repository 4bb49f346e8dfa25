// Records in words, from their bytes and the descriptors built into the program; no database is asked.
#pragma once

#include <functional>
#include <string>

#include "base/bytes.h"
#include "base/ids.h"

namespace wrackline::evidence {

// "2026-11-24 08:35:07 UTC"
std::string utc_text(WallMs instant);

// "treatment order", or "kind 57" for one of a newer release.
std::string kind_word(std::uint32_t kind);
// "left", or "field 57".
std::string field_word(std::uint32_t kind, std::uint32_t number);

using NameOf = std::function<std::string(RecordId)>;

// The value of a field of a record of this kind. `slice`: the field as it stands in the wire format, empty
// for absent. `whole`: other fields of the same record, where the meaning of a value depends on them.
std::string value_words(std::uint32_t kind, std::uint32_t number, ByteView slice, ByteView whole,
                        const NameOf& name_of);

}  // namespace wrackline::evidence
