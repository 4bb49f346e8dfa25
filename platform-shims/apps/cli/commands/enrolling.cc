// wrack enrol, rekey, repin: how a device and its hub come to know each other's keys, and others in their
// place.
#include <filesystem>
#include <iostream>

#include "cli/command.h"
#include "cli/commands/hub_exchange.h"
#include "hosts/device_requests.h"
#include "hosts/enrolment_link.h"
#include "hosts/file_fence.h"
#include "hosts/key_change.h"

namespace wrackline::cli {
namespace {

struct EnrolArgs {
  std::string link, hub, certificate, code, name;
};

struct RekeyArgs {};

struct RepinArgs {
  std::string link, hub_key;
};

// A hub as a link or an admin's file makes it known, before this device keeps anything of it.
struct NewHub {
  std::unique_ptr<HubClient> http;
  std::string code;
};

NewHub hub_of_link(const std::string& text) {
  const EnrolmentLink link = typed(parse_enrolment_link(text));
  HubClient::Options options;
  options.hub = link.hub;
  options.fingerprint = link.fingerprint;
  options.wall_clock = wall_clock_now;
  return {take(HubClient::create(options)), link.code};
}

NewHub hub_of_file(const EnrolArgs& args) {
  if (args.hub.empty() || args.certificate.empty() || args.code.empty())
    throw usage("give --link, as the admin's screen shows it, or --hub, --cert and --code");
  HubClient::Options options;
  options.hub = typed(parse_hub_address(args.hub));
  options.certificate_path = args.certificate;
  options.wall_clock = wall_clock_now;
  return {take(HubClient::create(options)), args.code};
}

// The certificate that was trusted is kept: the file as it was given, or the one certificate that the link
// named.
void keep_hub(const StateDir& dir, const HubClient& http) {
  const std::string& file = http.options().certificate_path;
  write_file(dir.hub_certificate(),
             file.empty() ? http.certificate() : read_file(file, "the hub's certificate"),
             "the hub's certificate");
  write_file(dir.hub_address(), to_text(http.options().hub) + "\n", "the hub's address");
}

Exit exchange_now(Client& client) {
  Hub connected(client);
  const ExchangeStep step = exchange_with(client, connected, show_progress);
  return tell_exchanged(client, step, connected.address());
}

// Enrolling makes things in an order that can be taken up again: the key first, then the hub's word, then the
// database. A lost answer is asked for again with the same code and key (hub_requests.h).
Exit enrol_device(const Options& options, const EnrolArgs& args) {
  const StateDir& dir = options.dir;
  if (std::filesystem::exists(dir.records()))
    throw refused(dir.path +
                  " already holds an enrolled device's records; nothing was changed. Use another --dir");
  NewHub hub = args.link.empty() ? hub_of_file(args) : hub_of_link(args.link);
  std::error_code error;
  std::filesystem::create_directories(dir.path, error);
  if (error)
    throw Stop{Exit::kStorage, "cannot make the directory " + dir.path + ": " + error.message(), "storage"};
  std::filesystem::permissions(dir.path, std::filesystem::perms::owner_all, error);

  auto keystore = take(std::filesystem::exists(dir.key()) ? FileKeystore::open(dir.key())
                                                          : FileKeystore::create(dir.key()));
  const Enrolment enrolment = take(enrol(*hub.http, hub.code, *keystore, args.name));
  keep_hub(dir, *hub.http);
  const auto fence = FileFence::beside(dir.records());
  take(Core::create({dir.records(), keystore.get(), wall_clock_now, fence.get()},
                    {enrolment.facility, enrolment.hub_key, args.name}));
  hub.http.reset();
  keystore.reset();

  Client client(options);
  if (!client.json()) print("enrolled as \"" + args.name + "\" at " + enrolment.facility_name + "\n");
  return exchange_now(client);
}

// True when the hub knows this device by `key`: the answer to an earlier request was lost then.
bool is_enrolled(Client& client, Keystore& key) {
  auto http = take(HubClient::create(hub_options(client.options().dir)));
  const auto session = open_session(*http, client.membership().facility, key);
  if (!session && session.error().code != ErrorCode::kUnknownDevice) throw stop_of(session.error());
  return session.has_value();
}

void send_all_or_stop(Client& client, Hub& hub) {
  const ExchangeStep step = exchange_with(client, hub, show_progress);
  client.refresh();
  if (step.refusals_size() == 0 && client.status().unsent() == 0) return;
  const std::string why = step.refusals_size() > 0 ? " (" + step.refusals(0).message() + ")" : "";
  throw refused("this device's key was not changed, since " + std::to_string(client.status().unsent()) +
                " of its changes have not reached the hub, which would hold them as a revoked device's" +
                why + ". Run `wrack exchange` until nothing is unsent, then this again");
}

// A crash between any two steps leaves a device that starts; run again, this goes on where it was
// (key_change.h).
Exit rekey(Client& client, const RekeyArgs&) {
  const std::string path = client.options().dir.key();
  std::unique_ptr<FileKeystore> next;
  bool is_told = false;
  if (std::filesystem::exists(next_key_path(path))) {
    next = take(begin_key_change(path));
    is_told = is_enrolled(client, *next);
  }
  if (!is_told) {
    Hub hub(client);
    send_all_or_stop(client, hub);
    if (!next) next = take(begin_key_change(path));
    hub.replace_key(*next);
  }
  client.change_key(std::move(next));
  take(end_key_change(path));
  if (!client.json()) print("this device has another key; what the old one sealed stays good\n");
  return exchange_now(client);
}

PublicKey typed_key(const std::string& digits) {
  PublicKey key{};
  bool is_key = digits.size() == 2 * key.size();
  for (std::size_t i = 0; is_key && i < digits.size(); ++i) {
    const char c = digits[i];
    const int value = c >= '0' && c <= '9'   ? c - '0'
                      : c >= 'a' && c <= 'f' ? c - 'a' + 10
                      : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                             : -1;
    is_key = value >= 0;
    key[i / 2] = static_cast<unsigned char>(key[i / 2] << 4 | (value & 15));
  }
  if (!is_key)
    throw usage(
        "\"" + digits +
        "\" is no hub's key: it has 64 hexadecimal digits, as `wrackline-server devices` prints them");
  return key;
}

Exit repin(Client& client, const RepinArgs& args) {
  if (args.link.empty() == args.hub_key.empty())
    throw usage("give --hub-key, as an admin reads it from the hub, or --link");
  PublicKey key{};
  std::unique_ptr<HubClient> http;
  if (args.link.empty()) {
    key = typed_key(args.hub_key);
  } else {
    NewHub hub = hub_of_link(args.link);
    const Enrolment enrolment =
        take(enrol(*hub.http, hub.code, client.keystore(), client.membership().device_name));
    if (enrolment.facility != client.membership().facility)
      throw refused("that is another facility's hub; nothing was changed");
    key = enrolment.hub_key;
    http = std::move(hub.http);
  }
  const bool is_known = client.is_hub_key(key);
  const std::string hex = to_hex(view(key));
  if (!is_known)
    confirm(client.options(),
            "The hub's key pinned here is " + to_hex(view(client.membership().hub_key)) +
                ". From here on it is to be " + hex +
                ". Compare it with what the hub's admin reads out; whoever has this key decides which "
                "devices count.");
  if (http) keep_hub(client.options().dir, *http);
  if (!is_known) client.repin(key);
  if (!client.json())
    print(is_known ? "the hub's key was known here already; nothing about it was changed\n"
                   : "the hub's key is now " + hex + "; all records stay as they are\n");
  return exchange_now(client);
}

}  // namespace

void add_enrolling_commands(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<EnrolArgs>();
  CLI::App* e =
      app.add_subcommand("enrol", "Make this directory an enrolled device, with an admin's one-time code");
  e->group("Admin");
  e->add_option("--link", args->link,
                "All of the following in one line, as `wrackline-server code --link` prints it");
  e->add_option("--hub", args->hub, "The hub's host:port");
  e->add_option("--cert", args->certificate, "The hub's certificate (PEM), from the admin");
  e->add_option("--code", args->code, "The one-time code");
  e->add_option("--device", args->name, "What this device is to be called")->required();
  e->callback(
      [&chosen, args] { chosen = [args](const Options& options) { return enrol_device(options, *args); }; });

  CLI::App* k = app.add_subcommand(
      "rekey", "Give this device another key, when the old one may have been read, or every so often");
  k->group("Admin");
  runs(k, chosen, std::make_shared<RekeyArgs>(), rekey);

  auto pin = std::make_shared<RepinArgs>();
  CLI::App* p = app.add_subcommand(
      "repin", "Trust another key of the hub, when its old one was lost or is known to others; records stay");
  p->group("Admin");
  p->add_option("--hub-key", pin->hub_key,
                "64 digits, as an admin reads them from `wrackline-server devices`");
  p->add_option("--link", pin->link,
                "A new link (`wrackline-server code --link`): address and certificate too");
  runs(p, chosen, pin, repin);
}

}  // namespace wrackline::cli
