#include "simulation/virtual_disk.h"

#include <algorithm>
#include <utility>

namespace wrackline {
namespace {

constexpr std::size_t kSector = 512;
constexpr const char* kRoot = "/virtual/";

std::map<std::string, VirtualDisk*>& disks() {
  static std::map<std::string, VirtualDisk*> all;
  return all;
}

void put(Bytes& file, std::size_t at, ByteView data) {
  if (file.size() < at + data.size()) file.resize(at + data.size());
  file.replace(at, data.size(), data);
}

// True when this call is the one; it counts down otherwise.
bool is_due(std::optional<std::uint32_t>& in) {
  if (!in) return false;
  if (*in == 0) return true;
  --*in;
  return false;
}

}  // namespace

// virtual_vfs.cc
void add_virtual_vfs();
void remove_virtual_vfs();

VirtualDisk::VirtualDisk(std::string machine) : machine_(std::move(machine)) {
  if (disks().empty()) add_virtual_vfs();
  disks()[machine_] = this;
}

VirtualDisk::~VirtualDisk() {
  disks().erase(machine_);
  if (disks().empty()) remove_virtual_vfs();
}

std::string VirtualDisk::path(const std::string& file) const { return kRoot + machine_ + "/" + file; }

VirtualDisk* VirtualDisk::find(const std::string& path) {
  const std::string root = kRoot;
  if (path.compare(0, root.size(), root) != 0) return nullptr;
  const std::size_t end = path.find('/', root.size());
  const auto found = disks().find(path.substr(root.size(), end - root.size()));
  return found == disks().end() ? nullptr : found->second;
}

void VirtualDisk::heal() {
  crash_in_.reset();
  full_in_.reset();
  error_in_.reset();
  is_full_ = false;
}

void VirtualDisk::power_off() {
  if (is_down_) return;
  is_down_ = true;
  ++counts_.crashes;
  ++faults_;
}

VirtualDisk::Fate VirtualDisk::before_read() {
  if (is_down_) return ++faults_, Fate::kFails;
  if (is_paused_) return Fate::kPasses;
  if (is_due(error_in_)) {
    error_in_.reset();
    ++faults_, ++counts_.errors;
    return Fate::kFails;
  }
  return Fate::kPasses;
}

VirtualDisk::Fate VirtualDisk::before_change(bool needs_room) {
  ++counts_.calls;
  if (!is_down_ && !is_paused_ && is_due(crash_in_)) power_off();
  const Fate fate = before_read();
  if (fate != Fate::kPasses || is_paused_) return fate;
  is_full_ = is_full_ || is_due(full_in_);
  if (!is_full_ || !needs_room) return Fate::kPasses;
  ++faults_, ++counts_.full;
  return Fate::kFull;
}

std::shared_ptr<VirtualFile> VirtualDisk::open(const std::string& path, bool may_create) {
  const auto found = files_.find(path);
  if (found != files_.end()) return found->second;
  if (!may_create) return nullptr;
  return files_[path] = std::make_shared<VirtualFile>();
}

bool VirtualDisk::remove(const std::string& path, bool syncs_folder) {
  const auto found = files_.find(path);
  if (found == files_.end()) return false;
  if (found->second->is_on_disk) removed_[path] = found->second->synced;
  files_.erase(found);
  if (syncs_folder) removed_.clear();
  return true;
}

// SQLite syncs the folder with a new file's first sync; that settles what became of other names too.
void VirtualDisk::sync(VirtualFile& file) {
  file.synced = file.now;
  file.unsynced.clear();
  if (!file.is_on_disk) removed_.clear();
  file.is_on_disk = true;
}

// A mood for each file: all of it had reached the disk, nothing had, or some had in whatever order.
Bytes VirtualDisk::after_crash(const VirtualFile& file, int mood, Random& random) {
  Bytes out = file.synced;
  for (const VirtualFile::Write& write : file.unsynced) {
    const std::uint64_t fate = mood == 0 ? 0 : mood == 1 ? 1 : random.below(3);
    if (fate == 1 || (fate == 2 && write.is_truncation)) {
      ++counts_.dropped;
    } else if (write.is_truncation) {
      out.resize(std::min(out.size(), write.at));
      ++counts_.kept;
    } else if (fate == 0) {
      put(out, write.at, write.data);
      ++counts_.kept;
    } else {
      ++counts_.torn;
      for (std::size_t at = 0; at < write.data.size();) {
        const std::size_t size = std::min(kSector - (write.at + at) % kSector, write.data.size() - at);
        if (random.once_in(2)) put(out, write.at + at, ByteView(write.data).substr(at, size));
        at += size;
      }
    }
  }
  return out;
}

void VirtualDisk::restart(Random& random) {
  heal();
  is_down_ = false;
  std::map<std::string, std::shared_ptr<VirtualFile>> after;
  const auto keep = [&after](const std::string& path, Bytes content) {
    auto file = std::make_shared<VirtualFile>();
    file->now = file->synced = std::move(content);
    file->is_on_disk = true;
    after[path] = std::move(file);
  };
  const int mood = static_cast<int>(random.below(4));
  for (const auto& [path, file] : files_) {
    if (!file->is_on_disk && random.once_in(2)) continue;
    keep(path, after_crash(*file, mood, random));
  }
  for (auto& [path, content] : removed_) {
    const auto now = files_.find(path);
    const bool is_settled = now != files_.end() && now->second->is_on_disk;
    if (!is_settled && random.once_in(2)) keep(path, content);
  }
  files_ = std::move(after);
  removed_.clear();
}

VirtualDisk::Copy VirtualDisk::copy() const {
  Copy out;
  for (const auto& [path, file] : files_) out[path.substr(path.rfind('/') + 1)] = file->now;
  return out;
}

void VirtualDisk::put_back(const Copy& copy) {
  heal();
  is_down_ = false;
  files_.clear();
  removed_.clear();
  for (const auto& [name, content] : copy) {
    auto file = std::make_shared<VirtualFile>();
    file->now = file->synced = content;
    file->is_on_disk = true;
    files_[path(name)] = std::move(file);
  }
}

}  // namespace wrackline
