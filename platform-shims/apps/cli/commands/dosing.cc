// wrack dose: what became of one due dose of a vet's order.
#include <algorithm>
#include <iostream>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/dose_words.h"
#include "cli/record_fields.h"
#include "dosing/amount_text.h"
#include "records.pb.h"
#include "text/decimal.h"
#include "text/lower_case.h"
#include "text/message_schema.h"
#include "text/quantity.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct DoseArgs {
  std::string order, slot, day, at, outcome, amount, witness, prepared_by, note;
};

bool in_force(const TreatmentOrder& order, Day day) {
  return (!order.has_first_day() || order.first_day() <= day) &&
         (!order.has_last_day() || day <= order.last_day());
}

// An order that goes by elapsed hours has no slots: any of its doses is one of its doses.
bool has_slot(const TreatmentOrder& order, std::uint32_t slot_min) {
  return order.has_every_min() || std::find(order.slots_min().begin(), order.slots_min().end(), slot_min) != order.slots_min().end();
}

// The order named, or the one order of the animal named that has this slot (any, when none was typed) on this day.
RecordRef order_of(Client& client, Names& names, const std::string& text, Day day, std::uint32_t slot_min, bool any_slot) {
  if (Names::looks_like_id(text)) {
    const RecordRef record = names.record(text);
    if (client.get(record).kind() == kind_number("treatment_order")) return record;
  }
  RecordRef animal;
  try {
    animal = names.find("animal", text);
  } catch (const Stop& no_animal) {
    try {
      return names.find("treatment_order", text);
    } catch (const Stop& no_order) {
      if (no_order.word == "ambiguous" || no_animal.word == "ambiguous")
        throw no_order.word == "ambiguous" ? no_order : no_animal;
      throw not_found("neither an animal nor an order here is called \"" + text +
                      "\"; see `wrack list animal` and `wrack list treatment_order`");
    }
  }
  std::vector<RecordView> fits, open;
  for (RecordView& view : client.list(kind_number("treatment_order"), animal)) {
    TreatmentOrder order;
    if (!counts(view) || !order.ParseFromString(view.fields()) || !in_force(order, day)) continue;
    open.push_back(view);
    if (any_slot || has_slot(order, slot_min)) fits.push_back(view);
  }
  if (fits.size() == 1) return fits[0].record();
  std::string list;
  for (const RecordView& v : fits.empty() ? open : fits)
    list += "\n  " + names.short_id(v.record()) + "  " + names.call_it(v.record());
  if (fits.empty())
    throw not_found("no order for " + names.name_of(animal) + " has a dose due at " +
                    print_quantity(Unit::kClockMin, slot_min) + " on " + print_day(day) +
                    (list.empty() ? "; see `wrack list treatment_order`"
                                  : "; name the order itself if this dose belongs to one of these:" + list));
  throw ambiguous("several orders have a dose due then; name the order:" + list);
}

// The form as the label calls it.
const char* form_of(const TreatmentOrder& o) {
  const std::string preparation = lower_case(o.preparation());
  if (preparation.find("tablet") != std::string::npos) return "tablet";
  return preparation.find("capsule") != std::string::npos ? "capsule" : "piece";
}

// Words an amount in thousandths of a tablet, a capsule or a unit of activity.
std::string counted_text(std::uint64_t thousandths, const TreatmentOrder& o) {
  const ExactAmount amount = typed(exact_amount(static_cast<Int128>(thousandths), 1000));
  return o.has_strength_ug_per_unit() ? tablets_text(amount, form_of(o)) : dose_units_text(amount);
}

