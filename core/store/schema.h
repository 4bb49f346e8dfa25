// The tables of a replica, and how an older database becomes a current one.
//
// `log`, `segment`, `receipt` and `meta` are the truth. `key`, `record`, `edit`, `review` and `held` are projections:
// made in the same transaction as the changes they come from, and makeable anew from them byte for byte.
// What each column means stands beside it in schema.cc.
#pragma once

#include "base/result.h"
#include "store/sqlite.h"

namespace wrackline {

inline constexpr int kSchemaVersion = 1;

Status create_schema(Database& database);

// Brings the database to kSchemaVersion. Errors: kNewerDatabase (left untouched), kMalformed (not a database
// of ours).
Status migrate_schema(Database& database);

}  // namespace wrackline
