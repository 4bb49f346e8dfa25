// Units that a field's name does not tell, since they depend on another field of the record: a measure's
// value by its quantity, a water reading's by its parameter, a site limit's by the field it limits.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "text/message_schema.h"
#include "text/quantity.h"

namespace wrackline::text {

// The unit of a water reading's value; kPlain for a property of a newer release.
Unit unit_of_parameter(int parameter);

// The unit of a number. `whole` is the record as it stands where `message` holds only the fields of an edit;
// it may be null. kPlain where what decides is absent, or of a newer release.
Unit unit_in(const FieldDescriptor& field, const google::protobuf::Message& message,
             const google::protobuf::Message* whole);

// The field that the unit of `field` depends on and that is absent from both; null when nothing is missing.
const FieldDescriptor* missing_for_unit(const FieldDescriptor& field,
                                        const google::protobuf::Message& message,
                                        const google::protobuf::Message* whole);

// Fields that decide how others are read go first: lower numbers before higher ones.
int reading_order(const FieldDescriptor& field);

// The numbers of a site limit that stand for a kind, a field and a quantity are typed and printed as words.
// Both pass over all other fields: parse returns -1, print "".
std::int64_t parse_limited(const FieldDescriptor& field, std::string_view text,
                           const google::protobuf::Message& message, const google::protobuf::Message* whole);
std::string print_limited(const FieldDescriptor& field, std::int64_t value,
                          const google::protobuf::Message& message, const google::protobuf::Message* whole);

}  // namespace wrackline::text
