// dosing/dose_guard.h: what speaks against a dose is said, with its certainty, and nothing is decided.
#include "dosing/dose_guard.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;

namespace {

constexpr Day kToday = 20'000;
constexpr WallMs kMidnight = kToday * kDayMs;

KnownDose known(WallMs at_ms, DoseOutcome outcome, std::uint32_t slot = 8 * 60, bool amount_known = true) {
  const Day day = static_cast<Day>(at_ms / kDayMs);
  return {day, slot, at_ms, day, outcome, amount_known};
}

NewDose at(WallMs at_ms, std::uint32_t slot = 20 * 60) {
  const Day day = static_cast<Day>(at_ms / kDayMs);
  return {day, slot, at_ms, day, std::nullopt};
}

std::vector<DoseFinding> findings(const std::vector<DoseRemark>& remarks) {
  std::vector<DoseFinding> out;
  for (const DoseRemark& remark : remarks) out.push_back(remark.finding);
  return out;
}

using Findings = std::vector<DoseFinding>;

const DoseRemark& only(const std::vector<DoseRemark>& remarks) {
  REQUIRE(remarks.size() == 1);
  return remarks[0];
}

}  // namespace

TEST_CASE("without limits and doses nothing speaks against one", "[dosing]") {
  CHECK(judge_dose({}, {}, at(kMidnight)).empty());
  CHECK(judge_dose({360, 2, {20 * 60}, 60}, {}, at(kMidnight)).empty());
}

TEST_CASE("a slot that has a dose says so, by what became of it", "[dosing]") {
  const auto judged = [](DoseOutcome outcome) {
    return judge_dose({}, {known(kMidnight + 8 * kHourMs, outcome)}, at(kMidnight + 9 * kHourMs, 8 * 60));
  };
  CHECK(only(judged(DoseOutcome::kGiven)).finding == DoseFinding::kAlreadyGiven);
  CHECK(only(judged(DoseOutcome::kGiven)).certain);
  CHECK(only(judged(DoseOutcome::kGiven)).known == 0u);
  CHECK(only(judged(DoseOutcome::kPart)).finding == DoseFinding::kAlreadyGiven);
  CHECK(only(judged(DoseOutcome::kUnknown)).finding == DoseFinding::kAlreadyGiven);
  CHECK_FALSE(only(judged(DoseOutcome::kUnknown)).certain);
  for (const DoseOutcome none : {DoseOutcome::kRefused, DoseOutcome::kHeld, DoseOutcome::kLost})
    CHECK(only(judged(none)).finding == DoseFinding::kAlreadyEntered);
  CHECK(
      judge_dose({}, {known(kMidnight + 8 * kHourMs, DoseOutcome::kGiven)}, at(kMidnight + 9 * kHourMs)).empty());
  // The slot of another day is another dose.
  CHECK(
      judge_dose({}, {known(kMidnight - 16 * kHourMs, DoseOutcome::kGiven)}, at(kMidnight + 8 * kHourMs, 8 * 60))
          .empty());
}

TEST_CASE("too soon says how many minutes remain, and the whole interval is enough", "[dosing]") {
  const DoseLimits limits{360, std::nullopt, {}, std::nullopt};
  const std::vector<KnownDose> eight{known(kMidnight + 8 * kHourMs, DoseOutcome::kGiven)};
  const auto remark = only(judge_dose(limits, eight, at(kMidnight + 13 * kHourMs)));
  CHECK(remark.finding == DoseFinding::kTooSoon);
  CHECK(remark.minutes == 60);
  CHECK(remark.known == 0u);
  CHECK(judge_dose(limits, eight, at(kMidnight + 14 * kHourMs)).empty());
  // A millisecond short is a begun minute.
  CHECK(only(judge_dose(limits, eight, at(kMidnight + 14 * kHourMs - 1))).minutes == 1);
  CHECK(only(judge_dose(limits, eight, at(kMidnight + 8 * kHourMs))).minutes == 360);
}

