// The questions that keepers, vets and curators ask: one function for each such call of proto/call.proto. Each fills the reply's
// part for its call, or returns the failure; then the reply holds nothing else.
#pragma once

#include <husbandry.pb.h>
#include <call.pb.h>

#include "base/result.h"
#include "replica/replica.h"

namespace wrackline {

Status handle_intake(Replica& replica, const proto::IntakeCall& call, proto::IntakeReply& out);
Status handle_round(Replica& replica, const proto::RoundCall& call, proto::RoundReply& out);
Status handle_prep(Replica& replica, const proto::PrepCall& call, proto::PrepReply& out);
Status handle_substitute(Replica& replica, const proto::SubstituteCall& call, proto::SubstituteReply& out);
Status handle_dose_check(Replica& replica, const proto::DoseCheckCall& call, proto::DoseCheckReply& out);
Status handle_enrichment(Replica& replica, const proto::EnrichmentCall& call, proto::EnrichmentReply& out);
Status handle_training(Replica& replica, const proto::TrainingCall& call, proto::TrainingReply& out);
Status handle_body(Replica& replica, const proto::BodyCall& call, proto::BodyReply& out);
Status handle_scan(Replica& replica, const proto::ScanCall& call, proto::ScanReply& out);
Status handle_attention(Replica& replica, const proto::AttentionCall& call, proto::AttentionReply& out);
Status handle_water(Replica& replica, const proto::WaterCall& call, proto::WaterReply& out);
Status handle_stock(Replica& replica, const proto::StockCall& call, proto::StockReply& out);
Status handle_intake_trend(Replica& replica, const proto::IntakeTrendCall& call, proto::IntakeTrendReply& out);
Status handle_collection_day(Replica& replica, const proto::CollectionDayCall& call, proto::CollectionDayReply& out);

}  // namespace wrackline
