// wrack report retention: what of the records must still be kept, and what is past the minimum named for its kind. It
// lists; nothing is removed.
#include <algorithm>
#include <map>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/reports/report.h"
#include "model/kinds.h"
#include "model/retention.h"
#include "text/csv.h"
#include "text/message_schema.h"

namespace wrackline::cli {
namespace {

struct Count {
  int records = 0, out_of_account = 0, to_be_kept = 0, past = 0, none_named = 0;
  Day oldest = 0;

  void add(const Count& other) {
    oldest = records == 0 ? other.oldest : std::min(oldest, other.oldest);
    records += other.records;
    out_of_account += other.out_of_account;
    to_be_kept += other.to_be_kept;
    past += other.past;
    none_named += other.none_named;
  }
};

// The key is kind and animal; no animal for records that belong to none.
using Counts = std::map<std::pair<std::uint32_t, ChangeId>, Count>;

// Where a record stands: whose it is, its day, and the day its period counts from where that has begun.
struct Place {
  ChangeId animal;
  Day day = 0;
  std::optional<Day> last_day;
};

// An order or plan: its last day, where it has one.
std::optional<Day> last_day_of(const RecordView& view) {
  const MessagePtr m = parse_fields(view.kind(), view.fields());
  const FieldDescriptor* f = m ? m->GetDescriptor()->FindFieldByName("last_day") : nullptr;
  if (!f || !m->GetReflection()->HasField(*m, f)) return {};
  return m->GetReflection()->GetInt32(*m, f);
}

std::optional<Day> start_of(const RetentionFloor& floor, const Place& place) {
  switch (floor.start) {
    case RetentionStart::kDay:
      return place.day;
    case RetentionStart::kLastDay:
      return place.last_day;
    case RetentionStart::kAnimalLeft:
      break;  // No record has a field yet that says an animal left: it counts as here.
  }
  return {};
}

// Struck and folded records are counted with the others: they are part of the trail and kept as long.
Counts counts_of(Client& client, Day today) {
  Counts out;
  // The records that others belong to; kinds come after those they belong to.
  std::map<ChangeId, Place> places;
  for (const KindInfo& kind : kinds()) {
    const KindRow* row = find_kind(kind.number);
    const RetentionFloor* floor = retention_floor(kind.number);
    for (const RecordView& view : client.list(kind.number, {}, {}, true)) {
      const RecordKey key = record_key(*row, view.fields());
      const auto owner = places.find(key.subject);
      Place place;
      if (owner != places.end()) place.animal = owner->second.animal;
      if (row->kind == Kind::kAnimal) place.animal = id_of(view.record());
      place.day = row->key.day != 0           ? key.day
                  : row->kind == Kind::kPortion && owner != places.end() ? owner->second.day
                                              : client.zone().when(view.entered_ms()).day;
      place.last_day = last_day_of(view);
      Count one;
      one.records = 1;
      one.oldest = place.day;
      one.out_of_account = counts(view) ? 0 : 1;
      if (!floor) {
        one.none_named = 1;
      } else if (must_be_kept(*floor, start_of(*floor, place), today)) {
        one.to_be_kept = 1;
      } else {
        one.past = 1;
      }
      out[{kind.number, place.animal}].add(one);
      places.emplace(id_of(view.record()), place);
    }
  }
  return out;
}

std::string figure(int n) { return n == 0 ? "" : std::to_string(n); }

std::string words(std::string text) {
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::string minimum_text(const RetentionFloor* floor) {
  if (!floor) return "none named";
  std::string out = std::to_string(floor->years) + (floor->years == 1 ? " year" : " years");
  if (floor->start == RetentionStart::kLastDay) out += " from its end";
  if (floor->start == RetentionStart::kAnimalLeft) out += " after leaving";
  return out;
}

ReportSection kinds_section(const Counts& counts) {
  ReportSection out{"By kind of record", {}, {},
                    {"KIND", ">RECORDS", ">OUT", "OLDEST", "MINIMUM", ">KEEP", ">PAST", "BY"}, {}};
  std::map<std::uint32_t, Count> kinds;
  for (const auto& [key, count] : counts) kinds[key.first].add(count);
  for (const auto& [kind, count] : kinds) {
    const RetentionFloor* floor = retention_floor(kind);
    out.rows.push_back({words(kind_name(kind)), std::to_string(count.records), figure(count.out_of_account), print_day(count.oldest),
                        minimum_text(floor), floor ? std::to_string(count.to_be_kept) : "", floor ? std::to_string(count.past) : "",
                        floor ? std::string(floor->source) : ""});
  }
  out.notes = {"Keep: within the minimum, or its period has not begun. Past: older than the minimum, which is no leave to remove. None "
               "named: the texts here say nothing of the kind; keep it, and ask what your local code says.",
               "Out: of these, out of account, struck or folded. They are counted with the others: each is part of the trail and kept as "
               "long. A record without a day of its own has the day it was entered.",
               "After leaving: that an animal left is not recorded, so all of it is to be kept. From its end: an order without a last day "
               "is in force. Which preparation is a controlled substance is not recorded: the two years are taken for every order and dose.",
               "Kept longer by other texts, with no kind of record of their own here: necropsy reports of marine mammals three years "
               "(9 CFR 3.110), records of a research facility three years (9 CFR 2.35)."};
  return out;
}

ReportSection animals_section(const Counts& counts, Names& names) {
  ReportSection out{"By animal", {}, {}, {"ANIMAL", ">RECORDS", ">OUT", "OLDEST", ">KEEP", ">PAST", ">NONE NAMED"}, {}};
  std::map<ChangeId, Count> animals;
  for (const auto& [key, count] : counts) animals[key.second].add(count);
  const auto row = [&](const std::string& name, const Count& count) {
    out.rows.push_back({name, std::to_string(count.records), figure(count.out_of_account), print_day(count.oldest), figure(count.to_be_kept),
                        figure(count.past), figure(count.none_named)});
  };
  for (const auto& [animal, count] : animals)
    if (animal) row(names.name_of(ref_of(animal)), count);
  if (const auto none = animals.find(ChangeId()); none != animals.end()) row("of no one animal", none->second);
  return out;
}

// A line a kind and animal.
std::string csv_of(const Counts& counts, Names& names) {
  std::string out = csv_line({"kind", "animal", "animal_name", "records", "out_of_account", "oldest_day", "minimum_years", "source",
                              "to_be_kept", "past_minimum"});
  for (const auto& [key, count] : counts) {
    const RetentionFloor* floor = retention_floor(key.first);
    out += csv_line({kind_name(key.first), key.second ? to_text(key.second) : "",
                     key.second ? csv_cell(names.name_of(ref_of(key.second))) : "", std::to_string(count.records),
                     std::to_string(count.out_of_account), print_day(count.oldest), csv_figure(floor != nullptr, floor ? floor->years : 0),
                     floor ? std::string(floor->source) : "", csv_figure(floor != nullptr, count.to_be_kept),
                     csv_figure(floor != nullptr, count.past)});
  }
  return out;
}

void counts_json(const Counts& counts, Day day, Client& client, Names& names) {
  Json json;
  json.object().member("day", print_day(day)).member("known_as_of_ms", known_as_of(client)).key("counts").array();
  for (const auto& [key, count] : counts) {
    json.object().member("kind", kind_name(key.first));
    if (key.second) json.member("animal", to_text(key.second)).member("animal_name", names.name_of(ref_of(key.second)));
    json.member("records", count.records).member("out_of_account", count.out_of_account).member("oldest_day", print_day(count.oldest));
    if (const RetentionFloor* floor = retention_floor(key.first))
      json.member("minimum_years", floor->years).member("source", floor->source).member("to_be_kept", count.to_be_kept)
          .member("past_minimum", count.past);
    json.end();
  }
  print(json.end().member("caution", kRetentionCaution).end());
}

}  // namespace

Exit report_retention(Client& client, const ReportArgs& args) {
  Names names(client);
  const Day day = typed(client.zone().parse_day_of(args.from, client.now()));
  const Counts counts = counts_of(client, day);
  Report report;
  report.title = "Retention of records, as of " + print_day(day);
  report.sections = {kinds_section(counts), animals_section(counts, names)};
  report.cautions = {kRetentionCaution};
  report.csv = csv_of(counts, names);
  show_report(client, report, args);
  if (client.json()) counts_json(counts, day, client, names);
  return Exit::kOk;
}

}  // namespace wrackline::cli
