// Readings beside limits: both ends, units and bases that differ, rows nobody has verified, and rows that are
// none.
#include "water/limits.h"

#include <catch2/catch.hpp>

using namespace wrackline;

namespace {

LimitRow ph_row() { return {"pH", "thousandths", "NBS scale", 7'200, 8'500, "a permit, 2024", true}; }

LimitReading ph(std::optional<std::int64_t> value) { return {"pH", "thousandths", "NBS scale", value}; }

LimitVerdict verdict(const LimitReading& reading, const LimitRow& row) {
  const std::vector<LimitJudgement> judgements = judge_reading(reading, {row});
  REQUIRE(judgements.size() == 1);
  return judgements[0].verdict;
}

}  // namespace

TEST_CASE("the limits themselves are inside", "[water]") {
  CHECK(verdict(ph(7'199), ph_row()) == LimitVerdict::kBelow);
  CHECK(verdict(ph(7'200), ph_row()) == LimitVerdict::kInside);
  CHECK(verdict(ph(8'500), ph_row()) == LimitVerdict::kInside);
  CHECK(verdict(ph(8'501), ph_row()) == LimitVerdict::kAbove);
}

TEST_CASE("a row may have one end only", "[water]") {
  LimitRow high_only = ph_row();
  high_only.low.reset();
  CHECK(verdict(ph(-5), high_only) == LimitVerdict::kInside);
  CHECK(verdict(ph(8'501), high_only) == LimitVerdict::kAbove);
  LimitRow low_only = ph_row();
  low_only.high.reset();
  CHECK(verdict(ph(7'199), low_only) == LimitVerdict::kBelow);
  CHECK(verdict(ph(14'000), low_only) == LimitVerdict::kInside);
}

TEST_CASE("what was not measured is neither inside nor outside", "[water]") {
  CHECK(verdict(ph(std::nullopt), ph_row()) == LimitVerdict::kNotMeasured);
}

TEST_CASE("another unit or basis is not compared", "[water]") {
  LimitReading other_unit = ph(8'000);
  other_unit.unit = "hundredths";
  CHECK(verdict(other_unit, ph_row()) == LimitVerdict::kNotComparable);
  // A redox potential against another electrode is another number.
  const LimitRow redox = {"redox potential", "mV", "against the standard hydrogen electrode", 600, 750,
                          "a permit, 2024",  true};
  const LimitReading probe = {"redox potential", "mV", "against Ag/AgCl in 3 mol/l KCl", 700};
  CHECK(verdict(probe, redox) == LimitVerdict::kNotComparable);
}

TEST_CASE("every row of the quantity answers for itself, in order, and says whether it is verified",
          "[water]") {
  LimitRow unverified = ph_row();
  unverified.high = 8'000;
  unverified.verified = false;
  LimitRow broken = ph_row();
  broken.source.clear();
  const LimitRow salinity = {"salinity", "millionths", "", 15'000'000, 36'000'000, "9 CFR 3.106, 2015", true};
  const std::vector<LimitJudgement> judgements =
      judge_reading(ph(8'200), {salinity, unverified, broken, ph_row()});
  REQUIRE(judgements.size() == 3);
  CHECK(judgements[0].row == 1);
  CHECK(judgements[0].verdict == LimitVerdict::kAbove);
  CHECK_FALSE(judgements[0].verified);
  CHECK(judgements[1].row == 2);
  CHECK(judgements[1].verdict == LimitVerdict::kRowUnusable);
  CHECK(judgements[2].row == 3);
  CHECK(judgements[2].verdict == LimitVerdict::kInside);
  CHECK(judgements[2].verified);
  CHECK(judge_reading({"nitrate", "ng/L", "as N", 1}, {ph_row()}).empty());
}

TEST_CASE("a row that limits nothing, or nobody wrote down, is refused", "[water]") {
  CHECK(check_limit_row(ph_row()));
  const auto refused = [](void (*spoil)(LimitRow&)) {
    LimitRow row = ph_row();
    spoil(row);
    return check_limit_row(row).error().code == ErrorCode::kInvalid;
  };
  CHECK(refused([](LimitRow& row) { row.quantity.clear(); }));
  CHECK(refused([](LimitRow& row) { row.unit.clear(); }));
  CHECK(refused([](LimitRow& row) { row.source.clear(); }));
  CHECK(refused([](LimitRow& row) { row.low = 8'501; }));
  CHECK(refused([](LimitRow& row) {
    row.low.reset();
    row.high.reset();
  }));
}
