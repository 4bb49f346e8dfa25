// What must hold once the faults are over and everybody has exchanged: each throws a Finding that says what does not.
#pragma once

#include <cstdint>
#include <string>

#include "simulation/world.h"

namespace wrackline {

struct Checked {
  std::uint64_t replicas = 0, changes = 0, records = 0, edited = 0, disagreements = 0, held = 0, branches = 0;
  std::string state;  // The digest that all have.
};

// The world has settled.
Checked check_all(World& world);

}  // namespace wrackline
