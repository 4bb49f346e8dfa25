// A disk that is full when a test says so: an SQLite VFS over the real one, whose writes fail with
// SQLITE_FULL from a chosen write on. Databases opened while an instance lives go through it.
#pragma once

namespace wrackline {

class FailingDisk {
 public:
  FailingDisk();
  ~FailingDisk();
  // Lets `writes` more writes pass, then fails all until heal().
  void fill_after(int writes);
  void heal();
  // Writes that were refused since the last fill_after().
  int refused() const;
};

}  // namespace wrackline
