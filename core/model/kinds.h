// The table of kinds: all the core knows about a kind of record, one row each.
//
// Adding a kind is: a message with its options (proto/schema.proto), its rules, and its words. Rows are made of the options by
// proto/generate. The merge and the store need nothing else, since they treat a record's fields as opaque.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/built_in_fields.h"
#include "base/bytes.h"
#include "base/ids.h"
#include "base/log_class.h"
#include "model/authority.h"
#include "model/problem.h"

namespace wrackline {

// Each with its number, which its message in proto/*.proto names.
enum class Kind : std::uint32_t {
#include "kind_numbers.inc"
};
inline constexpr std::size_t kKindsMax = 64;  // All numbers of kinds are below it.

// Where a record is found, and what makes two records of one kind tell of the same event: records of equal
// kind and equal key are candidates for a double entry, if the kind has a rule for it.
struct RecordKey {
  // The record it belongs to: an event's animal, a portion's meal, a dose's order; or none.
  RecordId subject;
  Day day = 0;             // Husbandry day of the event, or the due day of a dose; 0 where there is none.
  // A second number that tells it apart: the slot of a meal, the quantity of a measure.
  std::uint64_t detail = 0;
  RecordId detail_record;  // Or a record that does: the food of a portion.
  Bytes brief;             // The fields of KindRow::brief, as they stand in the record.
};

enum class ReviewLevel { kNone = 0, kNote = 1, kCheck = 2, kUrgent = 3 };

// Field numbers of a kind's message that make up its key; 0 where it has none. All are plain: `subject` and a
// `detail` that is a reference are RecordRefs, `day` is a sint32, any other `detail` an unsigned number.
struct KeyFields {
  std::uint32_t subject = 0;
  std::uint32_t day = 0;
  std::uint32_t detail = 0;
  bool detail_is_record = false;
};

// The detail of a record that leaves its detail field out: sorts behind all others and equals none of them, so
// that a meal without a slot is not taken for the one at midnight.
inline constexpr std::uint64_t kDetailAbsent = 0xffffffff;

// Appends a problem for each rule of the kind that the merged fields break. Judges the record alone.
using Validate = void (*)(ByteView fields, Problems& problems);

struct KindRow {
  Kind kind;
  std::string_view name;  // Lower case, one word where possible: "meal", "treatment_order".
  Authority authority;    // The roles that may write it.
  KeyFields key;          // Without a subject, found by kind and day.
  // kNone: equal keys mean nothing. Otherwise two records in account with equal keys and a subject are a
  // possible double entry, shown at this level.
  ReviewLevel double_entry = ReviewLevel::kNone;
  // The number of the field happened_ms of an event; 0 for a kind that is no event.
  std::uint32_t happened_field = 0;
  // The field that says who approved the record; 0 for a kind nobody approves. An edit of any other field (the
  // built-in ones apart) that does not give the approval anew clears it.
  std::uint32_t approval_field = 0;
  // Fields kept beside the key, with the built-in ones that say whether a record is in account: what computing over
  // years of records asks for, so that it need not open each record.
  std::vector<std::uint32_t> brief = {};
  // Born in the hub's own log only, by the hub itself; people may edit it as their authority says.
  bool of_hub = false;
  // A reference that sets two records of equal key apart when one device made both: of a portion, the planned food it stands
  // for. Whoever gives squid as planned and more squid for the herring that was missing has logged two portions. Another
  // device's may be the same event all the same.
  std::uint32_t apart_field = 0;
  std::string_view called = {};  // The field that people call a record by; empty: it has no name of its own.
  Validate validate = nullptr;   // Never null in the table.
};

// The class of the log in which a record of this kind is born and edited; of a kind that this release does not know (null), that
// which everybody holds whole.
LogClass log_class_of(const KindRow* row);

// A record's message again from its key and brief: key fields, brief fields, and nothing else.
Bytes fields_of_brief(const KindRow& row, const RecordKey& key);

// The table and the rules below as text: what is made by them is made anew when it changes. Raise the number in it with any
// change of what a rule finds.
std::string table_text();

// Null for a kind of a newer release: its records are kept, merged and forwarded all the same.
const KindRow* find_kind(std::uint32_t kind);
// For sentences: "a treatment order", "an area".
std::string one_of(const KindRow& row);
const std::vector<KindRow>& all_kinds();

// The key of a record, from its merged fields. A field that cannot be read counts as absent.
RecordKey record_key(const KindRow& row, ByteView fields);

// Numbers of the review rules; stored in acceptances, so never reused.
enum class ReviewRule : std::uint32_t {
  kDisagreement = 1,
  kDoubleEntry = 2,
  kHeld = 3,
  kDoseOutOfOrder = 4,  // model/dose_order.h; the record that was due first
  kFoldAstray = 5,      // See folds_astray().
};
std::string_view rule_name(ReviewRule rule);

// The built-in fields, read from the merged fields of any kind, known or not.
struct BuiltIn {
  bool struck = false;
  RecordId folded_into;
  std::vector<std::uint32_t> accepted_rules;
  std::vector<RecordId> accepted_beside;  // The records accepted beside this one; none: whatever has its key.
  bool in_account() const { return !struck && !folded_into; }
  bool has_accepted(ReviewRule rule) const;
};
BuiltIn built_in_of(ByteView fields);
// The reference in a field; none where it is absent, or the number 0.
RecordId reference_in(ByteView fields, std::uint32_t number);

// A record of a group with one key says this of its standing in it.
struct GroupMember {
  RecordId id;
  BuiltIn built_in;
  RecordId apart = {};  // The value of KindRow::apart_field, if there is one.
};
// For each member whether it is a possible double entry: another one in account with the same key, where neither was
// accepted as an event of its own beside the other.
std::vector<bool> double_entries(const std::vector<GroupMember>& group);
// For each member whether it is a fold astray: folded, by way of this group, into a record that is struck or folded
// back into it. Then the event counts nowhere, which nobody meant: two people folded each other's, or one struck what
// the other folded into.
std::vector<bool> folds_astray(const std::vector<GroupMember>& group);


}  // namespace wrackline
