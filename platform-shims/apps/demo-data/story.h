// The story says what happens at the centre from day to day, and who writes it down where.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "demo_device.h"
#include "demo_roster.h"
#include "dice.h"
#include "text/local_time.h"

namespace wrackline::demo {

struct Devices {
  std::unique_ptr<Device> desk, north, south;
};

class Story {
 public:
  Story(Dice dice, const text::Zone& zone, Devices& devices, HubSide& hub, Roster roster, Day first_day,
        int days);

  // Writes one day after the other. Errors: what a call says.
  Status tell();

  // The hub and all three devices hold the same afterwards.
  Status exchange_all(Day day, std::uint32_t minute);

 private:
  static constexpr std::size_t kSila = 0, kVipp = 4, kLastSeasonal = 6;  // In animals().

  struct Illness {
    int from = 0, days = 0;
    proto::RecordRef order;
    std::uint64_t dose_ug = 0;
    bool per_kg = false;
  };
  // A meal and its portions, to be logged together.
  struct Fed {
    proto::Meal meal;
    std::vector<proto::Portion> portions;
  };
  struct Late {
    int day;
    bool on_north;
    Fed fed;
  };
  struct Correction {
    int day;
    bool on_north;
    proto::RecordRef portion;
    std::uint64_t left_mg;
  };
  struct Store {
    proto::RecordRef lot;
    std::int64_t book_mg = 0, used_mg = 0;
    proto::RecordRef batch;        // Thawed for today.
    std::int64_t batch_mg = 0;
    std::int64_t thaw_mg = 0;      // Taken out last night, to be written down in the morning.
    int lots = 0;
  };

  // ---- Before the day ----
  void plan_illnesses();
  Status arrive(int t);        // The pup, in the second year.
  Status change_plans(int t);  // With the season.
  Status order_treatments(int t);
  Status receive_food(int t);
  Status find_thawed(int t);
  // ---- At the pools ----
  Status keep(int t, bool on_north, bool morning);
  void feed(Batch& batch, int t, std::size_t animal, bool morning);
  Fed fed_at(int t, std::size_t animal, std::uint32_t slot_min);
  void add_fed(Batch& batch, const Fed& fed, const std::string& reason = {});
  void treat(Batch& batch, int t, std::size_t animal, bool morning);
  void look(Batch& batch, int t, std::size_t animal);
  void weigh(Batch& batch, int t, std::size_t animal);
  void busy(Batch& batch, int t, bool on_north);
  void train(Batch& batch, int t);
  void watch(Batch& batch, int t);
  void read_water(Batch& batch, int t, bool on_north);
  void check_places(Batch& batch, int t, bool on_north);
  Status correct(int t);
  // ---- At the desk ----
  Status close_day(int t);
  Status disagree(int t);
  Status settle(int t);

  Day day(int t) const { return first_day_ + t; }
  WallMs at(int t, std::uint32_t minute) const;
  int weekday(int t) const { return text::weekday_of(day(t)); }
  // Goes from -1000 to 1000 and back in a year, lowest in February.
  std::int64_t season(int t) const;
  std::int64_t appetite_permille(int t, std::size_t animal);
  std::int64_t body_mg(int t, std::size_t animal) const;
  bool is_here(int t, std::size_t animal) const { return t >= animals()[animal].arrives; }
  const Illness* illness(int t, std::size_t animal) const;
  const proto::RecordRef& keeper(int t, bool on_north) const;
  Device& tablet(bool on_north) { return on_north ? *devices_.north : *devices_.south; }
  const proto::RecordRef& animal_ref(std::size_t animal) const {
    return roster_.animals.at(animals()[animal].name);
  }
  template <typename Event>
  void set_instant(Event& event, int t, std::uint32_t minute) const;
  template <typename Event>
  void set_time(Event& event, int t, std::uint32_t minute) const;

  Dice dice_;
  const text::Zone& zone_;
  Devices& devices_;
  HubSide& hub_;
  Roster roster_;
  Day first_day_;
  int days_;
  std::vector<std::vector<Illness>> illnesses_;  // The illnesses of each animal.
  std::map<std::string, Store> stores_;          // The store of each food.
  // The size of the seals' and penguins' plans, which goes with the season.
  std::int64_t plan_permille_ = 1000;
  std::vector<Late> late_;
  std::vector<Correction> corrections_;
  std::vector<std::pair<std::uint32_t, proto::Portion>>
      weighed_;  // Portions of the batch being written, by index.
  std::optional<std::uint32_t> sila_meal_at_, sila_mass_at_;  // In that batch.
  proto::RecordRef vitamins_, sila_meal_, last_mass_;
  proto::RecordRef shared_mass_;              // The last one that all devices hold.
  proto::RecordRef meal_first_, meal_again_;  // A double entry that waits for the officer.
  proto::RecordRef disputed_;                 // A mass that two people corrected, as well.
};

template <typename Event>
void Story::set_instant(Event& event, int t, std::uint32_t minute) const {
  const text::When when = zone_.when(at(t, minute));
  event.set_happened_ms(when.happened_ms);
  event.set_utc_offset_min(when.utc_offset_min);
}

template <typename Event>
void Story::set_time(Event& event, int t, std::uint32_t minute) const {
  set_instant(event, t, minute);
  event.set_day(day(t));
}

}  // namespace wrackline::demo
