// wrack dose: what became of one due dose of a vet's order.
#include <algorithm>
#include <iostream>

#include "cautions.h"
#include "command.h"
#include "fields.h"
#include "quantity.h"
#include "records.pb.h"
#include "schema.h"
#include "table.h"

namespace wrackline::cli {
namespace {

struct DoseArgs {
  std::string order, slot, day, at, outcome, amount, witness, note;
};

bool in_force(const TreatmentOrder& order, Day day) {
  return (!order.has_first_day() || order.first_day() <= day) &&
         (!order.has_last_day() || day <= order.last_day());
}

bool has_slot(const TreatmentOrder& order, std::uint32_t slot_min) {
  return std::find(order.slots_min().begin(), order.slots_min().end(), slot_min) != order.slots_min().end();
}

// The order named, or the one order of the animal named that has this slot on this day.
RecordRef order_of(Client& client, Names& names, const std::string& text, Day day, std::uint32_t slot_min) {
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
    if (has_slot(order, slot_min)) fits.push_back(view);
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

std::string ordered_amount(const TreatmentOrder& o) {
  if (o.has_dose_ug()) return print_quantity(Unit::kDoseUg, static_cast<std::int64_t>(o.dose_ug()));
  if (o.has_dose_ul()) return print_quantity(Unit::kVolumeUl, static_cast<std::int64_t>(o.dose_ul()));
  if (o.has_dose_units()) return print_quantity(Unit::kUnits, static_cast<std::int64_t>(o.dose_units()));
  return "amount not in the order";
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
  else if (o.has_dose_units())
    a.set_given_units(in(Unit::kUnits));
  else
    throw refused("the order states no amount, so the unit of \"" + text +
                  "\" is open; write it in --note instead");
}

void set_as_ordered(Administration& a, const TreatmentOrder& o) {
  if (o.has_dose_ug()) a.set_given_ug(o.dose_ug());
  if (o.has_dose_ul()) a.set_given_ul(o.dose_ul());
  if (o.has_dose_units()) a.set_given_units(o.dose_units());
}

std::string knowledge(Client& client) {
  const WallMs last = client.status().last_exchange_ms();
  if (last == 0) return "This device has never exchanged with the hub: doses logged elsewhere are not shown.";
  return "This device last exchanged with the hub " + print_age(last, client.now()) +
         ": doses logged elsewhere since then are not shown.";
}

Exit dose(Client& client, const DoseArgs& args) {
  Names names(client);
  Call call = client.authored();
  const When when = client.event_time(args.at);
  const Day day = args.day.empty() ? when.day : typed(client.zone().parse_day_of(args.day, client.now()));
  const auto slot = static_cast<std::uint32_t>(typed(parse_quantity(Unit::kClockMin, args.slot)));
  const RecordRef order_id = order_of(client, names, args.order, day, slot);
  TreatmentOrder order;
  order.ParseFromString(client.get(order_id).fields());

  const MessagePtr fields = blank(kind_typed("administration"));
  set_field(*fields, "outcome", args.outcome, client, names);
  if (!args.witness.empty()) set_field(*fields, "witness", args.witness, client, names);
  if (!args.note.empty()) set_field(*fields, "note", args.note, client, names);
  Administration dose;
  dose.ParseFromString(fields->SerializeAsString());
  *dose.mutable_order() = order_id;
  dose.set_due_day(day);
  dose.set_due_slot_min(slot);
  set_time(dose, when);
  if (!args.amount.empty())
    set_given(dose, order, args.amount);
  else if (dose.outcome() == OUTCOME_GIVEN)
    set_as_ordered(dose, order);

  std::vector<RecordView> already;
  for (RecordView& view : client.list(kind_number("administration"), order_id, {day, day})) {
    Administration other;
    if (counts(view) && other.ParseFromString(view.fields()) && other.due_slot_min() == slot)
      already.push_back(std::move(view));
  }

  if (!client.json()) {
    std::string out = names.call_it(order_id) + ": " + ordered_amount(order) +
                      (order.route().empty() ? "" : ", " + order.route()) + ", ordered by " +
                      names.name_of(order.ordered_by()) + "\n";
    if (!order.instructions().empty()) out += "  " + order.instructions() + "\n";
    if (!has_slot(order, slot))
      out += "  note: the order has no dose at " + print_quantity(Unit::kClockMin, slot) + "\n";
    if (!in_force(order, day)) out += "  note: the order is not in force on " + print_day(day) + "\n";
    out += wrapped_lines(kDoseCaution, 2);
    out += wrapped_lines(knowledge(client), 2);
    if (!already.empty()) {
      out += "Already logged for the dose due " + print_day(day) + " " +
             print_quantity(Unit::kClockMin, slot) + ":\n";
      Table table({"RECORD", "OUTCOME", "AMOUNT", "AT", "BY", "NOTE"});
      for (const RecordView& view : already) {
        Administration other;
        other.ParseFromString(view.fields());
        const MessagePtr m = parse_fields(view.kind(), view.fields());
        table.row({names.short_id(view.record()),
                   field_text(*m, *m->GetDescriptor()->FindFieldByName("outcome"), client, names),
                   given_amount(other), client.zone().print(other.happened_ms()),
                   names.name_of(view.author()), other.note()});
      }
      out += table.str(2);
    }
    print(out);
    std::cout << std::flush;
  }
  if (!already.empty())
    confirm(client.options(), "This dose slot already has " + std::to_string(already.size()) +
                                  (already.size() == 1 ? " entry" : " entries") + "; log another?");

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
  c->add_option("--slot", args->slot, "The dose that was due, by its time in the order: 08:30")->required();
  c->add_option("--outcome", args->outcome, "given, part, refused, held, lost or unknown")->required();
  c->add_option(
      "--amount", args->amount,
      "What was really given: 5mg, 0.5mL, 200 units. Without it, given means as ordered; part and unknown "
      "mean the amount is not known, which is not zero");
  c->add_option("--day", args->day, "The day it was due, if not the day of --at");
  c->add_option("--at", args->at, "When it was, if not now");
  c->add_option("--witness", args->witness, "Who saw it");
  c->add_option("--note", args->note, "Anything worth knowing");
  c->footer(kDoseCaution);
  runs(c, chosen, args, dose);
}

}  // namespace wrackline::cli
