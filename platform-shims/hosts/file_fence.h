// The fence of a device's log as a small file in the user's state folder, outside the folder of the records.
//
// Where: $XDG_STATE_HOME or ~/.local/state, in wrackline/fences, one file for each folder of records on this machine.
// Without a home there is no fence, and a restored database is told by the hub alone.
#pragma once

#include <memory>
#include <string>

#include "replica/fence.h"

namespace wrackline {

class FileFence : public Fence {
 public:
  // For the records at `records_path`. Makes nothing on the disk before the first write().
  static std::unique_ptr<FileFence> beside(const std::string& records_path);
  explicit FileFence(std::string path) : path_(std::move(path)) {}
  ~FileFence() override;

  std::optional<FencePoint> read() override;
  bool write(const FencePoint& point) override;
  const std::string& path() const { return path_; }

 private:
  bool open_to_write();
  std::string path_;
  int file_ = -1;
};

}  // namespace wrackline
