#include "reading/belonging.h"

#include <records.pb.h>

#include <algorithm>

#include "base/wire.h"

namespace wrackline {

Result<const RecordState*> Belonging::load(RecordId id) {
  const auto [it, is_new] = states_.try_emplace(id);
  if (is_new) {
    WRACKLINE_TRY_VALUE(state, replica_.store().records().load(replica_.store().logs().find_place(id)));
    it->second = std::move(state);
  }
  return it->second && it->second->kind != 0 ? &*it->second : nullptr;
}

Result<std::vector<Link>> Belonging::chain_of(Link first) {
  std::vector<Link> chain = {first};
  while (chain.back().row->key.subject != 0) {
    const RecordId subject = record_key(*chain.back().row, chain.back().fields).subject;
    WRACKLINE_TRY_VALUE(state, load(subject));
    const KindRow* const row = state == nullptr ? nullptr : find_kind(state->kind);
    // Bytes from outside may claim that a record belongs to itself.
    const bool goes_round = std::any_of(chain.begin(), chain.end(), [&](const Link& link) { return link.id == subject; });
    if (row == nullptr || goes_round) break;
    chain.push_back({subject, row, state->fields});
  }
  return chain;
}

Result<std::vector<Link>> Belonging::chain_of(RecordId id) {
  WRACKLINE_TRY_VALUE(state, load(id));
  const KindRow* const row = state == nullptr ? nullptr : find_kind(state->kind);
  if (row == nullptr) return std::vector<Link>{};
  return chain_of({id, row, state->fields});
}

std::optional<Day> Belonging::day_of(const std::vector<Link>& chain) {
  for (const Link& link : chain) {
    if (link.row->kind == Kind::kPortion) continue;
    if (link.row->happened_field == 0 || link.row->kind == Kind::kDayClose) return std::nullopt;
    return record_key(*link.row, link.fields).day;
  }
  return std::nullopt;
}

WallMs Belonging::happened_ms(const std::vector<Link>& chain) {
  for (const Link& link : chain) {
    if (link.row->kind == Kind::kPortion) continue;
    if (link.row->happened_field == 0) return 0;
    WireReader reader(link.fields);
    WireField field;
    while (reader.next(field)) {
      if (field.number == link.row->happened_field) return field.scalar;
    }
    return 0;
  }
  return 0;
}

Result<std::string> Belonging::area_of(const std::vector<Link>& chain) {
  for (const Link& link : chain) {
    if (link.row->kind == Kind::kHygieneCheck || link.row->kind == Kind::kPool) {
      return roster_.areas().name_in(static_cast<std::uint32_t>(link.row->kind), link.fields);
    }
    if (link.row->kind == Kind::kAnimal && link.id) {
      const auto [it, is_new] = areas_.try_emplace(link.id);
      if (is_new) {
        WRACKLINE_TRY_VALUE(animal, roster_.animal(link.id, "looking for an area"));
        it->second = animal.area;
      }
      return it->second;
    }
  }
  return std::string();
}

}  // namespace wrackline
