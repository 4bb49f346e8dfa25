// wrack stock, receive, use, discard, count, thaw, thawed: what is in the freezers, and what left them.
#include "cli/cautions.h"
#include "cli/command.h"
#include "records.pb.h"
#include "text/message_schema.h"
#include "text/quantity.h"

namespace wrackline::cli {
namespace {

struct StockArgs {
  std::string day = "today";
  std::uint32_t horizon_days = 14;
};

struct StoreArgs {
  std::string what, mass, at, note;  // `what` is a food, a lot or a thaw batch.
  std::string code, use_by, store;   // receive
  std::string method;                // thaw
  std::string reason;                // discard, thawed
  std::string batch;                 // use, discard
};

std::int64_t mass_typed(const std::string& text) { return typed(parse_quantity(Unit::kMassMg, text)); }
std::string mass_text(std::int64_t mg) { return print_quantity(Unit::kMassMg, mg); }

StockReply stock_of(Client& client, Day day, std::uint32_t horizon_days) {
  Call call;
  call.mutable_stock()->set_day(day);
  call.mutable_stock()->set_horizon_days(horizon_days);
  return client.call(call).stock();
}

// The stock by the book; a lot that is not in the list is neither there nor missing.
std::int64_t on_hand_mg(Client& client, const RecordRef& lot) {
  const StockReply stock = stock_of(client, client.zone_for_writing().today(client.now()), 0);
  for (const FoodStock& food : stock.foods())
    for (const LotView& view : food.lots())
      if (same(view.lot(), lot)) return view.on_hand_mg();
  return 0;
}

// ---- What is there ----------------------------------------------------------------------------------------

std::string lasts_text(const FoodStock& food) {
  if (!food.has_lasts_days()) return "not planned";
  return (food.need_incomplete() ? "at most " : "") +
         (food.lasts_days() >= 365 ? "a year" : print_quantity(Unit::kDays, food.lasts_days()));
}

void print_stock(const StockReply& reply, Day day, std::uint32_t horizon_days) {
  if (reply.foods().empty()) {
    print("nothing is in store and no plan asks for food; book a delivery with `wrack receive`\n");
    return;
  }
  print("stock on " + print_day(day) + "; need and order are for " + print_quantity(Unit::kDays, horizon_days) +
        " from then on, that day whole\n");
  Table foods({"FOOD", ">ON HAND", ">PAST USE-BY", ">NEED", "LASTS", ">ORDER"});
  Table lots({"FOOD", "LOT", "STORE", "USE BY", ">ON HAND", "NOTE"});
  bool incomplete = false;
  for (const FoodStock& food : reply.foods()) {
    incomplete = incomplete || food.need_incomplete();
    const std::string at_least = food.need_incomplete() ? "at least " : "";
    foods.row({food.food_name(), mass_text(food.on_hand_mg()),
               food.past_use_by_mg() != 0 ? mass_text(food.past_use_by_mg()) : "",
               at_least + mass_text(static_cast<std::int64_t>(food.need_mg())), lasts_text(food),
               food.order_mg() > 0 ? at_least + mass_text(static_cast<std::int64_t>(food.order_mg())) : ""});
    for (const LotView& lot : food.lots())
      lots.row({food.food_name(), lot.code(), lot.store(), lot.has_use_by_day() ? print_day(lot.use_by_day()) : "none",
                mass_text(lot.on_hand_mg()),
                lot.past_use_by()       ? "past its use-by day: discard"
                : lot.on_hand_mg() < 0 ? "more was taken than came: count it"
                                       : ""});
  }
  print(foods.str());
  if (!lots.empty()) print("\nlots, the one to use first on top\n" + lots.str());
  if (incomplete) print("\n" + wrapped_lines("A plan has a line without a mass; it is in none of these figures."));
}

void print_stock_json(const StockReply& reply, Day day, std::uint32_t horizon_days) {
  Json json;
  json.object().member("day", print_day(day)).member("horizon_days", horizon_days).key("foods").array();
  for (const FoodStock& food : reply.foods()) {
    json.object().member("food", Names::full_id(food.food())).member("food_name", food.food_name());
    json.member("on_hand_mg", food.on_hand_mg()).member("past_use_by_mg", food.past_use_by_mg());
    json.member("need_mg", food.need_mg()).member("need_incomplete", food.need_incomplete());
    if (food.has_lasts_days()) json.member("lasts_days", food.lasts_days());
    json.member("order_mg", food.order_mg()).key("lots").array();
    for (const LotView& lot : food.lots()) {
      json.object().member("lot", Names::full_id(lot.lot())).member("code", lot.code()).member("store", lot.store());
      if (lot.has_use_by_day()) json.member("use_by_day", print_day(lot.use_by_day()));
      json.member("past_use_by", lot.past_use_by()).member("on_hand_mg", lot.on_hand_mg()).end();
    }
    json.end().end();
  }
  print(json.end().end());
}

Exit stock(Client& client, const StockArgs& args) {
  const Day day = typed(client.zone().parse_day_of(args.day, client.now()));
  if (args.horizon_days == 0) throw usage("--horizon 0 is no time; give the days the stock is to last");
  const StockReply reply = stock_of(client, day, args.horizon_days);
  if (client.json()) {
    print_stock_json(reply, day, args.horizon_days);
  } else {
    print_stock(reply, day, args.horizon_days);
  }
  return Exit::kOk;
}

// ---- What comes and goes ----------------------------------------------------------------------------------

StockMovement movement_of(const StoreArgs& args, const When& when, MovementCause cause, std::int64_t change_mg) {
  StockMovement movement;
  movement.set_day(when.day);
  set_time(movement, when);
  movement.set_cause(cause);
  movement.set_change_mg(change_mg);
  if (!args.note.empty()) movement.set_note(args.note);
  return movement;
}

NewRecord& add_record(Call& call, const char* kind, const google::protobuf::MessageLite& message) {
  NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(kind_number(kind));
  record.set_fields(message.SerializeAsString());
  return record;
}

Exit tell_and_count(Client& client, Names& names, const Call& call, const RecordRef& lot) {
  const Reply reply = client.call(call);
  tell_logged(client, names, call.log(), reply.log());
  if (client.json()) return Exit::kOk;
  const std::int64_t left_mg = on_hand_mg(client, lot);
  print("on hand of " + names.name_of(lot) + " by the book: " + mass_text(left_mg) + "\n");
  if (left_mg < 0)
    print("note: more was taken than ever came in. Was it another lot? If not, `wrack count` sets the book right.\n");
  return Exit::kOk;
}

Exit receive(Client& client, const StoreArgs& args) {
  Names names(client);
  Call call = client.authored();
  const When when = client.event_time(args.at);
  const std::int64_t mass_mg = mass_typed(args.mass);
  Lot lot;
  *lot.mutable_food() = names.find("food", args.what);
  lot.set_code(args.code);
  lot.set_received_day(when.day);
  if (!args.use_by.empty()) lot.set_use_by_day(typed(parse_day(args.use_by)));
  if (!args.store.empty()) lot.set_store(args.store);
  for (const RecordView& view : client.list(kind_number("lot"), lot.food())) {
    Lot other;
    if (counts(view) && other.ParseFromString(view.fields()) && other.code() == args.code)
      confirm(client.options(), "A lot " + args.code + " of " + names.name_of(lot.food()) + " is here already (" +
                                    names.short_id(view.record()) + ", by " + names.name_of(view.author()) +
                                    "). Is this another delivery?");
  }
  add_record(call, "lot", lot);
  Link& link = *add_record(call, "stock_movement", movement_of(args, when, MOVEMENT_CAUSE_RECEIVED, mass_mg)).add_links();
  link.set_field(StockMovement::kLotFieldNumber);
  link.set_record(0);
  const Reply reply = client.call(call);
  return tell_logged(client, names, call.log(), reply.log());
}

// Takes food out of a lot that is past its use-by day only when somebody says so.
void ask_if_past(Client& client, Names& names, const RecordRef& ref, Day day) {
  Lot lot;
  lot.ParseFromString(client.get(ref).fields());
  if (lot.has_use_by_day() && lot.use_by_day() < day)
    confirm(client.options(), "Lot " + names.name_of(ref) + " is past its use-by day, " + print_day(lot.use_by_day()) +
                                  "; such food is discarded (`wrack discard`). Was it used all the same?");
}

Exit take(Client& client, const StoreArgs& args, MovementCause cause) {
  Names names(client);
  Call call = client.authored();
  const When when = client.event_time(args.at);
  const RecordRef lot = names.find("lot", args.what);
  StockMovement movement = movement_of(args, when, cause, -mass_typed(args.mass));
  *movement.mutable_lot() = lot;
  if (cause == MOVEMENT_CAUSE_USED) ask_if_past(client, names, lot, when.day);
  if (!args.reason.empty()) movement.set_note(args.reason);
  if (!args.batch.empty()) *movement.mutable_thaw_batch() = names.record(args.batch);
  add_record(call, "stock_movement", movement);
  return tell_and_count(client, names, call, lot);
}

Exit use(Client& client, const StoreArgs& args) { return take(client, args, MOVEMENT_CAUSE_USED); }
Exit discard(Client& client, const StoreArgs& args) { return take(client, args, MOVEMENT_CAUSE_DISCARDED); }

Exit count(Client& client, const StoreArgs& args) {
  Names names(client);
  Call call = client.authored();
  const RecordRef lot = names.find("lot", args.what);
  const std::int64_t counted_mg = mass_typed(args.mass);
  const std::int64_t change_mg = counted_mg - on_hand_mg(client, lot);
  StockMovement movement = movement_of(args, client.event_time(args.at), MOVEMENT_CAUSE_COUNTED, change_mg);
  *movement.mutable_lot() = lot;
  movement.set_counted_mg(static_cast<std::uint64_t>(counted_mg));
  add_record(call, "stock_movement", movement);
  const Exit exit = tell_and_count(client, names, call, lot);
  if (!client.json())
    print(change_mg == 0 ? "the book was right\n"
                         : "the book was off by " + print_quantity(Unit::kMassChangeMg, change_mg) +
                               ", as known on this device\n");
  return exit;
}

// ---- Thawing ----------------------------------------------------------------------------------------------

Exit thaw(Client& client, const StoreArgs& args) {
  Names names(client);
  Call call = client.authored();
  const When when = client.event_time(args.at);
  const RecordRef lot = names.find("lot", args.what);
  const std::int64_t mass_mg = mass_typed(args.mass);
  ask_if_past(client, names, lot, when.day);
  ThawBatch batch;
  *batch.mutable_lot() = lot;
  batch.set_day(when.day);
  set_time(batch, when);
  batch.set_mass_mg(static_cast<std::uint64_t>(mass_mg));
  if (args.method == "refrigerator") {
    batch.set_method(THAW_METHOD_REFRIGERATOR);
  } else if (args.method == "cold-water") {
    batch.set_method(THAW_METHOD_COLD_WATER);
  } else {
    throw usage("--in takes refrigerator or cold-water; food is thawed nowhere else");
  }
  if (!args.note.empty()) batch.set_note(args.note);
  add_record(call, "thaw_batch", batch);
  // It has left the freezer for good: thawed food is never frozen again.
  StockMovement movement = movement_of(args, when, MOVEMENT_CAUSE_USED, -mass_mg);
  *movement.mutable_lot() = lot;
  add_record(call, "stock_movement", movement);
  const Exit exit = tell_and_count(client, names, call, lot);
  if (!client.json() && batch.method() == THAW_METHOD_REFRIGERATOR)
    print("when it is thawed, say so with `wrack thawed`: its 24 h run from then\n");
  return exit;
}

Exit thawed(Client& client, const StoreArgs& args) {
  Names names(client);
  Call call = client.authored();
  const RecordRef ref = names.record(args.what);
  const RecordView view = client.get(ref);
  ThawBatch old, fresh;
  if (view.kind() != kind_number("thaw_batch") || !old.ParseFromString(view.fields()))
    throw usage(names.short_id(ref) + " is no thaw batch; see `wrack list thaw_batch`");
  if (old.has_thawed_ms() && args.reason.empty())
    throw refused("it is recorded as thawed since " + client.zone().print(old.thawed_ms()) +
                  "; nothing was written. To change it, say why with --reason");
  fresh.set_thawed_ms(client.event_time(args.at).happened_ms);
  EditCall& edit = *call.mutable_edit();
  *edit.mutable_record() = ref;
  edit.set_fields(fresh.SerializeAsString());
  edit.set_reason(args.reason);
  *edit.mutable_seen() = view.heads();
  return tell_edited(client, names, ref, client.write_edit(call), "thawed");
}

}  // namespace

void add_store_commands(CLI::App& app, Action& chosen) {
  auto stock_args = std::make_shared<StockArgs>();
  CLI::App* s = app.add_subcommand("stock", "What food is on hand, how long it lasts, what to order");
  s->group("Keeper");
  s->add_option("--day", stock_args->day, "today, or 2026-11-24")->capture_default_str();
  s->add_option("--horizon", stock_args->horizon_days, "Days the stock is to last")->capture_default_str();
  s->footer("On hand is what all devices booked, as far as known here. Lots past their use-by day are no stock.");
  runs(s, chosen, stock_args, stock);

  const auto command = [&](const char* name, const char* what, const char* first, const char* first_help,
                           Exit (*run)(Client&, const StoreArgs&)) {
    auto args = std::make_shared<StoreArgs>();
    CLI::App* c = app.add_subcommand(name, what);
    c->group("Keeper");
    c->add_option(first, args->what, first_help)->required();
    c->add_option("--at", args->at, "When it was, if not now");
    c->footer(kFoodCaution);
    runs(c, chosen, args, run);
    return std::pair(c, args);
  };
  const auto with_mass = [&](const auto& made, const char* help) {
    made.first->add_option("mass", made.second->mass, help)->required();
    made.first->add_option("--note", made.second->note, "Anything worth knowing");
  };
  const char* const kLot = "Code on the box, or id";

  const auto r = command("receive", "Book a delivery: a lot with its mass", "food", "Name or id", receive);
  with_mass(r, "12kg");
  r.first->add_option("--lot", r.second->code, "What stands on the box")->required();
  r.first->add_option("--use-by", r.second->use_by, "2026-11-24; leave it out only where the box has none");
  r.first->add_option("--store", r.second->store, "The freezer or shelf it goes to");

  const auto of_batch = [](const auto& made) {
    made.first->add_option("--batch", made.second->batch, "The thawed batch it is out of, by its id: it is no forgotten one then");
  };
  const auto u = command("use", "Take food from a lot", "lot", kLot, use);
  with_mass(u, "2.4kg");
  of_batch(u);

  const auto d = command("discard", "Throw food of a lot away", "lot", kLot, discard);
  with_mass(d, "2.4kg");
  d.first->add_option("--reason", d.second->reason, "Why")->required();
  of_batch(d);

  with_mass(command("count", "Say what is really there; the difference to the book is booked", "lot", kLot, count), "11.5kg");

  const auto t = command("thaw", "Take food of a lot out of the freezer to thaw", "lot", kLot, thaw);
  with_mass(t, "2.4kg");
  t.first->add_option("--in", t.second->method, "refrigerator or cold-water")->required();

  const auto found = command("thawed", "Say that a batch was found thawed; its clock runs from then", "batch", "Its id", thawed);
  found.first->add_option("--reason", found.second->reason, "Why, if it was recorded before");
}

}  // namespace wrackline::cli
