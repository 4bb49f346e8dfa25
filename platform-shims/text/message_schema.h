// This file says what kinds of record there are and what fields they have, from the descriptors of proto/records.proto and
// the core's tables of kinds and fields. Nothing of it is written down a second time here.
#pragma once

#include <google/protobuf/descriptor.h>
#include <google/protobuf/message.h>

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "base/bytes.h"
#include "model/field_schema.h"

namespace wrackline::text {

using google::protobuf::Descriptor;
using google::protobuf::FieldDescriptor;
using MessagePtr = std::unique_ptr<google::protobuf::Message>;

struct KindInfo {
  std::uint32_t number;
  std::string name;              // "treatment_order"
  const Descriptor* descriptor;  // Null when the core knows a kind the descriptors do not.
};

const std::vector<KindInfo>& kinds();

// Null for a kind this release does not know.
const KindInfo* find_kind_info(std::uint32_t number);
// For kinds the program itself speaks of; a name that is not in the table is a fault of ours.
std::uint32_t kind_number(std::string_view name);
// "treatment_order", "order" and plurals, as typed. Throws Stop with the list of kinds.
const KindInfo& kind_typed(std::string_view text);
// "meal", or "kind 57" for one of a newer release.
std::string kind_name(std::uint32_t number);

// A record's fields as a message; unknown fields are kept inside. Null for an unknown kind or broken bytes.
MessagePtr parse_fields(std::uint32_t kind, ByteView fields);
MessagePtr blank(const KindInfo& kind);

// Set apart: the fields that are the same in every kind, the hub's and signed ones; changed by their own commands only.
bool is_built_in(const FieldDescriptor& field);
// True for a field that the hub alone writes in a record that others write too: since when somebody has a PIN, or
// a code for one.
bool is_of_hub(const FieldDescriptor& field);
// True for a field that a close of a day signs: the core fills it in when the day is closed, and nobody types
// it.
bool is_signed(const FieldDescriptor& field);
inline bool is_built_in(std::uint32_t number) { return number >= 1000; }

// The field that is written instead of one that is only read any more: of `area`, `in_area`. Null for any other.
const FieldDescriptor* successor(const FieldDescriptor& field);

// Looks up a field in the core's table; the answer is empty for a field that stands in no record.
const FieldSchema& says_of(const FieldDescriptor& field);
// The unit of a field's numbers where the field alone says it; kPlain where it is a count, or another field decides (value_units.h).
Unit unit_of(const FieldDescriptor& field);
// The field's name without its unit, as people may type it: of "mass_mg" it is "mass".
std::string bare_name(const FieldDescriptor& field);

// Null unless the field refers to another record; otherwise the name of the kind it refers to ("animal or pool"
// where it may be either), or "" where records of that kind have no name to be found by.
const char* referred_kind(const FieldDescriptor& field);
// The kind that records of this kind belong to, in the same form; "animal" where they belong to nothing.
const char* subject_kind(const KindInfo& kind);

// "left_mg", "standing", or "field 57" for one of a newer release.
std::string field_name(std::uint32_t kind, std::uint32_t number);

}  // namespace wrackline::text
