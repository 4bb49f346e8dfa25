#include "serve.h"

#include <sys/resource.h>

#include <algorithm>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <chrono>
#include <csignal>

#include "app_pin.h"
#include "connection_table.h"
#include "desk.h"
#include "file_lock.h"
#include "hex_groups.h"
#include "hosts/private_file.h"
#include "hosts/system_clock.h"
#include "hub.h"
#include "hub_records.h"
#include "listener.h"
#include "log.h"
#include "log_watch.h"
#include "news.h"
#include "postgres_log.h"
#include "replica/author.h"
#include "replica/replica.h"

namespace wrackline {
namespace {

namespace net = boost::asio;

constexpr auto kAwait = net::as_tuple(net::use_awaitable);
constexpr std::chrono::seconds kUpkeepEvery{5};
constexpr WallMs kWarnBeforeExpiryMs = 30 * kDayMs;

void log_certificate(Log& log, const CertificateFacts& facts, WallMs now) {
  if (facts.expires_ms <= now) {
    log.error("certificate_expired")
        .with("expired", utc_text(facts.expires_ms))
        .with("do", "renew it, see the README; devices refuse to connect");
  } else if (facts.expires_ms - now < kWarnBeforeExpiryMs) {
    log.warn("certificate_expires_soon").with("expires", utc_text(facts.expires_ms));
  }
}

// The hub looks after these while it serves: a renewed certificate, and what it notes about devices.
class Upkeep {
 public:
  Upkeep(net::io_context& io, CurrentTls& tls, Hub& hub, Desk& desk, News& news, Log& log)
      : tls_(tls), hub_(hub), desk_(desk), news_(news), log_(log), hangup_(io, SIGHUP), timer_(io) {}

  net::awaitable<void> on_hangup() {
    for (;;) {
      auto [error, signal] = co_await hangup_.async_wait(kAwait);
      static_cast<void>(signal);
      if (error) co_return;
      look_at_certificate(true);
    }
  }

  net::awaitable<void> now_and_then() {
    // It may be at the desk when it is told to stop; nothing of it waits then that could be cancelled.
    while (!stopping_) {
      timer_.expires_after(kUpkeepEvery);
      auto [error] = co_await timer_.async_wait(kAwait);
      if (error) co_return;
      look_at_certificate(false);
      const std::function<void()> work = [this] {
        hub_.write_contacts(false);
        hub_.look_at_health();
        news_.look();  // A command beside this process may have written something.
      };
      co_await desk_.run(work);
    }
  }

  void stop() {
    stopping_ = true;
    boost::system::error_code ignored;
    hangup_.cancel(ignored);
    timer_.cancel();
  }

 private:
  void look_at_certificate(bool even_if_same) {
    const auto looked = tls_.look(even_if_same);
    if (!looked) {
      log_.error("certificate_not_taken")
          .with("code", error_word(looked.error().code))
          .with("message", looked.error().message);
    } else if (*looked) {
      const CertificateFacts& facts = tls_.now()->certificate;
      log_.info("certificate_taken")
          .with("fingerprint", facts.fingerprint)
          .with("expires", utc_text(facts.expires_ms));
      log_certificate(log_, facts, wall_clock_ms());
    }
  }

