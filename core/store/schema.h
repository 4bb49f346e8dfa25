// The tables of a replica, and how an older database becomes a current one.
//
// `log`, `segment`, `block`, `hub_secret` and `meta` are the truth. `key`, `hub_key`, `record`, `edit`, `review`, `held` and `arrival` are projections:
// made in the same transaction as the changes they come from, and makeable anew from them byte for byte.
// What each column means stands beside it in schema.cc.
#pragma once

#include "base/result.h"
#include "store/sqlite.h"

namespace wrackline {

inline constexpr int kSchemaVersion = 4;

Status create_schema(Database& database);

// Whether the database is one of ours that this release can bring forward; changes nothing. Errors: kNewerDatabase,
// kMalformed (not a database of ours).
Status check_schema(Database& database);

// Brings the database to kSchemaVersion, in one transaction or not at all. Errors: those of check_schema(), kBusy,
// kReadOnly, kStorage.
Status migrate_schema(Database& database);

}  // namespace wrackline
