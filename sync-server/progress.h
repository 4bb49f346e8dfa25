// How far a long command has come, told as it goes.
#pragma once

#include <cstdint>
#include <functional>

namespace wrackline {

// `doing` is a word for a person ("copying"); `all` is 0 while it is not known. May be empty.
using Progress = std::function<void(const char* doing, std::uint64_t done, std::uint64_t all)>;

}  // namespace wrackline
