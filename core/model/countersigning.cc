#include "model/countersigning.h"

#include "base/wire.h"
#include "model/kinds.h"

namespace wrackline {

std::uint32_t word_field(std::uint32_t kind) {
  switch (static_cast<Kind>(kind)) {
    case Kind::kTreatmentOrder: return 12;   // ordered_by
    case Kind::kAdministration: return 10;   // witness
    default: break;
  }
  const KindRow* row = find_kind(kind);
  return row == nullptr ? 0 : row->approval_field;
}

RecordId named_in_word(std::uint32_t kind, ByteView fields) {
  const std::uint32_t number = word_field(kind);
  RecordId named;
  WireReader reader(fields);
  WireField field;
  while (number != 0 && reader.next(field)) {
    if (field.number == number && field.type == WireType::kBytes) named = decode_record_ref(field.bytes);
  }
  return named;
}

bool must_be_another(std::uint32_t kind) { return kind == static_cast<std::uint32_t>(Kind::kAdministration); }

}  // namespace wrackline
