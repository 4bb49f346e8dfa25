// The tablet app's files, as the hub serves them: read once when it starts, and found by their whole path only, so that no path
// can name anything else on the disk. Whether they are what a release holds is app_release.h's to say.
//
// A page with the records of a facility must not be looked into by another: every file goes out with the headers that keep
// it apart (cross-origin isolation, which the app's shared memory needs too), and a policy that loads nothing from elsewhere.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/bytes.h"
#include "base/result.h"

namespace wrackline {

struct AppFile {
  std::string content_type;
  Bytes body;
  std::vector<std::pair<std::string, std::string>> headers;
};

class AppFiles {
 public:
  AppFiles() = default;
  // All files below `directory`, by their path from it; "/" is index.html. Links are not followed. Errors: kNotFound (no
  // index.html), kTooLarge (more than 1,000 files or 64 MiB), kUnsupported (a kind of file the hub does not serve), kStorage.
  static Result<AppFiles> read(const std::string& directory);

  // Null when there is none. `path` is as requested, without a query.
  const AppFile* find(std::string_view path) const;

  using ByPath = std::map<std::string, AppFile, std::less<>>;
  const ByPath& all() const { return files_; }
  // One that stands in no directory.
  void add(const std::string& path, Bytes body);

 private:
  ByPath files_;
};

}  // namespace wrackline
