#include "dosing/dose_guard.h"

#include <algorithm>

namespace wrackline {
namespace {


// Whether a dose is in the animal.
enum class Presence { kNo, kPerhaps, kYes };

Presence presence(const KnownDose& dose) {
  switch (dose.outcome) {
    case DoseOutcome::kGiven:
    case DoseOutcome::kPart:
      return Presence::kYes;
    case DoseOutcome::kRefused:
    case DoseOutcome::kHeld:
    case DoseOutcome::kLost:
      return Presence::kNo;
    case DoseOutcome::kUnknown:
      break;
  }
  return Presence::kPerhaps;  // An outcome of a newer release counts too: not understood is not none.
}

std::uint64_t begun_minutes(std::uint64_t ms) { return ms / kMinuteMs + (ms % kMinuteMs != 0 ? 1 : 0); }

void judge_slot(const std::vector<KnownDose>& known_doses, const NewDose& dose,
                std::vector<DoseRemark>& out) {
  for (std::size_t i = 0; i < known_doses.size(); ++i) {
    const KnownDose& known = known_doses[i];
    if (known.due_day != dose.due_day || known.due_slot_min != dose.due_slot_min) continue;
    const Presence in_animal = presence(known);
    if (in_animal == Presence::kNo)
      out.push_back({DoseFinding::kAlreadyEntered, true, 0, i});
    else
      out.push_back({DoseFinding::kAlreadyGiven, in_animal == Presence::kYes, 0, i});
  }
}

// The nearest dose of the given presence on one side of `dose`, if it is nearer than the interval.
void judge_interval_side(std::uint64_t interval_ms, const std::vector<KnownDose>& known_doses,
                         const NewDose& dose, bool after, Presence wanted, std::vector<DoseRemark>& out) {
  std::optional<std::size_t> nearest;
  std::uint64_t nearest_ms = interval_ms;
  for (std::size_t i = 0; i < known_doses.size(); ++i) {
    const KnownDose& known = known_doses[i];
    const bool is_after = known.happened_ms > dose.at_ms;
    if (is_after != after || presence(known) != wanted) continue;
    const std::uint64_t apart_ms = after ? known.happened_ms - dose.at_ms : dose.at_ms - known.happened_ms;
    if (apart_ms >= nearest_ms) continue;
    nearest = i;
    nearest_ms = apart_ms;
  }
  if (!nearest) return;
  out.push_back({after ? DoseFinding::kTooCloseBefore : DoseFinding::kTooSoon, wanted == Presence::kYes,
                 begun_minutes(interval_ms - nearest_ms), nearest});
}

void judge_interval(const DoseLimits& limits, const std::vector<KnownDose>& known_doses, const NewDose& dose,
                    std::vector<DoseRemark>& out) {
  if (!limits.interval_min) return;
  const std::uint64_t interval_ms = *limits.interval_min * kMinuteMs;
  for (const bool after : {false, true}) {
    for (const Presence wanted : {Presence::kYes, Presence::kPerhaps})
      judge_interval_side(interval_ms, known_doses, dose, after, wanted, out);
  }
}

void judge_daily_max(const DoseLimits& limits, const std::vector<KnownDose>& known_doses, const NewDose& dose,
                     std::vector<DoseRemark>& out) {
  if (!limits.daily_max) return;
  std::size_t certain = 0, possible = 0;
  for (const KnownDose& known : known_doses) {
    if (known.happened_day != dose.at_day) continue;
    if (presence(known) == Presence::kYes) ++certain;
    if (presence(known) == Presence::kPerhaps) ++possible;
  }
  if (certain + possible >= *limits.daily_max)
    out.push_back({DoseFinding::kDailyMax, certain >= *limits.daily_max, 0, std::nullopt});
}

// Every dose whose amount nobody knows and that stands behind what was found.
void judge_amounts(const std::vector<KnownDose>& known_doses, const NewDose& dose,
                   std::vector<DoseRemark>& out) {
  std::vector<bool> behind(known_doses.size(), false);
  for (const DoseRemark& remark : out) {
    if (remark.known) behind[*remark.known] = true;
    if (remark.finding != DoseFinding::kDailyMax) continue;
    for (std::size_t i = 0; i < known_doses.size(); ++i)
      if (known_doses[i].happened_day == dose.at_day) behind[i] = true;
  }
  for (std::size_t i = 0; i < known_doses.size(); ++i) {
    const Presence in_animal = presence(known_doses[i]);
    if (behind[i] && in_animal != Presence::kNo && !known_doses[i].amount_known)
      out.push_back({DoseFinding::kAmountNotKnown, in_animal == Presence::kYes, 0, i});
  }
}

void judge_time(const DoseLimits& limits, const NewDose& dose, std::vector<DoseRemark>& out) {
  const std::vector<std::uint32_t>& slots = limits.slots_min;
  if (!slots.empty() && std::find(slots.begin(), slots.end(), dose.due_slot_min) == slots.end())
    out.push_back({DoseFinding::kNotASlot, true, 0, std::nullopt});
  if (!dose.due_ms || !limits.tolerance_min) return;
  const std::uint64_t tolerance_ms = *limits.tolerance_min * kMinuteMs;
  const bool late = dose.at_ms > *dose.due_ms;
  const std::uint64_t off_ms = late ? dose.at_ms - *dose.due_ms : *dose.due_ms - dose.at_ms;
  if (off_ms > tolerance_ms)
    out.push_back(
        {late ? DoseFinding::kLate : DoseFinding::kEarly, true, begun_minutes(off_ms), std::nullopt});
}

}  // namespace

std::vector<DoseRemark> judge_dose(const DoseLimits& limits, const std::vector<KnownDose>& known_doses,
                                   const NewDose& dose) {
  std::vector<DoseRemark> out;
  judge_slot(known_doses, dose, out);
  judge_interval(limits, known_doses, dose, out);
  judge_daily_max(limits, known_doses, dose, out);
  judge_amounts(known_doses, dose, out);
  judge_time(limits, dose, out);
  std::stable_sort(out.begin(), out.end(), [](const DoseRemark& a, const DoseRemark& b) {
    if (a.finding != b.finding) return a.finding < b.finding;
    return a.known.value_or(0) < b.known.value_or(0);
  });
  return out;
}

}  // namespace wrackline
