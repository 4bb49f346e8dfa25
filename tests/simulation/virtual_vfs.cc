// SQLite's side of the virtual disk: its VFS, with the locks and the shared WAL index that WAL mode needs, for one
// process with any number of connections.
#include <sqlite3.h>

#include <cstring>

#include "simulation/virtual_disk.h"

namespace wrackline {
namespace {

sqlite3_vfs* real_vfs = nullptr;
sqlite3_vfs virtual_vfs;
Random sqlite_random(1);

struct Handle {
  std::shared_ptr<VirtualFile> file;
  std::string machine_path;  // To find the disk by; a file without a name has none and is never at fault.
  int lock = SQLITE_LOCK_NONE;
  unsigned index_shared = 0, index_exclusive = 0;
};

struct File {
  sqlite3_file base;
  Handle* handle;
};

Handle& handle_of(sqlite3_file* f) { return *reinterpret_cast<File*>(f)->handle; }
VirtualDisk* disk_of(sqlite3_file* f) { return VirtualDisk::find(handle_of(f).machine_path); }

int code_of(VirtualDisk::Fate fate, int failure) {
  if (fate == VirtualDisk::Fate::kPasses) return SQLITE_OK;
  return fate == VirtualDisk::Fate::kFull ? SQLITE_FULL : failure;
}

int before_change(sqlite3_file* f, bool needs_room, int failure) {
  VirtualDisk* disk = disk_of(f);
  return disk == nullptr ? SQLITE_OK : code_of(disk->before_change(needs_room), failure);
}

int unlock(sqlite3_file* f, int level) {
  Handle& h = handle_of(f);
  VirtualLocks& locks = h.file->locks;
  if (locks.exclusive == &h) locks.exclusive = nullptr;
  if (level < SQLITE_LOCK_RESERVED && locks.reserved == &h) locks.reserved = nullptr;
  if (level < SQLITE_LOCK_SHARED && h.lock >= SQLITE_LOCK_SHARED) --locks.shared;
  h.lock = level;
  return SQLITE_OK;
}

int lock(sqlite3_file* f, int level) {
  Handle& h = handle_of(f);
  VirtualLocks& locks = h.file->locks;
  if (h.lock >= level) return SQLITE_OK;
  if (locks.exclusive != nullptr && locks.exclusive != &h) return SQLITE_BUSY;
  if (h.lock < SQLITE_LOCK_SHARED) {
    ++locks.shared;
    h.lock = SQLITE_LOCK_SHARED;
  }
  if (level >= SQLITE_LOCK_RESERVED) {
    if (locks.reserved != nullptr && locks.reserved != &h) return SQLITE_BUSY;
    if (level == SQLITE_LOCK_RESERVED) locks.reserved = &h;
  }
  if (level >= SQLITE_LOCK_PENDING) {
    locks.exclusive = &h;
    if (locks.shared > 1) return h.lock = SQLITE_LOCK_PENDING, SQLITE_BUSY;
  }
  h.lock = level;
  return SQLITE_OK;
}

int check_lock(sqlite3_file* f, int* out) {
  const VirtualLocks& locks = handle_of(f).file->locks;
  *out = locks.reserved != nullptr || locks.exclusive != nullptr;
  return SQLITE_OK;
}

int shm_lock(sqlite3_file* f, int offset, int n, int flags) {
  Handle& h = handle_of(f);
  VirtualLocks& locks = h.file->locks;
  for (int i = offset; i < offset + n; ++i) {
    const unsigned bit = 1u << i;
    const std::size_t at = static_cast<std::size_t>(i);
    if ((flags & SQLITE_SHM_UNLOCK) != 0) continue;
    if (locks.index_exclusive[at] != nullptr && locks.index_exclusive[at] != &h) return SQLITE_BUSY;
    const int others = locks.index_shared[at] - ((h.index_shared & bit) != 0 ? 1 : 0);
    if ((flags & SQLITE_SHM_EXCLUSIVE) != 0 && others > 0) return SQLITE_BUSY;
  }
  for (int i = offset; i < offset + n; ++i) {
    const unsigned bit = 1u << i;
    const std::size_t at = static_cast<std::size_t>(i);
    if ((flags & SQLITE_SHM_UNLOCK) != 0) {
      if ((h.index_shared & bit) != 0) --locks.index_shared[at];
      if ((h.index_exclusive & bit) != 0) locks.index_exclusive[at] = nullptr;
      h.index_shared &= ~bit;
      h.index_exclusive &= ~bit;
    } else if ((flags & SQLITE_SHM_SHARED) != 0) {
      if ((h.index_shared & bit) == 0) ++locks.index_shared[at];
      h.index_shared |= bit;
    } else {
      locks.index_exclusive[at] = &h;
      h.index_exclusive |= bit;
    }
  }
  return SQLITE_OK;
}

int shm_map(sqlite3_file* f, int region, int size, int extend, void volatile** out) {
  auto& index = handle_of(f).file->locks.index;
  *out = nullptr;
  const auto wanted = static_cast<std::size_t>(region);
  if (wanted >= index.size() && extend == 0) return SQLITE_OK;
  while (index.size() <= wanted) index.push_back(std::make_unique<char[]>(static_cast<std::size_t>(size)));
  *out = index[wanted].get();
  return SQLITE_OK;
}

void shm_barrier(sqlite3_file*) {}

int shm_unmap(sqlite3_file* f, int is_last) {
  shm_lock(f, 0, 8, SQLITE_SHM_UNLOCK | SQLITE_SHM_EXCLUSIVE);
  if (is_last != 0) handle_of(f).file->locks.index.clear();
  return SQLITE_OK;
}

int close(sqlite3_file* f) {
  unlock(f, SQLITE_LOCK_NONE);
  delete reinterpret_cast<File*>(f)->handle;
  f->pMethods = nullptr;
  return SQLITE_OK;
}

int read(sqlite3_file* f, void* data, int n, sqlite3_int64 from) {
  if (VirtualDisk* disk = disk_of(f)) {
    if (disk->before_read() != VirtualDisk::Fate::kPasses) return SQLITE_IOERR_READ;
  }
  const Bytes& now = handle_of(f).file->now;
  const auto size = static_cast<std::size_t>(n), at = static_cast<std::size_t>(from);
  const std::size_t there = at >= now.size() ? 0 : std::min(size, now.size() - at);
  if (there > 0) std::memcpy(data, now.data() + at, there);
  if (there == size) return SQLITE_OK;
  std::memset(static_cast<char*>(data) + there, 0, size - there);
  return SQLITE_IOERR_SHORT_READ;
}

int write(sqlite3_file* f, const void* data, int n, sqlite3_int64 to) {
  if (const int code = before_change(f, true, SQLITE_IOERR_WRITE)) return code;
  VirtualFile& file = *handle_of(f).file;
  const auto at = static_cast<std::size_t>(to), size = static_cast<std::size_t>(n);
  if (file.now.size() < at + size) file.now.resize(at + size);
  std::memcpy(file.now.data() + at, data, size);
  file.unsynced.push_back({at, Bytes(static_cast<const char*>(data), size), false});
  return SQLITE_OK;
}

int truncate(sqlite3_file* f, sqlite3_int64 to) {
  if (const int code = before_change(f, false, SQLITE_IOERR_TRUNCATE)) return code;
  VirtualFile& file = *handle_of(f).file;
  const auto size = static_cast<std::size_t>(to);
  if (size < file.now.size()) file.now.resize(size);
  file.unsynced.push_back({size, {}, true});
  return SQLITE_OK;
}

int sync(sqlite3_file* f, int) {
  if (const int code = before_change(f, false, SQLITE_IOERR_FSYNC)) return code;
  if (VirtualDisk* disk = disk_of(f)) disk->sync(*handle_of(f).file);
  return SQLITE_OK;
}

int file_size(sqlite3_file* f, sqlite3_int64* out) {
  *out = static_cast<sqlite3_int64>(handle_of(f).file->now.size());
  return SQLITE_OK;
}

int control(sqlite3_file*, int, void*) { return SQLITE_NOTFOUND; }
int sector_size(sqlite3_file*) { return 512; }
// A write harms nothing beside it, as SQLite takes for granted of real disks.
int traits(sqlite3_file*) { return SQLITE_IOCAP_POWERSAFE_OVERWRITE; }

const sqlite3_io_methods methods = {2,         close, read,   write,      truncate, sync,        file_size,
                                    lock,      unlock, check_lock, control, sector_size, traits, shm_map,
                                    shm_lock,  shm_barrier, shm_unmap, nullptr, nullptr};

int open(sqlite3_vfs* vfs, const char* name, sqlite3_file* f, int flags, int* out_flags) {
  f->pMethods = nullptr;
  VirtualDisk* disk = name == nullptr ? nullptr : VirtualDisk::find(name);
  // The tests' other files stay real.
  if (name != nullptr && disk == nullptr) return vfs == &virtual_vfs ? SQLITE_CANTOPEN : SQLITE_ERROR;
  std::shared_ptr<VirtualFile> file;
  if (disk == nullptr) {
    file = std::make_shared<VirtualFile>();
  } else {
    if (disk->before_read() != VirtualDisk::Fate::kPasses) return SQLITE_CANTOPEN;
    file = disk->open(name, (flags & SQLITE_OPEN_CREATE) != 0);
    if (!file) return SQLITE_CANTOPEN;
  }
  File& opened = *reinterpret_cast<File*>(f);
  opened.handle = new Handle{std::move(file), name == nullptr ? "" : name};
  f->pMethods = &methods;
  if (out_flags != nullptr) *out_flags = flags;
  return SQLITE_OK;
}

int remove(sqlite3_vfs*, const char* name, int syncs_folder) {
  VirtualDisk* disk = VirtualDisk::find(name);
  if (disk == nullptr) return SQLITE_IOERR_DELETE;
  if (disk->before_change(false) != VirtualDisk::Fate::kPasses) return SQLITE_IOERR_DELETE;
  return disk->remove(name, syncs_folder != 0) ? SQLITE_OK : SQLITE_IOERR_DELETE_NOENT;
}

int access(sqlite3_vfs*, const char* name, int, int* out) {
  VirtualDisk* disk = VirtualDisk::find(name);
  *out = disk != nullptr && disk->exists(name);
  return SQLITE_OK;
}

int full_path(sqlite3_vfs*, const char* name, int size, char* out) {
  sqlite3_snprintf(size, out, "%s", name);
  return SQLITE_OK;
}

int randomness(sqlite3_vfs*, int n, char* out) {
  const Bytes bytes = sqlite_random.bytes(static_cast<std::size_t>(n));
  std::memcpy(out, bytes.data(), bytes.size());
  return n;
}

}  // namespace

void add_virtual_vfs() {
  real_vfs = sqlite3_vfs_find(nullptr);
  virtual_vfs = *real_vfs;
  virtual_vfs.iVersion = 2;
  virtual_vfs.zName = "virtual";
  virtual_vfs.szOsFile = sizeof(File);
  virtual_vfs.mxPathname = 512;
  virtual_vfs.xOpen = open;
  virtual_vfs.xDelete = remove;
  virtual_vfs.xAccess = access;
  virtual_vfs.xFullPathname = full_path;
  virtual_vfs.xRandomness = randomness;
  sqlite3_vfs_register(&virtual_vfs, 1);
}

void remove_virtual_vfs() {
  sqlite3_vfs_unregister(&virtual_vfs);
  sqlite3_vfs_register(real_vfs, 1);
}

void seed_sqlite(std::uint64_t seed) {
  sqlite_random = Random(seed);
  sqlite3_randomness(0, nullptr);  // Draws its own seed anew.
}

}  // namespace wrackline
