// wrack exchange, wrack enrol: this device and its hub.
#include "exchange.h"

#include <unistd.h>

#include <filesystem>
#include <iostream>

#include "command.h"
#include "file_fence.h"
#include "file_keystore.h"
#include "hub_requests.h"

namespace wrackline::cli {
namespace {

struct ExchangeArgs {};

struct EnrolArgs {
  std::string hub, certificate, code, name;
};

// On a terminal one line that renews itself; in a log nothing but the end.
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
      print("  not taken in: log " + to_text(LogId{r.log()}).substr(0, 8) + " at " + std::to_string(r.seq()) +
            ": " + r.message() + "\n");
    if (status.review_urgent() + status.review_other() > 0)
      print("review: " + std::to_string(status.review_urgent()) + " urgent, " +
            std::to_string(status.review_other()) + " other (`wrack review`)\n");
  }
  return step.refusals_size() > 0 ? Exit::kFailed : Exit::kOk;
}

Exit exchange(Client& client, const ExchangeArgs&) {
  Hub hub(client);
  const ExchangeStep step = exchange_with(client, hub, show_progress);
  if (isatty(STDERR_FILENO)) std::cerr << "\r\x1b[K";
  return tell_exchanged(client, step, hub.address());
}

// Enrolling makes things in an order that can be taken up again: the key first, then the hub's word, then the
// database. A lost answer is asked for again with the same code and key (hub_requests.h).
Exit enrol_device(const Options& options, const EnrolArgs& args) {
  const StateDir& dir = options.dir;
  if (std::filesystem::exists(dir.records()))
    throw refused(dir.path +
                  " already holds an enrolled device's records; nothing was changed. Use another --dir");
  std::error_code error;
  std::filesystem::create_directories(dir.path, error);
  if (error)
    throw Stop{Exit::kStorage, "cannot make the directory " + dir.path + ": " + error.message(), "storage"};
  std::filesystem::permissions(dir.path, std::filesystem::perms::owner_all, error);

  HubClient::Options hub;
  hub.hub = typed(parse_hub_address(args.hub));
  hub.certificate_path = args.certificate;
  auto http = take(HubClient::create(hub));
  auto keystore = take(std::filesystem::exists(dir.key()) ? FileKeystore::open(dir.key())
                                                          : FileKeystore::create(dir.key()));
  const Enrolment enrolment = take(enrol(*http, args.code, *keystore, args.name));
  write_file(dir.hub_certificate(), read_file(args.certificate, "the hub's certificate"),
             "the hub's certificate");
  write_file(dir.hub_address(), to_text(hub.hub) + "\n", "the hub's address");
  const auto fence = FileFence::beside(dir.records());
  take(Core::create({dir.records(), keystore.get(), wall_clock_now, {}, fence.get()},
                    {enrolment.facility, enrolment.hub_key, args.name, enrolment.pin_key}));
  http.reset();
  keystore.reset();

  Client client(options);
  if (!client.json()) print("enrolled as \"" + args.name + "\" at " + enrolment.facility_name + "\n");
  Hub connected(client);
  return tell_exchanged(client, exchange_with(client, connected, show_progress), connected.address());
}

}  // namespace

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

void add_exchange_commands(CLI::App& app, Action& chosen) {
  CLI::App* x = app.add_subcommand(
      "exchange", "Bring this device and the hub to the same records; may be cut off at any point");
  x->group("Records officer");
  runs(x, chosen, std::make_shared<ExchangeArgs>(), exchange);

  auto args = std::make_shared<EnrolArgs>();
  CLI::App* e =
      app.add_subcommand("enrol", "Make this directory an enrolled device, with an admin's one-time code");
  e->group("Admin");
  e->add_option("--hub", args->hub, "The hub's host:port")->required();
  e->add_option("--cert", args->certificate, "The hub's certificate (PEM), from the admin")->required();
  e->add_option("--code", args->code, "The one-time code")->required();
  e->add_option("--device", args->name, "What this device is to be called")->required();
  e->callback(
      [&chosen, args] { chosen = [args](const Options& options) { return enrol_device(options, *args); }; });
}

}  // namespace wrackline::cli
