// Goal: a record of every kind can be added by typing, is kept exactly, and is listed and shown so that a
// person can read it. Method: one facility in which each kind is added as a keeper would; what is listed is
// searched for what was typed, and no line is wider than the table.
#include "cli/record_fields.h"

#include <catch2/catch.hpp>
#include <set>

#include "records.pb.h"
#include "test_desk.h"
#include "text/quantity.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

using Catch::Contains;
using Words = std::vector<std::string>;

bool is_narrow(const std::string& text) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    if (text_width(std::string_view(text).substr(at, end - at)) > kTableWidth) return false;
    at = end + 1;
  }
  return true;
}

struct Typed {
  Words words;                     // After "add".
  std::vector<std::string> shown;  // The words that the list of the kind then has.
};

// In an order in which each can name those before it.
const std::vector<Typed>& examples() {
  static const std::vector<Typed> kAll = {
      {{"person", "name=Tove Holm", "roles=officer,curator"}, {"Tove Holm", "officer, curator"}},
      {{"area", "name=yard", "note=behind the gate"}, {"yard", "behind the gate"}},
      {{"pool", "name=Seal pool", "area=yard", "volume=40m3"}, {"Seal pool", "yard", "40000 L"}},
      {{"pool", "name=Quarantine", "area=ya"}, {"Quarantine"}},
      {{"animal", "name=Sila", "taxon=grey seal", "pool=seal"}, {"Sila", "grey seal"}},
      {{"animal", "name=Penguin colony", "taxon=Humboldt penguin", "head_count=24"}, {"24"}},
      {{"food", "name=Herring, Atlantic", "energy=158kcal/100g", "water=72.05%", "protein=17.96%",
        "fat=9.04%", "calcium=57mg/100g", "phosphorus=236mg/100g", "source=USDA SR-28 NDB 15039"},
       {"158 kcal/100 g", "17.96 %", "15039"}},
      {{"diet_plan", "animal=Sila", "first_day=2026-01-01", "approved_by=tove",
        "line=food=herring slot=08:30 mass=1,2kg weekdays=mon,thu preparation=whole, thawed"},
       {"Herring, Atlantic 08:30 mon,thu 1.2 kg"}},
      {{"treatment_order", "animal=Sila", "preparation=Drops 50 mg/mL", "dose=5mg/kg", "strength=50mg/mL",
        "step=0.1mL", "every=12h", "first_day=2026-01-01", "ordered_by=mara", "route=mouth",
        "mass_age_max=14d", "needs_witness=yes"},
       {"5 mg/kg", "12 h", "Drops 50"}},
      {{"treatment_order", "animal=Sila", "preparation=Vitamin tablet", "dose=30mg/kg food",
        "strength=250mg/tablet", "unit_parts=1/4", "slots=08:30", "first_day=2026-01-01", "ordered_by=mara",
        "vehicle=herring"},
       {"30 mg/kg food"}},
      {{"treatment_order", "animal=Sila", "preparation=Vitamin E", "dose=100 units/kg food",
        "substance=international units of vitamin E as d-alpha-tocopherol", "slots=08:30", "first_day=2026-01-01",
        "ordered_by=mara"},
       {"100 units/kg food"}},
      {{"meal", "animal=Sila", "slot=08:30", "purpose=training", "--at", "2026-01-05 08:31"},
       {"08:30", "training"}},
      {{"measure", "animal=Sila", "value=3.5", "quantity=condition_score", "method=nine steps", "--at",
        "2026-01-05 08:00"},
       {"condition score", "3.5", "nine steps"}},
      {{"measure", "animal=Sila", "quantity=body-temperature", "value=37.2C", "--at", "2026-01-05 08:00"},
       {"37.2 \u00b0C"}},
      {{"observation", "animal=Sila", "topic=appetite", "code=slow", "score=2",
        "text=Took the last fish slowly.", "--at", "2026-01-05 08:40"},
       {"appetite", "slow", "Took the last fish slowly."}},
      {{"administration", "order=drops", "due_day=2026-01-05", "due_slot=08:30", "outcome=given",
        "given=420mg", "reckoned_from=84kg", "witness=tove", "confirmed=asked the vet", "--at", "2026-01-05 08:35"},
       {"given", "420 mg", "2026-01-05 08:30"}},
      {{"lot", "food=herring", "code=H-17", "received_day=2026-01-02", "use_by_day=2026-07-02",
        "store=freezer 1"},
       {"H-17", "2026-07-02"}},
      {{"stock_movement", "lot=H-17", "cause=received", "change=200kg", "--at", "2026-01-02 10:00"},
       {"+200 kg", "received"}},
      {{"stock_movement", "lot=H-17", "cause=discarded", "change=-1,5kg", "--at", "2026-01-03 10:00"},
       {"-1.5 kg"}},
      {{"stock_movement", "lot=H-17", "cause=counted", "change=-0.5kg", "counted=198kg", "--at",
        "2026-01-04 10:00"},
       {"198 kg"}},
      {{"thaw_batch", "lot=H-17", "mass=12kg", "method=refrigerator", "thawed=2026-01-05 07:00", "--at",
        "2026-01-04 16:00"},
       {"refrigerator", "2026-01-05 07:00"}},
      {{"enricher", "name=Ice block", "goal=foraging", "animals=Sila,Penguin colony", "inspect_every=30d",
        "gap=2d", "caution=splinters"},
       {"Ice block", "30 days", "splinters"}},
      {{"inspection", "enricher=ice", "safe=no", "findings=cracked", "--at", "2026-01-05 09:00"},
       {"no", "cracked"}},
      {{"enrichment_use", "animal=Sila", "enricher=ice", "response=3", "minutes=10", "--at",
        "2026-01-05 10:00"},
       {"Ice block", "10 min"}},
      {{"enrichment_plan", "animal=Sila", "first_day=2026-01-01", "times_per_week=3", "gap=2d",
        "enrichers=ice", "approved_by=tove"},
       {"Ice block", "2 days"}},
      {{"cue", "name=Station", "signal=flat hand", "criterion=stays 10 s"}, {"flat hand"}},
      {{"training_session", "animal=Sila", "cue=station", "trials=12", "successes=9", "minutes=8min", "--at",
        "2026-01-05 11:00"},
       {"Station", "12", "9"}},
      {{"watch_plan", "subject=Sila", "quantity=mass", "every=7d", "first_day=2026-01-01"},
       {"mass", "7 days"}},
      {{"watch_plan", "subject=seal", "parameter=oxygen", "every=1d", "slots=08:00,16:00",
        "first_day=2026-01-01"},
       {"oxygen", "08:00, 16:00"}},
      {{"code", "topic=behaviour", "code=rest", "meaning=Lies still, eyes closed or half closed."},
       {"Lies still"}},
      {{"scan", "animal=Sila", "every=30s", "count=code=rest scans=12",
        "count=code=\"swims on side\" scans=8", "not_visible=2", "--at", "2026-01-05 12:00"},
       {"rest 12; swims on side 8", "30 s"}},
      {{"water_reading", "pool=seal", "value=24.5C", "parameter=temperature", "--at", "2026-01-05 08:00"},
       {"24.5 \u00b0C"}},
      {{"water_reading", "pool=seal", "parameter=ph", "value=8.12", "--at", "2026-01-05 08:00"}, {"pH 8.12"}},
      {{"water_reading", "pool=seal", "parameter=ammonia", "value=0.02mg/L", "--at", "2026-01-05 08:00"},
       {"0.02 mg/L as N"}},
      {{"water_limit", "parameter=salinity", "low=28psu", "high=36,5psu", "every=24h", "source=house rule",
        "unverified=yes"},
       {"28 psu", "36.5 psu", "24 h"}},
      {{"tag", "animal=Sila", "tag_kind=pit", "code=578000012345678", "place=left neck",
        "applied_day=2026-01-02"},
       {"578000012345678", "pit"}},
      {{"move", "animal=Sila", "from_pool=seal", "to_pool=quarantine", "reason=cough", "--at",
        "2026-01-06 09:00"},
       {"Quarantine", "cough"}},
      {{"hygiene_check", "area=yard", "task=foot bath changed", "passed=yes", "--at", "2026-01-05 07:30"},
       {"yard", "foot bath changed"}},
      {{"day_close", "area=yard", "day=2026-01-05", "--at", "2026-01-06 00:20"},
       {"yard", "2026-01-05", "2026-01-06 00:20"}},
      {{"site_limit", "high=95kg", "subject=Sila", "of_detail=mass", "of_field=value", "of_kind=measure"},
       {"measure", "95 kg", "mass"}},
      {{"site_limit", "of_kind=portion", "of_field=offered_mg", "high=3kg", "low=10g"},
       {"offered", "3 kg", "10 g"}},
      {{"attachment", "subject=Sila", "media_type=image/jpeg", "name=left flipper.jpg", "bytes=482113",
        "sha256=9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08", "note=before the bath", "--at",
        "2026-01-07 12:30"},
       {"left flipper.jpg", "482113", "image/jpeg", "before the bath"}},
  };
  return kAll;
}

