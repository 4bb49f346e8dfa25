// The disk of one simulated machine, in memory: what was synced is safe, what was written since is not.
//
// SQLite reaches it as its default VFS for as long as any VirtualDisk lives (virtual_vfs.cc); paths are those that
// path() gives. A crash may come between any two calls: from there on every call fails until restart(), which keeps,
// drops or tears (by sectors of 512 bytes) each write that was not synced, as the seed says. Files that were made or
// removed and not synced may come back or be gone too.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/bytes.h"
#include "support/random.h"

namespace wrackline {

// SQLite keeps these beside a file while it is open: locks, and the index of the WAL. Gone with the power.
struct VirtualLocks {
  int shared = 0;
  const void* reserved = nullptr;
  const void* exclusive = nullptr;  // Or waiting to be.
  std::vector<std::unique_ptr<char[]>> index;
  std::array<int, 8> index_shared{};
  std::array<const void*, 8> index_exclusive{};
};

struct VirtualFile {
  struct Write {
    std::size_t at = 0;
    Bytes data;
    bool is_truncation = false;  // To `at`.
  };
  Bytes now;                    // The bytes that programs see.
  Bytes synced;                 // The bytes at the last sync.
  bool is_on_disk = false;      // Its name is; a file that was never synced may be gone.
  std::vector<Write> unsynced;  // Since then, in order.
  VirtualLocks locks;
};

struct DiskCounts {
  std::uint64_t calls = 0, crashes = 0, kept = 0, dropped = 0, torn = 0, full = 0, errors = 0;
};

class VirtualDisk {
 public:
  // `machine` is a name that no other disk has at the time.
  explicit VirtualDisk(std::string machine);
  ~VirtualDisk();
  VirtualDisk(const VirtualDisk&) = delete;
  VirtualDisk& operator=(const VirtualDisk&) = delete;
  std::string path(const std::string& file) const;
  static VirtualDisk* find(const std::string& path);

  // ---- Faults. The number is of calls that still pass, writes and syncs and removals alike.
  void crash_after(std::uint32_t calls) { crash_in_ = calls; }
  void fill_after(std::uint32_t calls) { full_in_ = calls; }
  // One call fails, a read or any other.
  void fail_once_after(std::uint32_t calls) { error_in_ = calls; }
  // Makes room, and forgets the faults to come.
  void heal();
  // While paused no fault comes, for those who look at the machine from outside; one that is down stays so.
  void pause(bool paused) { is_paused_ = paused; }
  bool is_down() const { return is_down_; }
  void power_off();
  // All files must be closed.
  void restart(Random& random);
  // Rises with every call that was made to fail.
  std::uint64_t faults() const { return faults_; }
  const DiskCounts& counts() const { return counts_; }

  // ---- All files as they are now, for a backup or a clone; and back.
  using Copy = std::map<std::string, Bytes>;
  Copy copy() const;
  void put_back(const Copy& copy);

  // ---- For the VFS.
  enum class Fate { kPasses, kFails, kFull };
  Fate before_read();
  Fate before_change(bool needs_room);
  std::shared_ptr<VirtualFile> open(const std::string& path, bool may_create);
  bool exists(const std::string& path) const { return files_.count(path) != 0; }
  bool remove(const std::string& path, bool syncs_folder);
  void sync(VirtualFile& file);

 private:
  Bytes after_crash(const VirtualFile& file, int mood, Random& random);
  std::string machine_;
  std::map<std::string, std::shared_ptr<VirtualFile>> files_;
  std::map<std::string, Bytes> removed_;  // Removed files that have not yet gone from the disk.
  std::optional<std::uint32_t> crash_in_, full_in_, error_in_;
  bool is_down_ = false, is_full_ = false, is_paused_ = false;
  std::uint64_t faults_ = 0;
  DiskCounts counts_;
};

// The random numbers of SQLite itself follow from this too.
void seed_sqlite(std::uint64_t seed);

}  // namespace wrackline
