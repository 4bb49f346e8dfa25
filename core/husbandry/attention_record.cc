// Attention to the records themselves: events of an animal that is out of account, and what changed after a day was
// closed.
#include <map>
#include <tuple>

#include "husbandry/attention_list.h"
#include "reading/record_view.h"

namespace wrackline {
namespace {

constexpr Kind kOfAnimal[] = {Kind::kMeal,          Kind::kMeasure,         Kind::kObservation,
                              Kind::kEnrichmentUse, Kind::kTrainingSession, Kind::kScan,
                              Kind::kMove};

// When the areas' days were closed: by area and day, the last close.
using Closed = std::map<std::pair<std::string, Day>, WallMs>;

class Amendments {
 public:
  Amendments(AttentionList& list, Closed closed) : list_(list), closed_(std::move(closed)) {
    for (const auto& [key, at_ms] : closed_) {
      first_ = std::min(first_, key.second);
      last_ = std::max(last_, key.second);
    }
  }

  // Records of a kind that belong to `owner`, whatever their standing: a strike changes the day too.
  Status look(Place owner, Kind kind, ChangeId subject, const std::string& name, const std::string& area) {
    WRACKLINE_TRY_VALUE(rows, list_.replica.store().records().find_brief(owner, kind, first_, last_));
    for (const KeyRow& row : rows) WRACKLINE_TRY(look_at(row.record, row.key.day, subject, name, area));
    return {};
  }

  Status look_at_animal(const RosterAnimal& animal) {
    const std::string& name = animal.animal.name();
    for (Kind kind : kOfAnimal) WRACKLINE_TRY(look(animal.place, kind, animal.id, name, animal.area));
    WRACKLINE_TRY_VALUE(meals,
                        list_.replica.store().records().find_brief(animal.place, Kind::kMeal, first_, last_));
    std::map<Place, Day> day_of;
    for (const KeyRow& meal : meals) day_of[meal.record] = meal.key.day;
    WRACKLINE_TRY_VALUE(portions, list_.replica.store().records().find_brief_via(
                                      animal.place, Kind::kMeal, Kind::kPortion, first_, last_));
    for (const KeyRow& portion : portions) {
      WRACKLINE_TRY(look_at(portion.record, day_of[portion.key.subject], animal.id, name, animal.area));
    }
    WRACKLINE_TRY_VALUE(orders, list_.replica.store().records().find(animal.place, Kind::kTreatmentOrder,
                                                                     kFirstDayOfAll, kLastDayOfAll));
    for (Place order : orders)
      WRACKLINE_TRY(look(order, Kind::kAdministration, animal.id, name, animal.area));
    return {};
  }

  Status look_at_hygiene() {
    WRACKLINE_TRY_VALUE(places, list_.replica.store().records().find(0, Kind::kHygieneCheck, first_, last_));
    for (Place place : places) {
      WRACKLINE_TRY_VALUE(check, read_record<proto::HygieneCheck>(list_.replica, place, true));
      if (!check) continue;
      WRACKLINE_TRY_VALUE(area, list_.roster.areas().name_for(check->message));
      WRACKLINE_TRY(look_at(place, check->message.day(), {}, area, area));
    }
    return {};
  }

 private:
  Status look_at(Place record, Day on, ChangeId subject, const std::string& name, const std::string& area) {
    const auto close = closed_.find({area, on});
    if (close == closed_.end()) return {};
    WRACKLINE_TRY_VALUE(entered, last_entered_ms(record));
    if (entered <= close->second || entered > list_.now_ms) return {};
    list_
        .add(proto::ATTENTION_RULE_AMENDED_AFTER_CLOSE, subject, name,
             list_.replica.store().logs().id_of(record), on)
        .set_what(area);
    return {};
  }

  // When the last change of a record was entered: its birth, or an edit, a strike, a fold.
  Result<WallMs> last_entered_ms(Place record) {
    WRACKLINE_TRY_VALUE(state, list_.replica.store().records().load(record));
    if (!state || !state->edited) return entered_ms(list_.replica, record);
    WRACKLINE_TRY_VALUE(history, list_.replica.store().records().history(record));
    WallMs last = 0;
    for (const FoldInput& input : history->folded.inputs) last = std::max(last, input.change.entered_ms());
    return last;
  }