std::string ordered_amount(const TreatmentOrder& o) {
  if (o.has_dose_ug()) return print_quantity(Unit::kDoseUg, static_cast<std::int64_t>(o.dose_ug()));
  if (o.has_dose_ul()) return print_quantity(Unit::kVolumeUl, static_cast<std::int64_t>(o.dose_ul()));
  if (o.has_dose_units()) return print_quantity(Unit::kUnits, static_cast<std::int64_t>(o.dose_units()));
  const auto per_kg = [](std::uint64_t ug) { return print_quantity(Unit::kDoseUg, static_cast<std::int64_t>(ug)); };
  if (o.has_dose_ug_per_kg()) return per_kg(o.dose_ug_per_kg()) + " for each kg of body mass";
  if (o.has_dose_ug_per_kg_food()) return per_kg(o.dose_ug_per_kg_food()) + " for each kg of fish";
  if (o.has_dose_units_per_kg_food())
    return print_quantity(Unit::kUnits, static_cast<std::int64_t>(o.dose_units_per_kg_food())) + " of " +
           o.substance() + " for each kg of fish";
  return "amount not in the order";
}

// Tells the amount that the order comes to, reckoned, and the amount that can be measured.
std::string reckoned_text(const TreatmentOrder& o, const DoseCheckReply& check) {
  std::string out;
  if (check.has_exact_ug()) out = print_quantity(Unit::kDoseUg, static_cast<std::int64_t>(check.exact_ug()));
  if (check.has_exact_units_thousandths())
    out += (out.empty() ? "" : " = ") + counted_text(check.exact_units_thousandths(), o);
  if (check.has_exact_ul_thousandths())
    out += (out.empty() ? "" : " = ") + print_decimal(static_cast<std::int64_t>(check.exact_ul_thousandths()), 6) + " mL";
  if (check.has_measured_ul())
    out += "; measure " + print_quantity(Unit::kVolumeUl, static_cast<std::int64_t>(check.measured_ul()));
  if (check.has_measured_units_thousandths()) out += "; give " + counted_text(check.measured_units_thousandths(), o);
  if (check.has_rounding_ppm() && check.rounding_ppm() != 0)
    out += " (" + std::string(check.rounding_ppm() > 0 ? "+" : "") + print_decimal(check.rounding_ppm(), 4) + " % by measuring)";
  if (check.has_reckoned_from_mg() && !out.empty())
    out += ", from " + print_quantity(Unit::kMassMg, static_cast<std::int64_t>(check.reckoned_from_mg())) +
           (check.has_body_mass_day() ? ", weighed " + print_day(check.body_mass_day()) : " of fish");
  return out;
}

// The amount that was really given goes into the field by which the order was measured.
void set_reckoned(Administration& a, const TreatmentOrder& o, const DoseCheckReply& check) {
  if (check.has_reckoned_from_mg()) a.set_reckoned_from_mg(check.reckoned_from_mg());
  if (check.has_measured_ul() && o.has_strength_ug_per_ml())
    a.set_given_ug((check.measured_ul() * o.strength_ug_per_ml() + 500) / 1000);
  else if (check.has_measured_units_thousandths() && o.has_strength_ug_per_unit())
    a.set_given_ug((check.measured_units_thousandths() * o.strength_ug_per_unit() + 500) / 1000);
  else if (check.has_exact_ug())
    a.set_given_ug(check.exact_ug());
  else if (o.has_dose_units_per_kg_food() && check.has_exact_units_thousandths())
    a.set_given_units((check.exact_units_thousandths() + 500) / 1000);
}

std::string given_amount(const Administration& a) {
  if (a.has_given_ug()) return print_quantity(Unit::kDoseUg, static_cast<std::int64_t>(a.given_ug()));
  if (a.has_given_ul()) return print_quantity(Unit::kVolumeUl, static_cast<std::int64_t>(a.given_ul()));
  if (a.has_given_units()) return print_quantity(Unit::kUnits, static_cast<std::int64_t>(a.given_units()));
  return a.outcome() == OUTCOME_PART || a.outcome() == OUTCOME_UNKNOWN ? "amount not known" : "";
}

