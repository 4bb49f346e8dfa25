// This file says what an animal might be offered next, and how varied its enrichment was.
#include <records.pb.h>

#include <map>

#include "analytics/diversity.h"
#include "analytics/rotation.h"
#include "analytics/scaled.h"
#include "base/iso_week.h"
#include "base/rounding.h"
#include "husbandry/husbandry_calls.h"
#include "husbandry/plans.h"
#include "reading/record_view.h"
#include "reading/roster.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kSpanDefaultDays = 28;
constexpr std::uint32_t kSpanMaxDays = 3660;

proto::EnricherState to_proto(EnricherStanding standing) {
  switch (standing) {
    case EnricherStanding::kReady: return proto::ENRICHER_STATE_READY;
    case EnricherStanding::kTooSoon: return proto::ENRICHER_STATE_TOO_SOON;
    case EnricherStanding::kInspectionDue: return proto::ENRICHER_STATE_INSPECTION_DUE;
    case EnricherStanding::kUnsafe: return proto::ENRICHER_STATE_UNSAFE;
  }
  return proto::ENRICHER_STATE_UNSPECIFIED;
}

bool names(const google::protobuf::RepeatedPtrField<proto::RecordRef>& refs, ChangeId id) {
  return std::any_of(refs.begin(), refs.end(), [id](const proto::RecordRef& ref) { return id_of(ref) == id; });
}

// With one animal, in the span.
struct Uses {
  std::uint32_t count = 0;
  std::uint32_t watched = 0;
  std::uint64_t response_sum = 0;
  std::optional<Day> last;
};

Status put_inspection(Replica& replica, Place enricher, Day day, EnricherFacts& facts) {
  WallMs last_ms = 0;
  const auto read = [&](Day first, Day until) { return gather<proto::Inspection>(replica, enricher, Kind::kInspection, first, until); };
  WRACKLINE_TRY_VALUE(looks, gather_back(day, day, read, [](const auto&) { return true; }));
  for (const Gathered<proto::Inspection>& look : looks) {
    const bool is_unsafe = !look.message.safe() || look.in_disagreement;
    if (facts.last_inspected && look.message.day() < *facts.last_inspected) continue;
    const bool is_same_day = facts.last_inspected && look.message.day() == *facts.last_inspected;
    // It may be unknown which of two looks at one day was the later; and two people may disagree. Then it is unsafe.
    const bool is_mended = is_same_day && last_ms != 0 && look.happened_ms > last_ms && !is_unsafe;
    facts.found_unsafe = is_unsafe || (is_same_day && facts.found_unsafe && !is_mended);
    facts.last_inspected = look.message.day();
    last_ms = look.happened_ms;
  }
  return {};
}

}  // namespace

Status handle_enrichment(Replica& replica, const proto::EnrichmentCall& call, proto::EnrichmentReply& out) {
  Roster roster(replica);
  WRACKLINE_TRY_VALUE(animal, roster.animal(id_of(call.animal()), "choosing enrichment"));
  const Day day = call.day();
  const std::uint32_t span_days = call.span_days() == 0 ? kSpanDefaultDays : std::min(call.span_days(), kSpanMaxDays);
  const Day first = static_cast<Day>(std::max<std::int64_t>(std::int64_t{day} - span_days + 1, kFirstDayOfAll));

  WRACKLINE_TRY_VALUE(plans, gather<proto::EnrichmentPlan>(replica, animal.place, Kind::kEnrichmentPlan));
  const Gathered<proto::EnrichmentPlan>* plan = plan_in_force(plans, day);
  if (plan != nullptr) out.set_planned_per_week(plan->message.times_per_week());

  // A gap may be longer than the span, so all uses are looked at for the last one.
  WRACKLINE_TRY_VALUE(events, gather_brief<proto::EnrichmentUse>(replica, animal.place, Kind::kEnrichmentUse, kFirstDayOfAll, day));
  std::map<ChangeId, Uses> uses;
  const Day monday = static_cast<Day>(std::int64_t{day} + 1 - iso_weekday(day));
  for (const Gathered<proto::EnrichmentUse>& event : events) {
    Uses& of = uses[id_of(event.message.enricher())];
    of.last = std::max(of.last.value_or(event.message.day()), event.message.day());
    if (event.message.day() >= monday) out.set_uses_this_week(out.uses_this_week() + 1);
    if (event.message.day() < first) continue;
    ++of.count;
    out.set_uses(out.uses() + 1);
    if (!event.message.has_response()) continue;
    ++of.watched;
    of.response_sum += event.message.response();
  }
  std::vector<std::uint64_t> counts;
  for (const auto& [id, of] : uses) {
    if (of.count > 0) counts.push_back(of.count);
  }
  if (const auto variety = shannon_nats(counts)) {
    if (const auto millionths = to_scaled(*variety, 1'000'000)) {
      out.set_variety_millionths(static_cast<std::uint32_t>(*millionths));
    }
  }

  WRACKLINE_TRY_VALUE(all, gather<proto::Enricher>(replica, 0, Kind::kEnricher));
  std::vector<Gathered<proto::Enricher>> enrichers;
  std::vector<EnricherFacts> facts;
  for (Gathered<proto::Enricher>& enricher : all) {
    const bool is_allowed = enricher.message.animals().empty() || names(enricher.message.animals(), animal.id);
    const bool is_planned = plan == nullptr || plan->message.enrichers().empty() || names(plan->message.enrichers(), enricher.id);
    if (!is_allowed || !is_planned) continue;
    EnricherFacts& fact = facts.emplace_back();
    fact.name = enricher.message.name();
    fact.gap_days = std::max(enricher.message.gap_days(), plan == nullptr ? 0u : plan->message.gap_days());
    fact.uses = uses[enricher.id].count;
    fact.last_used = uses[enricher.id].last;
    if (enricher.message.inspect_every_days() > 0) fact.inspect_every_days = enricher.message.inspect_every_days();
    WRACKLINE_TRY(put_inspection(replica, enricher.place, day, fact));
    enrichers.push_back(std::move(enricher));
  }
  for (const RankedEnricher& ranked : rank_enrichers(facts, day)) {
    const Gathered<proto::Enricher>& enricher = enrichers[ranked.index];
    const Uses& of = uses[enricher.id];
    proto::EnricherChoice& choice = *out.add_choices();
    put_id(enricher.id, *choice.mutable_enricher());
    choice.set_name(enricher.message.name());
    choice.set_state(to_proto(ranked.standing));
    choice.set_uses(of.count);
    if (of.last) choice.set_last_day(*of.last);
    choice.set_watched(of.watched);
    if (of.watched > 0) {
      choice.set_response_thousandths(static_cast<std::uint32_t>(divide_rounded(Int128(of.response_sum) * 1000, of.watched)));
    }
    choice.set_goal(enricher.message.goal());
    choice.set_caution(enricher.message.caution());
    if (ranked.ready_day) choice.set_ready_day(*ranked.ready_day);
  }
  return {};
}

}  // namespace wrackline
