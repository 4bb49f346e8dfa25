// A bundle: sealed logs in a file, for carrying changes where there is no network.
//
// The form stands at BundleHeader in proto/exchange.proto. Each log in it is taken in or refused by itself; taking it
// in twice changes nothing. It carries the hub's logs too, so its reader learns of the devices in it.
#pragma once

#include "base/bytes.h"
#include "base/result.h"
#include "log/version_vector.h"
#include "store/store.h"
#include "sync/admission.h"
#include "sync/device_registry.h"
#include "sync/refused_log.h"

namespace wrackline {

// The largest bundle that is read.
inline constexpr std::size_t kBundleBytesMax = 256u << 20;

struct WrittenBundle {
  Bytes bytes;
  std::uint32_t changes = 0;
};

// Everything sealed that `have` lacks (empty: everything). The caller has sealed the own log before.
Result<WrittenBundle> write_bundle(Store& store, const VersionVector& have, WallMs now);

struct TakenBundle {
  std::uint32_t in_file = 0;
  std::uint32_t new_here = 0;
  std::vector<RefusedLog> refused;
  VersionVector writer;
};

// Takes a bundle in. The caller holds a Write and commits it, or gives it up for a dry run or an error.
// Errors: kMalformed (not a bundle, cut short or altered, with the place), kTooLarge, kWrongFacility,
// kUnsupported; nothing was taken in. What Admission::admit says of a log that cannot be taken stands in `refused`.
Result<TakenBundle> take_bundle(Store& store, DeviceRegistry& devices, ByteView bundle, Admission& admission);

}  // namespace wrackline
