#include "simulation/work.h"

#include <call.pb.h>
#include <records.pb.h>

#include <algorithm>

#include "base/wire.h"
#include "call/dispatch.h"
#include "model/hold.h"
#include "model/kinds.h"
#include "store/store.h"

namespace wrackline {
namespace {

// No message of ours has these; a newer release's might.
constexpr std::uint32_t kNewerField = 900;

proto::RecordRef ref_of(RecordId id) {
  proto::RecordRef ref;
  ref.set_log(id.log.value);
  ref.set_seq(id.seq);
  return ref;
}

NewRecord record_of(Kind kind, Bytes fields, std::vector<NewRecord::Link> links = {}) {
  return {static_cast<std::uint32_t>(kind), std::move(fields), std::move(links), {}};
}

Day today(const Site& site) { return static_cast<Day>(site.clock / kDayMs); }

}  // namespace

// People meet over the same few records.
RecordId Work::pick(const std::vector<RecordId>& records) {
  const std::uint64_t few = std::min<std::uint64_t>(records.size(), 4);
  return records[random_.once_in(4) ? random_.below(records.size()) : random_.below(few)];
}

Bytes Work::maybe_of_newer_release() {
  Bytes out;
  if (random_.once_in(4)) append_varint_field(out, kNewerField + static_cast<std::uint32_t>(random_.below(3)), random_.below(1000));
  return out;
}

void Work::log(Site& site, const std::vector<NewRecord>& records, std::vector<RecordId>& into) {
  const RecordId by = who(site);
  auto ids = world_.run(site, "logging", [&](Replica& r) { return r.author().log_records(by, records); });
  if (!ids) return;
  world_.acknowledge(site, *ids);
  into.insert(into.end(), ids->begin(), ids->end());
}

// Everything, or what chance gives, which may be nothing.
Bytes Work::some_roles() {
  Bytes out;
  const bool all = random_.once_in(3);
  for (std::uint64_t role = 1; role <= 5; ++role) {
    if (all || random_.once_in(3)) append_varint_field(out, 2, role);
  }
  return out;
}

RecordId Work::who(Site& site) {
  if (people_.empty() || random_.below(3) != 0) return world_.person();
  const RecordId person = random_.pick(people_);
  Calm calm(site);
  Store& store = site.replica->store();
  need(store.refresh(), site.name + " is looked at");
  const auto state = store.records().load(store.logs().find_place(person));
  return state && *state && (*state)->kind == static_cast<std::uint32_t>(Kind::kPerson) ? person : world_.person();
}

void Work::prepare() {
  proto::Animal animal;
  proto::Food food;
  food.set_energy_cal_per_g(1580);
  food.set_water_ppm(720500);
  Site& desk = world_.hub();
  for (const char* name : {"Nereid", "Thetis"}) {
    animal.set_name(name);
    log(desk, {record_of(Kind::kAnimal, animal.SerializeAsString())}, animals_);
  }
  food.set_name("herring");
  log(desk, {record_of(Kind::kFood, food.SerializeAsString())}, foods_);
  proto::TreatmentOrder order;
  *order.mutable_animal() = ref_of(animals_[0]);
  order.set_preparation("as the vet wrote it");
  order.set_dose_ug(50'000);
  order.set_route("by mouth, in a fish");
  order.add_slots_min(480);
  order.add_slots_min(960);
  order.set_first_day(today(desk));
  *order.mutable_ordered_by() = ref_of(world_.person());
  log(desk, {record_of(Kind::kTreatmentOrder, order.SerializeAsString())}, orders_);
  for (int i = 0; i < 2; ++i) log_person(desk);
  expect(orders_.size() == 1 && foods_.size() == 1 && animals_.size() == 2, "the work could not be prepared");
}

void Work::log_meal(Site& site) {
  proto::Meal meal;
  *meal.mutable_animal() = ref_of(random_.pick(animals_));
  meal.set_day(today(site));
  meal.set_slot_min(random_.once_in(2) ? 510 : 960);
  meal.set_happened_ms(site.clock);
  meal.set_utc_offset_min(0);
  proto::Portion portion;
  *portion.mutable_food() = ref_of(foods_[0]);
  portion.set_offered_mg(1000 * (1 + random_.below(2000)));
  std::vector<RecordId> ids;
  log(site, {record_of(Kind::kMeal, meal.SerializeAsString() + maybe_of_newer_release()),
             record_of(Kind::kPortion, portion.SerializeAsString(), {{1, 0}})}, ids);
  if (ids.size() != 2) return;
  meals_.push_back(ids[0]);
  portions_.push_back(ids[1]);
}

void Work::log_dose(Site& site) {
  proto::Administration dose;
  *dose.mutable_order() = ref_of(orders_[0]);
  dose.set_due_day(today(site));
  dose.set_due_slot_min(random_.once_in(2) ? 480 : 960);
  dose.set_outcome(proto::OUTCOME_GIVEN);
  dose.set_happened_ms(site.clock);
  dose.set_utc_offset_min(0);
  log(site, {record_of(Kind::kAdministration, dose.SerializeAsString())}, doses_);
}

void Work::log_person(Site& site) {
  Bytes person;
  append_bytes_field(person, 1, "Tove Holm");
  person += some_roles();
  log(site, {record_of(Kind::kPerson, person)}, people_);
}

// An admin gives and takes roles; now and then somebody tries it who is none, or themselves.
void Work::change_roles(Site& site) {
  if (people_.empty()) return log_person(site);
  Edit edit;
  edit.record = random_.pick(people_);
  edit.fields = some_roles();
  if (edit.fields.empty()) edit.clears.push_back(2);
  if (random_.once_in(8)) append_varint_field(edit.fields, kStandingField, random_.once_in(2) ? kStruck : 0);
  edit.reason = "another contract";
  edit.settle = random_.once_in(2);
  const RecordId by = random_.once_in(3) ? who(site) : world_.person();
  auto done = world_.run(site, "changing roles", [&](Replica& r) { return r.author().edit(by, edit); });
  if (!done) return;
  world_.note("roles changed");
  world_.acknowledge(site, {*done});
}

void Work::edit(Site& site) {
  Edit edit;
  edit.reason = "weighed again";
  edit.settle = random_.once_in(3);
  const std::uint64_t what = random_.below(4);
  if (what == 0 || portions_.empty()) {
    edit.record = random_.pick(animals_);
    append_bytes_field(edit.fields, 1, random_.once_in(2) ? "Nereid" : "Galatea");
  } else if (what == 1 && !meals_.empty()) {
    edit.record = pick(meals_);
    append_varint_field(edit.fields, 3, random_.once_in(2) ? 510 : 960);  // Its slot, and so its key.
  } else {
    proto::Portion portion;
    portion.set_left_mg(random_.below(50));
    edit.record = pick(portions_);
    edit.fields = portion.SerializeAsString();
  }
  edit.fields += maybe_of_newer_release();
  const RecordId by = who(site);
  auto done = world_.run(site, "editing", [&](Replica& r) { return r.author().edit(by, edit); });
  if (done) world_.acknowledge(site, {*done});
}

// All or none: the second may well be refused after the first was written.
void Work::edit_several(Site& site) {
  if (portions_.size() < 2) return edit(site);
  std::vector<Edit> edits(2);
  for (Edit& each : edits) {
    proto::Portion portion;
    portion.set_left_mg(random_.below(50));
    each.record = pick(portions_);
    each.fields = portion.SerializeAsString();
    each.reason = random_.once_in(3) ? "" : "weighed twice";
  }
  auto done = world_.run(site, "editing several", [&](Replica& r) -> Result<std::vector<ChangeId>> {
    WRACKLINE_TRY_VALUE(write, r.store().begin_write());
    std::vector<ChangeId> ids;
    for (const Edit& edit : edits) {
      WRACKLINE_TRY_VALUE(id, r.author().edit_in(world_.person(), edit));
      ids.push_back(id);
    }
    WRACKLINE_TRY(r.author().commit(write));
    return ids;
  });
  if (done) world_.acknowledge(site, *done);
}

void Work::review(Site& site) {
  proto::Call call;
  *call.mutable_author() = ref_of(who(site));
  const std::vector<RecordId>& group = random_.once_in(3) && !doses_.empty() ? doses_ : random_.once_in(2) ? meals_ : portions_;
  if (group.empty()) return;
  const RecordId record = pick(group);
  const std::uint64_t what = random_.below(6);
  if (what < 3) {
    *call.mutable_strike()->mutable_record() = ref_of(record);
    call.mutable_strike()->set_reason("not this animal");
    call.mutable_strike()->set_lift(random_.once_in(3));
    call.mutable_strike()->set_settle(random_.once_in(2));
  } else if (what < 5) {
    *call.mutable_fold()->mutable_record() = ref_of(record);
    *call.mutable_fold()->mutable_into() = ref_of(pick(group));
    call.mutable_fold()->set_reason("the same event");
    call.mutable_fold()->set_unfold(random_.once_in(4));
    call.mutable_fold()->set_settle(random_.once_in(2));
  } else {
    *call.mutable_accept()->mutable_record() = ref_of(record);
    call.mutable_accept()->set_rule(static_cast<std::uint32_t>(random_.once_in(3) ? ReviewRule::kDoseOutOfOrder : ReviewRule::kDoubleEntry));
    call.mutable_accept()->set_reason("two events");
    call.mutable_accept()->set_settle(random_.once_in(2));
  }
  auto reply = world_.run(site, "reviewing", [&](Replica& r) -> Result<proto::Reply> {
    proto::Reply out;
    expect(out.ParseFromString(dispatch(r, call.SerializeAsString())), site.name + " answers what nobody can read");
    if (out.has_failure()) return fail(static_cast<ErrorCode>(out.failure().code()), out.failure().message());
    return out;
  });
  if (!reply || !reply->has_edit()) return;
  std::vector<ChangeId> changes = {{LogId{reply->edit().change().log()}, reply->edit().change().seq()}};
  for (const proto::RecordRef& other : reply->edit().others()) changes.push_back({LogId{other.log()}, other.seq()});
  world_.acknowledge(site, changes);
}

void Work::decide_on_hold(Site& site) {
  std::vector<RecordId> holds;
  {
    Calm calm(site);
    Store& store = site.replica->store();
    need(store.refresh(), site.name + " is looked at");
    for (const Place place : need(store.records().find(0, Kind::kHold, 0, 0), site.name + " lists holds")) {
      const auto state = need(store.records().load(place), site.name + " lists holds");
      // A hub writes no word of anybody's that takes in what only hubs may write (hub_holds.h); a device may try.
      if (world_.is_hub(site) && state && (hold_cause(state->fields) == HoldCause::kAtHub || hold_cause(state->fields) == HoldCause::kEarly)) continue;
      holds.push_back(store.logs().id_of(place));
    }
  }
  if (holds.empty()) return;
  Edit edit;
  edit.record = random_.pick(holds);
  append_varint_field(edit.fields, kStandingField, random_.once_in(4) ? 0 : kStruck);
  edit.reason = "asked the keeper";
  edit.settle = true;
  const RecordId by = who(site);
  auto done = world_.run(site, "deciding on a hold", [&](Replica& r) { return r.author().edit(by, edit); });
  if (done) world_.acknowledge(site, {*done});
}

void Work::act(Site& site) {
  const std::uint64_t what = random_.below(22);
  if (what < 5) return log_meal(site);
  if (what < 6) return log_dose(site);
  if (what < 12) return edit(site);
  if (what < 14) return edit_several(site);
  if (what < 18) return review(site);
  if (what < 19) return decide_on_hold(site);
  if (what < 21) return change_roles(site);
  log_person(site);
}

}  // namespace wrackline