TEST_CASE("a dose entered afterwards is held against the one that followed it", "[dosing]") {
  const DoseLimits limits{360, std::nullopt, {}, std::nullopt};
  const std::vector<KnownDose> noon{known(kMidnight + 12 * kHourMs, DoseOutcome::kGiven)};
  const auto remark = only(judge_dose(limits, noon, at(kMidnight + 8 * kHourMs)));
  CHECK(remark.finding == DoseFinding::kTooCloseBefore);
  CHECK(remark.minutes == 120);
  CHECK(judge_dose(limits, noon, at(kMidnight + 6 * kHourMs)).empty());
}

TEST_CASE("the nearest of several earlier doses counts", "[dosing]") {
  const DoseLimits limits{360, std::nullopt, {}, std::nullopt};
  const std::vector<KnownDose> doses{known(kMidnight + 9 * kHourMs, DoseOutcome::kGiven),
                                     known(kMidnight + 11 * kHourMs, DoseOutcome::kGiven, 11 * 60),
                                     known(kMidnight + 10 * kHourMs, DoseOutcome::kGiven, 10 * 60)};
  const auto remark = only(judge_dose(limits, doses, at(kMidnight + 12 * kHourMs)));
  CHECK(remark.known == 1u);
  CHECK(remark.minutes == 300);
}

TEST_CASE("a dose of which nobody knows counts as possibly given, beside the certain one", "[dosing]") {
  const DoseLimits limits{360, std::nullopt, {}, std::nullopt};
  const std::vector<KnownDose> doses{known(kMidnight + 8 * kHourMs, DoseOutcome::kGiven),
                                     known(kMidnight + 11 * kHourMs, DoseOutcome::kUnknown, 11 * 60)};
  const auto remarks = judge_dose(limits, doses, at(kMidnight + 12 * kHourMs));
  REQUIRE(findings(remarks) == Findings{DoseFinding::kTooSoon, DoseFinding::kTooSoon});
  CHECK(remarks[0].certain);
  CHECK(remarks[0].minutes == 120);
  CHECK_FALSE(remarks[1].certain);
  CHECK(remarks[1].minutes == 300);
}

TEST_CASE("what never went in counts for no interval and no day", "[dosing]") {
  const DoseLimits limits{360, 1, {}, std::nullopt};
  for (const DoseOutcome none : {DoseOutcome::kRefused, DoseOutcome::kHeld, DoseOutcome::kLost})
    CHECK(judge_dose(limits, {known(kMidnight + 8 * kHourMs, none)}, at(kMidnight + 9 * kHourMs)).empty());
}

TEST_CASE("the daily maximum counts the husbandry day of the giving", "[dosing]") {
  const DoseLimits limits{std::nullopt, 2, {}, std::nullopt};
  const KnownDose first = known(kMidnight + 1 * kHourMs, DoseOutcome::kGiven, 60);
  const KnownDose second = known(kMidnight + 8 * kHourMs, DoseOutcome::kPart);
  const KnownDose perhaps = known(kMidnight + 9 * kHourMs, DoseOutcome::kUnknown, 9 * 60);
  const NewDose now = at(kMidnight + 20 * kHourMs);
  CHECK(judge_dose(limits, {first}, now).empty());
  CHECK(only(judge_dose(limits, {first, second}, now)).finding == DoseFinding::kDailyMax);
  CHECK(only(judge_dose(limits, {first, second}, now)).certain);
  CHECK_FALSE(only(judge_dose(limits, {first, perhaps}, now)).certain);
  CHECK(only(judge_dose(limits, {first, perhaps, second}, now)).certain);
  // Yesterday's last dose, given after midnight, is today's.
  KnownDose late = first;
  late.due_day = kToday - 1;
  CHECK(only(judge_dose(limits, {late, second}, now)).finding == DoseFinding::kDailyMax);
  CHECK(judge_dose(limits, {first, second}, at(kMidnight + 25 * kHourMs)).empty());
}

