// A whole facility in a scratch folder: a hub and enrolled replicas, real databases, no network. Each device
// has a clock of its own that a test may set.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "call/core.h"
#include "call/dispatch.h"
#include "replica/author.h"
#include "replica/replica.h"
#include "support/must.h"
#include "support/seeded_keystore.h"

// Forward declarations only; tests that build calls include the generated headers themselves.
namespace wrackline {

// A folder that is gone when the test is.
class ScratchFolder {
 public:
  // In the system's folder for temporary files, or in `parent`.
  explicit ScratchFolder(const std::string& parent = {});
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;
  ~ScratchFolder();
  std::string operator/(const std::string& name) const { return path_ + "/" + name; }

 private:
  std::string path_;
};

struct Device {
  std::string name;
  std::string path;
  std::unique_ptr<SeededKeystore> keystore;
  std::shared_ptr<WallMs> clock;
  std::unique_ptr<Replica> replica;
  Fence* fence = nullptr;
  std::function<Result<Bytes>(std::size_t)> random = {};  // Replica::Options

  // Closes the database and opens it again, as after a restart.
  void reopen();
  // The same where opening may fail; there is then no replica.
  Status try_reopen();
};

// Ids of logs and seeds of salts are random. Fixed ones are for bytes that are kept in files and must mean the same in each run.
enum class LogIds { kRandom, kFixed };

class Facility {
 public:
  // `seed` makes keys and the facility id. Databases lie in a scratch folder in `parent`, see ScratchFolder.
  explicit Facility(std::uint64_t seed = 1, LogIds log_ids = LogIds::kRandom, const std::string& parent = {});

  Device& hub() { return hub_; }
  // Enrols a device and makes its replica. References stay valid.
  Device& add_device(const std::string& name);
  std::vector<std::unique_ptr<Device>>& devices() { return devices_; }

  // One whole exchange with the hub. Returns the failure of either side, if any.
  Status exchange(Device& device);
  // Until all devices and the hub hold the same.
  void exchange_all();
  WallMs start_ms() const { return kStartMs; }
  // A person every replica will know once it has exchanged; written by the hub.
  RecordId keeper() const { return keeper_; }
  Membership membership(const std::string& name) const;

  static constexpr WallMs kStartMs = 1'790'000'000'000;

 private:
  void fix_random(Device& device, std::uint64_t number) const;
  ScratchFolder folder_;
  std::uint64_t seed_;
  LogIds log_ids_;
  FacilityId id_{};
  Device hub_;
  RecordId keeper_;
  std::vector<std::unique_ptr<Device>> devices_;
};

// The digest of a replica's folded state, as hexadecimal.
std::string state_of(Device& device);

}  // namespace wrackline
