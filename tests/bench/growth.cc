// Does it stay fast for years? The same questions at 10^4 records, 10^5, 10^6 and, with --whole, 5x10^6: each should take
// about as long as at the start. Each figure is the best of some, since a shared machine only ever adds to it. Prints a table
// and writes a chart.
//
//   wrackline_growth [--whole] [CHART.svg]
#include <call.pb.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>
#include <memory>

#include "bench/every_question.h"
#include "call/dispatch.h"
#include "centre.h"
#include "model/hold.h"
#include "must_or_exit.h"

using namespace wrackline;
using namespace wrackline::bench;

namespace {

constexpr int kDayOfWork = 1440;  // Entries.
constexpr int kRounds = 3;
constexpr int kAnimals = 15;  // Four weeks of their meals are 10^4 records.
constexpr double kFlat = 1.3;  // A time counts as unchanged up to this multiple of the first.

double ms_of(const std::function<void()>& work) {
  const auto from = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - from).count();
}

double median_of(int times, const std::function<void()>& work) {
  std::vector<double> all;
  for (int i = 0; i < times; ++i) all.push_back(ms_of(work));
  std::sort(all.begin(), all.end());
  return all[all.size() / 2];
}

double best_of(int times, const std::function<double()>& measure) {
  double best = measure();
  for (int i = 1; i < times; ++i) best = std::min(best, measure());
  return best;
}

proto::Reply ask(Replica& replica, const proto::Call& call) {
  proto::Reply reply;
  if (!reply.ParseFromString(dispatch(replica, call.SerializeAsString())) || reply.has_failure()) {
    std::fprintf(stderr, "growth: %s\n", reply.failure().message().c_str());
    std::exit(1);
  }
  return reply;
}

// A tablet that has the centre's records and brings it a day's work.
class Tablet {
 public:
  Tablet(Centre& centre, const std::string& path) : centre_(centre), keystore_(2) {
    (void)must(centre.replica().admit_device("tablet", keystore_.public_key()));
    replica_ = must(Replica::create({path, &keystore_, [&centre] { return centre.now(); }}, centre.membership("tablet")));
    exchange();
  }

  void exchange() {
    Bytes reply;
    for (;;) {
      const Bytes request = must(replica_->exchange(reply));
      if (request.empty()) return;
      reply = must(centre_.replica().answer_exchange(request, keystore_.public_key()));
    }
  }

  // One portion, through the call, durable when it returns. Between the centre's own meals, so that nothing is told twice.
  void log_meal() {
    proto::Call call;
    put(centre_.person(), *call.mutable_author());
    proto::Meal meal;
    put(centre_.animals()[static_cast<std::size_t>(logged_) % kAnimals], *meal.mutable_animal());
    meal.set_day(centre_.last_day());
    meal.set_slot_min(1 + static_cast<std::uint32_t>(logged_ / kAnimals % 400));
    meal.set_happened_ms(static_cast<WallMs>(centre_.last_day()) * kDayMs);
    meal.set_utc_offset_min(0);
    ++logged_;
    proto::NewRecord& record = *call.mutable_log()->add_records();
    record.set_kind(static_cast<std::uint32_t>(Kind::kMeal));
    record.set_fields(meal.SerializeAsString());
    (void)ask(*replica_, call);
  }

 private:
  Centre& centre_;
  SeededKeystore keystore_;
  std::unique_ptr<Replica> replica_;
  int logged_ = 0;
};

struct Row {
  std::string what;
  std::vector<double> ms;
  bool is_flat = true;  // Meant to be.
};