  CurrentTls& tls_;
  Hub& hub_;
  Desk& desk_;
  News& news_;
  Log& log_;
  net::signal_set hangup_;
  net::steady_timer timer_;
  bool stopping_ = false;
};

// Each connection is a file; the soft limit of many systems (1024) is below what may be asked for.
Status raise_file_limit(std::size_t connections) {
  constexpr rlim_t kOthers = 64;  // The database, the log, files on their way.
  const rlim_t wanted = static_cast<rlim_t>(connections) + kOthers;
  rlimit limit{};
  if (::getrlimit(RLIMIT_NOFILE, &limit) != 0 || limit.rlim_cur >= wanted) return {};
  limit.rlim_cur = std::min(wanted, limit.rlim_max);
  if (limit.rlim_cur == wanted && ::setrlimit(RLIMIT_NOFILE, &limit) == 0) return {};
  return fail(ErrorCode::kInvalid, "serving: this system lets a process open only " +
                                       std::to_string(limit.rlim_max) + " files, too few for " +
                                       std::to_string(connections) + " connections; ask for fewer");
}

// For whoever opens the hub's address while its app is refused. Why it is stands in the log, and is for its admin.
constexpr const char* kNoApp =
    "<!doctype html><html lang=\"en\"><meta name=\"viewport\" content=\"width=device-width\"><title>No app here</title>"
    "<p>This hub serves no app now; its log says why. Tablets that have the app go on with it, and exchange with this hub as ever.\n";

// The app's files, when it is what the admin's pinned key signed. One that is not is left out and said: records go on, since no
// keeper may be held up by a page.
AppFiles app_to_serve(const ServeOptions& options, Log& log) {
  if (options.app.empty()) return {};
  auto release = open_pinned_app(options.directory, options.app);
  const Status noted = release ? note_served(options.directory, *release) : fail(release.error());
  if (!noted) {
    log.error("app_refused").with("message", noted.error().message).with("did", "serves records, and no app");
    AppFiles none;
    none.add("/index.html", kNoApp);
    return none;
  }
  log.info("app").with("version", release->manifest.version).with("released", release->manifest.released).with("manifest", in_groups(view(release->hash)));
  return std::move(release->files);
}

// Stops politely at the first signal, at once at the second or when time is up.
class Stopper {
 public:
  Stopper(net::io_context& io, Desk& desk, Listener& listener, ConnectionTable& table, Upkeep& upkeep, LogWatch* watch, Log& log,
          std::chrono::seconds patience)
      : io_(io),
        desk_(desk),
        listener_(listener),
        table_(table),
        upkeep_(upkeep),
        watch_(watch),
        log_(log),
        patience_(patience),
        signals_(io, SIGTERM, SIGINT),
        timer_(io) {
    table_.on_empty([this] { finish_if_done(); });
  }

  net::awaitable<void> run() {
    auto [error, signal] = co_await signals_.async_wait(kAwait);
    if (error) co_return;
    log_.info("stopping").with("signal", std::uint64_t(signal)).with("open", std::uint64_t{table_.open()});
    stopping_ = true;
    listener_.stop();
    upkeep_.stop();
    if (watch_ != nullptr) net::post(desk_.io(), [this] { watch_->stop(); });
    table_.stop_all();
    if (table_.open() == 0) co_return;  // Nothing is left to wait for.
    net::co_spawn(io_, cut_off_later(), net::detached);
    auto [second_error, second_signal] = co_await signals_.async_wait(kAwait);
    static_cast<void>(second_signal);
    if (!second_error) cut_off("second signal");
  }

 private:
  net::awaitable<void> cut_off_later() {
    timer_.expires_after(patience_);
    auto [error] = co_await timer_.async_wait(kAwait);
    if (!error) cut_off("time is up");
  }

  void cut_off(const char* why) {
    log_.warn("cut_off").with("why", why).with("open", std::uint64_t{table_.open()});
    io_.stop();
  }

  void finish_if_done() {
    if (!stopping_ || table_.open() > 0) return;
    timer_.cancel();
    boost::system::error_code ignored;
    signals_.cancel(ignored);
  }

