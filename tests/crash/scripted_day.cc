#include "scripted_day.h"

#include <filesystem>
#include <fstream>
#include <iterator>

#include "support/shift.h"
#include "support/sound.h"
#include "sync/exchange.h"

namespace wrackline {
namespace {

std::string file_content(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

void put_file(const std::string& path, const std::string& content) {
  for (const char* beside : {"-wal", "-shm", "-journal"}) {
    std::error_code ignored;
    std::filesystem::remove(path + beside, ignored);
  }
  std::ofstream(path, std::ios::binary | std::ios::trunc) << content;
}

Unexpected failure_of(const proto::Reply& reply) {
  return fail(static_cast<ErrorCode>(reply.failure().code()), reply.failure().message());
}

// Whatever is missing of `expected` at the device.
std::string find_missing(Device& device, const ScriptedDay::Heads& expected) {
  for (const auto& [log, seq] : expected) {
    const LogEntry* held = device.replica->store().logs().find(log);
    const Seq head = held != nullptr ? held->head.seq : 0;
    if (head < seq)
      return device.name + " acknowledged log " + to_text(log) + " up to " + std::to_string(seq) + " and holds it up to " + std::to_string(head);
  }
  return {};
}

}  // namespace

ScriptedDay::ScriptedDay(const std::string& parent)
    : facility_(42, LogIds::kRandom, parent), tablet_(facility_.add_device("north tablet")) {
  tablet_.fence = &fence_;
  Device& colleague = facility_.add_device("south tablet");
  facility_.exchange_all();
  Shift shift(tablet_, facility_.keeper());
  proto::Animal animal;
  animal.set_name("Nereid");
  animal_ = shift.log(Kind::kAnimal, animal);
  proto::Area yard;
  yard.set_name("yard");
  shift.log(Kind::kArea, yard);
  food_ = shift.food("herring");
  order_ = shift.order(animal_);
  portion_ = shift.meal(animal_, food_, 480, 1'000'000).second;
  spare_ = shift.meal(animal_, food_, 481, 1'000'000).first;
  facility_.exchange_all();
  // A colleague's entries from out of reach come by bundle.
  Shift elsewhere(colleague, facility_.keeper());
  for (std::uint32_t slot = 600; slot < 620; ++slot) elsewhere.meal(animal_, food_, slot, 500'000);
  must(elsewhere.try_left(portion_, 20'000, "weighed at the other pool"));
  must(colleague.replica->author().seal());
  bundle_ = must(colleague.replica->export_bundle({})).bytes;
  colleague_ = colleague.replica->author().log(LogClass::kBulk);
  colleague_head_ = colleague.replica->store().logs().find(colleague_)->head.seq;
  close_all();
  colleague.replica.reset();
  morning_tablet_ = file_content(tablet_.path);
  morning_hub_ = file_content(facility_.hub().path);

  steps_ = {
      [this] { return open_both(); },
      [this] { return log_meal(700); },
      [this]() -> Status {
        proto::Portion fields;
        fields.set_left_mg(100'000);
        Edit edit;
        edit.record = portion_;
        edit.fields = fields.SerializeAsString();
        edit.reason = "weighed";
        WRACKLINE_TRY(tablet_.replica->author().edit(facility_.keeper(), edit));
        note();
        return Status{};
      },
      [this] { return tablet_.replica->author().seal(); },
      [this] { return exchange(); },
      [this] { return import(); },
      [this] {
        proto::Call strike;
        *strike.mutable_strike()->mutable_record() = ref_of(spare_);
        strike.mutable_strike()->set_reason("written twice");
        return must_confirm(strike);
      },
      [this] {
        proto::Call close;
        close.mutable_day_close()->set_area("yard");
        close.mutable_day_close()->set_day(static_cast<std::int32_t>(*tablet_.clock / 86'400'000));
        proto::ZoneOffset& offset = *close.mutable_day_close()->add_zone();
        offset.set_from_ms(0);
        offset.set_utc_offset_min(0);
        return must_confirm(close);
      },
      [this] {  // kFirstClose
        close_all();
        return open_both();
      },
      [this] { return log_meal(710); },
      [this] { return exchange(); },
      [this] { return log_meal(720); },
      [this] { return tablet_.replica->author().seal(); },
      [this] { return log_meal(730); },
      [this] { return log_meal(740); },
      [this] { return exchange(); },
      [this] {
        close_all();
        return Status{};
      },
  };
}

void ScriptedDay::close_all() {
  tablet_.replica.reset();
  facility_.hub().replica.reset();
}

void ScriptedDay::begin() {
  close_all();
  put_file(tablet_.path, morning_tablet_);
  put_file(facility_.hub().path, morning_hub_);
  fence_.forget();
  acknowledged_ = {};
  before_ = {};
  failed_ = 0;
}

Status ScriptedDay::open_both() {
  if (!tablet_.replica) WRACKLINE_TRY(tablet_.try_reopen());
  if (!facility_.hub().replica) WRACKLINE_TRY(facility_.hub().try_reopen());
  return {};
}

void ScriptedDay::run(const std::function<bool(std::size_t)>& is_over) {
  for (std::size_t i = 0; i < steps_.size(); ++i) {
    before_ = acknowledged_;
    // Who was refused by a database tries again with the next thing.
    Status done = i + 1 < steps_.size() ? open_both() : Status{};
    if (done) done = steps_[i]();
    if (!done) ++failed_;
    if (is_over(i)) return;
  }
}

Result<proto::Reply> ScriptedDay::ask(Device& device, proto::Call call) {
  *call.mutable_author() = ref_of(facility_.keeper());
  proto::Reply reply;
  if (!reply.ParseFromString(dispatch(*device.replica, call.SerializeAsString())))
    return fail(ErrorCode::kInternal, "the reply to a call cannot be read");
  return reply;
}

Status ScriptedDay::must_confirm(proto::Call call) {
  WRACKLINE_TRY_VALUE(first, ask(tablet_, call));
  if (!first.has_failure()) {
    note();
    return {};
  }
  if (first.failure().questions().empty()) return failure_of(first);
  *call.mutable_confirmed()->mutable_questions() = first.failure().questions();
  call.mutable_confirmed()->set_because("seen to");
  WRACKLINE_TRY_VALUE(second, ask(tablet_, call));
  if (second.has_failure()) return failure_of(second);
  note();
  return {};
}

// The own logs as the call that has just succeeded left them.
void ScriptedDay::note() {
  for (const auto& [id, log] : tablet_.replica->store().logs().all()) {
    if (tablet_.replica->author().goes_on_in(id)) acknowledged_.at_tablet[id] = log.head.seq;
  }
}

Status ScriptedDay::log_meal(std::uint32_t slot_min) {
  *tablet_.clock += 1000;
  proto::Meal meal;
  *meal.mutable_animal() = ref_of(animal_);
  meal.set_day(static_cast<Day>(*tablet_.clock / 86'400'000));
  meal.set_slot_min(slot_min);
  meal.set_happened_ms(*tablet_.clock);
  meal.set_utc_offset_min(0);
  proto::Call call;
  proto::NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(static_cast<std::uint32_t>(Kind::kMeal));
  record.set_fields(meal.SerializeAsString());
  return must_confirm(call);
}

Status ScriptedDay::exchange() {
  Bytes reply;
  for (int round = 0; round < 100; ++round) {
    WRACKLINE_TRY_VALUE(request, tablet_.replica->exchange(reply));
    // Arrivals are the hub's word that it holds what they tell of.
    Store& store = tablet_.replica->store();
    for (const auto& [id, log] : store.logs().all()) {
      WRACKLINE_TRY_VALUE(told, store.records().arrivals().told_of(log, tablet_.replica->devices().hub()));
      if (told != 0) acknowledged_.at_hub[id] = told;
    }
    if (request.empty()) return {};
    WRACKLINE_TRY_VALUE(answer, facility_.hub().replica->answer_exchange(request, tablet_.keystore->public_key()));
    reply = answer;
  }
  return fail(ErrorCode::kInternal, "an exchange did not end");
}

Status ScriptedDay::import() {
  proto::Call call;
  call.mutable_bundle_import()->set_bundle(bundle_);
  WRACKLINE_TRY_VALUE(reply, ask(tablet_, call));
  if (reply.has_failure()) return failure_of(reply);
  acknowledged_.at_tablet[colleague_] = colleague_head_;
  return {};
}

std::string ScriptedDay::check(Device& device, const Heads& expected) {
  if (const std::string missing = find_missing(device, expected); !missing.empty()) return missing;
  if (const std::string unsound = find_unsound(*device.replica); !unsound.empty()) return device.name + ": " + unsound;
  return {};
}

std::string ScriptedDay::find_trouble(const Acknowledged& expected) {
  close_all();
  if (const Status opened = open_both(); !opened) return "a database does not open: " + opened.error().message;
  if (const std::string trouble = check(tablet_, expected.at_tablet); !trouble.empty()) return trouble;
  if (const std::string trouble = check(facility_.hub(), expected.at_hub); !trouble.empty()) return trouble;
  if (const Status logged = log_meal(720); !logged) return "no entry can be made any more: " + logged.error().message;
  if (const Status brought = import(); !brought) return "the bundle cannot be taken in any more: " + brought.error().message;
  for (int i = 0; i < 2; ++i) {
    if (const Status done = exchange(); !done) return "there is no exchange any more: " + done.error().message;
    for (const RefusedLog& refused : tablet_.replica->last_exchange()->refused()) {
      // A hub whose disk lost what it said was safe finds itself put back, and says so; that is about no log of the tablet.
      const bool tells_that_it_was_put_back = refused.log == LogId() && refused.error.code == ErrorCode::kFork;
      if (!tells_that_it_was_put_back) return "an exchange was refused: " + refused.error.message;
    }
  }
  if (state_of(tablet_) != state_of(facility_.hub())) return "tablet and hub do not hold the same after an exchange";
  if (const std::string missing = find_missing(tablet_, expected.at_tablet); !missing.empty()) return "after the exchange " + missing;
  return find_missing(facility_.hub(), expected.at_tablet);
}

}  // namespace wrackline
