#include "store/hub_secrets.h"

#include <algorithm>

namespace wrackline {

HubSecrets::HubSecrets(Database& database)
    : find_(database, "SELECT set_ms,value FROM hub_secret WHERE name=CAST(? AS TEXT)"),
      put_(database, "INSERT OR REPLACE INTO hub_secret(name,set_ms,value,shared) VALUES(CAST(? AS TEXT),?,?,?)"),
      unshared_(database, "SELECT name,set_ms,value FROM hub_secret WHERE shared=0"),
      database_(database) {}

Result<Bytes> HubSecrets::find(const std::string& name) {
  WRACKLINE_TRY_VALUE(row, find_.with(name).step());
  Bytes value = row ? Bytes(find_.blob(1)) : Bytes();
  find_.reset();
  return value;
}

Status HubSecrets::set(const std::string& name, ByteView value, WallMs now) {
  WRACKLINE_TRY_VALUE(row, find_.with(name).step());
  const WallMs before = row ? static_cast<WallMs>(find_.integer(0)) : 0;
  find_.reset();
  return put_.with(name, std::max(now, before + 1), value, 0).run();
}

Result<std::vector<HubSecret>> HubSecrets::unshared() {
  std::vector<HubSecret> out;
  for (;;) {
    WRACKLINE_TRY_VALUE(row, unshared_.step());
    if (!row) break;
    out.push_back({std::string(unshared_.blob(0)), static_cast<WallMs>(unshared_.integer(1)), Bytes(unshared_.blob(2))});
  }
  unshared_.reset();
  return out;
}

Status HubSecrets::note_shared() { return database_.execute("UPDATE hub_secret SET shared=1 WHERE shared=0"); }
Status HubSecrets::forget_shared() { return database_.execute("UPDATE hub_secret SET shared=0"); }

Status HubSecrets::take(const HubSecret& secret) {
  WRACKLINE_TRY_VALUE(row, find_.with(secret.name).step());
  const bool is_here = row;
  const WallMs here = is_here ? static_cast<WallMs>(find_.integer(0)) : 0;
  const Bytes value = is_here ? Bytes(find_.blob(1)) : Bytes();
  find_.reset();
  if (is_here && (here > secret.set_ms || (here == secret.set_ms && value >= secret.value))) return {};
  return put_.with(secret.name, secret.set_ms, secret.value, 1).run();
}

}  // namespace wrackline
