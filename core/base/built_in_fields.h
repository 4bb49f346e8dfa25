// The numbers of the fields that every record message has, whatever its kind (proto/records.proto).
#pragma once

#include <cstdint>

namespace wrackline {

inline constexpr std::uint32_t kStandingField = 1000;
inline constexpr std::uint32_t kSameAsField = 1001;
inline constexpr std::uint32_t kAcceptedField = 1002;
// The questions that the author of a change confirmed. Two confirmations that did not know of each other are
// both true: they never disagree.
inline constexpr std::uint32_t kConfirmationField = 1003;

// The value of `standing` that strikes a record.
inline constexpr std::uint64_t kStruck = 1;

}  // namespace wrackline
