// Packed runs that claim far more than their size, written by hand from the layout in core/log/columns.cc.
#pragma once

#include "base/wire.h"
#include "log/compression.h"

namespace wrackline {

// `count` changes of `shapes` shapes in turn, each of `steps` fields that are the number 0. Three bytes a column, which
// compress to hardly any.
inline Bytes hostile_run(std::size_t shapes, std::size_t steps, std::size_t count) {
  Bytes columns;
  append_varint(columns, shapes);
  for (std::size_t i = 0; i < shapes; ++i) {
    append_varint(columns, steps);
    columns.append(steps, '\x08');  // Field 1, varint.
  }
  if (shapes > 1) {  // A table of all shapes, and a place in it for each change.
    columns += '\x02';
    append_varint(columns, shapes);
    for (std::size_t i = 0; i < shapes; ++i) append_varint(columns, i);
    for (std::size_t i = 0; i < count; ++i) columns += static_cast<char>(i % shapes);
  }
  for (std::size_t i = 0; i < shapes * steps; ++i) columns += Bytes("\x02\x01\x00", 3);  // A table of one number.
  return compress(columns);
}

}  // namespace wrackline
