// One field of a record in wire format, for tests that write what no honest app would.
#pragma once

#include "base/bytes.h"
#include "base/ids.h"
#include "base/wire.h"

namespace wrackline {

inline Bytes number_field(std::uint32_t field, std::uint64_t value) {
  Bytes out;
  append_varint_field(out, field, value);
  return out;
}
inline Bytes reference_field(std::uint32_t field, RecordId record) {
  Bytes out;
  append_record_ref_field(out, field, record);
  return out;
}

}  // namespace wrackline
