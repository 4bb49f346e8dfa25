// wrack exchange: this device and its hub.
#include "cli/commands/hub_exchange.h"

#include <unistd.h>

#include <chrono>
#include <iostream>
#include <thread>
#include <utility>

#include "cli/command.h"
#include "cli/commands/following.h"

namespace wrackline::cli {
namespace {

constexpr std::chrono::milliseconds kLookEvery{500};

struct ExchangeArgs {
  bool follow = false;
  bool no_files = false;
};

Bytes news_request_of(Client& client) {
  Call call;
  call.mutable_news();
  return client.call(call).news().request();
}

// Exchanges whenever the hub or this device has something new, until it is interrupted; at any point that is safe.
Exit follow(Client& client, Hub& hub, bool with_files) {
  Following news(client);
  news.ask(news_request_of(client));
  // A change that the hub does not take stays unsent, and is no reason to ask it again and again.
  std::uint32_t unsent = client.status().unsent();
  bool is_away = false;
  for (;;) {
    const bool has_news = news.has_news(kLookEvery);
    client.refresh();
    if (!has_news && !is_away && client.status().unsent() == unsent) continue;
    try {
      const ExchangeStep step = exchange_with(client, hub, [](const ExchangeStep&) {});
      is_away = false;
      client.refresh();
      unsent = client.status().unsent();
      if (step.sent() + step.received() > 0)
        tell_exchanged(client, step, hub.address(), with_files ? send_files(client, hub) : FilesSent());
    } catch (const Stop& stop) {
      if (stop.exit != Exit::kNetwork) throw;
      if (!std::exchange(is_away, true)) std::cerr << "wrack: " << stop.message << "; trying again\n";
      std::this_thread::sleep_for(std::chrono::seconds(2));
    }
    news.ask(news_request_of(client));
  }
}

Exit exchange(Client& client, const ExchangeArgs& args) {
  Hub hub(client);
  const ExchangeStep step = exchange_with(client, hub, show_progress);
  if (isatty(STDERR_FILENO)) std::cerr << "\r\x1b[K";
  const Exit told = tell_exchanged(client, step, hub.address(), args.no_files ? FilesSent() : send_files(client, hub));
  return args.follow ? follow(client, hub, !args.no_files) : told;
}

}  // namespace

void show_progress(const ExchangeStep& step) {
  if (isatty(STDERR_FILENO))
    std::cerr << "\rexchanging: " << step.sent() << " sent, " << step.received() << " received  "
              << std::flush;
}

Exit tell_exchanged(Client& client, const ExchangeStep& step, const std::string& address, const FilesSent& files) {
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
    json.end().key("files").object().member("sent", files.sent).member("bytes", files.bytes).member("left", files.left);
    json.member("why_left", files.why).end();
    json.member("review_urgent", status.review_urgent()).member("review_other", status.review_other());
    print(json.end());
  } else {
    print("exchanged with " + address + ": " + std::to_string(step.sent()) + " sent, " +
          std::to_string(step.received()) + " received\n");
    for (const Refusal& r : step.refusals())
      print(r.log() == 0 ? "  " + r.message() + "\n" : "  not taken in: log " + to_text(LogId{r.log()}).substr(0, 8) + " at " + std::to_string(r.seq()) +
            ": " + r.message() + "\n");
    tell_files(files);
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
  auto args = std::make_shared<ExchangeArgs>();
  x->add_flag("--follow", args->follow, "Stay, and exchange at once when the hub or this device has something new");
  x->add_flag("--no-files", args->no_files, "Records alone; attached files are left for another time");
  x->group("Records officer");
  runs(x, chosen, args, exchange);
}

}  // namespace wrackline::cli
