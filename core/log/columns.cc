// Layout (all numbers varints): number of shapes; each shape as its length and its steps; the column of shape
// numbers (absent for one shape); then, shape by shape and step by step, one column for each step with a value.
//
// A step is a tag (field number << 3 | wire type); a length-delimited step is followed by 1 when its value is
// taken apart too (then its own steps follow, up to a 0) or by 0 when the value is kept as bytes.
#include "log/columns.h"

#include <cstring>
#include <map>
#include <vector>

#include "base/wire.h"
#include "log/change.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kFieldsOfChange = 6;  // The only inner message taken apart whatever it holds.
constexpr int kDepthMax = 3;

struct Value {
  std::uint64_t number = 0;
  ByteView bytes;
};

struct Split {
  Bytes steps;
  std::vector<Value> values;
  std::size_t marks = 0;  // Beginnings and ends of what is taken apart.
};

bool split_message(ByteView message, int depth, Split& out);

// A RecordRef as everybody writes it: {1: fixed64, 2: varint}. Free text never looks like one by accident.
bool looks_like_ref(ByteView bytes) {
  return bytes.size() >= 11 && bytes.size() <= 20 && bytes[0] == 0x09 && bytes[9] == 0x10;
}

bool split_bytes(const WireField& field, int depth, Split& out) {
  const bool take_apart = depth < kDepthMax && ((depth == 0 && field.number == kFieldsOfChange) || looks_like_ref(field.bytes));
  if (take_apart) {
    const std::size_t steps = out.steps.size(), values = out.values.size(), marks = out.marks;
    append_varint(out.steps, 1);
    if (split_message(field.bytes, depth + 1, out)) {
      append_varint(out.steps, 0);
      out.marks += 2;
      return true;
    }
    out.steps.resize(steps);
    out.values.resize(values);
    out.marks = marks;
  }
  append_varint(out.steps, 0);
  out.values.push_back({field.bytes.size(), field.bytes});
  return true;
}

bool split_message(ByteView message, int depth, Split& out) {
  WireReader reader(message);
  WireField field;
  while (reader.next(field)) {
    const std::uint64_t tag = static_cast<std::uint64_t>(field.number) << 3 | static_cast<std::uint64_t>(field.type);
    std::size_t shortest = static_cast<std::size_t>(varint_size(tag));
    if (field.type == WireType::kVarint) shortest += static_cast<std::size_t>(varint_size(field.scalar));
    if (field.type == WireType::kFixed64) shortest += 8;
    if (field.type == WireType::kFixed32) shortest += 4;
    if (field.type == WireType::kBytes) {
      shortest += static_cast<std::size_t>(varint_size(field.bytes.size())) + field.bytes.size();
    }
    if (shortest != field.slice.size()) return false;
    append_varint(out.steps, tag);
    if (field.type == WireType::kBytes) {
      if (!split_bytes(field, depth, out)) return false;
    } else {
      out.values.push_back({field.scalar, {}});
    }
  }
  return reader.ok();
}

// ---- One column of numbers --------------------------------------------------------------------------------

enum NumberColumn : char { kAsIs = 0, kDeltas = 1, kTable = 2 };
constexpr std::size_t kTableMax = 255;

