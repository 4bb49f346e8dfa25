// wrack here: what this device knows and how far it can be trusted to be current.
#include <algorithm>

#include "cli/command.h"
#include "records.pb.h"
#include "text/message_schema.h"
#include "text/quantity.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct HereArgs {};

// Beyond this a wrong clock shows in records, and the person should be told (design: ten minutes).
constexpr std::int64_t kClockSuspectMs = 600'000;

std::string counted(std::uint64_t n, const std::string& one, const std::string& many) {
  return std::to_string(n) + " " + (n == 1 ? one : many);
}

struct Holding {
  std::string pool, area, animal, taxon, heads, id;
};

std::vector<Holding> holdings(Client& client, Names& names) {
  std::map<ChangeId, std::pair<std::string, std::string>> pools;  // Name and area.
  std::vector<Holding> out;
  std::map<ChangeId, bool> used;
  for (const RecordView& view : client.list(kind_number("pool"))) {
    Pool pool;
    if (counts(view) && pool.ParseFromString(view.fields())) pools[id_of(view.record())] = {pool.name(), view.area_name()};
  }
  for (const RecordView& view : client.list(kind_number("animal"))) {
    Animal animal;
    if (!counts(view) || !animal.ParseFromString(view.fields())) continue;
    const ChangeId pool = id_of(animal.pool());
    used[pool] = true;
    const auto at = pools.find(pool);
    out.push_back({at == pools.end() ? "(no pool)" : at->second.first,
                   at == pools.end() ? "" : at->second.second, animal.name(), animal.taxon(),
                   animal.has_head_count() ? std::to_string(animal.head_count()) : "",
                   names.short_id(view.record())});
  }
  for (const auto& [id, pool] : pools)
    if (!used.count(id)) out.push_back({pool.first, pool.second, "(empty)", "", "", ""});
  std::sort(out.begin(), out.end(), [](const Holding& a, const Holding& b) {
    return std::tie(a.pool, a.animal) < std::tie(b.pool, b.animal);
  });
  return out;
}

Exit here(Client& client, const HereArgs&) {
  Names names(client);
  const StatusReply& s = client.status();
  const auto held = holdings(client, names);
  if (client.json()) {
    Json json;
    json.object().member("facility", s.facility_name()).member("facility_id", to_hex(s.facility()));
    json.member("time_zone", s.time_zone())
        .member("device", s.device_name());
    json.member("changes", s.changes()).member("unsent", s.unsent());
    json.key("last_exchange");
    s.last_exchange_ms() ? json.text(client.zone().print_exact(s.last_exchange_ms())) : json.null();
    json.member("hub_clock_offset_ms", s.clock_offset_ms());
    json.key("signed_in");
    s.has_session() ? json.text(s.session().name()) : json.null();
    json.member("review_urgent", s.review_urgent()).member("review_other", s.review_other());
    json.key("animals").array();
    for (const Holding& h : held)
      if (!h.id.empty())
        json.object()
            .member("record", Names::full_id(names.record(h.id)))
            .member("name", h.animal)
            .member("pool", h.pool)
            .end();
    json.end().key("logs").array();
    for (const LogStatus& log : s.logs())
      json.object()
          .member("log", to_text(LogId{log.log()}))
          .member("device", log.device_name())
          .member("own", log.own())
          .member("class", log.log_class())
          .member("seq", log.seq())
          .member("arrived", log.arrived())
          .end();
    print(json.end().end());
    return Exit::kOk;
  }

  Table top({"", ""});
  top.row({"Facility", s.facility_name().empty() ? "(not known before the first exchange)"
                                                 : s.facility_name() + ", times in " + s.time_zone()});
  top.row({"Device", s.device_name() + ", " + counted(s.changes(), "change", "changes") + " of " +
                         counted(static_cast<std::uint64_t>(s.logs_size()), "log", "logs") + " held"});
  if (s.has_session())
    top.row({"Signed in", s.session().name() + ", until " + client.zone().print(s.session().ends_ms()) + " or longer with each entry"});
  top.row({"Known as of", s.last_exchange_ms() == 0
                              ? "never exchanged with the hub: what others logged may be missing"
                              : client.zone().print(s.last_exchange_ms()) + ", " +
                                    print_age(s.last_exchange_ms(), client.now()) +
                                    ", by exchange with the hub"});
  top.row({"Unsent", s.unsent() == 0 ? "nothing: the hub holds all that was written here"
                                     : counted(s.unsent(), "change", "changes") +
                                           " only here so far; run `wrack exchange` or carry a bundle"});
  const std::int64_t off = -s.clock_offset_ms();
  if (s.last_exchange_ms() && (off > kClockSuspectMs || off < -kClockSuspectMs))
    top.row({"Clock", "this device's clock is " +
                          print_quantity(Unit::kDurationMin, (off < 0 ? -off : off) / 60'000) +
                          (off < 0 ? " behind" : " ahead of") +
                          " the hub's; set it. Nothing is lost or overruled by it"});
  top.row({"Review", s.review_urgent() + s.review_other() == 0
                         ? "nothing"
                         : std::to_string(s.review_urgent()) + " urgent, " +
                               std::to_string(s.review_other()) + " other: see `wrack review`"});
  std::string out = top.str();
  Table table({"POOL", "AREA", "ANIMAL", ">HEADS", "RECORD", "TAXON"});
  std::string last;
  for (const Holding& h : held) {
    table.row({h.pool == last ? "" : h.pool, h.pool == last ? "" : h.area, h.animal, h.heads, h.id, h.taxon});
    last = h.pool;
  }
  if (!table.empty()) out += "\n" + table.str();
  print(out);
  return Exit::kOk;
}

}  // namespace

void add_here_command(CLI::App& app, Action& chosen) {
  CLI::App* c =
      app.add_subcommand("here", "What is here: facility, device, animals, unsent, how current, review");
  c->group("Keeper");
  runs(c, chosen, std::make_shared<HereArgs>(), here);
}

}  // namespace wrackline::cli
