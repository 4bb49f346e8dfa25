// wrack exchange: this device and its hub.
#include "exchange.h"

#include <unistd.h>

#include <iostream>

#include "command.h"

namespace wrackline::cli {
namespace {

struct ExchangeArgs {};

Exit exchange(Client& client, const ExchangeArgs&) {
  Hub hub(client);
  const ExchangeStep step = exchange_with(client, hub, show_progress);
  if (isatty(STDERR_FILENO)) std::cerr << "\r\x1b[K";
  return tell_exchanged(client, step, hub.address());
}

}  // namespace

void show_progress(const ExchangeStep& step) {
  if (isatty(STDERR_FILENO))
    std::cerr << "\rexchanging: " << step.sent() << " sent, " << step.received() << " received  "
              << std::flush;
}

Exit tell_exchanged(Client& client, const ExchangeStep& step, const std::string& address) {
  client.refresh();
  const StatusReply& status = client.status();
  if (client.json()) {
    Json json;
    json.object().member("hub", address).member("sent", step.sent()).member("received", step.received());
    json.member("unsent", status.unsent()).member("hub_clock_offset_ms", status.clock_offset_ms());
    json.key("refusals").array();
    for (const Refusal& r : step.refusals())
      json.object()
          .member("log", to_text(LogId{r.log()}))
          .member("seq", r.seq())
          .member("code", r.code())
          .member("message", r.message())
          .end();
    json.end().member("review_urgent", status.review_urgent()).member("review_other", status.review_other());
    print(json.end());
  } else {
    print("exchanged with " + address + ": " + std::to_string(step.sent()) + " sent, " +
          std::to_string(step.received()) + " received\n");
    for (const Refusal& r : step.refusals())
      print(r.log() == 0 ? "  " + r.message() + "\n" : "  not taken in: log " + to_text(LogId{r.log()}).substr(0, 8) + " at " + std::to_string(r.seq()) +
            ": " + r.message() + "\n");
    if (status.review_urgent() + status.review_other() > 0)
      print("review: " + std::to_string(status.review_urgent()) + " urgent, " +
            std::to_string(status.review_other()) + " other (`wrack review`)\n");
  }
  return step.refusals_size() > 0 ? Exit::kFailed : Exit::kOk;
}

ExchangeStep exchange_with(Client& client, Hub& hub,
                           const std::function<void(const ExchangeStep&)>& progress) {
  Call call;
  call.mutable_exchange();
  ExchangeStep step = client.call(call).exchange();
  while (!step.done()) {
    call.mutable_exchange()->set_reply(hub.post("/v1/exchange", step.request()));
    step = client.call(call).exchange();
    progress(step);
  }
  return step;
}

void add_exchange_command(CLI::App& app, Action& chosen) {
  CLI::App* x = app.add_subcommand(
      "exchange", "Bring this device and the hub to the same records; may be cut off at any point");
  x->group("Records officer");
  runs(x, chosen, std::make_shared<ExchangeArgs>(), exchange);
}

}  // namespace wrackline::cli
