// The review queue, and all that is known about one item of it.
#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "base/wire.h"
#include "model/kinds.h"
#include "provenance/provenance_calls.h"
#include "provenance/trail_entry.h"
#include "reading/record_view.h"

namespace wrackline {
namespace {

constexpr const char* kLookingAtItem = "looking at an item of the review";
constexpr int kPartsMost = 50;

class Queue {
 public:
  explicit Queue(Replica& replica) : records_(replica.store().records()), logs_(replica.store().logs()) {}

  Status fill(proto::ReviewReply& out) {
    WRACKLINE_TRY_VALUE(rows, records_.review());
    for (const ReviewRow& row : rows) open_.emplace(row.rule, row.record);
    for (const ReviewRow& row : rows) {
      WRACKLINE_TRY_VALUE(state, records_.load(row.record));
      if (!state) continue;
      if (row.rule == ReviewRule::kDisagreement) {
        add_disagreements(row, *state, out);
      } else if (row.rule == ReviewRule::kDoseOutOfOrder) {
        WRACKLINE_TRY(add_doses(row, *state, out));
      } else {
        WRACKLINE_TRY(add_group(row, *state, out));
      }
    }
    // The most urgent first, then by id: the same queue on every replica, whatever its places are.
    const auto key = [](const proto::ReviewItem& i) {
      return std::make_tuple(-static_cast<int>(i.level()), i.rule(), id_of(i.records(0)), i.field());
    };
    std::sort(out.mutable_items()->begin(), out.mutable_items()->end(),
              [&](const proto::ReviewItem& a, const proto::ReviewItem& b) { return key(a) < key(b); });
    return {};
  }

 private:
  static proto::ReviewItem& add(const ReviewRow& row, const RecordState& state, proto::ReviewReply& out) {
    proto::ReviewItem& item = *out.add_items();
    item.set_level(proto::REVIEW_LEVEL_CHECK);
    item.set_rule(static_cast<std::uint32_t>(row.rule));
    item.set_rule_name(std::string(rule_name(row.rule)));
    item.set_kind(state.kind);
    return item;
  }

  void add_disagreements(const ReviewRow& row, const RecordState& state, proto::ReviewReply& out) {
    for (const Disagreement& d : read_disagreements(state.disagreements)) {
      proto::ReviewItem& item = add(row, state, out);
      item.set_field(d.field);
      put_id(logs_.id_of(row.record), *item.add_records());
    }
  }

  Status add_doses(const ReviewRow& row, const RecordState& state, proto::ReviewReply& out) {
    const RecordKey key = record_key(*find_kind(state.kind), state.fields);
    WRACKLINE_TRY_VALUE(pairs, records_.doses_out_of_order(logs_.find_place(key.subject), key.day));
    for (const DosePair& pair : pairs) {
      if (pair.due_first != logs_.id_of(row.record)) continue;
      proto::ReviewItem& item = add(row, state, out);
      put_id(pair.due_first, *item.add_records());
      put_id(pair.given_first, *item.add_records());
    }
    return {};
  }

  Status add_group(const ReviewRow& row, const RecordState& state, proto::ReviewReply& out) {
    if (!done_.emplace(row.rule, row.record).second) return {};
    const KindRow* kind = find_kind(state.kind);
    proto::ReviewItem& item = add(row, state, out);
    if (row.rule == ReviewRule::kDoubleEntry && kind != nullptr) {
      item.set_level(static_cast<proto::ReviewLevel>(kind->double_entry));
    }
    WRACKLINE_TRY_VALUE(group, records_.same_key(row.record, state));
    std::vector<ChangeId> ids;
    for (Place member : group) {
      if (open_.count({row.rule, member}) == 0) continue;
      done_.emplace(row.rule, member);
      ids.push_back(logs_.id_of(member));
    }
    std::sort(ids.begin(), ids.end());
    for (ChangeId id : ids) put_id(id, *item.add_records());
    return {};
  }

  Projection& records_;
  LogTable& logs_;
  std::set<std::pair<ReviewRule, Place>> open_, done_;
};

// The assignments of one field that lead to a head: what it replaced, what those replaced, and so on.
class Predecessors {
 public:
  Predecessors(const Folded& history, std::uint32_t field) : history_(history), field_(field) {}

  std::set<ChangeId> of(ChangeId head) const {
    std::set<ChangeId> out;
    std::vector<ChangeId> open = {head};
    while (!open.empty()) {
      const ChangeId change = open.back();
      open.pop_back();
      const auto input = std::find_if(history_.inputs.begin(), history_.inputs.end(),
                                      [change](const FoldInput& i) { return i.id == change; });
      if (input == history_.inputs.end()) continue;
      for (const Replaced& replaced : input->change.replaces) {
        const auto& fields = replaced.fields;
        if (std::find(fields.begin(), fields.end(), field_) == fields.end()) continue;
        if (out.insert(replaced.change).second) open.push_back(replaced.change);
      }
    }
    return out;
  }

