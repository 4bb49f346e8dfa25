// Enumerations by their words: QUANTITY_LENGTH_STRAIGHT is "length_straight".
#pragma once

#include <google/protobuf/descriptor.h>

#include <string>
#include <string_view>

namespace wrackline::text {

// Lower case, with _ for a space or a hyphen, as names of fields and values are written.
std::string lower_words(std::string_view text);

std::string enum_word(const google::protobuf::EnumValueDescriptor& value);

// Throws Stop (usage) with the words there are.
const google::protobuf::EnumValueDescriptor* enum_typed(const google::protobuf::EnumDescriptor& type,
                                                        std::string_view text);

}  // namespace wrackline::text