// The amount goes into the field of the order's own unit, so that the two can be compared.
void set_given(Administration& a, const TreatmentOrder& o, const std::string& text) {
  const auto in = [&](Unit unit) { return static_cast<std::uint64_t>(typed(parse_quantity(unit, text))); };
  if (o.has_dose_ug())
    a.set_given_ug(in(Unit::kDoseUg));
  else if (o.has_dose_ul())
    a.set_given_ul(in(Unit::kVolumeUl));
  else if (o.has_dose_units() || o.has_dose_units_per_kg_food())
    a.set_given_units(in(Unit::kUnits));
  else if (o.has_dose_ug_per_kg() || o.has_dose_ug_per_kg_food())
    parse_quantity(Unit::kVolumeUl, text) ? a.set_given_ul(in(Unit::kVolumeUl)) : a.set_given_ug(in(Unit::kDoseUg));
  else
    throw refused("the order states no amount, so the unit of \"" + text +
                  "\" is open; write it in --note instead");
}

void set_as_ordered(Administration& a, const TreatmentOrder& o) {
  if (o.has_dose_ug()) a.set_given_ug(o.dose_ug());
  if (o.has_dose_ul()) a.set_given_ul(o.dose_ul());
  if (o.has_dose_units()) a.set_given_units(o.dose_units());
}

std::string knowledge(const DoseCheckReply& check, Client& client) {
  if (check.known_as_of_ms() == 0)
    return "This device has never exchanged with the hub: doses logged elsewhere are not shown.";
  return "This device last exchanged with the hub " + print_age(check.known_as_of_ms(), client.now()) +
         ": doses logged elsewhere since then are not shown.";
}

