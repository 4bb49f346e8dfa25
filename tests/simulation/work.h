// This file says what people do at one site: feeding, dosing, correcting, settling, striking, folding, deciding on what is held.
#pragma once

#include <vector>

#include "simulation/world.h"

namespace wrackline {

class Work {
 public:
  Work(World& world, Random& random) : world_(world), random_(random) {}
  // The animals, foods and orders all work is about, at the hub's desk.
  void prepare();
  // The one whom everybody knows, mostly, or another whose record is here.
  RecordId who(Site& site);
  // One act of somebody at this site. It may be refused, and nothing is acknowledged then.
  void act(Site& site);

 private:
  void log_meal(Site& site);
  void log_dose(Site& site);
  void log_person(Site& site);
  void change_roles(Site& site);
  void edit(Site& site);
  void edit_several(Site& site);
  void review(Site& site);
  void decide_on_hold(Site& site);
  void log(Site& site, const std::vector<NewRecord>& records, std::vector<RecordId>& into);
  RecordId pick(const std::vector<RecordId>& records);
  Bytes maybe_of_newer_release();

  World& world_;
  Random& random_;
  Bytes some_roles();
  std::vector<RecordId> animals_, foods_, orders_, meals_, portions_, doses_, people_;
};

}  // namespace wrackline