// Records that the centre has none of, for the questions about them.
Subjects subjects_in(Centre& centre) {
  Subjects out;
  out.animal = centre.animals()[7];
  out.person = centre.person();
  out.food = centre.foods()[0];
  out.other_food = centre.foods()[1];
  Author& author = centre.replica().author();
  const auto log = [&](Kind kind, const google::protobuf::MessageLite& message) {
    return must(author.log_records({}, {record_of(kind, message)})).front();
  };
  proto::Pool pool;
  pool.set_name("a pool of its own");
  out.pool = log(Kind::kPool, pool);
  proto::TreatmentOrder order;
  put(out.animal, *order.mutable_animal());
  put(out.person, *order.mutable_ordered_by());
  order.set_preparation("as the vet wrote it");
  order.set_dose_ug(50'000);
  order.set_route("by mouth, in a fish");
  order.add_slots_min(480);
  order.set_first_day(Centre::kFirstDay);
  out.order = log(Kind::kTreatmentOrder, order);
  proto::Meal meal;
  put(out.animal, *meal.mutable_animal());
  meal.set_day(Centre::kFirstDay - 1);
  meal.set_slot_min(480);
  meal.set_happened_ms(static_cast<WallMs>(Centre::kFirstDay - 1) * kDayMs);
  meal.set_utc_offset_min(0);
  log(Kind::kMeal, meal);
  out.double_meal = log(Kind::kMeal, meal);
  Edit edit;
  edit.record = out.edited = out.pool;
  proto::Pool renamed;
  renamed.set_name("a pool by another name");
  edit.fields = renamed.SerializeAsString();
  edit.reason = "renamed";
  (void)must(author.edit({}, edit));
  out.hold = must(centre.replica().log_unauthored(
      {{static_cast<std::uint32_t>(Kind::kHold), hold_fields({LogId{1}, 1, 1}, HoldCause::kRole, "made up", 1)}})).front();
  return out;
}

void write_chart(const std::string& path, const std::vector<Row>& rows, const std::vector<double>& sizes) {
  const double left = 60, right = 560, top = 40, bottom = 330;
  const double x_low = std::log10(sizes.front()), x_high = std::log10(sizes.back());
  const double y_low = -2, y_high = 3;
  const auto x = [&](double records) { return left + (std::log10(records) - x_low) / (x_high - x_low) * (right - left); };
  const auto y = [&](double ms) { return bottom - (std::log10(ms) - y_low) / (y_high - y_low) * (bottom - top); };
  const char* const dashes[] = {"none", "7 3", "2 3", "9 3 2 3", "4 4"};
  std::ofstream out(path);
  out << "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 760 380\" role=\"img\" aria-label=\"Time of a call by records held\">\n"
         "<style>text{font:11px sans-serif;fill:#22303a}</style><rect width=\"760\" height=\"380\" fill=\"#fff\"/>\n"
         "<text x=\"8\" y=\"20\" style=\"font-weight:bold\">Milliseconds by records held, both on a scale of powers of ten</text>\n";
  for (int power = -2; power <= 3; ++power) {
    const double at = y(std::pow(10, power));
    out << "<path d=\"M" << left << ' ' << at << "H" << right << "\" stroke=\"#d5dde1\"/><text x=\"" << left - 8 << "\" y=\"" << at + 4
        << "\" text-anchor=\"end\">" << std::pow(10, power) << "</text>\n";
  }
  for (const double size : sizes)
    out << "<text x=\"" << x(size) << "\" y=\"" << bottom + 18 << "\" text-anchor=\"middle\">" << static_cast<long>(size) << "</text>\n";
  for (std::size_t i = 0; i < rows.size(); ++i) {
    out << "<path fill=\"none\" stroke=\"#12506b\" stroke-width=\"2\" stroke-dasharray=\"" << dashes[i % 5] << "\" d=\"";
    for (std::size_t k = 0; k < sizes.size(); ++k) out << (k == 0 ? 'M' : 'L') << x(sizes[k]) << ' ' << y(rows[i].ms[k]);
    out << "\"/><text x=\"" << right + 8 << "\" y=\"" << y(rows[i].ms.back()) + 4 << "\">" << rows[i].what << "</text>\n";
  }
  out << "</svg>\n";
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<Question> all = every_question({});
  for (const proto::Call::WhatCase what : every_call()) {
    const bool has_row = std::any_of(all.begin(), all.end(), [what](const Question& q) { return q.call.what_case() == what; });
    if (has_row || is_no_question(what)) continue;
    std::fprintf(stderr, "growth: call %d of proto/call.proto has no row; add one to every_question.cc\n", static_cast<int>(what));
    return 1;
  }
  bool whole = false;
  std::string chart;
  for (int i = 1; i < argc; ++i) {
    if (std::string(argv[i]) == "--whole") whole = true;
    else chart = argv[i];
  }
  std::string folder = (std::filesystem::temp_directory_path() / "wrackline-growth-XXXXXX").string();
  if (mkdtemp(folder.data()) == nullptr) return 1;
  std::vector<double> wanted = {1e4, 1e5, 1e6};
  if (whole) wanted.push_back(5e6);

  std::vector<Row> rows = {{"log call, p50", {}}, {"exchange of a day's work", {}}, {"round", {}}, {"28-day intake", {}}, {"open and first answer", {}}};
  const std::size_t charted = rows.size();
  std::vector<double> sizes;
  {
    const std::string path = folder + "/hub.db";
    Centre centre(path, kAnimals);
    // Four weeks at the least, so that the same span is asked about everywhere.
    for (int day = 0; day < 28; ++day) centre.log_day();
    Tablet tablet(centre, folder + "/tablet.db");
    Subjects subjects = subjects_in(centre);
    for (const Question& question : every_question(subjects)) rows.push_back({question.name, {}, !question.is_of_everything});
    wanted.front() = std::max(wanted.front(), static_cast<double>(centre.records()));
    for (const double size : wanted) {
      while (static_cast<double>(centre.records()) < size) {
        centre.log_day();
        if (isatty(2) != 0 && centre.last_day() % 100 == 0) std::fprintf(stderr, "%llu records\r", static_cast<unsigned long long>(centre.records()));
      }
      tablet.exchange();
      sizes.push_back(static_cast<double>(centre.records()));

      double exchange = 0;
      rows[0].ms.push_back(best_of(kRounds, [&] {
        const double call = median_of(kDayOfWork, [&] { tablet.log_meal(); });
        const double taken = ms_of([&] { tablet.exchange(); });
        exchange = exchange == 0 ? taken : std::min(exchange, taken);
        return call;
      }));
      rows[1].ms.push_back(exchange);
      proto::Call round;
      round.mutable_round()->set_day(centre.last_day());
      round.mutable_round()->add_zone()->set_from_ms(0);
      rows[2].ms.push_back(best_of(9, [&] { return ms_of([&] { (void)ask(centre.replica(), round); }); }));
      proto::Call intake;
      put(centre.animals()[7], *intake.mutable_intake()->mutable_animal());
      intake.mutable_intake()->set_first_day(centre.last_day() - 27);
      intake.mutable_intake()->set_last_day(centre.last_day());
      rows[3].ms.push_back(best_of(9, [&] { return ms_of([&] { (void)ask(centre.replica(), intake); }); }));
      proto::Call first;
      put(centre.animals()[3], *first.mutable_get()->mutable_record());
      rows[4].ms.push_back(best_of(9, [&] {
        centre.close();
        return ms_of([&] {
          centre.open();
          (void)ask(centre.replica(), first);
        });
      }));
      subjects.last_day = centre.last_day();
      std::size_t row = charted;
      for (const Question& question : every_question(subjects)) {
        const int times = question.is_of_everything ? 1 : 5;
        rows[row++].ms.push_back(best_of(times, [&] { return ms_of([&] { (void)ask(centre.replica(), question.call); }); }));
      }
    }
  }
  std::filesystem::remove_all(folder);

  std::printf("Milliseconds by records held (%d animals, a day's work of %d entries)\n%-33s", kAnimals, kDayOfWork, "");
  for (const double size : sizes) std::printf("%12.0f", size);
  std::printf("%12s\n", "last/first");
  for (const Row& row : rows) {
    std::printf("%-33s", row.what.c_str());
    for (const double ms : row.ms) std::printf("%12.3f", ms);
    const double ratio = row.ms.back() / row.ms.front();
    if (row.is_flat) {
      std::printf("%11.2fx  target %.1fx  %s\n", ratio, kFlat, ratio <= kFlat ? "met" : "MISSED");
    } else {
      std::printf("%11.2fx  goes through everything\n", ratio);
    }
  }
  rows.resize(charted);
  if (!chart.empty()) write_chart(chart, rows, sizes);
  return 0;
}
