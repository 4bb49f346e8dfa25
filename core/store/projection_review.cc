// The part of the projection that finds what a person should look at: double entries, folds astray, doses out of order.
#include "store/projection.h"

#include <algorithm>
#include <utility>

namespace wrackline {

bool Projection::is_judged(const Key& key) {
  const KindRow* row = find_kind(key.kind);
  return row != nullptr && row->double_entry != ReviewLevel::kNone && key.subject != 0;
}

Status Projection::review_group(const Key& key) {
  const KindRow* row = find_kind(key.kind);
  ++groups_judged_;
  WRACKLINE_TRY_VALUE(group, keys_.members(key));
  std::vector<GroupMember> members;
  for (Place member : group) {
    WRACKLINE_TRY_VALUE(state, load(member));
    // One that is held or unborn tells of no event here.
    BuiltIn built_in;
    built_in.struck = true;
    RecordId apart;
    if (state) {
      built_in = built_in_of(state->fields);
      apart = reference_in(state->fields, row->apart_field);
    }
    members.push_back({logs_.id_of(member), std::move(built_in), apart});
  }
  const std::vector<bool> is_double = double_entries(members), is_astray = folds_astray(members);
  for (std::size_t i = 0; i < group.size(); ++i) {
    WRACKLINE_TRY(set_review(ReviewRule::kDoubleEntry, group[i], is_double[i]));
    WRACKLINE_TRY(set_review(ReviewRule::kFoldAstray, group[i], is_astray[i]));
  }
  return {};
}

void Projection::note_dose(const Key& key) {
  if (key.kind == static_cast<std::uint32_t>(Kind::kAdministration) && key.subject != 0) {
    doses_to_judge_.emplace(key.subject, key.day);
  }
}

Result<std::vector<DosePair>> Projection::doses_out_of_order(Place order, Day day) {
  const KindRow& row = *find_kind(static_cast<std::uint32_t>(Kind::kAdministration));
  WRACKLINE_TRY_VALUE(rows, keys_.rows(order, Kind::kAdministration, day - kDoseOrderDays, day + kDoseOrderDays));
  std::vector<SlottedDose> doses;
  for (KeyRow& found : rows) {
    RecordKey key;
    key.subject = logs_.id_of(order);
    key.day = found.key.day;
    key.detail = static_cast<std::uint64_t>(found.key.detail);
    key.brief = std::move(found.brief);
    if (const auto dose = slotted_dose(logs_.id_of(found.record), fields_of_brief(row, key))) doses.push_back(*dose);
  }
  return wrackline::doses_out_of_order(std::move(doses));
}

Status Projection::review_doses(Place order, Day day) {
  WRACKLINE_TRY_VALUE(pairs, doses_out_of_order(order, day));
  // Doses due later than `day` have neighbours that were not looked at; they are not judged by this.
  WRACKLINE_TRY_VALUE(judged, keys_.find(order, Kind::kAdministration, day - kDoseOrderDays, day));
  for (const Place dose : judged) {
    bool is_flagged = std::any_of(pairs.begin(), pairs.end(),
                                  [&](const DosePair& pair) { return pair.due_first == logs_.id_of(dose); });
    if (is_flagged) {
      WRACKLINE_TRY_VALUE(state, load(dose));
      is_flagged = state && !built_in_of(state->fields).has_accepted(ReviewRule::kDoseOutOfOrder);
    }
    WRACKLINE_TRY(set_review(ReviewRule::kDoseOutOfOrder, dose, is_flagged));
  }
  return {};
}

Status Projection::set_review(ReviewRule rule, Place record, bool wanted) {
  Statement& statement = wanted ? insert_review_ : delete_review_;
  return statement.with(static_cast<std::uint32_t>(rule), record).run();
}

}  // namespace wrackline
