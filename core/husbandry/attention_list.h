// The list of what a vet or curator should know of today, as it is made. For call/attention_*.cc alone.
//
// How far it looks back: a state that lasts (not eating, water outside, an open correction) is found in the
// records of the last 35 days; a thing that happened once (a dose, a failed check, a thaw) is told of for a
// week.
//
// An entry that somebody wrote is judged at the present time. An entry that nobody wrote is judged at the
// time of the last exchange with the hub, since others may have written it meanwhile: a tablet that never
// exchanged calls nothing missed.
#pragma once

#include <husbandry.pb.h>
#include <records.pb.h>

#include <string>

#include "reading/roster.h"
#include "reading/zone.h"

namespace wrackline {

class AttentionList {
 public:
  static constexpr Day kLastingDays = 35;
  static constexpr Day kEventDays = 7;

  AttentionList(Replica& replica, ZoneOffsets zone, DaySpan span, Day day, proto::AttentionReply& out);

  // An item, to be given what else it has to say.
  proto::AttentionItem& add(proto::AttentionRule rule, ChangeId subject, const std::string& subject_name,
                            ChangeId record, Day day);
  // Urgent first, then by rule, subject, day.
  void sort();

  Replica& replica;
  Roster roster;
  const Day day;
  const Day lasting_from, events_from;  // First days to look at.
  WallMs now_ms = 0;                    // Or the end of the day, when that is over.
  std::optional<WallMs> known_ms;       // Up to when this replica knows what others wrote; at most now_ms.

  // A local time as an instant. Outside the span of the call's offsets the nearest one is taken: it may be an
  // hour off there, which moves no more than by an hour since when something is told of.
  WallMs instant_of(Day on, std::uint32_t minute) const;

 private:
  const ZoneOffsets zone_;
  proto::AttentionReply& out_;
};

// When a record was entered, by the clock of its device.
Result<WallMs> entered_ms(Replica& replica, Place record);

Status attend_feeding(AttentionList& list, const RosterAnimal& animal);  // attention_animal.cc
Status attend_plans(AttentionList& list, const RosterAnimal& animal);
Status attend_mass(AttentionList& list, const RosterAnimal& animal);
Status attend_doses(AttentionList& list, const RosterAnimal& animal);  // attention_dose.cc
Status attend_water(AttentionList& list);                              // attention_place.cc
Status attend_stores(AttentionList& list);
Status attend_hygiene(AttentionList& list);
Status attend_enrichers(AttentionList& list);
Status attend_privileges(AttentionList& list);                         // attention_people.cc
Status attend_wrong_pins(AttentionList& list);
Status attend_former_roles(AttentionList& list);
Status attend_struck_animals(AttentionList& list);  // attention_record.cc
Status attend_amendments(AttentionList& list, const std::vector<RosterAnimal>& animals);

}  // namespace wrackline
