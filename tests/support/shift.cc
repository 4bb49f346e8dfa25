#include "support/shift.h"


namespace wrackline {
namespace {

void put(RecordId id, proto::RecordRef& out) {
  out.set_log(id.log.value);
  out.set_seq(id.seq);
}

}  // namespace

RecordId Shift::log(Kind kind, const google::protobuf::MessageLite& message) {
  return must(device_.replica->author().log_records(person_, {{static_cast<std::uint32_t>(kind), message.SerializeAsString(), {}, {}}})).front();
}

RecordId Shift::animal(const std::string& name) {
  proto::Animal animal;
  animal.set_name(name);
  return log(Kind::kAnimal, animal);
}

RecordId Shift::food(const std::string& name) {
  proto::Food food;
  food.set_name(name);
  food.set_energy_cal_per_g(1580);
  food.set_water_ppm(720500);
  return log(Kind::kFood, food);
}

RecordId Shift::order(RecordId animal) {
  proto::TreatmentOrder order;
  put(animal, *order.mutable_animal());
  order.set_preparation("as the vet wrote it");
  order.set_dose_ug(50'000);
  order.set_route("by mouth, in a fish");
  order.add_slots_min(480);
  order.set_first_day(static_cast<Day>(*device_.clock / 86'400'000));
  put(person_, *order.mutable_ordered_by());
  return log(Kind::kTreatmentOrder, order);
}

std::pair<RecordId, RecordId> Shift::meal(RecordId animal, RecordId food, std::uint32_t slot_min, std::uint64_t offered_mg) {
  proto::Meal meal;
  put(animal, *meal.mutable_animal());
  meal.set_day(static_cast<Day>(*device_.clock / 86'400'000));
  meal.set_slot_min(slot_min);
  meal.set_happened_ms(*device_.clock);
  meal.set_utc_offset_min(0);
  proto::Portion portion;
  put(food, *portion.mutable_food());
  portion.set_offered_mg(offered_mg);
  const auto ids = must(device_.replica->author().log_records(
      person_, {{static_cast<std::uint32_t>(Kind::kMeal), meal.SerializeAsString(), {}, {}},
                {static_cast<std::uint32_t>(Kind::kPortion), portion.SerializeAsString(), {{1, 0}}, {}}}));
  return {ids[0], ids[1]};
}

RecordId Shift::dose(RecordId order, std::uint32_t slot_min) {
  proto::Administration dose;
  put(order, *dose.mutable_order());
  dose.set_due_day(static_cast<Day>(*device_.clock / 86'400'000));
  dose.set_due_slot_min(slot_min);
  dose.set_outcome(proto::OUTCOME_GIVEN);
  dose.set_happened_ms(*device_.clock);
  dose.set_utc_offset_min(0);
  return log(Kind::kAdministration, dose);
}

void Shift::strike(RecordId record, const std::string& reason, bool lift) {
  proto::Call call;
  put(record, *call.mutable_strike()->mutable_record());
  call.mutable_strike()->set_reason(reason);
  call.mutable_strike()->set_lift(lift);
  must_call(call);
}

void Shift::fold(RecordId record, RecordId into, const std::string& reason) {
  proto::Call call;
  put(record, *call.mutable_fold()->mutable_record());
  put(into, *call.mutable_fold()->mutable_into());
  call.mutable_fold()->set_reason(reason);
  must_call(call);
}

void Shift::unfold(RecordId record, const std::string& reason) {
  proto::Call call;
  put(record, *call.mutable_fold()->mutable_record());
  call.mutable_fold()->set_unfold(true);
  call.mutable_fold()->set_reason(reason);
  must_call(call);
}

void Shift::accept(RecordId record, const std::string& reason) {
  proto::Call call;
  put(record, *call.mutable_accept()->mutable_record());
  call.mutable_accept()->set_rule(static_cast<std::uint32_t>(ReviewRule::kDoubleEntry));
  call.mutable_accept()->set_reason(reason);
  must_call(call);
}

Result<ChangeId> Shift::try_edit(RecordId record, const google::protobuf::MessageLite& fields, const std::string& reason) {
  Edit edit;
  edit.record = record;
  edit.fields = fields.SerializeAsString();
  edit.reason = reason;
  return device_.replica->author().edit(person_, edit);
}

Result<ChangeId> Shift::try_left(RecordId portion, std::uint64_t left_mg, const std::string& reason, bool settle) {
  proto::Portion fields;
  fields.set_left_mg(left_mg);
  Edit edit;
  edit.record = portion;
  edit.fields = fields.SerializeAsString();
  edit.reason = reason;
  edit.settle = settle;
  return device_.replica->author().edit(person_, edit);
}

proto::Reply Shift::call(proto::Call call) {
  put(person_, *call.mutable_author());
  proto::Reply reply;
  if (!reply.ParseFromString(dispatch(*device_.replica, call.SerializeAsString()))) FAIL("a reply cannot be read");
  return reply;
}

proto::Reply Shift::must_call(proto::Call call_message) {
  proto::Reply reply = call(std::move(call_message));
  if (reply.has_failure()) FAIL(reply.failure().message());
  return reply;
}

RecordState Shift::load(RecordId record) {
  Store& store = device_.replica->store();
  must(store.refresh());
  auto state = must(store.records().load(store.logs().find_place(record)));
  REQUIRE(state.has_value());
  return *state;
}

proto::Portion Shift::portion(RecordId record) {
  proto::Portion portion;
  REQUIRE(portion.ParseFromString(load(record).fields));
  return portion;
}

proto::ReviewReply Shift::review() {
  proto::Call call;
  call.mutable_review();
  return must_call(call).review();
}

proto::TrailReply Shift::trail(RecordId record) {
  proto::Call call;
  put(record, *call.mutable_trail()->mutable_record());
  return must_call(call).trail();
}

proto::RecordView Shift::view(RecordId record) {
  proto::Call call;
  put(record, *call.mutable_get()->mutable_record());
  return must_call(call).get().record();
}

proto::RebuildReply Shift::rebuild() {
  proto::Call call;
  call.mutable_rebuild();
  return must_call(call).rebuild();
}

TwoKeepers::TwoKeepers() {
  facility.exchange_all();
  animal = on_north.animal("Nereid");
  food = on_north.food("herring");
  facility.exchange_all();
}

}  // namespace wrackline
