#include "model/kinds.h"

#include <algorithm>
#include <iterator>
#include <map>
#include <set>
#include <utility>

#include "base/wire.h"
#include "model/read_message.h"
#include "model/rules.h"
#include "records.pb.h"

namespace wrackline {

namespace {

struct Rules {
  Kind kind;
  Validate validate;
};
constexpr Rules kRules[] = {
    {Kind::kFacility, validate_facility},
    {Kind::kPerson, validate_person},
    {Kind::kDevice, validate_device},
    {Kind::kPool, validate_pool},
    {Kind::kAnimal, validate_animal},
    {Kind::kFood, validate_food},
    {Kind::kDietPlan, validate_diet_plan},
    {Kind::kMeal, validate_meal},
    {Kind::kPortion, validate_portion},
    {Kind::kMeasure, validate_measure},
    {Kind::kObservation, validate_observation},
    {Kind::kTreatmentOrder, validate_treatment_order},
    {Kind::kAdministration, validate_administration},
    {Kind::kLot, validate_lot},
    {Kind::kStockMovement, validate_stock_movement},
    {Kind::kThawBatch, validate_thaw_batch},
    {Kind::kEnricher, validate_enricher},
    {Kind::kInspection, validate_inspection},
    {Kind::kEnrichmentUse, validate_enrichment_use},
    {Kind::kEnrichmentPlan, validate_enrichment_plan},
    {Kind::kCue, validate_cue},
    {Kind::kTrainingSession, validate_training_session},
    {Kind::kWatchPlan, validate_watch_plan},
    {Kind::kCode, validate_code},
    {Kind::kScan, validate_scan},
    {Kind::kWaterReading, validate_water_reading},
    {Kind::kWaterLimit, validate_water_limit},
    {Kind::kTag, validate_tag},
    {Kind::kMove, validate_move},
    {Kind::kHygieneCheck, validate_hygiene_check},
    {Kind::kDayClose, validate_day_close},
    {Kind::kSiteLimit, validate_site_limit},
    {Kind::kHold, validate_hold},
    {Kind::kAttachment, validate_attachment},
    {Kind::kArea, validate_area},
    {Kind::kPresence, validate_presence},
    {Kind::kHubAct, validate_hub_act},
    {Kind::kPinWarning, validate_pin_warning},
    {Kind::kFormerRole, validate_former_role},
};

Validate rules_of(Kind kind) {
  const auto found = std::find_if(std::begin(kRules), std::end(kRules), [&](const Rules& row) { return row.kind == kind; });
  return found == std::end(kRules) ? nullptr : found->validate;
}

}  // namespace

const std::vector<KindRow>& all_kinds() {
  static const std::vector<KindRow> rows = [] {
    std::vector<KindRow> out = {
#include "kind_rows.inc"
    };
    for (KindRow& row : out) row.validate = rules_of(row.kind);
    return out;
  }();
  return rows;
}

std::string table_text() {
  std::string out = "rules 3";
  const auto add = [&out](std::uint64_t number) { out += ' ' + std::to_string(number); };
  for (const KindRow& row : all_kinds()) {
    out += "\n" + std::string(row.name);
    for (const std::uint32_t field : {row.key.subject, row.key.day, row.key.detail, row.happened_field, row.approval_field, row.apart_field}) add(field);
    for (const bool is_so : {row.key.detail_is_record, row.of_hub}) add(is_so);
    add(static_cast<std::uint64_t>(row.authority));
    add(static_cast<std::uint64_t>(row.double_entry));
    for (const std::uint32_t field : row.brief) add(field);
  }
  return out;
}

const KindRow* find_kind(std::uint32_t kind) {
  // The rows stand in the order of their numbers, which start at 1; a unit test holds them to it.
  const std::vector<KindRow>& rows = all_kinds();
  return kind >= 1 && kind <= rows.size() ? &rows[kind - 1] : nullptr;
}

std::string one_of(const KindRow& row) {
  const bool has_vowel = std::string_view("aeiou").find(row.name.front()) != std::string_view::npos;
  std::string words = (has_vowel ? "an " : "a ") + std::string(row.name);
  std::replace(words.begin(), words.end(), '_', ' ');
  return words;
}

namespace {

bool is_brief(const KindRow& row, std::uint32_t number) {
  if (row.brief.empty()) return false;
  return number == kStandingField || number == kSameAsField ||
         std::find(row.brief.begin(), row.brief.end(), number) != row.brief.end();
}

}  // namespace

RecordKey record_key(const KindRow& row, ByteView fields) {
  RecordKey key;
  if (row.key.detail != 0) key.detail = kDetailAbsent;
  WireReader reader(fields);
  WireField field;
  while (reader.next(field)) {
    if (is_brief(row, field.number)) key.brief += field.slice;
    if (field.number == row.key.subject) {
      key.subject = decode_record_ref(field.bytes);
    } else if (field.number == row.key.day && field.type == WireType::kVarint) {
      key.day = static_cast<Day>(unzigzag(field.scalar));
    } else if (field.number == row.key.detail && row.key.detail_is_record) {
      key.detail_record = decode_record_ref(field.bytes);
      key.detail = key.detail_record ? 0 : kDetailAbsent;
    } else if (field.number == row.key.detail && field.type == WireType::kVarint) {
      key.detail = field.scalar;
    }
  }
  return key;
}

LogClass log_class_of(const KindRow* row) {
  if (row == nullptr) return LogClass::kRoster;
  switch (row->kind) {
    case Kind::kMeal:
    case Kind::kPortion:
    case Kind::kWaterReading:
      return LogClass::kBulk;
    case Kind::kLot:
    case Kind::kStockMovement:
    case Kind::kThawBatch:
      return LogClass::kStores;
    default:
      return row->authority == Authority::kCare ? LogClass::kCare : LogClass::kRoster;
  }
}

Bytes fields_of_brief(const KindRow& row, const RecordKey& key) {
  Bytes out;
  if (key.subject) append_record_ref_field(out, row.key.subject, key.subject);
  if (row.key.day != 0) append_varint_field(out, row.key.day, zigzag(key.day));
  if (row.key.detail_is_record) {
    if (key.detail_record) append_record_ref_field(out, row.key.detail, key.detail_record);
  } else if (row.key.detail != 0 && key.detail != kDetailAbsent) {
    append_varint_field(out, row.key.detail, key.detail);
  }
  return out + key.brief;
}

// Walks the wire format, since a kind of a newer release has no message here to parse it with.
BuiltIn built_in_of(ByteView fields) {
  BuiltIn out;
  WireReader reader(fields);
  WireField field;
  while (reader.next(field)) {
    if (field.number == kStandingField && field.type == WireType::kVarint) {
      out.struck = field.scalar == proto::STANDING_STRUCK;
    } else if (field.number == kSameAsField) {
      out.folded_into = decode_record_ref(field.bytes);
    } else if (field.number == kAcceptedField) {
      proto::Accepted accepted;
      if (!read_message(field.bytes, accepted)) continue;
      out.accepted_rules.assign(accepted.rules().begin(), accepted.rules().end());
      for (const proto::RecordRef& beside : accepted.beside()) out.accepted_beside.push_back(id_of(beside));
    }
  }
  return out;
}

RecordId reference_in(ByteView fields, std::uint32_t number) {
  RecordId out;
  if (number == 0) return out;
  WireReader reader(fields);
  WireField field;
  while (reader.next(field)) {
    if (field.number == number && field.type == WireType::kBytes) out = decode_record_ref(field.bytes);
  }
  return out;
}

bool BuiltIn::has_accepted(ReviewRule rule) const {
  return std::find(accepted_rules.begin(), accepted_rules.end(), static_cast<std::uint32_t>(rule)) != accepted_rules.end();
}

// Counts instead of comparing each with each: a member is alone when those that cannot be its double (accepted beside
// everybody, of its own device and told apart, accepted beside it) are all the others there are.
std::vector<bool> double_entries(const std::vector<GroupMember>& group) {
  const auto is_accepted = [](const GroupMember& m) { return m.built_in.has_accepted(ReviewRule::kDoubleEntry); };
  const auto may_count = [&](const GroupMember& m) {
    return m.built_in.in_account() && !(is_accepted(m) && m.built_in.accepted_beside.empty());
  };
  std::map<RecordId, std::size_t> places;
  std::map<LogId, std::size_t> of_log;
  // Counts the entries of one log that are not told apart.
  std::map<std::pair<LogId, RecordId>, std::size_t> alike;
  std::size_t count = 0;
  for (std::size_t i = 0; i < group.size(); ++i) {
    places.emplace(group[i].id, i);
    if (!may_count(group[i])) continue;
    ++count;
    ++of_log[group[i].id.log];
    ++alike[{group[i].id.log, group[i].apart}];
  }
  const auto is_apart = [](const GroupMember& a, const GroupMember& b) { return a.apart != b.apart && a.id.log == b.id.log; };
  std::set<std::pair<std::size_t, std::size_t>> accepted;  // Beside each other, by either.
  for (std::size_t i = 0; i < group.size(); ++i) {
    if (!may_count(group[i]) || !is_accepted(group[i])) continue;
    for (const RecordId beside : group[i].built_in.accepted_beside) {
      const auto other = places.find(beside);
      if (other == places.end() || other->second == i || !may_count(group[other->second])) continue;
      if (!is_apart(group[i], group[other->second])) accepted.insert(std::minmax(i, other->second));
    }
  }
  std::vector<std::size_t> accepted_beside(group.size(), 0);
  for (const auto& [a, b] : accepted) ++accepted_beside[a], ++accepted_beside[b];
  std::vector<bool> out(group.size(), false);
  for (std::size_t i = 0; i < group.size(); ++i) {
    if (!may_count(group[i])) continue;
    const std::size_t apart = of_log[group[i].id.log] - alike[{group[i].id.log, group[i].apart}];
    out[i] = count - 1 - apart - accepted_beside[i] > 0;
  }
  return out;
}

// Follows each fold once: where a member's folds lead is remembered.
std::vector<bool> folds_astray(const std::vector<GroupMember>& group) {
  std::map<RecordId, std::size_t> places;
  for (std::size_t i = 0; i < group.size(); ++i) places.emplace(group[i].id, i);
  // Whether what is folded into the member counts nowhere: because it is struck, or by where it is folded into itself.
  enum class Leads { kUnknown, kWalking, kWell, kAstray };
  std::vector<Leads> leads(group.size(), Leads::kUnknown);
  const auto follow = [&](std::size_t from) {
    std::vector<std::size_t> way;
    Leads end = Leads::kUnknown;
    for (std::size_t at = from; end == Leads::kUnknown;) {
      const BuiltIn& built_in = group[at].built_in;
      if (leads[at] == Leads::kWalking) {
        end = Leads::kAstray;  // A circle.
      } else if (leads[at] != Leads::kUnknown) {
        end = leads[at];
      } else if (built_in.in_account()) {
        end = leads[at] = Leads::kWell;
      } else if (built_in.struck) {
        end = leads[at] = Leads::kAstray;
      } else {
        leads[at] = Leads::kWalking;
        way.push_back(at);
        const auto into = places.find(built_in.folded_into);
        if (into == places.end()) end = Leads::kWell;  // Out of this group, which another one judges.
        if (into != places.end()) at = into->second;
      }
    }
    for (const std::size_t member : way) leads[member] = end;
    return end;
  };
  std::vector<bool> out(group.size(), false);
  for (std::size_t i = 0; i < group.size(); ++i) {
    if (!group[i].built_in.struck && group[i].built_in.folded_into) out[i] = follow(i) == Leads::kAstray;
  }
  return out;
}

std::string_view rule_name(ReviewRule rule) {
  switch (rule) {
    case ReviewRule::kDisagreement:
      return "disagreement";
    case ReviewRule::kDoubleEntry:
      return "double_entry";
    case ReviewRule::kHeld:
      return "held";
    case ReviewRule::kDoseOutOfOrder:
      return "dose_out_of_order";
    case ReviewRule::kFoldAstray:
      return "fold_astray";
  }
  return "unknown";  // A number from a newer release.
}

}  // namespace wrackline
