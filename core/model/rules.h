// The rules of a kind are written with these: reading the fields, and naming what is wrong (model/problem.h).
//
// Internal to core/model.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "model/kinds.h"
#include "model/problem.h"

namespace wrackline {

// Appends the problem when `ok` is false. `field` is the one to look at first.
inline void expect(Problems& problems, bool ok, std::uint32_t field, ProblemCode code) {
  if (!ok) problems.push_back({code, field, {}});
}

// Bounds that only a slip of the hand or a mixed-up unit oversteps. Wide on purpose: they are to catch a
// thousandfold error, not to judge an animal. No source; common sense.
inline constexpr std::uint64_t kPortionMgMax = 1'000'000'000;   // 1000 kg
inline constexpr std::uint64_t kBodyMgMax = 1'000'000'000'000;  // 1000 t, all heads of a group together
inline constexpr std::uint64_t kLengthUmMax = 100'000'000;      // 100 m
inline constexpr std::uint32_t kHeadCountMax = 10'000'000;
inline constexpr std::uint32_t kSoakPpmMin = 10'000;         // A control that shrank to 1 %
inline constexpr std::uint32_t kSoakPpmMax = 20'000'000;     // or grew twentyfold.
inline constexpr std::uint32_t kEnergyCalPerGMax = 10'000;   // Pure fat is about 9000.
inline constexpr std::uint64_t kDoseUgMax = 10'000'000'000;  // 10 kg
inline constexpr std::uint64_t kDoseUlMax = 1'000'000'000;   // 1000 l
inline constexpr std::uint64_t kDoseUnitsMax = 1'000'000'000'000;
inline constexpr std::uint32_t kIntervalMinMax = 366 * 24 * 60;  // One year
inline constexpr std::uint32_t kMinutesPerDay = 24 * 60;
inline constexpr std::uint32_t kLockAfterMinMax = 4 * 60;
inline constexpr std::uint32_t kProofHoursMax = 14 * 24;
inline constexpr std::uint32_t kDaysMax = 3660;  // The longest gap or interval: ten years
inline constexpr Day kDayMin = -25567;                     // 1900-01-01
inline constexpr Day kDayMax = 84005;                      // 2199-12-31
inline constexpr std::int32_t kUtcOffsetMinMax = 14 * 60;  // Either side; +14:00 is the widest in use.

inline bool is_plausible_day(Day day) { return day >= kDayMin && day <= kDayMax; }

// True when there is something else than blanks to read.
bool has_text(const std::string& text);

// The local calendar day at an instant: rounds down, also before 1970. `happened_ms` and the offset must be
// plausible.
Day local_day(std::uint64_t happened_ms, std::int32_t utc_offset_min);

// The rules of each kind; see kinds.h for the contract.
void validate_facility(ByteView fields, Problems& problems);
void validate_person(ByteView fields, Problems& problems);
void validate_device(ByteView fields, Problems& problems);
void validate_pool(ByteView fields, Problems& problems);
void validate_animal(ByteView fields, Problems& problems);
void validate_food(ByteView fields, Problems& problems);
void validate_diet_plan(ByteView fields, Problems& problems);
void validate_meal(ByteView fields, Problems& problems);
void validate_portion(ByteView fields, Problems& problems);
void validate_measure(ByteView fields, Problems& problems);
void validate_observation(ByteView fields, Problems& problems);
void validate_treatment_order(ByteView fields, Problems& problems);
void validate_administration(ByteView fields, Problems& problems);
void validate_lot(ByteView fields, Problems& problems);
void validate_stock_movement(ByteView fields, Problems& problems);
void validate_thaw_batch(ByteView fields, Problems& problems);
void validate_enricher(ByteView fields, Problems& problems);
void validate_inspection(ByteView fields, Problems& problems);
void validate_enrichment_use(ByteView fields, Problems& problems);
void validate_enrichment_plan(ByteView fields, Problems& problems);
void validate_cue(ByteView fields, Problems& problems);
void validate_training_session(ByteView fields, Problems& problems);
void validate_watch_plan(ByteView fields, Problems& problems);
void validate_code(ByteView fields, Problems& problems);
void validate_scan(ByteView fields, Problems& problems);
void validate_water_reading(ByteView fields, Problems& problems);
void validate_water_limit(ByteView fields, Problems& problems);
void validate_tag(ByteView fields, Problems& problems);
void validate_move(ByteView fields, Problems& problems);
void validate_hygiene_check(ByteView fields, Problems& problems);
void validate_day_close(ByteView fields, Problems& problems);
void validate_site_limit(ByteView fields, Problems& problems);
void validate_hold(ByteView fields, Problems& problems);
void validate_presence(ByteView fields, Problems& problems);
void validate_hub_act(ByteView fields, Problems& problems);
void validate_pin_warning(ByteView fields, Problems& problems);
void validate_former_role(ByteView fields, Problems& problems);
void validate_area(ByteView fields, Problems& problems);
void validate_attachment(ByteView fields, Problems& problems);

}  // namespace wrackline
