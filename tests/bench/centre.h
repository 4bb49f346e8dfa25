// An invented centre that grows day by day: 60 animals, four meals of five foods each, so 1440 records a day, and a weighing a
// week. The same numbers each time. Its replica is the hub, so that tablets can exchange with it.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include <records.pb.h>

#include "model/kinds.h"
#include "replica/author.h"
#include "replica/replica.h"
#include "support/seeded_keystore.h"

namespace wrackline::bench {

class Centre {
 public:
  static constexpr int kMealsPerDay = 4;
  static constexpr Day kFirstDay = 20'000;

  Centre(const std::string& path, int animals);

  void log_day();
  Replica& replica() { return *replica_; }
  Membership membership(const std::string& device) const;
  // Closes the database and opens it again; the time between is the caller's to take.
  void close() { replica_.reset(); }
  void open();

  const std::vector<RecordId>& animals() const { return animals_; }
  const std::vector<RecordId>& foods() const { return foods_; }
  RecordId person() const { return person_; }
  Day last_day() const { return next_day_ - 1; }
  std::uint64_t records() const { return records_; }
  WallMs now() { return clock_ += 100; }

 private:
  Replica::Options options();
  RecordId log_one(Kind kind, const google::protobuf::MessageLite& message);
  void set_up(int animals);
  std::uint32_t random(std::uint32_t n);

  std::string path_;
  SeededKeystore keystore_;
  WallMs clock_ = static_cast<WallMs>(kFirstDay) * kDayMs;
  std::unique_ptr<Replica> replica_;
  RecordId person_, pool_;
  std::vector<RecordId> foods_, animals_;
  Day next_day_ = kFirstDay;
  std::uint64_t state_ = 11;
  std::uint64_t records_ = 0;
};

void put(RecordId id, proto::RecordRef& out);
NewRecord record_of(Kind kind, const google::protobuf::MessageLite& message);

}  // namespace wrackline::bench
