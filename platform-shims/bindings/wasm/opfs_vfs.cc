#include "opfs_vfs.h"

#include <emscripten.h>
#include <sqlite3.h>

#include <cstdint>
#include <cstring>
#include <memory>
#include <vector>

// The worker's JavaScript does this for a file; `slot` counts Module.files. A failure is -1 and stands in Module.fileError.
// clang-format off
EM_JS(int, wrackline_file_slot, (const char* name), {
  const path = UTF8ToString(name);
  return Module["files"].findIndex((file) => file["name"] === path);
});
EM_JS(int, wrackline_file_read, (int slot, void* out, int size, double at), {
  try { return Module["files"][slot]["handle"].read(HEAPU8.subarray(out, out + size), {"at": at}); }
  catch (error) { Module["fileError"] = String(error); return -1; }
});
EM_JS(int, wrackline_file_write, (int slot, const void* from, int size, double at), {
  try { return Module["files"][slot]["handle"].write(HEAPU8.subarray(from, from + size), {"at": at}); }
  catch (error) { Module["fileError"] = String(error); return -1; }
});
EM_JS(int, wrackline_file_truncate, (int slot, double size), {
  try { Module["files"][slot]["handle"].truncate(size); return 0; }
  catch (error) { Module["fileError"] = String(error); return -1; }
});
EM_JS(int, wrackline_file_flush, (int slot), {
  try { Module["files"][slot]["handle"].flush(); return 0; }
  catch (error) { Module["fileError"] = String(error); return -1; }
});
EM_JS(double, wrackline_file_size, (int slot), {
  try { return Module["files"][slot]["handle"].getSize(); }
  catch (error) { Module["fileError"] = String(error); return -1; }
});
EM_JS(void, wrackline_random, (void* out, int size), { crypto.getRandomValues(HEAPU8.subarray(out, out + size)); });
// clang-format on

