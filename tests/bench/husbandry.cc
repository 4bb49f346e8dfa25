#include "husbandry.h"

#include <call.pb.h>
#include <records.pb.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <vector>

#include "call/dispatch.h"
#include "centre.h"

namespace wrackline::bench {
namespace {

// Median of some runs, milliseconds; the first, which finds caches cold, is told beside it.
void time_call(const char* what, Replica& replica, const proto::Call& call, double target_ms) {
  const Bytes bytes = call.SerializeAsString();
  std::vector<double> times;
  std::size_t size = 0;
  for (int i = 0; i < 9; ++i) {
    const auto from = std::chrono::steady_clock::now();
    const Bytes answer = dispatch(replica, bytes);
    times.push_back(std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - from).count());
    proto::Reply reply;
    if (!reply.ParseFromString(answer) || reply.has_failure()) {
      std::fprintf(stderr, "bench: %s: %s\n", what, reply.failure().message().c_str());
      std::exit(1);
    }
    size = answer.size();
  }
  const double first = times.front();
  std::sort(times.begin(), times.end());
  const double median = times[times.size() / 2];
  std::printf("%-44s %9.2f ms  first %9.2f ms  %8zu B  target %.0f ms  %s\n", what, median, first, size, target_ms,
              median <= target_ms ? "met" : "MISSED");
  std::fflush(stdout);
}

}  // namespace

void husbandry(const std::string& folder, bool quick) {
  constexpr int kAnimals = 60;
  Centre centre(folder + "/centre.db", kAnimals);
  const int days = quick ? 60 : 730;
  for (int day = 0; day < days; ++day) centre.log_day();
  std::printf("\nQuestions over %llu records of %d animals in %d days.\n",
              static_cast<unsigned long long>(centre.records()), kAnimals, days);
  Replica& replica = centre.replica();
  const Day last = centre.last_day();
  proto::Call call;
  put(centre.animals()[17], *call.mutable_intake()->mutable_animal());
  call.mutable_intake()->set_first_day(Centre::kFirstDay);
  call.mutable_intake()->set_last_day(last);
  time_call("intake of one animal, two years", replica, call, 10);
  put(centre.animals()[17], *call.mutable_intake_trend()->mutable_animal());
  call.mutable_intake_trend()->set_first_day(Centre::kFirstDay);
  call.mutable_intake_trend()->set_last_day(last);
  time_call("intake over time of one animal, two years", replica, call, 300);
  call.mutable_collection_day()->set_day(last);
  time_call("the whole collection's day", replica, call, 50);
  call.mutable_round()->set_day(last);
  call.mutable_round()->add_zone()->set_from_ms(0);
  time_call("the round of 60 animals", replica, call, 20);
  call.mutable_prep()->set_day(last);
  time_call("the prep sheet of 60 animals", replica, call, 50);
}

}  // namespace wrackline::bench
