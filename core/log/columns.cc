// Layout (all numbers varints): number of shapes; each shape as its length and its steps; the column of shape
// numbers (absent for one shape); then, shape by shape and step by step, one column for each step with a value.
//
// A step is a tag (field number << 3 | wire type); a length-delimited step is followed by 1 when its value is
// taken apart too (then its own steps follow, up to a 0) or by 0 when the value is kept as bytes.
#include "log/columns.h"

#include <algorithm>
#include <map>

#include "log/wire.h"

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
};

bool split_message(ByteView message, int depth, Split& out);

// A RecordRef as everybody writes it: {1: fixed64, 2: varint}. Free text never looks like one by accident.
bool looks_like_ref(ByteView bytes) {
  return bytes.size() >= 11 && bytes.size() <= 20 && bytes[0] == 0x09 && bytes[9] == 0x10;
}

bool split_bytes(const WireField& field, int depth, Split& out) {
  const bool take_apart = depth < kDepthMax && ((depth == 0 && field.number == kFieldsOfChange) || looks_like_ref(field.bytes));
  if (take_apart) {
    const std::size_t steps = out.steps.size(), values = out.values.size();
    append_varint(out.steps, 1);
    if (split_message(field.bytes, depth + 1, out)) {
      append_varint(out.steps, 0);
      return true;
    }
    out.steps.resize(steps);
    out.values.resize(values);
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
    if (table.size() > 1) {
      for (std::uint64_t n : numbers) out.push_back(static_cast<char>(places[n]));
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

bool take_number_column(ByteView& rest, std::size_t count, std::vector<std::uint64_t>& numbers) {
  numbers.resize(count);
  std::uint8_t form = 0;
  if (!take_byte(rest, form)) return false;
  if (form == kAsIs) {
    for (std::uint64_t& n : numbers) {
      if (!take_varint(rest, n)) return false;
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
  for (std::uint64_t& n : numbers) {
    std::uint8_t place = 0;
    if (table.size() > 1 && !take_byte(rest, place)) return false;
    if (place >= table.size()) return false;
    n = table[place];
  }
  return true;
}

// ---- Shapes ------------------------------------------------------------------------------------------------

struct Step {
  std::uint64_t tag = 0;
  bool opens = false;   // A message that is taken apart.
  bool closes = false;  // Its end.
  bool has_value() const { return !opens && !closes; }
  std::uint8_t type() const { return tag & 7; }
};

struct Shape {
  std::vector<Step> steps;
  std::vector<std::vector<std::uint64_t>> numbers;  // A column for each step with a value, in order.
  std::vector<ByteView> bytes;                      // For bytes columns, what is left of their contents.
  std::vector<std::size_t> next;                    // How far each column is used up.
  std::size_t members = 0;
};

bool read_shape(ByteView steps, Shape& shape) {
  int depth = 0;
  while (!steps.empty()) {
    Step step;
    if (!take_varint(steps, step.tag)) return false;
    if (step.tag == 0) {
      step.closes = true;
      if (depth-- == 0) return false;
    } else {
      const std::uint8_t type = step.type();
      if (type != 0 && type != 1 && type != 2 && type != 5) return false;
      std::uint64_t apart = 0;
      if (type == 2 && (!take_varint(steps, apart) || apart > 1)) return false;
      step.opens = apart == 1;
      if (step.opens && ++depth > kDepthMax) return false;
    }
    shape.steps.push_back(step);
  }
  return depth == 0;
}

// Writes the next change of `shape`. Messages are built inside out, since their length stands before them.
bool join_change(Shape& shape, Bytes& out) {
  Bytes inner[kDepthMax];
  std::uint64_t tags[kDepthMax] = {};
  int depth = 0;
  std::size_t column = 0;
  for (const Step& step : shape.steps) {
    if (step.closes) {
      --depth;
      Bytes& to = depth == 0 ? out : inner[depth - 1];
      append_varint(to, tags[depth]);
      append_varint(to, inner[depth].size());
      to += inner[depth];
      inner[depth].clear();
      continue;
    }
    if (step.opens) {
      tags[depth++] = step.tag;
      continue;
    }
    Bytes& to = depth == 0 ? out : inner[depth - 1];
    const std::uint64_t number = shape.numbers[column][shape.next[column]++];
    append_varint(to, step.tag);
    switch (step.type()) {
      case 0: append_varint(to, number); break;
      case 1: append_le(to, number, 8); break;
      case 5: append_le(to, number, 4); break;
      default: {
        ByteView& content = shape.bytes[column];
        if (number > content.size()) return false;
        append_varint(to, number);
        to += content.substr(0, static_cast<std::size_t>(number));
        content.remove_prefix(static_cast<std::size_t>(number));
      }
    }
    if (to.size() > kRunBytesMax) return false;
    ++column;
  }
  return true;
}

}  // namespace

bool split_columns(const ChangeRun& run, Bytes& columns) {
  struct Group {
    std::uint64_t number = 0;
    std::vector<std::vector<Value>> columns;
    std::vector<bool> holds_bytes;
  };
  std::map<Bytes, Group> groups;
  std::vector<const std::pair<const Bytes, Group>*> in_order;
  std::vector<std::uint64_t> shape_of;
  Split split;
  for (std::size_t i = 0; i < run.size(); ++i) {
    split.steps.clear();
    split.values.clear();
    if (!split_message(run[i], 0, split)) return false;
    auto [it, is_new] = groups.try_emplace(split.steps);
    Group& group = it->second;
    if (is_new) {
      group.number = in_order.size();
      in_order.push_back(&*it);
      group.columns.resize(split.values.size());
      for (const Value& value : split.values) group.holds_bytes.push_back(value.bytes.data() != nullptr);
    }
    shape_of.push_back(group.number);
    for (std::size_t c = 0; c < split.values.size(); ++c) group.columns[c].push_back(split.values[c]);
  }

  append_varint(columns, in_order.size());
  for (const auto* shape : in_order) {
    append_varint(columns, shape->first.size());
    columns += shape->first;
  }
  if (in_order.size() > 1) append_number_column(columns, shape_of);
  std::vector<std::uint64_t> numbers;
  for (const auto* shape : in_order) {
    for (std::size_t c = 0; c < shape->second.columns.size(); ++c) {
      numbers.clear();
      for (const Value& value : shape->second.columns[c]) numbers.push_back(value.number);
      append_number_column(columns, numbers);
      if (!shape->second.holds_bytes[c]) continue;
      for (const Value& value : shape->second.columns[c]) columns += value.bytes;
    }
  }
  return columns.size() <= kColumnsBytesMax;
}

bool join_columns(ByteView columns, std::size_t count, ChangeRun& run) {
  std::uint64_t shape_count = 0;
  if (!take_varint(columns, shape_count) || shape_count == 0 || shape_count > count) return false;
  std::vector<Shape> shapes(static_cast<std::size_t>(shape_count));
  for (Shape& shape : shapes) {
    std::uint64_t size = 0;
    if (!take_varint(columns, size) || size > columns.size()) return false;
    if (!read_shape(columns.substr(0, size), shape)) return false;
    columns.remove_prefix(size);
  }
  std::vector<std::uint64_t> shape_of(count, 0);
  if (shapes.size() > 1 && !take_number_column(columns, count, shape_of)) return false;
  for (std::uint64_t s : shape_of) {
    if (s >= shapes.size()) return false;
    ++shapes[s].members;
  }
  for (Shape& shape : shapes) {
    // Values there would be at most: refuse before taking memory for more than a run can hold.
    if (shape.steps.size() * shape.members > kRunBytesMax) return false;
    for (const Step& step : shape.steps) {
      if (!step.has_value()) continue;
      auto& numbers = shape.numbers.emplace_back();
      ByteView& bytes = shape.bytes.emplace_back();
      if (!take_number_column(columns, shape.members, numbers)) return false;
      if (step.type() != 2) continue;
      std::uint64_t total = 0;
      for (std::uint64_t n : numbers) {
        if (n > columns.size()) return false;
        total += n;
      }
      if (total > columns.size()) return false;
      bytes = columns.substr(0, static_cast<std::size_t>(total));
      columns.remove_prefix(static_cast<std::size_t>(total));
    }
    shape.next.assign(shape.numbers.size(), 0);
  }
  if (!columns.empty()) return false;
  for (std::uint64_t s : shape_of) {
    if (!join_change(shapes[s], run.open_bytes())) return false;
    if (run.bytes() > kRunBytesMax) return false;
    run.close_change();
  }
  return true;
}

}  // namespace wrackline
