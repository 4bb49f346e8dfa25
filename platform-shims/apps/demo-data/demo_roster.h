// The roster says who and what is at the centre from the first day on, and how it is recorded.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "demo_device.h"

namespace wrackline::demo {

struct LineSpec {
  const char* food;
  std::uint32_t slot_min;
  std::uint32_t weekdays;  // 0 is every day.
  std::int64_t mass_g;
  const char* preparation = "";
  const char* presentation = "";
};

struct AnimalSpec {
  const char* name;
  const char* taxon;
  const char* pool;
  std::uint32_t heads;  // 1 for an animal.
  bool on_north;        // The tablet that its keepers carry.
  std::int64_t body_g;  // 0: never weighed.
  int weighed_every_days;
  int arrives;  // Day of the story.
  const char* marks;
  std::vector<LineSpec> lines;
};

const std::vector<AnimalSpec>& animals();

struct PoolSpec {
  const char* name;
  const char* area;
  std::uint64_t volume_l;
  std::int64_t temperature_mc;  // In the middle of the year's swing.
  std::int64_t salinity;        // Thousandths; 0: fresh or dry.
};
const std::vector<PoolSpec>& pools();
const std::vector<const char*>& areas();

// Weekday bits, Monday first.
inline bool is_due(const LineSpec& line, int weekday) {
  return line.weekdays == 0 || (line.weekdays >> weekday & 1) != 0;
}

struct Roster {
  std::map<std::string, proto::RecordRef> people, areas, pools, animals, foods, enrichers, cues;
};

// Records all of it at the desk, plans and code lists too. `first_day` is when the plans begin.
Result<Roster> record_roster(Device& desk, const proto::RecordRef& admin, Day first_day);

// A diet plan by the lines of an animal.
proto::DietPlan diet_plan(const AnimalSpec& animal, const Roster& roster, Day first_day,
                          std::int64_t permille);

}  // namespace wrackline::demo