 private:
  const Folded& history_;
  std::uint32_t field_;
};

// The field of a record in wire format, empty when absent; repeated ones are one value.
std::map<std::uint32_t, Bytes> values_of(ByteView fields) {
  std::map<std::uint32_t, Bytes> out;
  WireReader reader(fields);
  WireField field;
  while (reader.next(field)) out[field.number] += field.slice;
  return out;
}

Status put_sides(Replica& replica, RecordId record, std::uint32_t number, proto::ReviewDetailReply& out) {
  TrailWriter writer(replica);
  std::vector<proto::TrailEntry> entries;
  WRACKLINE_TRY(writer.append_all(record, entries));
  WRACKLINE_TRY_VALUE(history, replica.store().records().history(replica.store().logs().find_place(record)));
  for (const proto::TrailEntry& head : entries) {
    // A strike speaks of the whole record: what stands against it is a side too, of whichever field.
    const bool is_side = (head.field() == number && head.head()) || (number == kStandingField && head.against_strike());
    if (!is_side) continue;
    proto::ReviewSide& side = *out.add_sides();
    *side.mutable_head() = head;
    const std::set<ChangeId> before = Predecessors(history->folded, head.field()).of(id_of(head.change()));
    for (const proto::TrailEntry& entry : entries) {
      if (entry.field() == head.field() && before.count(id_of(entry.change())) != 0) *side.add_history() = entry;
    }
  }
  return {};
}

Status put_records(Replica& replica, proto::ReviewDetailReply& out) {
  Store& store = replica.store();
  TrailWriter writer(replica);
  std::vector<std::map<std::uint32_t, Bytes>> values;
  std::set<std::uint32_t> numbers;
  for (const proto::RecordRef& ref : out.item().records()) {
    const RecordId id = id_of(ref);
    WRACKLINE_TRY_VALUE(state, require_record(replica, id, kLookingAtItem));
    const Place place = store.logs().find_place(id);
    proto::ReviewRecord& record = *out.add_records();
    WRACKLINE_TRY(put_view(replica, place, state, *record.mutable_view()));
    std::vector<proto::TrailEntry> entries;
    WRACKLINE_TRY(writer.append_all(id, entries));
    for (proto::TrailEntry& entry : entries) {
      if (entry.birth()) {
        record.set_author_name(entry.author_name());
        record.set_device_name(entry.device_name());
        record.set_held_ms(entry.held_ms());
      }
      *record.add_history() = std::move(entry);
    }
    WRACKLINE_TRY_VALUE(parts, store.records().find_belonging(place));
    for (const KeyRow& part : parts) {
      if (record.parts_size() == kPartsMost) break;
      WRACKLINE_TRY_VALUE(of, store.records().load(part.record));
      if (of && of->kind != 0) WRACKLINE_TRY(put_view(replica, part.record, *of, *record.add_parts()));
    }
    values.push_back(values_of(state.fields));
    for (const auto& [number, value] : values.back()) numbers.insert(number);
  }
  if (values.size() < 2) return {};
  for (const std::uint32_t number : numbers) {
    if (number >= kStandingField) continue;
    proto::FieldCompared& compared = *out.add_compared();
    compared.set_field(number);
    compared.set_same(true);
    for (std::map<std::uint32_t, Bytes>& of : values) {
      *compared.add_values() = of[number];
      if (of[number] != values.front()[number]) compared.set_same(false);
    }
  }
  return {};
}

}  // namespace

Status handle_review(Replica& replica, proto::ReviewReply& out) { return Queue(replica).fill(out); }

Status handle_review_detail(Replica& replica, const proto::ReviewDetailCall& call, proto::ReviewDetailReply& out) {
  proto::ReviewReply queue;
  WRACKLINE_TRY(handle_review(replica, queue));
  const RecordId record = id_of(call.record());
  const auto item = std::find_if(queue.items().begin(), queue.items().end(), [&](const proto::ReviewItem& i) {
    return i.rule() == call.rule() && i.field() == call.field() &&
           std::any_of(i.records().begin(), i.records().end(), [&](const auto& ref) { return id_of(ref) == record; });
  });
  if (item == queue.items().end()) {
    return fail(ErrorCode::kNotFound, std::string(kLookingAtItem) + ": record " + to_text(record) +
                                          " has none of this rule; it may be settled already; read the queue anew");
  }
  *out.mutable_item() = *item;
  if (item->rule() == static_cast<std::uint32_t>(ReviewRule::kDisagreement)) {
    return put_sides(replica, record, item->field(), out);
  }
  if (item->rule() == static_cast<std::uint32_t>(ReviewRule::kHeld)) {
    proto::HeldCall held;
    *held.mutable_hold() = call.record();
    WRACKLINE_TRY(handle_held(replica, held, *out.mutable_held()));
  }
  return put_records(replica, out);
}

}  // namespace wrackline
