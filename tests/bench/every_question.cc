#include "bench/every_question.h"

#include <functional>

#include "base/wire.h"
#include "model/kinds.h"

namespace wrackline::bench {
namespace {

proto::RecordRef named(RecordId id) {
  proto::RecordRef out;
  out.set_log(id.log.value);
  out.set_seq(id.seq);
  return out;
}

template <typename Message>
void over(Message& message, Day first, Day last) {
  message.set_first_day(first);
  message.set_last_day(last);
}

}  // namespace

std::vector<Question> every_question(const Subjects& about) {
  std::vector<Question> out;
  const auto ask = [&out](const char* name, const std::function<void(proto::Call&)>& fill, bool is_of_everything = false) {
    Question& question = out.emplace_back();
    question.name = name;
    question.is_of_everything = is_of_everything;
    fill(question.call);
  };
  const Day last = about.last_day, first = last - 27;
  ask("status", [](proto::Call& c) { c.mutable_status(); });
  ask("get", [&](proto::Call& c) { *c.mutable_get()->mutable_record() = named(about.animal); });
  ask("list, an animal's meals", [&](proto::Call& c) {
    c.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kMeal));
    *c.mutable_list()->mutable_subject() = named(about.animal);
    over(*c.mutable_list(), first, last);
  });
  ask("list, everybody's plans", [](proto::Call& c) {
    c.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kDietPlan));
    c.mutable_list()->set_all_subjects(true);
  });
  ask("list, everybody's meals of a day", [&](proto::Call& c) {
    c.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kMeal));
    c.mutable_list()->set_all_subjects(true);
    over(*c.mutable_list(), last, last);
  });
  ask("trail", [&](proto::Call& c) { *c.mutable_trail()->mutable_record() = named(about.edited); });
  ask("review", [](proto::Call& c) { c.mutable_review(); });
  ask("review detail", [&](proto::Call& c) {
    c.mutable_review_detail()->set_rule(static_cast<std::uint32_t>(ReviewRule::kDoubleEntry));
    *c.mutable_review_detail()->mutable_record() = named(about.double_meal);
  });
  ask("intake", [&](proto::Call& c) {
    *c.mutable_intake()->mutable_animal() = named(about.animal);
    over(*c.mutable_intake(), first, last);
  });
  ask("intake trend", [&](proto::Call& c) {
    *c.mutable_intake_trend()->mutable_animal() = named(about.animal);
    over(*c.mutable_intake_trend(), first, last);
  });
  ask("verify, a page", [](proto::Call& c) { c.mutable_verify(); }, true);
  ask("digest", [](proto::Call& c) { c.mutable_digest(); }, true);
  ask("round", [&](proto::Call& c) {
    c.mutable_round()->set_day(last);
    c.mutable_round()->add_zone()->set_from_ms(0);
  });
  ask("prep", [&](proto::Call& c) { c.mutable_prep()->set_day(last); });
  ask("substitute", [&](proto::Call& c) {
    *c.mutable_substitute()->mutable_food() = named(about.food);
    *c.mutable_substitute()->mutable_by() = named(about.other_food);
    c.mutable_substitute()->set_mass_mg(500'000);
    c.mutable_substitute()->set_equality(static_cast<proto::Equality>(1));
  });
  ask("dose check", [&](proto::Call& c) {
    *c.mutable_dose_check()->mutable_order() = named(about.order);
    c.mutable_dose_check()->set_due_day(last);
    c.mutable_dose_check()->set_due_slot_min(480);
    c.mutable_dose_check()->set_at_ms(static_cast<WallMs>(last) * 86'400'000 + 480 * 60'000);
    c.mutable_dose_check()->add_zone()->set_from_ms(0);
  });
  ask("enrichment", [&](proto::Call& c) {
    *c.mutable_enrichment()->mutable_animal() = named(about.animal);
    c.mutable_enrichment()->set_day(last);
  });
  ask("training", [&](proto::Call& c) {
    *c.mutable_training()->mutable_animal() = named(about.animal);
    over(*c.mutable_training(), first, last);
  });
  ask("body", [&](proto::Call& c) {
    *c.mutable_body()->mutable_animal() = named(about.animal);
    over(*c.mutable_body(), first, last);
  });
  ask("scan", [&](proto::Call& c) {
    *c.mutable_scan()->mutable_animal() = named(about.animal);
    over(*c.mutable_scan(), first, last);
  });
  ask("attention", [&](proto::Call& c) {
    c.mutable_attention()->set_day(last);
    c.mutable_attention()->add_zone()->set_from_ms(0);
  });
  ask("water", [&](proto::Call& c) {
    *c.mutable_water()->mutable_pool() = named(about.pool);
    over(*c.mutable_water(), first, last);
  });
  ask("stock", [&](proto::Call& c) { c.mutable_stock()->set_day(last); });
  ask("collection day", [&](proto::Call& c) { c.mutable_collection_day()->set_day(last); });
  ask("report of a day", [&](proto::Call& c) {
    c.mutable_report()->set_report(proto::REPORT_KIND_DAY);
    over(*c.mutable_report(), last, last);
    c.mutable_report()->add_zone()->set_from_ms(0);
  });
  ask("CSV of a day's report", [&](proto::Call& c) {
    proto::ReportCall& report = *c.mutable_csv()->mutable_report();
    report.set_report(proto::REPORT_KIND_DAY);
    over(report, last, last);
    report.add_zone()->set_from_ms(0);
  });
  ask("held", [&](proto::Call& c) { *c.mutable_held()->mutable_hold() = named(about.hold); });
  ask("trail search, an animal's day", [&](proto::Call& c) {
    *c.mutable_trail_search()->mutable_animal() = named(about.animal);
    over(*c.mutable_trail_search(), last, last);
  });
  ask("trail search, a person", [&](proto::Call& c) { *c.mutable_trail_search()->mutable_person() = named(about.person); }, true);
  ask("closes", [&](proto::Call& c) { over(*c.mutable_closes(), first, last); });
  ask("changed", [](proto::Call& c) { c.mutable_changed(); });
  ask("news", [](proto::Call& c) { c.mutable_news(); });
  ask("evidence of a record", [&](proto::Call& c) { *c.mutable_evidence()->add_records() = named(about.edited); });
  return out;
}

bool is_no_question(proto::Call::WhatCase what) {
  switch (what) {
    case proto::Call::kLog:
    case proto::Call::kEdit:
    case proto::Call::kStrike:
    case proto::Call::kFold:
    case proto::Call::kAccept:
    case proto::Call::kExchange:
    case proto::Call::kBundleExport:
    case proto::Call::kBundleImport:
    case proto::Call::kRebuild:
    case proto::Call::kAuthorize:
    case proto::Call::kSignIn:
    case proto::Call::kSignOut:
    case proto::Call::kProve:
    case proto::Call::kDayClose:
      return true;
    default:
      return false;
  }
}

std::vector<proto::Call::WhatCase> every_call() {
  constexpr std::uint32_t kFieldsMost = 2000;
  std::vector<proto::Call::WhatCase> out;
  for (std::uint32_t number = 1; number < kFieldsMost; ++number) {
    Bytes bytes;
    append_bytes_field(bytes, number, {});
    proto::Call call;
    if (call.ParseFromString(bytes) && call.what_case() != proto::Call::WHAT_NOT_SET) out.push_back(call.what_case());
  }
  return out;
}

}  // namespace wrackline::bench
