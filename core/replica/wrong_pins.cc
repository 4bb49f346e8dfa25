#include "replica/wrong_pins.h"

#include <algorithm>

namespace wrackline {
namespace {

constexpr std::size_t kRunBytes = 20;  // How many, when the last and when the first was.
constexpr WallMs kFirstWaitMs = 30'000, kLongestWaitMs = 15 * kMinuteMs;

WallMs wait_after(std::uint32_t wrong, std::uint32_t free_tries) {
  if (wrong < free_tries) return 0;
  return std::min(kLongestWaitMs, kFirstWaitMs << std::min(wrong - free_tries, 10u));
}

}  // namespace

std::string WrongPins::key(RecordId person, const std::string& asker) { return "wrong-pins-" + to_text(person) + (asker.empty() ? "" : "-" + asker); }

Result<WrongPins::Run> WrongPins::in_a_row(const std::string& key) {
  WRACKLINE_TRY_VALUE(known, store_.meta(key));
  Run run;
  if (!known || known->size() != kRunBytes) return run;
  const ByteView bytes(*known);
  run.times = static_cast<std::uint32_t>(load_le(bytes.substr(0, 4)));
  run.last_ms = load_le(bytes.substr(4, 8));
  run.first_ms = load_le(bytes.substr(12, 8));
  return run;
}

Status WrongPins::count(const std::string& key, const std::string& whose, std::uint32_t free_tries) {
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  WRACKLINE_TRY_VALUE(run, in_a_row(key));
  const std::uint32_t wrong = run.times;
  const WallMs last = run.last_ms;
  const WallMs now = wall_clock_();
  const WallMs wait = wait_after(wrong, free_tries);
  const auto put = [&](std::uint32_t count) -> Status {
    Bytes value;
    append_le(value, count, 4);
    append_le(value, now, 8);
    append_le(value, wrong == 0 ? now : run.first_ms, 8);
    WRACKLINE_TRY(store_.set_meta(key, value));
    return write.commit();
  };
  const bool clock_went_back = now < last;  // The wait begins anew, or setting the clock would end it.
  if (wait > 0 && (clock_went_back || now - last < wait)) {
    if (clock_went_back) WRACKLINE_TRY(put(wrong));
    const WallMs left = clock_went_back ? wait : wait - (now - last);
    return fail(ErrorCode::kRateLimited, "checking a PIN: " + whose + " was wrong " + std::to_string(wrong) +
                                             " times here; nobody was signed in and nothing was changed; try again in " +
                                             std::to_string((left + 999) / 1000) + " s");
  }
  return put(wrong + 1);
}

}  // namespace wrackline