TEST_CASE("a record of every kind is added by typing, and its list fits the width of a table", "[fields]") {
  SharedRoster roster(21);
  Desk desk(roster);
  std::set<std::string> kinds_seen = {"facility", "device", "hold", "presence", "hub_act", "pin_warning", "former_role",
                                      "portion"};  // The hub's, and the meal's own command.
  for (const Typed& example : examples()) {
    Words words = {"add"};
    words.insert(words.end(), example.words.begin(), example.words.end());
    auto done = desk.run(words);
    INFO(example.words[0] << ": " << done.text);
    REQUIRE(done.exit == Exit::kOk);
    const std::string id = done.text.substr(7, done.text.find(' ', 7) - 7);
    done = desk.run({"list", example.words[0]});
    INFO(done.text);
    REQUIRE(done.exit == Exit::kOk);
    for (const std::string& text : example.shown) CHECK_THAT(done.text, Contains(text));
    CHECK(is_narrow(done.text));
    done = desk.run({"show", id});
    INFO(done.text);
    REQUIRE(done.exit == Exit::kOk);
    CHECK(is_narrow(done.text));
    kinds_seen.insert(example.words[0]);
  }
  for (const KindInfo& kind : kinds()) {
    INFO(kind.name);
    CHECK(kinds_seen.count(kind.name) == 1);
  }
}