void append_number_column(Bytes& out, const std::vector<std::uint64_t>& numbers) {
  // Few distinct values: their table, then one byte each (none when there is only one).
  std::vector<std::uint64_t> table;
  std::map<std::uint64_t, std::uint8_t> places;
  for (std::uint64_t n : numbers) {
    if (places.emplace(n, static_cast<std::uint8_t>(table.size())).second) table.push_back(n);
    if (table.size() > kTableMax) break;
  }
  std::size_t table_size = numbers.size() + 9 * table.size();
  if (table.size() == 1) table_size = 9;
  if (table.size() > kTableMax) table_size = SIZE_MAX;

  // Differences, divided by the power of two that all of them share (stamps move in whole milliseconds).
  std::uint64_t all_bits = 0;
  std::vector<std::uint64_t> deltas(numbers.size());
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    deltas[i] = i == 0 ? 0 : numbers[i] - numbers[i - 1];
    all_bits |= deltas[i];
  }
  int shift = 0;
  while (shift < 32 && all_bits != 0 && (all_bits >> shift & 1) == 0) ++shift;
  std::size_t as_is_size = 0, delta_size = 10;
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    deltas[i] = zigzag(static_cast<std::int64_t>(deltas[i]) >> shift);
    as_is_size += static_cast<std::size_t>(varint_size(numbers[i]));
    delta_size += static_cast<std::size_t>(varint_size(deltas[i]));
  }

  if (table_size <= as_is_size && table_size <= delta_size) {
    out.push_back(kTable);
    append_varint(out, table.size());
    for (std::uint64_t n : table) append_varint(out, n);
    std::uint64_t last = numbers.empty() ? 0 : numbers[0];
    std::uint8_t place = 0;
    for (std::size_t i = 0; table.size() > 1 && i < numbers.size(); ++i) {
      if (numbers[i] != last) place = places[last = numbers[i]];
      out.push_back(static_cast<char>(place));
    }
  } else if (delta_size < as_is_size) {
    out.push_back(kDeltas);
    out.push_back(static_cast<char>(shift));
    append_varint(out, numbers.empty() ? 0 : numbers[0]);
    for (std::size_t i = 1; i < deltas.size(); ++i) append_varint(out, deltas[i]);
  } else {
    out.push_back(kAsIs);
    for (std::uint64_t n : numbers) append_varint(out, n);
  }
}

bool take_byte(ByteView& rest, std::uint8_t& byte) {
  if (rest.empty()) return false;
  byte = static_cast<std::uint8_t>(rest.front());
  rest.remove_prefix(1);
  return true;
}

// Behind those that are in `numbers`.
bool take_number_column(ByteView& rest, std::size_t count, std::vector<std::uint64_t>& all) {
  all.resize(all.size() + count);
  std::uint64_t* const numbers = all.data() + (all.size() - count);
  std::uint8_t form = 0;
  if (!take_byte(rest, form)) return false;
  if (form == kAsIs) {
    for (std::size_t i = 0; i < count; ++i) {
      if (!take_varint(rest, numbers[i])) return false;
    }
    return true;
  }
  if (form == kDeltas) {
    std::uint8_t shift = 0;
    std::uint64_t n = 0;
    if (!take_byte(rest, shift) || shift > 32 || !take_varint(rest, n)) return false;
    for (std::size_t i = 0; i < count; ++i) {
      std::uint64_t delta = 0;
      if (i > 0 && !take_varint(rest, delta)) return false;
      n += static_cast<std::uint64_t>(unzigzag(delta)) << shift;
      numbers[i] = n;
    }
    return true;
  }
  if (form != kTable) return false;
  std::uint64_t size = 0;
  if (!take_varint(rest, size) || size == 0 || size > kTableMax) return false;
  std::vector<std::uint64_t> table(static_cast<std::size_t>(size));
  for (std::uint64_t& n : table) {
    if (!take_varint(rest, n)) return false;
  }
  for (std::size_t i = 0; i < count; ++i) {
    std::uint8_t place = 0;
    if (table.size() > 1 && !take_byte(rest, place)) return false;
    if (place >= table.size()) return false;
    numbers[i] = table[place];
  }
  return true;
}

// ---- Shapes ------------------------------------------------------------------------------------------------

struct Step {
  std::uint8_t type = 0;
  bool opens = false;   // A message that is taken apart.
  bool closes = false;  // Its end.
  char tag[5] = {};     // The tag as written; a field number has at most 29 bits.
  std::uint8_t tag_size = 0;
  bool has_value() const { return !opens && !closes; }
};

