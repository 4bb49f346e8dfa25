// This file says what every figure of a published formula carries with it.
#pragma once

namespace wrackline {

// Constants of the program; they live as long as it does.
struct Formula {
  const char* name = nullptr;      // With its authors and year: two formulas for one thing differ.
  const char* source = nullptr;    // Where it was published.
  const char* validity = nullptr;  // The range its authors give. Outside it a figure is marked.
};

}  // namespace wrackline
