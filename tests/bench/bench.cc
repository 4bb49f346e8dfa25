// The benchmark: Wrackline beside plain SQLite, the same work on the same disk in one run. Prints figures and
// ratios, whatever they are; the ratio is what counts, since the machine differs.
//
// Each pair of measures alternates between the two sides in small rounds, so that a slow moment of a shared
// machine hits both.
#include <call.pb.h>
#include <records.pb.h>
#include <sys/resource.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>

#include "bench_figures.h"
#include "call/dispatch.h"
#include "husbandry.h"
#include "model/kinds.h"
#include "must_or_exit.h"
#include "plain.h"
#include "replica/author.h"
#include "replica/replica.h"
#include "store/store.h"
#include "support/seeded_keystore.h"
#include "sync/exchange.h"
#include "workload.h"

using namespace wrackline;
using namespace wrackline::bench;

namespace {

using Clock = std::chrono::steady_clock;
constexpr std::size_t kAnimals = 10;  // Each has four meals a day of five portions.
constexpr Day kFirstDay = 20'000;

double seconds(Clock::time_point from) { return std::chrono::duration<double>(Clock::now() - from).count(); }

double at(std::vector<double>& sorted, double share) {
  std::sort(sorted.begin(), sorted.end());
  return sorted[static_cast<std::size_t>(share * static_cast<double>(sorted.size() - 1))];
}

// A device with its replica, and what it needs to log portions.
struct Side {
  std::string path;
  SeededKeystore keystore;
  WallMs clock = 1'790'000'000'000;
  std::unique_ptr<Replica> replica;
  RecordId person;
  std::vector<RecordId> foods, animals, meals;

  Side(std::string file, std::uint64_t key, const Membership& membership) : path(std::move(file)), keystore(key) {
    replica = must(Replica::create(options(), membership));
  }
  Replica::Options options() {
    return {path, &keystore, [this] { return clock += 2000 + (clock * 2654435761u >> 7) % 9000; }};
  }

  RecordId log(Kind kind, const google::protobuf::MessageLite& message) {
    return must(replica->author().log_records(person, {{static_cast<std::uint32_t>(kind), message.SerializeAsString(), {}, {}}})).front();
  }

  void set_the_table(std::size_t meal_count) {
    proto::Person keeper;
    keeper.add_roles(proto::ROLE_KEEPER);
    keeper.add_roles(proto::ROLE_CURATOR);
    keeper.set_name("Ines Valdor");
    person = must(replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kPerson), keeper.SerializeAsString()}})).front();
    for (const char* name : {"herring", "squid", "smelt", "shrimp", "mackerel"}) {
      proto::Food food;
      food.set_name(name);
      foods.push_back(log(Kind::kFood, food));
    }
    for (std::size_t i = 1; i <= kAnimals; ++i) {
      proto::Animal animal;
      animal.set_name("Nereid " + std::to_string(i));
      animals.push_back(log(Kind::kAnimal, animal));
    }
    std::vector<NewRecord> batch;
    for (std::size_t i = 0; i < meal_count; ++i) {
      const RecordId animal = animals[i / 4 % kAnimals];
      proto::Meal meal;
      meal.mutable_animal()->set_log(animal.log.value);
      meal.mutable_animal()->set_seq(animal.seq);
      meal.set_day(kFirstDay + static_cast<Day>(i / 4 / kAnimals));
      meal.set_slot_min(static_cast<std::uint32_t>(i % 4) * 240);
      batch.push_back({static_cast<std::uint32_t>(Kind::kMeal), meal.SerializeAsString(), {}, {}});
    }
    meals = must(replica->author().log_records(person, batch));
  }

  void put_portion(const PortionRow& row, proto::NewRecord& out) const {
    proto::Portion portion;
    portion.mutable_meal()->set_log(meals[row.meal].log.value);
    portion.mutable_meal()->set_seq(meals[row.meal].seq);
    portion.mutable_food()->set_log(foods[row.food].log.value);
    portion.mutable_food()->set_seq(foods[row.food].seq);
    portion.set_gross_mg(row.gross_mg);
    portion.set_tare_mg(row.tare_mg);
    portion.set_left_mg(row.left_mg);
    out.set_kind(static_cast<std::uint32_t>(Kind::kPortion));
    out.set_fields(portion.SerializeAsString());
  }

  // Through the public call, as an app would.
  void log_portions(const PortionRow* rows, std::size_t count) {
    proto::Call call;
    call.mutable_author()->set_log(person.log.value);
    call.mutable_author()->set_seq(person.seq);
    for (std::size_t i = 0; i < count; ++i) put_portion(rows[i], *call.mutable_log()->add_records());
    proto::Reply reply;
    if (!reply.ParseFromString(dispatch(*replica, call.SerializeAsString())) || reply.has_failure()) {
      std::fprintf(stderr, "bench: %s\n", reply.failure().message().c_str());
      std::exit(1);
    }
  }
};

