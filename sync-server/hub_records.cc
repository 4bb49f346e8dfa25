#include "hub_records.h"

#include <filesystem>
#include <string>
#include <utility>

#include "hosts/file_fence.h"
#include "hosts/key_change.h"
#include "hosts/system_clock.h"

namespace wrackline {

bool has_records(const HubDirectory& directory) {
  std::error_code ignored;
  return std::filesystem::exists(directory.records(), ignored);
}

Result<HubRecords> HubRecords::open(const HubDirectory& directory, const char* doing) {
  if (!has_records(directory)) return fail(ErrorCode::kNotFound, std::string(doing) + ": " + directory.path + " is no hub's directory");
  WRACKLINE_TRY_VALUE(keystore, open_key(directory.key(), directory.records()));
  return open_with(directory, std::move(keystore));
}

Result<HubRecords> HubRecords::open_with(const HubDirectory& directory, std::unique_ptr<Keystore> keystore) {
  auto fence = std::make_unique<FileFence>(directory.fence());
  WRACKLINE_TRY_VALUE(replica, Replica::open({directory.records(), keystore.get(), wall_clock_ms, fence.get()}));
  return HubRecords{std::move(keystore), std::move(fence), std::move(replica)};
}

}  // namespace wrackline
