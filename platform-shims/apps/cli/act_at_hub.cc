#include "cli/act_at_hub.h"

#include "cli/commands/hub_exchange.h"
#include "cli/commands/typed_pin.h"
#include "cli/hub_access.h"
#include "cli/names.h"

namespace wrackline::cli {

ActReply AtHub::post(const RecordRef& by, ActRequest request) {
  if (pin_.empty()) pin_ = read_pin(client_.options(), "the hub writes this; the PIN of " + Names(client_).name_of(by));
  if (pin_.empty()) throw usage("no PIN was typed; nothing was written");
  *request.mutable_person() = by;
  request.set_pin(pin_);
  Hub hub(client_);
  ActReply reply;
  if (!reply.ParseFromString(hub.post("/v1/act", request.SerializeAsString())))
    throw Stop{Exit::kFailed, "the hub's answer cannot be read; it may have written what it was asked; run `wrack exchange` and look", "malformed"};
  try {
    exchange_with(client_, hub, [](const ExchangeStep&) {});
  } catch (const Stop& stop) {
    throw Stop{stop.exit, "the hub has answered, and what it wrote is there and not here yet: do not ask for it again, run `wrack exchange` (" + stop.message + ")", stop.word};
  }
  client_.refresh();
  return reply;
}

Reply AtHub::write(const Call& call) {
  ActRequest request;
  request.set_call(call.SerializeAsString());
  const ActReply reply = post(call.author(), std::move(request));
  Reply out;
  if (!out.ParseFromString(reply.reply()))
    throw Stop{Exit::kFailed, "the hub's answer cannot be read; it may have written what it was asked; run `wrack exchange` and look", "malformed"};
  return out;
}

ActReply AtHub::give_pin_code(const RecordRef& by, const RecordRef& person) {
  ActRequest request;
  *request.mutable_pin_code_for() = person;
  return post(by, std::move(request));
}

}  // namespace wrackline::cli
