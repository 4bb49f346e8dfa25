#include "sync/roles_over_time.h"

#include <algorithm>

#include "base/built_in_fields.h"
#include "model/kinds.h"

namespace wrackline {
namespace {

// Field of the message Person.
constexpr std::uint32_t kRolesField = 2;

}  // namespace

Result<RolesOverTime::Person*> RolesOverTime::find(RecordId id) {
  const auto [known, is_new] = people_.try_emplace(id);
  Person& person = known->second;
  if (!is_new) return &person;
  WRACKLINE_TRY_VALUE(history, store_.records().history(store_.logs().find_place(id)));
  const Folded& folded = history->folded;
  if (folded.kind != static_cast<std::uint32_t>(Kind::kPerson)) return &person;
  for (const FoldInput& input : folded.inputs) {
    Step& step = person.steps.emplace_back();
    step.stamp = input.change.stamp;
    step.id = input.id;
    step.is_birth = input.change.is_birth();
    step.counts = in_doubt_.count(input.id) == 0;
    if (step.is_birth) person.birth = person.steps.size() - 1;
  }
  for (const auto& [number, field] : folded.fields) {
    if (number != kRolesField && number != kStandingField) continue;
    for (const Assignment& a : field.assignments) {
      (number == kRolesField ? person.steps[a.input].roles : person.steps[a.input].standing) = a.slice;
    }
  }
  return &person;
}

Status RolesOverTime::accept(RecordId id, ChangeId change) {
  in_doubt_.erase(change);
  WRACKLINE_TRY_VALUE(person, find(id));
  // Mostly the latest that counts: what was reckoned before it stays good.
  for (std::size_t i = person->after.size(); i < person->steps.size(); ++i) {
    if (person->steps[i].id != change) continue;
    person->steps[i].counts = true;
    return {};
  }
  for (std::size_t i = 0; i < person->after.size(); ++i) {
    if (person->steps[i].id != change) continue;
    person->steps[i].counts = true;
    person->after.resize(i);
  }
  return {};
}

Roles RolesOverTime::roles_in(Person& person, After& after) {
  if (!after.read) {
    Bytes fields;
    if (after.roles) fields += *person.steps[*after.roles].roles;
    if (after.standing) fields += *person.steps[*after.standing].standing;
    after.read = roles_of_person(fields);
  }
  return *after.read;
}

Result<std::optional<Roles>> RolesOverTime::at(RecordId id, Stamp stamp) {
  WRACKLINE_TRY_VALUE(person, find(id));
  if (!person->birth || !person->steps[*person->birth].counts) return std::optional<Roles>();
  const auto end = std::upper_bound(person->steps.begin(), person->steps.end(), stamp,
                                    [](Stamp wanted, const Step& step) { return wanted < step.stamp; });
  const auto count = static_cast<std::size_t>(end - person->steps.begin());
  while (person->after.size() < count) {
    const std::size_t i = person->after.size();
    const Step& step = person->steps[i];
    After after = i == 0 ? After() : person->after.back();
    if (step.counts) {
      after.has_any = true;
      if (step.roles) after.roles = i, after.read.reset();
      if (step.standing) after.standing = i, after.read.reset();
    }
    person->after.push_back(after);
  }
  if (count > 0 && person->after[count - 1].has_any) return std::optional<Roles>(roles_in(*person, person->after[count - 1]));
  After first;
  const Step& birth = person->steps[*person->birth];
  if (birth.roles) first.roles = *person->birth;
  if (birth.standing) first.standing = *person->birth;
  return std::optional<Roles>(roles_in(*person, first));
}

}  // namespace wrackline
