// The limits in account for one pool, and what readings come to beside them.
#pragma once

#include <husbandry.pb.h>
#include <records.pb.h>

#include <string>

#include "reading/gather.h"

namespace wrackline {

using WaterReadings = std::vector<Gathered<proto::WaterReading>>;
using WaterLimitRow = Gathered<proto::WaterLimit>;

// A row of this pool takes the place of the row of every pool, property by property: one may give the bounds and another
// how often to read.
class PoolLimits {
 public:
  static Result<PoolLimits> gather_for(Replica& replica, Place pool);

  // The first row whose bounds the value leaves decides, else the first row; there is no limit when there is
  // no row.
  struct Judged {
    proto::Judgement judgement = proto::JUDGEMENT_UNSPECIFIED;
    const WaterLimitRow* limit = nullptr;
  };
  Judged judge(proto::Parameter parameter, std::int64_t value) const;

  // The row with the lowest high limit for this property, or none.
  const WaterLimitRow* high_of(proto::Parameter parameter) const;

  struct Overdue {
    const WaterLimitRow* limit = nullptr;  // The one that asks most often.
    WallMs last_ms = 0;                    // 0: none among the readings.
  };
  // The list is in the order of the parameters. A reading without a time counts as of the beginning of its
  // day, UTC.
  std::vector<Overdue> overdue(const WaterReadings& readings, WallMs now_ms) const;

 private:
  // Rows of the property for which `says` holds: the pool's own, or else those of every pool.
  std::vector<const WaterLimitRow*> rows_of(proto::Parameter parameter,
                                            bool (*says)(const proto::WaterLimit&)) const;

  std::vector<WaterLimitRow> own_, general_;
};

// "oxygen saturation": the words a property goes by where no app has put it into others.
std::string parameter_words(proto::Parameter parameter);

}  // namespace wrackline