namespace wrackline {
namespace {

struct File {
  sqlite3_file base;
  int slot;
  bool delete_on_close;
};
File& file_of(sqlite3_file* file) { return *reinterpret_cast<File*>(file); }

// The index of the write-ahead log, which other systems share between processes. There is one worker and one connection, so
// it is memory, and is made anew from the log when the database is opened.
std::vector<std::unique_ptr<unsigned char[]>>& wal_index() {
  static std::vector<std::unique_ptr<unsigned char[]>> regions;
  return regions;
}

int close(sqlite3_file* file) {
  if (file_of(file).delete_on_close) wrackline_file_truncate(file_of(file).slot, 0);
  return SQLITE_OK;
}

int read(sqlite3_file* file, void* out, int size, sqlite3_int64 at) {
  const int got = wrackline_file_read(file_of(file).slot, out, size, static_cast<double>(at));
  if (got < 0) return SQLITE_IOERR_READ;
  if (got == size) return SQLITE_OK;
  std::memset(static_cast<char*>(out) + got, 0, static_cast<std::size_t>(size - got));
  return SQLITE_IOERR_SHORT_READ;
}

int write(sqlite3_file* file, const void* from, int size, sqlite3_int64 at) {
  const int put = wrackline_file_write(file_of(file).slot, from, size, static_cast<double>(at));
  if (put == size) return SQLITE_OK;
  // A browser throws when its quota is used up; a short write is the disk's own word.
  return SQLITE_FULL;
}

int truncate(sqlite3_file* file, sqlite3_int64 size) {
  return wrackline_file_truncate(file_of(file).slot, static_cast<double>(size)) == 0 ? SQLITE_OK : SQLITE_IOERR_TRUNCATE;
}

int sync(sqlite3_file* file, int) { return wrackline_file_flush(file_of(file).slot) == 0 ? SQLITE_OK : SQLITE_IOERR_FSYNC; }

int file_size(sqlite3_file* file, sqlite3_int64* out) {
  const double size = wrackline_file_size(file_of(file).slot);
  *out = size < 0 ? 0 : static_cast<sqlite3_int64>(size);
  return size < 0 ? SQLITE_IOERR_FSTAT : SQLITE_OK;
}

int lock(sqlite3_file*, int) { return SQLITE_OK; }
int check_reserved_lock(sqlite3_file*, int* out) {
  *out = 0;
  return SQLITE_OK;
}
int control(sqlite3_file*, int, void*) { return SQLITE_NOTFOUND; }
int sector_size(sqlite3_file*) { return 4096; }
int characteristics(sqlite3_file*) { return SQLITE_IOCAP_UNDELETABLE_WHEN_OPEN; }

int shm_map(sqlite3_file*, int region, int size, int extend, void volatile** out) {
  auto& regions = wal_index();
  const auto wanted = static_cast<std::size_t>(region);
  while (extend != 0 && regions.size() <= wanted) {
    regions.push_back(std::make_unique<unsigned char[]>(static_cast<std::size_t>(size)));
  }
  *out = wanted < regions.size() ? regions[wanted].get() : nullptr;
  return SQLITE_OK;
}
int shm_lock(sqlite3_file*, int, int, int) { return SQLITE_OK; }
void shm_barrier(sqlite3_file*) {}
int shm_unmap(sqlite3_file*, int) {
  wal_index().clear();
  return SQLITE_OK;
}

const sqlite3_io_methods kMethods = {2,       close,     read,   write,    truncate,    sync,      file_size,
                                     lock,    lock,      check_reserved_lock, control,  sector_size, characteristics,
                                     shm_map, shm_lock,  shm_barrier, shm_unmap, nullptr, nullptr};

int open(sqlite3_vfs*, sqlite3_filename name, sqlite3_file* file, int flags, int* out_flags) {
  file->pMethods = nullptr;
  // Without a name it would be a temporary file; temp_store=MEMORY lets none be made.
  const int slot = name == nullptr ? -1 : wrackline_file_slot(name);
  if (slot < 0) return SQLITE_CANTOPEN;
  if ((flags & SQLITE_OPEN_CREATE) == 0 && wrackline_file_size(slot) <= 0) return SQLITE_CANTOPEN;
  file_of(file).slot = slot;
  file_of(file).delete_on_close = (flags & SQLITE_OPEN_DELETEONCLOSE) != 0;
  file->pMethods = &kMethods;
  if (out_flags != nullptr) *out_flags = flags;
  return SQLITE_OK;
}

int remove(sqlite3_vfs*, const char* name, int sync_directory) {
  const int slot = wrackline_file_slot(name);
  if (slot < 0 || wrackline_file_size(slot) <= 0) return SQLITE_IOERR_DELETE_NOENT;
  if (wrackline_file_truncate(slot, 0) != 0) return SQLITE_IOERR_DELETE;
  if (sync_directory != 0 && wrackline_file_flush(slot) != 0) return SQLITE_IOERR_FSYNC;
  return SQLITE_OK;
}

int access(sqlite3_vfs*, const char* name, int, int* out) {
  const int slot = wrackline_file_slot(name);
  *out = slot >= 0 && wrackline_file_size(slot) > 0 ? 1 : 0;
  return SQLITE_OK;
}

int full_pathname(sqlite3_vfs*, const char* name, int size, char* out) {
  sqlite3_snprintf(size, out, "%s", name);
  return SQLITE_OK;
}

int randomness(sqlite3_vfs*, int size, char* out) {
  wrackline_random(out, size);
  return size;
}

int sleep(sqlite3_vfs*, int microseconds) { return microseconds; }  // Nobody else holds a lock to wait for.
int last_error(sqlite3_vfs*, int, char*) { return 0; }

int current_time_64(sqlite3_vfs*, sqlite3_int64* out) {
  constexpr sqlite3_int64 kUnixEpochJulianMs = 210866760000000LL;
  *out = static_cast<sqlite3_int64>(EM_ASM_DOUBLE({ return Date.now(); })) + kUnixEpochJulianMs;
  return SQLITE_OK;
}

int current_time(sqlite3_vfs* vfs, double* out) {
  sqlite3_int64 ms = 0;
  current_time_64(vfs, &ms);
  *out = static_cast<double>(ms) / 86'400'000.0;
  return SQLITE_OK;
}

sqlite3_vfs vfs = {2,       sizeof(File), 256,     nullptr,    "opfs",     nullptr, open,       remove,  access,
                   full_pathname, nullptr, nullptr, nullptr, nullptr, randomness, sleep,   current_time, last_error, current_time_64,
                   nullptr, nullptr, nullptr};

}  // namespace

int register_opfs_vfs() { return sqlite3_vfs_register(&vfs, 1); }

}  // namespace wrackline

extern "C" int sqlite3_os_init(void) { return wrackline::register_opfs_vfs(); }
extern "C" int sqlite3_os_end(void) { return SQLITE_OK; }