std::size_t checkpointed_size(const std::string& path) {
  sqlite3* db = nullptr;
  sqlite3_open(path.c_str(), &db);
  sqlite3_exec(db, "PRAGMA wal_checkpoint(TRUNCATE)", nullptr, nullptr, nullptr);
  sqlite3_close(db);
  return std::filesystem::file_size(path);
}

void single_calls(Side& ours, PlainTable& plain, const std::vector<PortionRow>& rows, std::size_t count) {
  std::vector<double> our_times, plain_times;
  for (std::size_t i = 0; i < count; ++i) {
    auto from = Clock::now();
    ours.log_portions(&rows[i], 1);
    our_times.push_back(seconds(from) * 1e6);
    from = Clock::now();
    plain.begin();
    plain.insert(static_cast<std::int64_t>(i + 1), rows[i], 1'790'000'000'000);
    plain.commit();
    plain_times.push_back(seconds(from) * 1e6);
  }
  double our_total = 0, plain_total = 0;
  for (double t : our_times) our_total += t;
  for (double t : plain_times) plain_total += t;
  const double n = static_cast<double>(count);
  line("durable log call, calls/s", n / our_total * 1e6, n / plain_total * 1e6, "1/s", our_total / plain_total);
  const double p50 = at(our_times, 0.5), plain_p50 = at(plain_times, 0.5);
  line("durable log call, p50", p50, plain_p50, "us", p50 / plain_p50, {1.15}, "single_p50_us");
  const double p99 = at(our_times, 0.99), plain_p99 = at(plain_times, 0.99);
  line("durable log call, p99", p99, plain_p99, "us", p99 / plain_p99);
}

void batches(Side& ours, PlainTable& plain, const std::vector<PortionRow>& rows, std::size_t from_row, std::size_t count) {
  double our_time = 0, plain_time = 0;
  for (std::size_t i = from_row; i < from_row + count; i += 1000) {
    auto from = Clock::now();
    ours.log_portions(&rows[i], 1000);
    our_time += seconds(from);
    from = Clock::now();
    plain.begin();
    for (std::size_t k = i; k < i + 1000; ++k) plain.insert(static_cast<std::int64_t>(k + 1), rows[k], 1'790'000'000'000);
    plain.commit();
    plain_time += seconds(from);
  }
  const double n = static_cast<double>(count);
  line("batches of 1000, records/s", n / our_time, n / plain_time, "1/s", our_time / plain_time, {1.5}, "batch_per_s");
}

// Edits a share of the portions, each with a reason, as a keeper would who weighs again.
void edit_some(Side& side, std::size_t count, const std::vector<RecordId>& portions, std::uint64_t left_mg) {
  for (std::size_t i = 0; i < count; ++i) {
    proto::Portion fields;
    fields.set_left_mg(left_mg + 1000 * (i % 70));
    Edit edit;
    edit.record = portions[i * 37 % portions.size()];
    edit.fields = fields.SerializeAsString();
    edit.reason = "weighed again";
    (void)must(side.replica->author().edit(side.person, edit));
  }
}

// ---- Peak memory of a merge, each in a process that does nothing else --------------------------------------

int tell_peak() {
  rusage used{};
  getrusage(RUSAGE_SELF, &used);
  std::printf("%ld\n", used.ru_maxrss);
  return 0;
}

