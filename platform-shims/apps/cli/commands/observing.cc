// wrack measure, wrack observe: what was measured and what was seen.
#include "cli/command.h"
#include "cli/record_fields.h"
#include "records.pb.h"
#include "text/message_schema.h"
#include "text/quantity.h"

namespace wrackline::cli {
namespace {

struct MeasureArgs {
  std::string animal, at, method, instrument, note;
  std::vector<std::string> values;
};

struct ObserveArgs {
  std::string animal, at, code, text;
};

Exit measure(Client& client, const MeasureArgs& args) {
  Names names(client);
  Call call = client.authored();
  const RecordRef animal = names.find("animal", args.animal);
  const When when = client.event_time(args.at);
  const KindInfo& kind = kind_typed("measure");
  for (const std::string& text : args.values) {
    const Assignment value = split_assignment(text);
    const MessagePtr fields = blank(kind);
    set_field(*fields, "quantity", value.name, client, names);
    set_field(*fields, "value", value.value, client, names);
    Measure measure;
    measure.ParseFromString(fields->SerializeAsString());
    *measure.mutable_animal() = animal;
    measure.set_day(when.day);
    set_time(measure, when);
    measure.set_method(args.method);
    measure.set_instrument(args.instrument);
    measure.set_note(args.note);
    NewRecord& record = *call.mutable_log()->add_records();
    record.set_kind(kind.number);
    record.set_fields(measure.SerializeAsString());
  }
  const Reply reply = client.call(call);
  return tell_logged(client, names, call.log(), reply.log());
}

Exit observe(Client& client, const ObserveArgs& args) {
  Names names(client);
  Call call = client.authored();
  const When when = client.event_time(args.at);
  Observation seen;
  *seen.mutable_animal() = names.find("animal", args.animal);
  seen.set_day(when.day);
  set_time(seen, when);
  seen.set_code(args.code);
  seen.set_text(args.text);
  NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(kind_number("observation"));
  record.set_fields(seen.SerializeAsString());
  const Reply reply = client.call(call);
  return tell_logged(client, names, call.log(), reply.log());
}

}  // namespace

void add_observing_commands(CLI::App& app, Action& chosen) {
  auto measure_args = std::make_shared<MeasureArgs>();
  CLI::App* m = app.add_subcommand("measure", "Log one or more measurements of an animal");
  m->group("Keeper");
  m->add_option("animal", measure_args->animal, "Name or id")->required();
  m->add_option("values", measure_args->values, "mass=12.4kg, length_straight=84cm, length_curved=, girth=")
      ->required();
  m->add_option("--at", measure_args->at, "When it was, if not now");
  m->add_option("--method", measure_args->method, "How");
  m->add_option("--instrument", measure_args->instrument, "With what");
  m->add_option("--note", measure_args->note, "Anything worth knowing");
  runs(m, chosen, measure_args, measure);

  auto observe_args = std::make_shared<ObserveArgs>();
  CLI::App* o = app.add_subcommand("observe", "Log something seen");
  o->group("Keeper");
  o->add_option("animal", observe_args->animal, "Name or id")->required();
  o->add_option("--code", observe_args->code, "From the facility's own list: appetite, wound, faeces ...")
      ->required();
  o->add_option("text", observe_args->text, "What was seen");
  o->add_option("--at", observe_args->at, "When it was, if not now");
  runs(o, chosen, observe_args, observe);
}

}  // namespace wrackline::cli
