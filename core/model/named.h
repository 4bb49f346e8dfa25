// Kinds whose records people call by a name, which is field 1 of every one of them.
#pragma once

#include "model/kinds.h"

namespace wrackline {

inline constexpr std::uint32_t kRecordNameField = 1;

inline bool has_name(std::uint32_t kind) {
  switch (static_cast<Kind>(kind)) {
    case Kind::kFacility:
    case Kind::kPerson:
    case Kind::kDevice:
    case Kind::kPool:
    case Kind::kAnimal:
    case Kind::kFood:
    case Kind::kEnricher:
    case Kind::kCue:
    case Kind::kArea:
      return true;
    default:
      return false;
  }
}

}  // namespace wrackline