int merge_alone(const std::string& database, const std::string& bundle_path) {
  SeededKeystore key(1);
  auto replica = must(Replica::open({database, &key, [] { return WallMs{1'790'000'000'000}; }}));
  std::ifstream file(bundle_path, std::ios::binary);
  const Bytes bundle{std::istreambuf_iterator<char>(file), {}};
  (void)must(replica->import_bundle(bundle, false));
  return tell_peak();
}

int merge_plain_alone(const std::string& database, const std::string& other) {
  PlainTable(database).merge(other);
  return tell_peak();
}

double peak_mib(const char* what, const std::string& database, const std::string& other) {
  const std::string self = std::filesystem::read_symlink("/proc/self/exe");
  FILE* child = popen(("'" + self + "' " + what + " '" + database + "' '" + other + "'").c_str(), "r");
  double kib = 0;
  if (child == nullptr || std::fscanf(child, "%lf", &kib) != 1 || pclose(child) != 0) {
    std::fprintf(stderr, "bench: %s did not run\n", what);
    std::exit(1);
  }
  return kib / 1024;
}

// Measures how long it takes to tell what each animal ate each day, over all there is: ours from the calls that
// an app makes, one for each animal.
void per_day(Replica& replica, const std::string& plain_path, std::size_t portions) {
  proto::Call find;
  find.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kAnimal));
  proto::Reply found;
  found.ParseFromString(dispatch(replica, find.SerializeAsString()));
  std::vector<proto::Call> calls;
  for (const proto::RecordView& animal : found.list().records()) {
    proto::Call& call = calls.emplace_back();
    *call.mutable_intake()->mutable_animal() = animal.record();
    call.mutable_intake()->set_first_day(kFirstDay);
    call.mutable_intake()->set_last_day(kFirstDay + static_cast<Day>(portions / 5 / 4 / kAnimals) - 1);
  }
  PlainTable plain(plain_path);
  std::vector<double> our_times, plain_times;
  std::size_t our_days = 0;
  std::int64_t plain_days = 0;
  for (int i = 0; i < 5; ++i) {
    auto from = Clock::now();
    our_days = 0;
    for (const proto::Call& call : calls) {
      proto::Reply reply;
      reply.ParseFromString(dispatch(replica, call.SerializeAsString()));
      our_days += static_cast<std::size_t>(reply.intake().days_size());
    }
    our_times.push_back(seconds(from) * 1e3);
    from = Clock::now();
    plain_days = plain.query("SELECT count(*) FROM (SELECT sum(gross_mg - tare_mg - left_mg) FROM portion GROUP BY meal / 4)");
    plain_times.push_back(seconds(from) * 1e3);
  }
  const std::size_t days = portions / 5 / 4;
  if (our_days != days || static_cast<std::size_t>(plain_days) < days) {
    std::fprintf(stderr, "bench: %zu and %lld days instead of %zu\n", our_days, static_cast<long long>(plain_days), days);
    std::exit(1);
  }
  const double ours = at(our_times, 0.5), theirs = at(plain_times, 0.5);
  line("what each animal ate each day, over all", ours, theirs, "ms", ours / theirs, {0.1}, "query_ms");
}

// The vector of a replica, for bundles that leave out what it holds.
VersionVector held_by(Side& side) { return vector_of(side.replica->store()); }

}  // namespace

