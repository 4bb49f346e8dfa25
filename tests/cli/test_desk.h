// A desk in a scratch folder, as `wrack --dir` opens it, for tests that run commands inside this program.
// Roster and facility come from a hub that all desks of a test share.
#pragma once

#include <string>
#include <vector>

#include "cli/client.h"
#include "support/facility.h"

namespace wrackline::cli {

// A hub with its facility, two people, and whatever else is drafted; nothing here opens a socket.
class SharedRoster {
 public:
  explicit SharedRoster(std::uint64_t seed);
  // Writes a record that every desk made later has. `message` is serialised.
  RecordRef add(const char* kind, const std::string& fields);
  wrackline::Facility& facility() { return facility_; }

 private:
  wrackline::Facility facility_;
};

class Desk {
 public:
  // Holds what `roster` holds now.
  explicit Desk(SharedRoster& roster);

  struct Output {
    Exit exit;
    std::string text;  // The printed text, and the message of a failure.
  };
  // A whole command: {"list", "animal"}. Questions are answered with yes.
  Output run(const std::vector<std::string>& words, bool json = false);
  Options options() const;
  std::string path(const std::string& name) const { return folder_ / name; }

 private:
  ScratchFolder folder_;
};

}  // namespace wrackline::cli