  net::io_context& io_;
  Desk& desk_;
  Listener& listener_;
  ConnectionTable& table_;
  Upkeep& upkeep_;
  LogWatch* watch_;  // Null where the hub is alone.
  Log& log_;
  std::chrono::seconds patience_;
  net::signal_set signals_;
  net::steady_timer timer_;
  bool stopping_ = false;
};

}  // namespace

Status serve(const ServeOptions& options) {
  std::signal(SIGPIPE, SIG_IGN);  // A closed log pipe must not end the hub.
  auto lock = FileLock::take(options.directory.serve_lock(), FileLock::Wait::kNo);
  if (!lock && lock.error().code == ErrorCode::kBusy)
    return fail(ErrorCode::kBusy,
                "serving " + options.directory.path + ": another process serves it already");
  if (!lock) return fail(lock.error());
  WRACKLINE_TRY(raise_file_limit(options.limits.connections_max));
  WRACKLINE_TRY_VALUE(tls, CurrentTls::open(options.directory, options.tls));
  WRACKLINE_TRY_VALUE(opened, HubRecords::open(options.directory, "serving"));
  const std::unique_ptr<Replica>& replica = opened.replica;
  if (!replica->is_hub())
    return fail(ErrorCode::kInvalid, "serving " + options.directory.path +
                                         ": these are a device's records, not a hub's; "
                                         "make a hub's directory with `wrackline-server init`");
  const bool was_put_back = replica->author().was_put_back();
  std::unique_ptr<PostgresLog> shared_log;
  if (!options.log.empty()) {
    WRACKLINE_TRY_VALUE(reached, PostgresLog::open(options.log, replica->membership().facility));
    shared_log = std::move(reached);
    replica->follow(*shared_log);
    WRACKLINE_TRY(replica->catch_up());
    if (!replica->is_hub())
      return fail(ErrorCode::kKeystore, "serving " + options.directory.path +
                                            ": the hub goes on under another key, which this directory does not have; make it anew "
                                            "from a backup with the new key");
  }
  WRACKLINE_TRY_VALUE(facility_name, facility_name_of(*replica));
  const PublicKey hub_key = opened.keystore->public_key();
  Log log(Log::to_stderr(), wall_clock_ms);
  AppFiles app = app_to_serve(options, log);
  // For a tablet that is in no facility yet: it has nothing else to compare the hub's key by.
  app.add("/hub-key.txt", in_groups(view(hub_key)) + '\n');
  if (was_put_back) log.warn("records_put_back").with("did", "goes on in new logs");
  Metrics metrics;
  ConnectionTable table(options.limits);
  const auto started = std::chrono::steady_clock::now();
  const auto gauges = [&] {
    Metrics::Now now;
    now.connections_open = table.open();
    now.certificate_seconds_left =
        (static_cast<double>(tls->now()->certificate.expires_ms) - static_cast<double>(wall_clock_ms())) /
        1000;
    now.uptime_seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - started).count();
    return now;
  };
  // One thread for the network, since TLS for one facility's devices does not fill a core, and one for the replica, which has one
  // anyway. Destroyed in the order that what runs needs: the watch and the desk first, then the network, then what its connections use.
  std::optional<News> news;
  WRACKLINE_TRY_VALUE(metrics_for, peer_groups_of(options.metrics_for, "serving figures"));
  Hub hub(*replica, log, metrics,
          {options.directory.codes(), options.directory.contacts(), facility_name, options.limits,
           wall_clock_ms, gauges, std::move(app), [&news] { news->look(); },
           {options.directory.blobs(), options.blobs_bytes_max}, metrics_for});

  net::io_context io(1);
  Desk desk;
  news.emplace(*replica, desk, io);
  WRACKLINE_TRY_VALUE(listener,
                      Listener::open(io, options.listen, options.behind, {hub, desk, log, metrics, table, options.limits, *tls, *news}));
  Upkeep upkeep(io, *tls, hub, desk, *news, log);
  std::optional<LogWatch> watch;
  if (shared_log) watch.emplace(desk.io(), *shared_log, hub);
  Stopper stopper(io, desk, *listener, table, upkeep, watch ? &*watch : nullptr, log, options.limits.stop);
  net::co_spawn(io, listener->run(), net::detached);
  net::co_spawn(io, stopper.run(), net::detached);
  net::co_spawn(io, upkeep.on_hangup(), net::detached);
  net::co_spawn(io, upkeep.now_and_then(), net::detached);
  if (watch) net::co_spawn(desk.io(), watch->run(), net::detached);

  const HubAddress address = listener->address();
  if (!options.port_file.empty())
    WRACKLINE_TRY(replace_private_file(options.port_file, std::to_string(address.port) + "\n"));
  log_certificate(log, tls->now()->certificate, wall_clock_ms());
  log.info("serving").with("address", to_text(address)).with("tls", options.tls.allow_tls12 ? "1.2+" : "1.3").with("log", shared_log ? "shared" : "own").with("hub_key", in_groups(view(hub_key)));
  io.run();
  table.on_empty({});
  desk.stop();
  hub.write_contacts(true);
  log.info("stopped");
  return {};
}

}  // namespace wrackline