// An order by the hour needs no slot: its doses are told apart by when they were given.
std::uint32_t slot_of(const DoseArgs& args, const When& when) {
  if (!args.slot.empty()) return static_cast<std::uint32_t>(typed(parse_quantity(Unit::kClockMin, args.slot)));
  const auto minute = static_cast<std::int64_t>(when.happened_ms / 60'000) + when.utc_offset_min;
  return static_cast<std::uint32_t>(minute % (24 * 60));
}

Exit dose(Client& client, const DoseArgs& args) {
  Names names(client);
  Call call = client.authored();
  const When when = client.event_time(args.at);
  const Day day = args.day.empty() ? when.day : typed(client.zone().parse_day_of(args.day, client.now()));
  const std::uint32_t slot = slot_of(args, when);
  const RecordRef order_id = order_of(client, names, args.order, day, slot, args.slot.empty());
  TreatmentOrder order;
  order.ParseFromString(client.get(order_id).fields());
  if (args.slot.empty() && !order.has_every_min())
    throw usage("say which dose of the order it was: --slot " +
                (order.slots_min().empty() ? std::string("08:30")
                                           : print_quantity(Unit::kClockMin, order.slots_min(0))));

  Call question;
  DoseCheckCall& ask = *question.mutable_dose_check();
  *ask.mutable_order() = order_id;
  ask.set_due_day(day);
  ask.set_due_slot_min(slot);
  ask.set_at_ms(when.happened_ms);
  put_zone(ask, client.zone(), std::min(day, when.day), std::max(day, when.day));
  const DoseCheckReply check = client.call(question).dose_check();

  const MessagePtr fields = blank(kind_typed("administration"));
  set_field(*fields, "outcome", args.outcome, client, names);
  if (!args.witness.empty()) set_field(*fields, "witness", args.witness, client, names);
  if (!args.prepared_by.empty()) set_field(*fields, "prepared_by", args.prepared_by, client, names);
  if (!args.note.empty()) set_field(*fields, "note", args.note, client, names);
  Administration dose;
  dose.ParseFromString(fields->SerializeAsString());
  *dose.mutable_order() = order_id;
  dose.set_due_day(day);
  dose.set_due_slot_min(slot);
  set_time(dose, when);
  const bool goes_in = dose.outcome() == OUTCOME_GIVEN || dose.outcome() == OUTCOME_PART;
  if (!args.amount.empty())
    set_given(dose, order, args.amount);
  else if (dose.outcome() == OUTCOME_GIVEN) {
    set_as_ordered(dose, order);
    set_reckoned(dose, order, check);
  }

  std::vector<std::string> asked, told;
  for (const DoseFinding& finding : check.findings()) {
    const bool is_witness = finding.rule() == DOSE_RULE_WITNESS;
    if (is_witness && (!goes_in || dose.has_witness())) continue;
    // The core asks about what is struck itself, as of every entry.
    const bool asks = (finding.severity() == REVIEW_SEVERITY_ASK && finding.rule() != DOSE_RULE_NOT_IN_ACCOUNT) || is_witness;
    // A dose that did not go in cannot be one too many; that its slot has an entry is asked about all the same.
    (asks && (goes_in || finding.rule() == DOSE_RULE_SAME_SLOT) ? asked : told)
        .push_back(finding_text(finding, client, names));
  }
  if (!client.json()) {
    std::string out = names.call_it(order_id) + ": " + ordered_amount(order) +
                      (order.route().empty() ? "" : ", " + order.route()) + ", ordered by " +
                      names.name_of(order.ordered_by()) + "\n";
    const std::string reckoned = reckoned_text(order, check);
    if (!reckoned.empty()) out += wrapped_lines("comes to " + reckoned, 2);
    if (!order.vehicle().empty()) out += "  in " + order.vehicle() + "\n";
    if (!order.instructions().empty()) out += "  " + order.instructions() + "\n";
    out += wrapped_lines(kDoseCaution, 2);
    out += wrapped_lines(knowledge(check, client), 2);
    for (const std::string& text : told) out += wrapped_lines("note: " + text, 2);
    for (const std::string& text : asked) out += wrapped_lines("STOP AND LOOK: " + text, 2);
    print(out);
    std::cout << std::flush;
  }
  if (!asked.empty()) {
    std::string all = asked[0];
    for (std::size_t i = 1; i < asked.size(); ++i) all += "; " + asked[i];
    confirm(client.options(), all + "; log it all the same?");
    const std::string& because = client.options().because;
    dose.set_confirmed((because.empty() ? "" : because + " ") + "[asked: " + all + "]");
  }

  NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(kind_number("administration"));
  record.set_fields(dose.SerializeAsString());
  const Reply reply = client.call(call);
  tell_logged(client, names, call.log(), reply.log());
  if (!client.json()) {
    const std::string amount = given_amount(dose);
    print("  " + args.outcome + (amount.empty() ? "" : ", " + amount) +
          (args.amount.empty() && dose.outcome() == OUTCOME_GIVEN && !amount.empty() ? " (as ordered)" : "") +
          ", at " + client.zone().print(when.happened_ms) + "\n");
  }
  return Exit::kOk;
}

}  // namespace

void add_dose_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<DoseArgs>();
  CLI::App* c = app.add_subcommand(
      "dose", "Record what became of a due dose; shows first what is already logged for it");
  c->group("Keeper");
  c->add_option("order", args->order, "The order's id or preparation, or the animal's name")->required();
  c->add_option("--slot", args->slot,
                "The dose that was due, by its time in the order: 08:30; left out for an order by the hour");
  c->add_option("--outcome", args->outcome, "given, part, refused, held, lost or unknown")->required();
  c->add_option(
      "--amount", args->amount,
      "What was really given: 5mg, 0.5mL, 200 units. Without it, given means as ordered; part and unknown "
      "mean the amount is not known, which is not zero");
  c->add_option("--day", args->day, "The day it was due, if not the day of --at");
  c->add_option("--at", args->at, "When it was, if not now");
  c->add_option("--witness", args->witness, "Who saw it");
  c->add_option("--prepared-by", args->prepared_by, "Who drew it up");
  c->add_option("--note", args->note, "Anything worth knowing");
  c->footer(kDoseCaution);
  runs(c, chosen, args, dose);
}

}  // namespace wrackline::cli
