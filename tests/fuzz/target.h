// A target: what one kind of bytes from outside meets, with an oracle that says what must hold whatever they are.
//
// `run` returns when all held, and throws Broken when not; that is a finding like a crash. It gives the same answer for the
// same bytes each time, whatever ran before. `mutate` knows the form of the bytes, so that what it makes gets further than to
// the first check. `seeds` are the corpus as the replay program writes it (see replay.cc).
#pragma once

#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "base/bytes.h"
#include "support/random.h"

namespace wrackline::fuzz {

struct Seed {
  std::string name;
  Bytes bytes;
};

struct Target {
  const char* name;
  void (*run)(ByteView input);
  Bytes (*mutate)(ByteView input, Random& random);
  std::vector<Seed> (*seeds)();
};

// The one list of targets.
const std::vector<Target>& all_targets();

struct Broken : std::logic_error {
  using std::logic_error::logic_error;
};

inline void insist(bool holds, const std::string& sentence) {
  if (!holds) throw Broken(sentence);
}

// The message library writes a line for each text that is no UTF-8; there would be millions.
void silence_messages();

extern const Target kChangeTarget, kSegmentTarget, kBundleTarget, kExchangeRequestTarget, kExchangeReplyTarget, kCallTarget,
    kHttpTarget, kCsvTarget;

}  // namespace wrackline::fuzz
