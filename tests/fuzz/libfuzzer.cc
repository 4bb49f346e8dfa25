// The libFuzzer side: one program, run under the name of each target (fuzz_change, fuzz_csv ...).
#include <algorithm>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <exception>
#include <string>

#include "target.h"

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t size_max);

namespace {

const wrackline::fuzz::Target* target = nullptr;

}  // namespace

extern "C" int LLVMFuzzerInitialize(int*, char*** arguments) {
  wrackline::fuzz::silence_messages();
  std::string name = (*arguments)[0];
  name = name.substr(name.find_last_of('/') + 1);
  for (const auto& candidate : wrackline::fuzz::all_targets()) {
    if (name == std::string("fuzz_") + candidate.name) target = &candidate;
  }
  if (target == nullptr) {
    std::fprintf(stderr, "%s: there is no such target\n", name.c_str());
    std::exit(2);
  }
  return 0;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  try {
    target->run({reinterpret_cast<const char*>(data), size});
  } catch (const std::exception& broken) {
    std::fprintf(stderr, "BROKEN: %s\n", broken.what());
    std::abort();
  }
  return 0;
}

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max, unsigned seed) {
  wrackline::Random random(seed);
  // Without looking at the form, now and then: libFuzzer knows which comparisons were near.
  if (size == 0 || random.once_in(6)) return LLVMFuzzerMutate(data, size, size_max);
  wrackline::Bytes changed(reinterpret_cast<const char*>(data), size);
  for (std::uint64_t i = 0; i < 1 + random.below(3); ++i) changed = target->mutate(changed, random);
  const std::size_t kept = std::min(changed.size(), size_max);
  std::memcpy(data, changed.data(), kept);
  return kept;
}