  AttentionList& list_;
  const Closed closed_;
  Day first_ = kLastDayOfAll, last_ = kFirstDayOfAll;
};

// Records in account that belong to `owner` and were of these days; `last` becomes the latest of them.
struct Found {
  Place record = 0;
  Day day = kFirstDayOfAll;
};
Status find_in_account(AttentionList& list, Place owner, Kind kind, std::size_t& count, Found& last) {
  WRACKLINE_TRY_VALUE(rows,
                      list.replica.store().records().find_brief(owner, kind, list.lasting_from, list.day));
  for (const KeyRow& row : rows) {
    WRACKLINE_TRY_VALUE(state, list.replica.store().records().load(row.record));
    if (!state || !built_in_of(state->fields).in_account()) continue;
    ++count;
    const auto id_in = [&](Place place) { return list.replica.store().logs().id_of(place); };
    const bool is_later = last.record == 0 || std::make_tuple(row.key.day, id_in(row.record)) >
                                                  std::make_tuple(last.day, id_in(last.record));
    if (is_later) last = {row.record, row.key.day};
  }
  return {};
}

}  // namespace

// One item an animal: struck by mistake, or its entries are another's.
Status attend_struck_animals(AttentionList& list) {
  Projection& records = list.replica.store().records();
  WRACKLINE_TRY_VALUE(animals, records.find(0, Kind::kAnimal, kFirstDayOfAll, kLastDayOfAll));
  for (Place place : animals) {
    WRACKLINE_TRY_VALUE(animal, read_record<proto::Animal>(list.replica, place, true));
    WRACKLINE_TRY_VALUE(state, records.load(place));
    if (!animal || !state || built_in_of(state->fields).in_account()) continue;
    std::size_t count = 0;
    Found last;
    for (Kind kind : kOfAnimal) WRACKLINE_TRY(find_in_account(list, place, kind, count, last));
    WRACKLINE_TRY_VALUE(orders, records.find(place, Kind::kTreatmentOrder, kFirstDayOfAll, kLastDayOfAll));
    for (Place order : orders)
      WRACKLINE_TRY(find_in_account(list, order, Kind::kAdministration, count, last));
    if (count == 0) continue;
    list.add(proto::ATTENTION_RULE_OF_STRUCK_ANIMAL, animal->id, animal->message.name(),
             list.replica.store().logs().id_of(last.record), last.day)
        .set_what(std::to_string(count) + (count == 1 ? " entry" : " entries"));
  }
  return {};
}

Status attend_amendments(AttentionList& list, const std::vector<RosterAnimal>& animals) {
  WRACKLINE_TRY_VALUE(closes,
                      gather<proto::DayClose>(list.replica, 0, Kind::kDayClose, list.lasting_from, list.day));
  Closed closed;
  for (const Gathered<proto::DayClose>& close : closes) {
    WRACKLINE_TRY_VALUE(entered, entered_ms(list.replica, close.place));
    WRACKLINE_TRY_VALUE(area, list.roster.areas().name_for(close.message));
    if (area.empty()) continue;
    WallMs& at_ms = closed[{area, close.message.day()}];
    at_ms = std::max(at_ms, close.message.has_happened_ms() ? close.happened_ms : entered);
  }
  if (closed.empty()) return {};
  Amendments amendments(list, std::move(closed));
  for (const RosterAnimal& animal : animals) WRACKLINE_TRY(amendments.look_at_animal(animal));
  WRACKLINE_TRY_VALUE(pools, gather<proto::Pool>(list.replica, 0, Kind::kPool));
  for (const Gathered<proto::Pool>& pool : pools) {
    WRACKLINE_TRY_VALUE(area, list.roster.areas().name_for(pool.message));
    WRACKLINE_TRY(amendments.look(pool.place, Kind::kWaterReading, pool.id, pool.message.name(), area));
  }
  return amendments.look_at_hygiene();
}

}  // namespace wrackline
