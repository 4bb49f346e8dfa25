// Attention to pools, stores, places and things: water, food past its time, checks that failed.
#include <map>
#include <tuple>

#include "base/rounding.h"
#include "husbandry/attention_list.h"
#include "husbandry/stock_input.h"
#include "husbandry/water_input.h"
#include "reading/record_view.h"
#include "schedule/thaw.h"

namespace wrackline {
namespace {

// The later of two events of a kind, whichever of them lacks a time.
template <typename Message>
bool is_later(const Gathered<Message>& a, const Gathered<Message>& b) {
  return std::make_tuple(a.message.day(), a.happened_ms, a.id) >
         std::make_tuple(b.message.day(), b.happened_ms, b.id);
}

// Since when the readings of a property have been outside; its last one is.
void attend_readings(AttentionList& list, const Gathered<proto::Pool>& pool, const WaterReadings& readings,
                     const PoolLimits& limits) {
  struct Run {
    const Gathered<proto::WaterReading>* first = nullptr;
    const Gathered<proto::WaterReading>* last = nullptr;
    bool unverified = false;  // The limit of the last.
  };
  std::map<proto::Parameter, Run> outside;
  for (const Gathered<proto::WaterReading>& reading : readings) {
    if (reading.happened_ms > list.now_ms) continue;
    const PoolLimits::Judged judged = limits.judge(reading.message.parameter(), reading.message.value());
    Run& run = outside[reading.message.parameter()];
    if (judged.judgement != proto::JUDGEMENT_BELOW && judged.judgement != proto::JUDGEMENT_ABOVE) {
      run = {};
      continue;
    }
    if (run.first == nullptr) run.first = &reading;
    run.last = &reading;
    run.unverified = judged.limit->message.unverified();
  }
  for (const auto& [parameter, run] : outside) {
    if (run.last == nullptr) continue;
    proto::AttentionItem& item = list.add(proto::ATTENTION_RULE_WATER_OUTSIDE, pool.id, pool.message.name(),
                                          run.last->id, run.last->message.day());
    item.set_since_ms(run.first->happened_ms);
    item.set_what(parameter_words(parameter) + (run.unverified ? " (unverified limit)" : ""));
  }
}

// Takes the stricter clock where a batch says too little, or what cannot be.
std::optional<WallMs> past_since_ms(const AttentionList& list, const proto::ThawBatch& message) {
  ThawBatch batch;
  batch.out_of_freezer_ms =
      message.has_happened_ms() ? message.happened_ms() : list.instant_of(message.day(), 0);
  if (message.method() == proto::THAW_METHOD_REFRIGERATOR) batch.method = ThawMethod::kRefrigeration;
  if (message.has_thawed_ms()) batch.thawed_ms = message.thawed_ms();
  auto standing = thaw_standing(batch, {}, list.now_ms);
  if (!standing) {
    batch.method = ThawMethod::kColdWater;
    batch.thawed_ms.reset();
    standing = thaw_standing(batch, {}, list.now_ms);
  }
  if (!standing || standing->state != ThawState::kPastLimit) return std::nullopt;
  return standing->usable_until_ms;
}

Status attend_thaws(AttentionList& list) {
  WRACKLINE_TRY_VALUE(
      batches, gather_all<proto::ThawBatch>(list.replica, Kind::kThawBatch, list.events_from, list.day));
  ThawBatches past_ones;
  for (Gathered<proto::ThawBatch>& batch : batches) {
    if (!batch.message.has_discarded_ms() && past_since_ms(list, batch.message)) past_ones.push_back(std::move(batch));
  }
  WRACKLINE_TRY_VALUE(gone, used_up(list.replica, past_ones, list.day));
  for (std::size_t i = 0; i < past_ones.size(); ++i) {
    if (gone[i]) continue;
    const Gathered<proto::ThawBatch>& batch = past_ones[i];
    const auto past = past_since_ms(list, batch.message);
    const ChangeId lot_id = id_of(batch.message.lot());
    WRACKLINE_TRY_VALUE(
        lot, read_record<proto::Lot>(list.replica, list.replica.store().logs().find_place(lot_id), true));
    const ChangeId food = lot ? id_of(lot->message.food()) : ChangeId{};
    WRACKLINE_TRY_VALUE(food_name, list.roster.name_of(food));
    proto::AttentionItem& item =
        list.add(proto::ATTENTION_RULE_THAW_PAST, food, food_name, batch.id, batch.message.day());
    item.set_since_ms(*past);
    if (lot) item.set_what(lot->message.code());
  }
  return {};
}

Status attend_lots(AttentionList& list) {
  WRACKLINE_TRY_VALUE(lots, gather_all<proto::Lot>(list.replica, Kind::kLot));
  for (const Gathered<proto::Lot>& lot : lots) {
    if (!lot.message.has_use_by_day() || lot.message.use_by_day() >= list.day) continue;
    WRACKLINE_TRY_VALUE(movements,
                        gather_brief<proto::StockMovement>(list.replica, lot.place, Kind::kStockMovement,
                                                           kFirstDayOfAll, list.day));
    Int128 on_hand_mg = 0;
    for (const Gathered<proto::StockMovement>& movement : movements)
      on_hand_mg += movement.message.change_mg();
    if (on_hand_mg <= 0) continue;
    WRACKLINE_TRY_VALUE(food_name, list.roster.name_of(id_of(lot.message.food())));
    list.add(proto::ATTENTION_RULE_LOT_PAST, id_of(lot.message.food()), food_name, lot.id,
             lot.message.use_by_day())
        .set_what(lot.message.code());
  }
  return {};
}

}  // namespace

Status attend_water(AttentionList& list) {
  WRACKLINE_TRY_VALUE(pools, gather<proto::Pool>(list.replica, 0, Kind::kPool));
  for (const Gathered<proto::Pool>& pool : pools) {
    WRACKLINE_TRY_VALUE(limits, PoolLimits::gather_for(list.replica, pool.place));
    WRACKLINE_TRY_VALUE(readings,
                        gather_brief<proto::WaterReading>(list.replica, pool.place, Kind::kWaterReading,
                                                          list.lasting_from, list.day));
    std::sort(readings.begin(), readings.end(), [](const auto& a, const auto& b) { return is_later(b, a); });
    attend_readings(list, pool, readings, limits);
    if (!list.known_ms) continue;
    for (const PoolLimits::Overdue& overdue : limits.overdue(readings, *list.known_ms)) {
      proto::AttentionItem& item = list.add(proto::ATTENTION_RULE_WATER_OVERDUE, pool.id, pool.message.name(),
                                            overdue.limit->id, list.day);
      item.set_since_ms(overdue.last_ms);
      item.set_what(parameter_words(overdue.limit->message.parameter()));
    }
  }
  return {};
}

Status attend_stores(AttentionList& list) {
  WRACKLINE_TRY(attend_thaws(list));
  return attend_lots(list);
}

// A check that failed is told of until the same task of the same area passed, for a week.
Status attend_hygiene(AttentionList& list) {
  WRACKLINE_TRY_VALUE(
      checks, gather<proto::HygieneCheck>(list.replica, 0, Kind::kHygieneCheck, list.events_from, list.day));
  std::map<std::pair<std::string, std::string>, const Gathered<proto::HygieneCheck>*> last;
  for (const Gathered<proto::HygieneCheck>& check : checks) {
    if (!check.message.has_passed()) continue;
    WRACKLINE_TRY_VALUE(area, list.roster.areas().name_for(check.message));
    const Gathered<proto::HygieneCheck>*& latest = last[{area, check.message.task()}];
    if (latest == nullptr || is_later(check, *latest)) latest = &check;
  }
  for (const auto& [place, check] : last) {
    if (check->message.passed()) continue;
    list.add(proto::ATTENTION_RULE_HYGIENE_FAILED, {}, place.first, check->id, check->message.day())
        .set_what(place.second);
  }
  return {};
}

Status attend_enrichers(AttentionList& list) {
  WRACKLINE_TRY_VALUE(enrichers, gather<proto::Enricher>(list.replica, 0, Kind::kEnricher));
  for (const Gathered<proto::Enricher>& enricher : enrichers) {
    const auto read = [&](Day first, Day until) {
      return gather<proto::Inspection>(list.replica, enricher.place, Kind::kInspection, first, until);
    };
    const auto is_word = [](const Gathered<proto::Inspection>& look) { return look.message.has_safe(); };
    WRACKLINE_TRY_VALUE(looks, gather_back(list.day, list.day, read, is_word));
    const Gathered<proto::Inspection>* last = nullptr;
    for (const Gathered<proto::Inspection>& look : looks) {
      if (is_word(look) && (last == nullptr || is_later(look, *last))) last = &look;
    }
    if (last == nullptr || last->message.safe()) continue;
    list.add(proto::ATTENTION_RULE_ENRICHER_UNSAFE, enricher.id, enricher.message.name(), last->id,
             last->message.day())
        .set_what(last->message.findings());
  }
  return {};
}

}  // namespace wrackline
