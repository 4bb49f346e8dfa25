// A seal: the signature of a device over its log as a tree (log/merkle_tree.h), and the id that binds a log to its key.
//
//   seal   = Ed25519(device, "wrackline/seal/2" || facility || log(8) || class(1) || area log(8) || area seq(4)
//                            || size(8) || root(32) || seen log(8) || seen size(8) || seen root(32)
//                            || of a log of class 255: the key of its device(32))
//   log id = first 8 bytes of SHA-256("wrackline/log/2" || facility || device key || class(1) || area log(8) || area seq(4)
//                                     || nonce(16))
//
// The newest seal of a log covers all of it. One that covers more than is held here is shown to be of the same log by steps of
// consistency, each from the size before to the next.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/log_class.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"
#include "log/merkle_tree.h"

namespace wrackline {

using LogNonce = std::array<unsigned char, 16>;

// Fixed when a log is opened, and shown with its first change.
struct LogOpening {
  PublicKey device{};
  LogClass log_class = LogClass::kMixed;
  RecordId area;  // None: of no area in particular.
  LogNonce nonce{};
};

LogId log_id(const FacilityId& facility, const LogOpening& opening);
// The form that is kept on the disk and named in records. Reading gives none for bytes that are no opening.
Bytes to_bytes(const LogOpening& opening);
std::optional<LogOpening> read_opening(ByteView bytes);

// Names the log of arrivals of the hub that the device knew when it sealed, and how far it knew it; zeros when it knew none.
struct SeenArrivals {
  LogId log;
  std::uint64_t size = 0;
  Hash root{};
};

struct ConsistencyStep {
  std::uint64_t size = 0;  // To which it leads.
  Hash root{};
  TreePath path;
};

struct LogSeal {
  std::uint64_t size = 0;
  Hash root{};
  SeenArrivals seen;
  Signature signature{};
  // From what is held here to `size`; empty when that is the same.
  std::vector<ConsistencyStep> steps;
};

// More steps than this are neither read nor kept.
inline constexpr std::size_t kSealStepsMax = 8;

Bytes seal_text(const FacilityId& facility, LogId log, const LogOpening& opening, const LogSeal& seal);

// Whether the seal is the device's over a log whose first `tree.size()` leaves make this tree.
bool covers(const LogSeal& seal, const Frontier& tree);

// The form that is kept on the disk. Reading gives none for bytes that are no seal.
Bytes to_bytes(const LogSeal& seal);
std::optional<LogSeal> read_seal(ByteView bytes);

}  // namespace wrackline