struct Shape {
  std::vector<Step> steps;
  std::size_t room = 0;  // For each step's tag and longest number.
  std::size_t members = 0;
  std::size_t joined = 0;  // How many of them are written already.
  // One column for each step with a value, in order: a number of each member, and for bytes their contents, which are used
  // up from the front as changes are joined.
  std::vector<std::uint64_t> numbers;
  std::vector<ByteView> contents;
  std::uint64_t number_at(std::size_t column) const { return numbers[column * members + joined]; }
};

bool read_shape(ByteView steps, Shape& shape) {
  int depth = 0;
  while (!steps.empty()) {
    Step step;
    const ByteView from = steps;
    std::uint64_t tag = 0;
    if (!take_varint(steps, tag)) return false;
    if (tag == 0) {
      step.closes = true;
      if (depth-- == 0) return false;
    } else {
      step.type = tag & 7;
      if (step.type != 0 && step.type != 1 && step.type != 2 && step.type != 5) return false;
      step.tag_size = static_cast<std::uint8_t>(from.size() - steps.size());
      if (step.tag_size > sizeof step.tag) return false;
      from.copy(step.tag, step.tag_size);
      std::uint64_t apart = 0;
      if (step.type == 2 && (!take_varint(steps, apart) || apart > 1)) return false;
      step.opens = apart == 1;
      if (step.opens && ++depth > kDepthMax) return false;
    }
    if (!step.closes) shape.room += 15;
    shape.steps.push_back(step);
  }
  return depth == 0;
}

char* put_varint(char* at, std::uint64_t value) {
  while (value >= 0x80) {
    *at++ = static_cast<char>(value | 0x80);
    value >>= 7;
  }
  *at++ = static_cast<char>(value);
  return at;
}

// Writes the next change of `shape` behind `out`, by way of `scratch`.
bool join_change(Shape& shape, std::vector<char>& scratch, Bytes& out) {
  std::size_t room = shape.room;
  for (std::size_t column = 0; column < shape.contents.size(); ++column) {
    if (shape.contents[column].data() == nullptr) continue;
    if (shape.number_at(column) > shape.contents[column].size()) return false;
    room += static_cast<std::size_t>(shape.number_at(column));
  }
  if (room > kColumnsBytesMax) return false;
  if (scratch.size() < room) scratch.resize(room);
  char* at = scratch.data();
  char* length_at[kDepthMax] = {};  // Where the length of an open message will stand: one byte, mostly enough.
  int depth = 0;
  std::size_t column = 0;
  for (const Step& step : shape.steps) {
    if (step.closes) {
      char* begin = length_at[--depth] + 1;
      const std::size_t size = static_cast<std::size_t>(at - begin);
      const std::size_t more = static_cast<std::size_t>(varint_size(size)) - 1;
      std::memmove(begin + more, begin, size);
      put_varint(begin - 1, size);
      at += more;
      continue;
    }
    std::memcpy(at, step.tag, step.tag_size);
    at += step.tag_size;
    if (step.opens) {
      length_at[depth++] = at++;
      continue;
    }
    std::uint64_t number = shape.number_at(column);
    if (step.type == 0) {
      at = put_varint(at, number);
    } else if (step.type == 2) {
      at = put_varint(at, number);
      const std::size_t size = static_cast<std::size_t>(number);
      std::memcpy(at, shape.contents[column].data(), size);
      shape.contents[column].remove_prefix(size);
      at += size;
    } else {
      for (int i = step.type == 1 ? 8 : 4; i > 0; --i, number >>= 8) *at++ = static_cast<char>(number);
    }
    ++column;
  }
  ++shape.joined;
  out.append(scratch.data(), static_cast<std::size_t>(at - scratch.data()));
  return true;
}

}  // namespace

