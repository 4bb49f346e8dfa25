#include "support/failing_disk.h"

#include <sqlite3.h>

#include <cstring>

namespace wrackline {
namespace {

sqlite3_vfs* real_vfs = nullptr;
sqlite3_vfs failing_vfs;
int writes_left = -1;  // -1: all pass.
int refused_count = 0;

// Our file: the real one behind it in the same allocation.
struct File {
  sqlite3_file base;
  sqlite3_file* real() { return reinterpret_cast<sqlite3_file*>(this + 1); }
};

sqlite3_file* real(sqlite3_file* f) { return reinterpret_cast<File*>(f)->real(); }

int write(sqlite3_file* f, const void* data, int size, sqlite3_int64 at) {
  if (writes_left == 0) {
    ++refused_count;
    return SQLITE_FULL;
  }
  if (writes_left > 0) --writes_left;
  return real(f)->pMethods->xWrite(real(f), data, size, at);
}

int close(sqlite3_file* f) { return real(f)->pMethods ? real(f)->pMethods->xClose(real(f)) : SQLITE_OK; }
int read(sqlite3_file* f, void* d, int n, sqlite3_int64 at) { return real(f)->pMethods->xRead(real(f), d, n, at); }
int truncate(sqlite3_file* f, sqlite3_int64 n) { return real(f)->pMethods->xTruncate(real(f), n); }
int sync(sqlite3_file* f, int flags) { return real(f)->pMethods->xSync(real(f), flags); }
int file_size(sqlite3_file* f, sqlite3_int64* n) { return real(f)->pMethods->xFileSize(real(f), n); }
int lock(sqlite3_file* f, int l) { return real(f)->pMethods->xLock(real(f), l); }
int unlock(sqlite3_file* f, int l) { return real(f)->pMethods->xUnlock(real(f), l); }
int check_lock(sqlite3_file* f, int* out) { return real(f)->pMethods->xCheckReservedLock(real(f), out); }
int control(sqlite3_file* f, int op, void* arg) { return real(f)->pMethods->xFileControl(real(f), op, arg); }
int sector_size(sqlite3_file* f) { return real(f)->pMethods->xSectorSize(real(f)); }
int traits(sqlite3_file* f) { return real(f)->pMethods->xDeviceCharacteristics(real(f)); }
int shm_map(sqlite3_file* f, int i, int n, int x, void volatile** p) { return real(f)->pMethods->xShmMap(real(f), i, n, x, p); }
int shm_lock(sqlite3_file* f, int o, int n, int flags) { return real(f)->pMethods->xShmLock(real(f), o, n, flags); }
void shm_barrier(sqlite3_file* f) { real(f)->pMethods->xShmBarrier(real(f)); }
int shm_unmap(sqlite3_file* f, int del) { return real(f)->pMethods->xShmUnmap(real(f), del); }

const sqlite3_io_methods methods = {2,     close,      read,    write,         truncate,  sync,
                                    file_size, lock,   unlock,  check_lock,    control,   sector_size,
                                    traits, shm_map,   shm_lock, shm_barrier,  shm_unmap, nullptr, nullptr};

int open(sqlite3_vfs*, const char* name, sqlite3_file* f, int flags, int* out) {
  std::memset(f, 0, sizeof(File));
  const int code = real_vfs->xOpen(real_vfs, name, real(f), flags, out);
  if (code == SQLITE_OK) f->pMethods = &methods;
  return code;
}

}  // namespace

FailingDisk::FailingDisk() {
  real_vfs = sqlite3_vfs_find(nullptr);
  failing_vfs = *real_vfs;
  failing_vfs.zName = "failing";
  failing_vfs.szOsFile = static_cast<int>(sizeof(File)) + real_vfs->szOsFile;
  failing_vfs.xOpen = open;
  writes_left = -1;
  sqlite3_vfs_register(&failing_vfs, 1);
}

FailingDisk::~FailingDisk() {
  sqlite3_vfs_unregister(&failing_vfs);
  sqlite3_vfs_register(real_vfs, 1);
}

void FailingDisk::fill_after(int writes) { writes_left = writes, refused_count = 0; }
void FailingDisk::heal() { writes_left = -1; }
int FailingDisk::refused() const { return refused_count; }

}  // namespace wrackline