int main(int argc, char** argv) {
  if (argc == 4 && std::string(argv[1]) == "--peak-of-merge") return merge_alone(argv[2], argv[3]);
  if (argc == 4 && std::string(argv[1]) == "--peak-of-plain-merge") return merge_plain_alone(argv[2], argv[3]);
  // `--figures FILE`: what is compared with other libraries, for tests/bench/peers, and nothing of years of husbandry.
  const std::string figures = argc == 3 && std::string(argv[1]) == "--figures" ? argv[2] : "";
  const bool quick = argc > 1 && std::string(argv[1]) == "--quick";
  const std::size_t single_count = quick ? 200 : 2000;
  const std::size_t batch_count = quick ? 10'000 : 100'000;
  const std::size_t merge_count = quick ? 5'000 : 50'000;
  std::string folder = (std::filesystem::temp_directory_path() / "wrackline-bench-XXXXXX").string();
  if (mkdtemp(folder.data()) == nullptr) return 1;

  std::printf("Wrackline beside plain SQLite (one table, one index, WAL, synchronous=FULL), one run on this machine.\n");
  std::printf("%-44s %12s %12s  %-10s %7s\n", "", "Wrackline", "plain", "unit", "ratio");

  // ---- Logging ----
  SeededKeystore hub_key(1);
  Membership membership{{1, 2, 3}, hub_key.public_key(), "bench"};
  const std::vector<PortionRow> rows = portion_rows(single_count + batch_count, 42);
  {
    Side ours(folder + "/ours.db", 1, membership);
    ours.set_the_table(rows.size() / 5 + 1);
    PlainTable plain(folder + "/plain.db");
    single_calls(ours, plain, rows, single_count);
    batches(ours, plain, rows, single_count, batch_count);
    const LogEntry* log = ours.replica->store().logs().find(ours.replica->author().log(LogClass::kBulk));
    if (log == nullptr || log->head.seq < rows.size()) return 1;
    // The bytes that leave a device are the sealed runs as they stand on the disk, with a frame each.
    if (!ours.replica->author().seal()) return 1;
    std::size_t wire = 0, changes = 0;
    const Seq meals_end = ours.meals.back().seq;
    const OutgoingRuns out = must(ours.replica->store().logs().runs_after(*log, meals_end, 1u << 30));
    for (const OutgoingRun& run : out.runs) {
      wire += run.packed.body.size() + run.seeds.size() + 24;  // With the segment's own fields.
      changes += run.count;
    }
    wire += 64 + 32 + 24;  // The seal that covers all of them.
    const double per_record = static_cast<double>(wire) / static_cast<double>(changes);
    line("on the wire, sealed and framed", per_record, 0, "B/record", 0, {0, 11}, "wire_bytes");
  }
  RecordId animal;
  {
    // Disk: the same portions alone, so that the meals both sides need do not blur the figure.
    Side ours(folder + "/disk.db", 1, membership);
    ours.set_the_table(batch_count / 5 + 1);
    if (!ours.replica->author().seal()) return 1;
    animal = ours.animals.front();
    const std::size_t before = checkpointed_size(ours.path);
    for (std::size_t i = 0; i < batch_count; i += 1000) ours.log_portions(&rows[i], 1000);
    if (!ours.replica->author().seal()) return 1;
    ours.replica.reset();
    const double n = static_cast<double>(batch_count);
    const double our_size = static_cast<double>(checkpointed_size(ours.path) - before) / n;
    const double plain_size = static_cast<double>(checkpointed_size(folder + "/plain.db")) / static_cast<double>(rows.size());
    line("on the disk", our_size, plain_size, "B/record", our_size / plain_size, {0, 63}, "disk_bytes");
  }

  // ---- Merging ----
  {
    const std::vector<PortionRow> foreign = portion_rows(merge_count, 7);
    const std::size_t edits = merge_count / 50;
    Side theirs(folder + "/theirs.db", 1, membership);
    theirs.set_the_table(merge_count / 5 + 1);
    const Bytes table = must(theirs.replica->export_bundle({})).bytes;
    for (std::size_t i = 0; i < merge_count; i += 1000) theirs.log_portions(&foreign[i], 1000);
    Side mine(folder + "/mine.db", 1, membership);
    Side fresh(folder + "/fresh.db", 1, membership);
    mine.person = fresh.person = theirs.person;
    // The roster and the meals are on both sides before the measure, since the plain table has none.
    (void)must(fresh.replica->import_bundle(table, false));
    (void)must(mine.replica->import_bundle(must(theirs.replica->export_bundle({})).bytes, false));
    std::vector<RecordId> portions;
    const LogId log = theirs.replica->author().log(LogClass::kBulk);
    const Seq last = theirs.replica->store().logs().find(log)->head.seq;
    for (Seq s = last - static_cast<Seq>(merge_count) + 1; s <= last; ++s) portions.push_back({log, s});
    // Two people edit the same portions without having seen each other; one's edits are here already.
    edit_some(mine, edits, portions, 1000);
    edit_some(theirs, edits, portions, 2000);
    (void)must(fresh.replica->import_bundle(must(mine.replica->export_bundle(held_by(theirs))).bytes, false));
    const Bytes bundle = must(theirs.replica->export_bundle(held_by(fresh))).bytes;

    PlainTable plain_theirs(folder + "/plain-theirs.db");
    plain_theirs.begin();
    for (std::size_t i = 0; i < merge_count; ++i) plain_theirs.insert(static_cast<std::int64_t>(i + 1), foreign[i], 1'790'000'000'000);
    plain_theirs.commit();
    PlainTable plain_mine(folder + "/plain-mine.db");
    plain_mine.begin();
    for (std::size_t i = 0; i < edits; ++i) {
      plain_mine.insert(static_cast<std::int64_t>(i * 37 % merge_count + 1), foreign[i * 37 % merge_count], 1'790'000'000'001);
    }
    plain_mine.commit();

    // Its memory shows in processes that do nothing else.
    fresh.replica.reset();
    std::filesystem::copy_file(fresh.path, folder + "/peak.db");
    std::filesystem::copy_file(folder + "/plain-mine.db", folder + "/plain-peak.db");
    std::ofstream(folder + "/peak.bundle", std::ios::binary) << bundle;
    const double our_peak = peak_mib("--peak-of-merge", folder + "/peak.db", folder + "/peak.bundle");
    const double plain_peak = peak_mib("--peak-of-plain-merge", folder + "/plain-peak.db", folder + "/plain-theirs.db");
    fresh.replica = must(Replica::open(fresh.options()));

    auto from = Clock::now();
    plain_mine.merge(folder + "/plain-theirs.db");
    const double plain_time = seconds(from);
    from = Clock::now();
    const auto taken = must(fresh.replica->import_bundle(bundle, false));
    const double our_time = seconds(from);
    if (taken.new_here < merge_count + edits) return 1;
    if (must(fresh.replica->store().records().review()).size() < edits) return 1;  // All of them disagree now.
    const double n = static_cast<double>(merge_count);
    line("merge of foreign changes, records/s", n / our_time, n / plain_time, "1/s", our_time / plain_time);
    line("merge of foreign changes, time", our_time * 1e3, plain_time * 1e3, "ms", our_time / plain_time, {1.2}, "merge_ms");
    line("merge of foreign changes, peak memory", our_peak, plain_peak, "MiB", our_peak / plain_peak, {0, 32}, "merge_peak_mib");
  }

  // ---- Cold open ----
  {
    SeededKeystore key(1);
    auto from = Clock::now();
    auto replica = must(Replica::open({folder + "/disk.db", &key, [] { return WallMs{1'790'000'000'000}; }}));
    proto::Call call;
    call.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kMeal));
    call.mutable_list()->mutable_subject()->set_log(animal.log.value);
    call.mutable_list()->mutable_subject()->set_seq(animal.seq);
    call.mutable_list()->set_first_day(kFirstDay + 10);
    call.mutable_list()->set_last_day(kFirstDay + 10);
    proto::Reply reply;
    reply.ParseFromString(dispatch(*replica, call.SerializeAsString()));
    const double our_time = seconds(from) * 1e3;
    if (reply.list().records_size() != 4) return 1;
    from = Clock::now();
    std::int64_t found = 0;
    {
      PlainTable plain(folder + "/plain.db");
      found = plain.query("SELECT sum(gross_mg) FROM portion WHERE meal BETWEEN 40 AND 43");
    }
    const double plain_time = seconds(from) * 1e3;
    if (found == 0) return 1;
    line("cold open to the first answer", our_time, plain_time, "ms", our_time / plain_time, {0, 2}, "open_ms");
    per_day(*replica, folder + "/plain.db", batch_count);
  }
  if (figures.empty()) {
    husbandry(folder, quick);
  } else {
    write_figures(figures);
  }
  std::filesystem::remove_all(folder);
  return 0;
}