// Figures as the USDA table of release 28 (2015) prints Atlantic herring, raw: NDB 15039, in 100 g 158 kcal,
// water 72.05 g, protein 17.96 g, fat 9.04 g, calcium 57 mg, phosphorus 236 mg.
TEST_CASE("the table of foods is recorded once, each with its source and release", "[fields]") {
  SharedRoster roster(23);
  Desk desk(roster);
  CHECK_THAT(desk.run({"foods"}).text, Contains("release 28 (2015)") && Contains("15039"));
  CHECK_THAT(desk.run({"list", "food"}).text, Contains("no food"));
  auto done = desk.run({"foods", "--add-table"});
  REQUIRE(done.exit == Exit::kOk);
  CHECK_THAT(done.text, Contains("not whole fish"));
  CHECK_THAT(desk.run({"foods", "--add-table"}).text, Contains("recorded already"));
  Client client(desk.options());
  Names names(client);
  Food herring;
  REQUIRE(herring.ParseFromString(client.get(names.find("food", "Herring, Atlantic")).fields()));
  CHECK(herring.energy_cal_per_g() == 1580);
  CHECK(herring.water_ppm() == 720'500);
  CHECK(herring.protein_ppm() == 179'600);
  CHECK(herring.fat_ppm() == 90'400);
  CHECK(herring.calcium_ug_per_g() == 570);
  CHECK(herring.phosphorus_ug_per_g() == 2'360);
  CHECK_THAT(herring.source(), Contains("release 28") && Contains("NDB 15039"));
  // Pacific herring's parts are 104 g in 100 g as the table prints them; the rules refuse that.
  CHECK(client.list(kind_number("food")).size() == 11);
  CHECK_THAT(desk.run({"foods"}).text, Contains("does not add up"));
}

TEST_CASE("a value that cannot be meant is refused with what would be right", "[fields]") {
  SharedRoster roster(22);
  Desk desk(roster);
  REQUIRE(desk.run({"add", "pool", "name=Seal pool"}).exit == Exit::kOk);
  REQUIRE(desk.run({"add", "animal", "name=Sila"}).exit == Exit::kOk);
  const auto refused = [&](Words words, const char* why) {
    words.insert(words.begin(), "add");
    const auto done = desk.run(words);
    INFO(done.text);
    CHECK(done.exit == Exit::kUsage);
    CHECK_THAT(done.text, Contains(why));
  };
  refused({"water_reading", "pool=seal", "parameter=temperature", "value=24.5"}, "24.5C");
  refused({"water_reading", "pool=seal", "parameter=temperature", "value=1,200C"}, "1200 or 1.200");
  refused({"water_reading", "pool=seal", "parameter=salinity", "value=34.2C"}, "34.2psu");
  refused({"water_reading", "pool=seal", "value=24.5C"}, "give parameter=");
  refused({"water_reading", "pool=seal", "parameter=warmth", "value=24.5C"}, "temperature, salinity");
  refused({"measure", "animal=Sila", "value=84kg"}, "give quantity=");
  refused({"inspection", "safe=maybe"}, "safe=yes or safe=no");
  refused({"treatment_order", "animal=Sila", "dose=5"}, "5mg/kg");
  refused({"treatment_order", "animal=Sila", "dose_ug_per_kg_food=5mg/kg"}, "30mg/kg food");
  refused({"treatment_order", "animal=Sila", "strength=50mg"}, "50mg/mL");
  refused({"stock_movement", "change=12"}, "12kg for what came");
  refused({"site_limit", "of_kind=portion", "of_field=offering", "high=1kg"}, "offered_mg");
  refused({"scan", "animal=Sila", "every=30"}, "30s");
  refused({"scan", "animal=Sila", "count=code=\"rest scans=1"}, "never closed");
  refused({"site_limit", "high=1kg"}, "give of_kind=");
  refused({"attachment", "subject=Sila", "sha256=9f86"}, "64 hexadecimal digits");
}

// Fields that are counts, scores or steps, and so have no unit. One that is new must be given a unit in its
// name, or a place here.
TEST_CASE("every number of records.proto has a unit in its name, or is known to have none", "[fields]") {
  const std::set<std::string> kCounts = {
      "head_count", "phone_order_doses", "daily_max",   "score",   "response", "times_per_week", "trials", "successes", "heads", "times",
      "scans",      "not_visible", "of_kind", "of_field", "of_detail",      "value",  "low",       "high",
      "of_log",     "first_seq",   "last_seq",  "root",    "of",     "after_seq", "log", "seq", "bytes"};
  for (const KindInfo& kind : kinds()) {
    std::vector<const Descriptor*> messages = {kind.descriptor};
    for (int i = 0; i < kind.descriptor->field_count(); ++i)
      if (kind.descriptor->field(i)->message_type() && !is_built_in(*kind.descriptor->field(i)) &&
          !referred_kind(*kind.descriptor->field(i)))
        messages.push_back(kind.descriptor->field(i)->message_type());
    for (const Descriptor* message : messages) {
      for (int i = 0; i < message->field_count(); ++i) {
        const FieldDescriptor& f = *message->field(i);
        if (is_built_in(f) || f.message_type() || f.cpp_type() == FieldDescriptor::CPPTYPE_STRING ||
            f.cpp_type() == FieldDescriptor::CPPTYPE_ENUM || f.cpp_type() == FieldDescriptor::CPPTYPE_BOOL)
          continue;
        INFO(kind.name << " " << f.name());
        CHECK((unit_of(f) == Unit::kPlain) == (kCounts.count(f.name()) == 1));
      }
    }
  }
}

}  // namespace
}  // namespace wrackline::cli