TEST_CASE("an amount that is not known is said of each dose that was counted", "[dosing]") {
  const DoseLimits limits{360, 1, {}, std::nullopt};
  const std::vector<KnownDose> doses{known(kMidnight + 8 * kHourMs, DoseOutcome::kPart, 8 * 60, false),
                                     known(kMidnight - 8 * kHourMs, DoseOutcome::kPart, 16 * 60, false)};
  const auto remarks = judge_dose(limits, doses, at(kMidnight + 9 * kHourMs));
  REQUIRE(findings(remarks) ==
          Findings{DoseFinding::kTooSoon, DoseFinding::kDailyMax, DoseFinding::kAmountNotKnown});
  CHECK(remarks[2].known == 0u);
  CHECK(remarks[2].certain);
  // A refused dose has no amount to be unknown.
  CHECK(findings(judge_dose({}, {known(kMidnight, DoseOutcome::kRefused, 20 * 60, false)}, at(kMidnight))) ==
        Findings{DoseFinding::kAlreadyEntered});
}

TEST_CASE("early and late are beyond the tolerance, with the minutes from the slot", "[dosing]") {
  const DoseLimits limits{std::nullopt, std::nullopt, {8 * 60, 20 * 60}, 60};
  NewDose dose = at(kMidnight + 20 * kHourMs);
  dose.due_ms = kMidnight + 20 * kHourMs;
  const auto judged = [&](WallMs at_ms) {
    dose.at_ms = at_ms;
    return judge_dose(limits, {}, dose);
  };
  CHECK(judged(kMidnight + 19 * kHourMs).empty());
  CHECK(judged(kMidnight + 21 * kHourMs).empty());
  CHECK(only(judged(kMidnight + 19 * kHourMs - 1)).finding == DoseFinding::kEarly);
  CHECK(only(judged(kMidnight + 19 * kHourMs - 1)).minutes == 61);
  CHECK(only(judged(kMidnight + 22 * kHourMs)).finding == DoseFinding::kLate);
  CHECK(only(judged(kMidnight + 22 * kHourMs)).minutes == 120);
}

TEST_CASE("a slot that the order does not have is said", "[dosing]") {
  const DoseLimits limits{std::nullopt, std::nullopt, {8 * 60}, std::nullopt};
  CHECK(only(judge_dose(limits, {}, at(kMidnight, 20 * 60))).finding == DoseFinding::kNotASlot);
  CHECK(judge_dose(limits, {}, at(kMidnight, 8 * 60)).empty());
  CHECK(judge_dose({}, {}, at(kMidnight, 20 * 60)).empty());
}

TEST_CASE("more knowledge never takes a finding away, and the order of knowing does not matter", "[dosing]") {
  Random random = test_random("dose guard");
  const DoseLimits limits{480, 3, {8 * 60, 16 * 60, 0}, 30};
  const std::vector<DoseOutcome> outcomes{DoseOutcome::kGiven, DoseOutcome::kPart, DoseOutcome::kRefused,
                                          DoseOutcome::kHeld,  DoseOutcome::kLost, DoseOutcome::kUnknown};
  const auto kinds = [](const std::vector<DoseRemark>& remarks) {
    std::vector<std::pair<DoseFinding, bool>> out;
    for (const DoseRemark& remark : remarks) out.emplace_back(remark.finding, remark.certain);
    std::sort(out.begin(), out.end());
    return out;
  };
  for (int i = 0; i < 1000; ++i) {
    std::vector<KnownDose> doses;
    for (std::uint64_t n = random.below(7); n > 0; --n) {
      doses.push_back(known(kMidnight - kDayMs + random.below(2 * kDayMs), random.pick(outcomes),
                            static_cast<std::uint32_t>(random.below(3) * 8 * 60), random.once_in(2)));
    }
    NewDose dose = at(kMidnight + random.below(kDayMs), static_cast<std::uint32_t>(random.below(3) * 8 * 60));
    dose.due_ms = kMidnight + dose.due_slot_min * kMinuteMs;
    const auto before = judge_dose(limits, doses, dose);
    std::vector<KnownDose> shuffled = doses;
    random.shuffle(shuffled);
    REQUIRE(kinds(judge_dose(limits, shuffled, dose)) == kinds(before));
    doses.push_back(known(kMidnight + random.below(kDayMs), random.pick(outcomes), 8 * 60, true));
    const Findings after = findings(judge_dose(limits, doses, dose));
    for (const DoseRemark& remark : before) {
      // A nearer dose may take the place of one whose amount is not known.
      if (remark.finding == DoseFinding::kAmountNotKnown) continue;
      REQUIRE(std::count(after.begin(), after.end(), remark.finding) > 0);
    }
  }
}
