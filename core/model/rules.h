// This file says what the rules of a kind are written with: reading the fields, and saying what is wrong in a sentence.
//
// Internal to core/model. A sentence says what is wrong and how to mend it, in a keeper's words. It names
// fields, never their contents: sentences reach logs and error replies, and records do not belong there. One exception: of notation that
// is misread (dosing/risky_notation.h) the few signs in question, so that they are found.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "model/kinds.h"

namespace wrackline {

// Appends `sentence` when `ok` is false.
inline void expect(std::vector<std::string>& problems, bool ok, const char* sentence) {
  if (!ok) problems.emplace_back(sentence);
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
inline constexpr std::uint32_t kDaysMax = 3660;  // Of a gap or an interval: ten years
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
void validate_facility(ByteView fields, std::vector<std::string>& problems);
void validate_person(ByteView fields, std::vector<std::string>& problems);
void validate_device(ByteView fields, std::vector<std::string>& problems);
void validate_pool(ByteView fields, std::vector<std::string>& problems);
void validate_animal(ByteView fields, std::vector<std::string>& problems);
void validate_food(ByteView fields, std::vector<std::string>& problems);
void validate_diet_plan(ByteView fields, std::vector<std::string>& problems);
void validate_meal(ByteView fields, std::vector<std::string>& problems);
void validate_portion(ByteView fields, std::vector<std::string>& problems);
void validate_measure(ByteView fields, std::vector<std::string>& problems);
void validate_observation(ByteView fields, std::vector<std::string>& problems);
void validate_treatment_order(ByteView fields, std::vector<std::string>& problems);
void validate_administration(ByteView fields, std::vector<std::string>& problems);
void validate_lot(ByteView fields, std::vector<std::string>& problems);
void validate_stock_movement(ByteView fields, std::vector<std::string>& problems);
void validate_thaw_batch(ByteView fields, std::vector<std::string>& problems);
void validate_enricher(ByteView fields, std::vector<std::string>& problems);
void validate_inspection(ByteView fields, std::vector<std::string>& problems);
void validate_enrichment_use(ByteView fields, std::vector<std::string>& problems);
void validate_enrichment_plan(ByteView fields, std::vector<std::string>& problems);
void validate_cue(ByteView fields, std::vector<std::string>& problems);
void validate_training_session(ByteView fields, std::vector<std::string>& problems);
void validate_watch_plan(ByteView fields, std::vector<std::string>& problems);
void validate_code(ByteView fields, std::vector<std::string>& problems);
void validate_scan(ByteView fields, std::vector<std::string>& problems);
void validate_water_reading(ByteView fields, std::vector<std::string>& problems);
void validate_water_limit(ByteView fields, std::vector<std::string>& problems);
void validate_tag(ByteView fields, std::vector<std::string>& problems);
void validate_move(ByteView fields, std::vector<std::string>& problems);
void validate_hygiene_check(ByteView fields, std::vector<std::string>& problems);
void validate_day_close(ByteView fields, std::vector<std::string>& problems);
void validate_site_limit(ByteView fields, std::vector<std::string>& problems);
void validate_hold(ByteView fields, std::vector<std::string>& problems);
void validate_presence(ByteView fields, std::vector<std::string>& problems);
void validate_hub_act(ByteView fields, std::vector<std::string>& problems);
void validate_pin_warning(ByteView fields, std::vector<std::string>& problems);
void validate_former_role(ByteView fields, std::vector<std::string>& problems);
void validate_area(ByteView fields, std::vector<std::string>& problems);
void validate_attachment(ByteView fields, std::vector<std::string>& problems);

}  // namespace wrackline