bool split_columns(const ChangeRun& run, Bytes& columns, std::size_t& work) {
  work = run.size() + run.bytes();
  struct ColumnOf {
    std::vector<std::uint64_t> numbers;
    Bytes bytes;
  };
  struct Group {
    std::uint64_t number = 0;
    std::vector<ColumnOf> columns;
  };
  std::map<Bytes, Group> groups;
  std::vector<std::pair<const Bytes, Group>*> in_order;
  std::pair<const Bytes, Group>* last = nullptr;  // Neighbours mostly have one shape.
  std::vector<std::uint64_t> shape_of;
  Split split;
  for (std::size_t i = 0; i < run.size(); ++i) {
    split.steps.clear();
    split.values.clear();
    split.marks = 0;
    if (run[i].size() > kChangeBytesMax || !split_message(run[i], 0, split)) return false;
    work += split.values.size() + split.marks;
    if (last == nullptr || last->first != split.steps) {
      const auto [it, is_new] = groups.try_emplace(split.steps);
      last = &*it;
      if (is_new) {
        last->second.number = in_order.size();
        last->second.columns.resize(split.values.size());
        in_order.push_back(last);
      }
    }
    shape_of.push_back(last->second.number);
    for (std::size_t c = 0; c < split.values.size(); ++c) {
      ColumnOf& column = last->second.columns[c];
      column.numbers.push_back(split.values[c].number);
      column.bytes += split.values[c].bytes;
    }
  }

  append_varint(columns, in_order.size());
  for (const auto* shape : in_order) {
    append_varint(columns, shape->first.size());
    columns += shape->first;
  }
  if (in_order.size() > 1) append_number_column(columns, shape_of);
  for (const auto* shape : in_order) {
    for (const ColumnOf& column : shape->second.columns) {
      append_number_column(columns, column.numbers);
      columns += column.bytes;
    }
  }
  work += columns.size();
  return columns.size() <= kColumnsBytesMax;
}

bool join_columns(ByteView columns, std::size_t count, ChangeRun& run, UnpackWork& work) {
  if (!work.take(count)) return false;
  std::uint64_t shape_count = 0;
  if (!take_varint(columns, shape_count) || shape_count == 0 || shape_count > count) return false;
  std::vector<Shape> shapes(static_cast<std::size_t>(shape_count));
  for (Shape& shape : shapes) {
    std::uint64_t size = 0;
    if (!take_varint(columns, size) || size > columns.size()) return false;
    if (!read_shape(columns.substr(0, static_cast<std::size_t>(size)), shape)) return false;
    columns.remove_prefix(static_cast<std::size_t>(size));
  }
  std::vector<std::uint64_t> shape_of;
  if (shapes.size() == 1) {
    shape_of.resize(count, 0);
  } else if (!take_number_column(columns, count, shape_of)) {
    return false;
  }
  for (std::uint64_t s : shape_of) {
    if (s >= shapes.size()) return false;
    ++shapes[s].members;
  }
  // All shapes are counted together before memory is taken for any: a value or a mark is at least one byte of its change.
  std::size_t steps = 0;
  for (const Shape& shape : shapes) steps += shape.steps.size() * shape.members;
  if (steps > kRunBytesMax || !work.take(steps)) return false;
  for (Shape& shape : shapes) {
    for (const Step& step : shape.steps) {
      if (!step.has_value()) continue;
      if (!take_number_column(columns, shape.members, shape.numbers)) return false;
      ByteView& content = shape.contents.emplace_back();
      if (step.type != 2) continue;
      std::uint64_t total = 0;
      for (std::size_t i = shape.numbers.size() - shape.members; i < shape.numbers.size(); ++i) {
        if (shape.numbers[i] > columns.size()) return false;
        total += shape.numbers[i];
      }
      if (total > columns.size()) return false;
      content = columns.substr(0, static_cast<std::size_t>(total));
      columns.remove_prefix(static_cast<std::size_t>(total));
    }
  }
  if (!columns.empty()) return false;
  std::vector<char> scratch;
  for (std::uint64_t s : shape_of) {
    const std::size_t before = run.bytes();
    if (!join_change(shapes[s], scratch, run.open_bytes())) return false;
    if (run.bytes() > kRunBytesMax || !work.take(run.bytes() - before)) return false;
    run.close_change();
  }
  return true;
}

}  // namespace wrackline
