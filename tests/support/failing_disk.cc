#include "support/failing_disk.h"

#include <sqlite3.h>

#include <csignal>
#include <cstring>
#include <fstream>
#include <iterator>
#include <map>
#include <vector>

#include "support/random.h"

namespace wrackline {
namespace {

using Call = FailingDisk::Call;
using Fault = FailingDisk::Fault;

// A write or a truncation that no sync has followed yet.
struct Pending {
  bool is_write = true;
  std::size_t at = 0;  // The new size, for a truncation.
  std::string data;
};

// The disk would surely hold this of a file after a power cut, and may hold more.
struct Image {
  bool exists = false;
  std::string durable;
  std::vector<Pending> pending;
  bool was_deleted = false;  // The folder was not synced, so the durable content may be there again.
};

struct Plan {
  bool is_set = false;
  Call call = Call::kWrite;
  int nth = 0;
  Fault fault = Fault::kIoError;
  FailingDisk::Lasting lasting = FailingDisk::Lasting::kOnce;
};

sqlite3_vfs* real_vfs = nullptr;
sqlite3_vfs failing_vfs;
volatile std::sig_atomic_t writes_left = -1;  // -1: all pass.
volatile std::sig_atomic_t refused_count = 0;
std::string watched;
std::map<std::string, Image> images;
Plan plan;
FailingDisk::Counts call_counts{};
bool struck = false;
bool is_off = false;

// Our file: the real one behind it in the same allocation.
struct File {
  sqlite3_file base;
  Image* image;  // Null when it is not watched.
  sqlite3_file* real() { return reinterpret_cast<sqlite3_file*>(this + 1); }
};

sqlite3_file* real(sqlite3_file* f) { return reinterpret_cast<File*>(f)->real(); }
Image* image_of(sqlite3_file* f) { return reinterpret_cast<File*>(f)->image; }

bool is_watched(const char* name) { return name != nullptr && !watched.empty() && std::strncmp(name, watched.c_str(), watched.size()) == 0; }

enum class Verdict { kPass, kFail, kFull, kShort, kPretend };

// Counts a call and says what becomes of it.
Verdict judge(Call call) {
  if (is_off) return Verdict::kFail;
  const int number = call_counts[static_cast<std::size_t>(call)]++;
  if (!plan.is_set || call != plan.call || number < plan.nth) return Verdict::kPass;
  if (number > plan.nth && plan.lasting == FailingDisk::Lasting::kOnce) return Verdict::kPass;
  struck = true;
  switch (plan.fault) {
    case Fault::kIoError: return Verdict::kFail;
    case Fault::kFull: return Verdict::kFull;
    case Fault::kShortWrite: return Verdict::kShort;
    case Fault::kLostSync: return Verdict::kPretend;
    case Fault::kPowerCut: break;
  }
  is_off = true;
  return Verdict::kFail;
}

void apply(const Pending& change, std::string& content) {
  if (!change.is_write) {
    content.resize(change.at);
    return;
  }
  if (content.size() < change.at + change.data.size()) content.resize(change.at + change.data.size());
  content.replace(change.at, change.data.size(), change.data);
}

std::string content_of_file(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

int write(sqlite3_file* f, const void* data, int size, sqlite3_int64 at) {
  if (writes_left == 0) {
    refused_count = refused_count + 1;
    return SQLITE_FULL;
  }
  if (writes_left > 0) writes_left = writes_left - 1;
  Image* image = image_of(f);
  if (image == nullptr) return real(f)->pMethods->xWrite(real(f), data, size, at);
  const bool was_off = is_off;
  const Verdict verdict = judge(Call::kWrite);
  // The write during which the power goes may have reached the disk too, or a part of it.
  const bool is_cut = is_off && !was_off;
  if (verdict == Verdict::kPass || is_cut)
    image->pending.push_back({true, static_cast<std::size_t>(at), std::string(static_cast<const char*>(data), static_cast<std::size_t>(size))});
  switch (verdict) {
    case Verdict::kPass:
    case Verdict::kPretend: return real(f)->pMethods->xWrite(real(f), data, size, at);
    case Verdict::kFull: return SQLITE_FULL;
    case Verdict::kShort: {
      const int part = size / 2;
      image->pending.push_back({true, static_cast<std::size_t>(at), std::string(static_cast<const char*>(data), static_cast<std::size_t>(part))});
      const int code = real(f)->pMethods->xWrite(real(f), data, part, at);
      return code == SQLITE_OK ? SQLITE_FULL : code;
    }
    case Verdict::kFail: break;
  }
  return SQLITE_IOERR_WRITE;
}

int sync(sqlite3_file* f, int flags) {
  Image* image = image_of(f);
  if (image == nullptr) return real(f)->pMethods->xSync(real(f), flags);
  switch (judge(Call::kSync)) {
    case Verdict::kPass: break;
    case Verdict::kPretend: return SQLITE_OK;
    default: return SQLITE_IOERR_FSYNC;
  }
  const int code = real(f)->pMethods->xSync(real(f), flags);
  if (code != SQLITE_OK) return code;
  for (const Pending& change : image->pending) apply(change, image->durable);
  image->pending.clear();
  return SQLITE_OK;
}

int truncate(sqlite3_file* f, sqlite3_int64 size) {
  if (Image* image = image_of(f)) {
    if (judge(Call::kTruncate) != Verdict::kPass) return SQLITE_IOERR_TRUNCATE;
    image->pending.push_back({false, static_cast<std::size_t>(size), {}});
  }
  return real(f)->pMethods->xTruncate(real(f), size);
}

int read(sqlite3_file* f, void* data, int size, sqlite3_int64 at) {
  if (image_of(f) != nullptr && judge(Call::kRead) != Verdict::kPass) return SQLITE_IOERR_READ;
  return real(f)->pMethods->xRead(real(f), data, size, at);
}

int file_size(sqlite3_file* f, sqlite3_int64* size) {
  if (image_of(f) != nullptr && judge(Call::kFileSize) != Verdict::kPass) return SQLITE_IOERR_FSTAT;
  return real(f)->pMethods->xFileSize(real(f), size);
}

int close(sqlite3_file* f) { return real(f)->pMethods ? real(f)->pMethods->xClose(real(f)) : SQLITE_OK; }
int lock(sqlite3_file* f, int l) { return real(f)->pMethods->xLock(real(f), l); }
int unlock(sqlite3_file* f, int l) { return real(f)->pMethods->xUnlock(real(f), l); }
int check_lock(sqlite3_file* f, int* out) { return real(f)->pMethods->xCheckReservedLock(real(f), out); }
int control(sqlite3_file* f, int op, void* arg) {
  // SQLite would make the file longer ahead of its writes, past what is counted here.
  if (image_of(f) != nullptr && (op == SQLITE_FCNTL_SIZE_HINT || op == SQLITE_FCNTL_CHUNK_SIZE)) return SQLITE_OK;
  return real(f)->pMethods->xFileControl(real(f), op, arg);
}
int sector_size(sqlite3_file* f) { return real(f)->pMethods->xSectorSize(real(f)); }
int traits(sqlite3_file* f) { return real(f)->pMethods->xDeviceCharacteristics(real(f)); }
int shm_map(sqlite3_file* f, int i, int n, int x, void volatile** p) { return real(f)->pMethods->xShmMap(real(f), i, n, x, p); }
int shm_lock(sqlite3_file* f, int o, int n, int flags) { return real(f)->pMethods->xShmLock(real(f), o, n, flags); }
void shm_barrier(sqlite3_file* f) { real(f)->pMethods->xShmBarrier(real(f)); }
int shm_unmap(sqlite3_file* f, int del) { return real(f)->pMethods->xShmUnmap(real(f), del); }

const sqlite3_io_methods methods = {2,      close,   read,     write,       truncate,  sync,
                                    file_size, lock,  unlock,   check_lock,  control,   sector_size,
                                    traits, shm_map, shm_lock, shm_barrier, shm_unmap, nullptr, nullptr};

int open(sqlite3_vfs*, const char* name, sqlite3_file* f, int flags, int* out) {
  std::memset(f, 0, sizeof(File));
  Image* image = nullptr;
  if (is_watched(name)) {
    if (judge(Call::kOpen) != Verdict::kPass) return SQLITE_CANTOPEN;
    image = &images[name];
  }
  const int code = real_vfs->xOpen(real_vfs, name, real(f), flags, out);
  if (code != SQLITE_OK) return code;
  f->pMethods = &methods;
  reinterpret_cast<File*>(f)->image = image;
  if (image != nullptr && !image->exists) *image = {true, content_of_file(name), {}, false};
  return code;
}

int remove(sqlite3_vfs*, const char* name, int sync_folder) {
  if (!is_watched(name)) return real_vfs->xDelete(real_vfs, name, sync_folder);
  if (judge(Call::kDelete) != Verdict::kPass) return SQLITE_IOERR_DELETE;
  const int code = real_vfs->xDelete(real_vfs, name, sync_folder);
  if (code == SQLITE_OK) {
    Image& image = images[name];
    image.was_deleted = image.exists && sync_folder == 0;
    image.exists = false;
  }
  return code;
}

// The bytes of a write that reached the disk: some of its sectors, in no order.
void apply_part(const Pending& change, Random& random, std::string& content) {
  constexpr std::size_t kSector = 512;
  if (!change.is_write) return apply(change, content);
  for (std::size_t at = 0; at < change.data.size(); at += kSector) {
    if (random.once_in(2)) apply({true, change.at + at, change.data.substr(at, kSector)}, content);
  }
}

}  // namespace

FailingDisk::FailingDisk() {
  real_vfs = sqlite3_vfs_find(nullptr);
  failing_vfs = *real_vfs;
  failing_vfs.zName = "failing";
  failing_vfs.szOsFile = static_cast<int>(sizeof(File)) + real_vfs->szOsFile;
  failing_vfs.xOpen = open;
  failing_vfs.xDelete = remove;
  writes_left = -1;
  watch({});
  sqlite3_vfs_register(&failing_vfs, 1);
}

FailingDisk::~FailingDisk() {
  sqlite3_vfs_unregister(&failing_vfs);
  sqlite3_vfs_register(real_vfs, 1);
}

void FailingDisk::fill_after(int writes) {
  writes_left = writes;
  refused_count = 0;
}

void FailingDisk::heal() {
  writes_left = -1;
  plan.is_set = false;
}

int FailingDisk::refused() const { return refused_count; }

void FailingDisk::watch(const std::string& path_prefix) {
  watched = path_prefix;
  images.clear();
  plan.is_set = false;
  is_off = false;
  count_anew();
}

void FailingDisk::fail_at(Call call, int nth, Fault fault, Lasting lasting) {
  count_anew();
  plan = {true, call, nth, fault, lasting};
}

void FailingDisk::count_anew() {
  call_counts.fill(0);
  struck = false;
}

const FailingDisk::Counts& FailingDisk::counts() const { return call_counts; }
bool FailingDisk::has_struck() const { return struck; }
void FailingDisk::stop() { is_off = true; }

void FailingDisk::cut_power(Unsynced unsynced, std::uint64_t seed) {
  Random random(seed);
  for (auto& [path, image] : images) {
    const bool comes_back = image.was_deleted && (unsynced == Unsynced::kLost || (unsynced == Unsynced::kPart && random.once_in(2)));
    if (!image.exists && !comes_back) continue;
    std::string content = image.durable;
    for (const Pending& change : image.pending) {
      if (unsynced == Unsynced::kKept) apply(change, content);
      if (unsynced == Unsynced::kPart) apply_part(change, random, content);
    }
    std::ofstream file(path, std::ios::binary | std::ios::trunc);
    file.write(content.data(), static_cast<std::streamsize>(content.size()));
  }
  images.clear();
  plan.is_set = false;
  is_off = false;
}

}  // namespace wrackline
