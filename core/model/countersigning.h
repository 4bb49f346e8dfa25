// Fields that name a person whose word it is: who ordered a treatment, who approved a plan, who saw a dose given.
//
// It is that person's word only when they have written it themselves; written by anybody else, it asks them. So an order that was taken
// by telephone names the vet and is not confirmed until the vet gives the field the same value. Pure.
#pragma once

#include <cstdint>

#include "base/bytes.h"
#include "base/ids.h"

namespace wrackline {

// The number of the field; 0 for kinds that have none.
std::uint32_t word_field(std::uint32_t kind);

// The person whom `fields` name there; none when they do not.
RecordId named_in_word(std::uint32_t kind, ByteView fields);

// Nobody sees their own doing: who gives a dose is no witness of it.
bool must_be_another(std::uint32_t kind);

}  // namespace wrackline
