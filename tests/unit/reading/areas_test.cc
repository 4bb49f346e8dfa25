// Goal: an area is a record that may be renamed and folded, everything that is in it stays in it, and what release 0.1
// wrote with a text shows its area as before. Method: two tablets and a hub; pools, checks and closes that say their area in
// each of the ways; what the calls then tell, and the records as bytes of that release.
#include <algorithm>
#include <map>

#include "support/shift.h"

using namespace wrackline;

namespace {

ChangeId id_in(const proto::RecordRef& ref) { return {LogId{ref.log()}, ref.seq()}; }

// Release 0.1 wrote them so, byte for byte.
const std::string kPoolOf01("\x0a\x09Seal pool\x12\x04yard", 17);
const std::string kCheckOf01("\x0a\x04yard\x10\xd2\xc3\x02\x2a\x0a"
                             "foot baths\x30\x00", 24);

struct Quay {
  Facility facility;
  Device& north = facility.add_device("north tablet");
  Device& south = facility.add_device("south tablet");
  Shift on_north{north, facility.keeper()}, on_south{south, facility.keeper()};
  Day today = static_cast<Day>(Facility::kStartMs / kDayMs);
  RecordId food;

  Quay() {
    facility.exchange_all();
    food = on_north.food("herring");
    facility.exchange_all();
  }
  static RecordId area(Shift& shift, const std::string& name) {
    proto::Area area;
    area.set_name(name);
    return shift.log(Kind::kArea, area);
  }
  static RecordId animal_of(Shift& shift, RecordId pool, const std::string& name) {
    proto::Animal animal;
    animal.set_name(name);
    *animal.mutable_pool() = ref_of(pool);
    return shift.log(Kind::kAnimal, animal);
  }
  static RecordId pool_in(Shift& shift, RecordId area, const std::string& name) {
    proto::Pool pool;
    pool.set_name(name);
    *pool.mutable_in_area() = ref_of(area);
    return shift.log(Kind::kPool, pool);
  }
  static RecordId old_pool(Shift& shift, const std::string& text = "yard") {
    proto::Pool pool;
    REQUIRE(pool.ParseFromString(kPoolOf01));
    pool.set_area(text);
    return shift.log(Kind::kPool, pool);
  }
  RecordId check_in(Shift& shift, RecordId area) const {
    proto::HygieneCheck check;
    *check.mutable_in_area() = ref_of(area);
    check.set_day(today);
    check.set_task("foot baths");
    check.set_passed(false);
    return shift.log(Kind::kHygieneCheck, check);
  }
  static void rename(Shift& shift, RecordId area, const std::string& name) {
    proto::Area fields;
    fields.set_name(name);
    must(shift.try_edit(area, fields, "called so now"));
  }
  // The areas of the animals of the day, by the animal.
  std::map<std::string, std::string> areas(Shift& shift, const std::string& of = {}) const {
    proto::Call call;
    call.mutable_collection_day()->set_day(today);
    call.mutable_collection_day()->set_area(of);
    const proto::Reply reply = shift.must_call(call);
    std::map<std::string, std::string> out;
    for (const proto::AnimalDay& animal : reply.collection_day().animals()) out[animal.animal_name()] = animal.area();
    return out;
  }
  proto::Reply try_close(Shift& shift, const std::string& area) const {
    proto::Call call;
    call.mutable_day_close()->set_area(area);
    call.mutable_day_close()->set_day(today);
    call.mutable_day_close()->add_zone()->set_from_ms(0);
    const proto::Reply first = shift.call(call);
    if (first.failure().code() != static_cast<std::uint32_t>(ErrorCode::kUnconfirmed)) return first;
    *call.mutable_confirmed()->mutable_questions() = first.failure().questions();
    return shift.call(call);
  }
  proto::DayClose close(Shift& shift, const std::string& area) const {
    const proto::Reply reply = try_close(shift, area);
    INFO(reply.failure().message());
    REQUIRE_FALSE(reply.has_failure());
    proto::DayClose out;
    REQUIRE(out.ParseFromString(shift.load(id_in(reply.day_close().record())).fields));
    return out;
  }
  std::vector<proto::AttentionItem> attention(Shift& shift) const {
    proto::Call call;
    call.mutable_attention()->set_day(today);
    call.mutable_attention()->add_zone()->set_from_ms(0);
    const proto::Reply reply = shift.must_call(call);
    return {reply.attention().items().begin(), reply.attention().items().end()};
  }
  static std::vector<proto::CloseView> closes(Shift& shift, const std::string& of = {}) {
    proto::Call call;
    call.mutable_closes()->set_area(of);
    const proto::ClosesReply reply = shift.must_call(call).closes();
    return {reply.closes().begin(), reply.closes().end()};
  }
};

using Areas = std::map<std::string, std::string>;

}  // namespace

TEST_CASE("what release 0.1 wrote with a text is in the area of that name", "[call][area]") {
  Quay quay;
  proto::Pool pool;
  REQUIRE(pool.ParseFromString(kPoolOf01));
  const RecordId pool_id = quay.on_north.log(Kind::kPool, pool);
  proto::HygieneCheck check;
  REQUIRE(check.ParseFromString(kCheckOf01));
  REQUIRE(check.day() == 20'713);
  const RecordId check_id = quay.on_north.log(Kind::kHygieneCheck, check);
  Quay::animal_of(quay.on_north, pool_id, "Sila");
  CHECK(quay.areas(quay.on_north) == Areas{{"Sila", "yard"}});
  CHECK(quay.areas(quay.on_north, "yard").size() == 1);
  CHECK(quay.areas(quay.on_north, "hall").empty());
  CHECK(quay.on_north.view(pool_id).area_name() == "yard");
  CHECK(quay.on_north.view(check_id).area_name() == "yard");
}

TEST_CASE("a facility of release 0.1 closes its days by the text until an area record has that name", "[call][area][close]") {
  Quay quay;
  Quay::animal_of(quay.on_north, Quay::old_pool(quay.on_north), "Sila");
  const proto::DayClose by_text = quay.close(quay.on_north, "yard");
  CHECK(by_text.area() == "yard");
  CHECK_FALSE(by_text.has_in_area());
  const RecordId yard = Quay::area(quay.on_north, "yard");
  const proto::DayClose by_record = quay.close(quay.on_north, "yard");
  CHECK(by_record.area().empty());
  CHECK(id_in(by_record.in_area()) == yard);
  // Both are closes of one area, since both have its name.
  CHECK(Quay::closes(quay.on_north, "yard").size() == 2);
}

TEST_CASE("the day of an area that nothing is called by cannot be closed", "[call][area][close]") {
  Quay quay;
  Quay::pool_in(quay.on_north, Quay::area(quay.on_north, "Quay"), "Seal pool");
  const proto::Reply reply = quay.try_close(quay.on_north, "Qay");
  CHECK(reply.failure().code() == static_cast<std::uint32_t>(ErrorCode::kNotFound));
  CHECK(reply.failure().message().find("no area is called Qay") != std::string::npos);
  CHECK(Quay::closes(quay.on_north).empty());
}

TEST_CASE("a renamed area keeps its pools, its checks and the days that were closed", "[call][area][close]") {
  Quay quay;
  const RecordId area = Quay::area(quay.on_north, "Quay");
  const RecordId seal = Quay::animal_of(quay.on_north, Quay::pool_in(quay.on_north, area, "Seal pool"), "Sila");
  const RecordId check = quay.check_in(quay.on_north, area);
  quay.on_north.meal(seal, quay.food, 510, 1'000'000);
  quay.close(quay.on_north, "Quay");
  *quay.north.clock += kHourMs;
  Quay::rename(quay.on_north, area, "Harbour");
  CHECK(quay.areas(quay.on_north, "Harbour") == Areas{{"Sila", "Harbour"}});
  CHECK(quay.areas(quay.on_north, "Quay").empty());
  CHECK(quay.on_north.view(check).area_name() == "Harbour");
  CHECK(Quay::closes(quay.on_north, "Quay").empty());
  auto closes = Quay::closes(quay.on_north, "Harbour");
  REQUIRE(closes.size() == 1);
  CHECK(closes[0].area() == "Harbour");
  CHECK(closes[0].standing() == proto::CLOSE_STANDING_HOLDS);
  CHECK(closes[0].records() == 3);  // A meal, its portion and the check.
  CHECK(closes[0].amended_changes() == 0);
  // An entry after the close is asked about, and is an amendment.
  proto::Call later;
  proto::NewRecord& again = *later.mutable_log()->add_records();
  again.set_kind(static_cast<std::uint32_t>(Kind::kHygieneCheck));
  again.set_fields(quay.on_north.load(check).fields);
  const proto::Failure asked = quay.on_north.call(later).failure();
  REQUIRE(asked.questions_size() == 1);
  CHECK(asked.questions(0).rule() == proto::QUESTION_RULE_CLOSED_DAY);
  CHECK(asked.questions(0).source_name() == "Harbour");
  quay.on_north.meal(seal, quay.food, 960, 500'000);
  closes = Quay::closes(quay.on_north, "Harbour");
  CHECK(closes[0].standing() == proto::CLOSE_STANDING_HOLDS);
  CHECK(closes[0].amended_changes() == 2);
}

TEST_CASE("the round and what needs attention go by the name an area has now", "[call][area]") {
  Quay quay;
  const RecordId area = Quay::area(quay.on_north, "Quay");
  proto::WatchPlan watch;
  *watch.mutable_subject() = ref_of(Quay::pool_in(quay.on_north, area, "Seal pool"));
  watch.set_first_day(quay.today - 1);
  watch.set_parameter(proto::PARAMETER_TEMPERATURE);
  watch.set_every_days(1);
  quay.on_north.log(Kind::kWatchPlan, watch);
  quay.check_in(quay.on_north, area);
  Quay::rename(quay.on_north, area, "Harbour");
  const auto due = [&](const std::string& of) {
    proto::Call call;
    call.mutable_round()->set_day(quay.today);
    call.mutable_round()->set_area(of);
    call.mutable_round()->add_zone()->set_from_ms(0);
    return quay.on_north.must_call(call).round();
  };
  CHECK(due("Quay").items_size() == 0);
  const proto::RoundReply round = due("Harbour");
  REQUIRE(round.items_size() == 1);
  CHECK(round.items(0).area() == "Harbour");
  const auto attention = quay.attention(quay.on_north);
  const auto failed = std::find_if(attention.begin(), attention.end(),
                                   [](const auto& item) { return item.rule() == proto::ATTENTION_RULE_HYGIENE_FAILED; });
  REQUIRE(failed != attention.end());
  CHECK(failed->subject_name() == "Harbour");
}

TEST_CASE("two tablets that both made an area of one name have one area", "[call][area][close]") {
  Quay quay;
  const RecordId of_north = Quay::area(quay.on_north, "Quay"), of_south = Quay::area(quay.on_south, "Quay");
  Quay::animal_of(quay.on_north, Quay::pool_in(quay.on_north, of_north, "Seal pool"), "Sila");
  Quay::animal_of(quay.on_south, Quay::pool_in(quay.on_south, of_south, "Ray pool"), "Ray");
  quay.check_in(quay.on_north, of_north);
  quay.check_in(quay.on_south, of_south);
  quay.facility.exchange_all();
  CHECK(quay.areas(quay.on_north, "Quay").size() == 2);
  // The same record is taken for either name, whoever closes.
  const proto::DayClose here = quay.close(quay.on_north, "Quay"), there = quay.close(quay.on_south, "Quay");
  CHECK(here.records() == 2);
  CHECK(there.records() == 2);
  CHECK(id_in(here.in_area()) == id_in(there.in_area()));
}

TEST_CASE("an area that was folded into another is that other", "[call][area]") {
  Quay quay;
  const RecordId kept = Quay::area(quay.on_north, "Quay"), folded = Quay::area(quay.on_north, "The quay"),
                 first = Quay::area(quay.on_north, "Kay");
  Quay::animal_of(quay.on_north, Quay::pool_in(quay.on_north, folded, "Seal pool"), "Sila");
  Quay::animal_of(quay.on_north, Quay::pool_in(quay.on_north, first, "Ray pool"), "Ray");
  quay.on_north.fold(first, folded, "misspelt");
  quay.on_north.fold(folded, kept, "the same");
  CHECK(quay.areas(quay.on_north) == Areas{{"Ray", "Quay"}, {"Sila", "Quay"}});
  Quay::rename(quay.on_north, kept, "Harbour");
  CHECK(quay.areas(quay.on_north, "Harbour").size() == 2);
  CHECK(quay.try_close(quay.on_north, "The quay").failure().code() == static_cast<std::uint32_t>(ErrorCode::kNotFound));
  CHECK(id_in(quay.close(quay.on_north, "Harbour").in_area()) == kept);
  quay.on_north.unfold(folded, "another one after all");
  CHECK(quay.areas(quay.on_north) == Areas{{"Ray", "The quay"}, {"Sila", "The quay"}});
}

TEST_CASE("areas that two people folded into each other keep their own names", "[call][area]") {
  Quay quay;
  const RecordId east = Quay::area(quay.on_north, "East"), west = Quay::area(quay.on_north, "West");
  Quay::animal_of(quay.on_north, Quay::pool_in(quay.on_north, east, "Seal pool"), "Sila");
  Quay::animal_of(quay.on_north, Quay::pool_in(quay.on_north, west, "Ray pool"), "Ray");
  quay.facility.exchange_all();
  quay.on_north.fold(east, west, "one area");
  quay.on_south.fold(west, east, "one area");
  quay.facility.exchange_all();
  for (Shift* shift : {&quay.on_north, &quay.on_south}) CHECK(quay.areas(*shift) == Areas{{"Ray", "West"}, {"Sila", "East"}});
}

TEST_CASE("a struck area keeps its name where it is spoken of, and no day of it is closed", "[call][area]") {
  Quay quay;
  const RecordId area = Quay::area(quay.on_north, "Quay");
  Quay::animal_of(quay.on_north, Quay::pool_in(quay.on_north, area, "Seal pool"), "Sila");
  quay.on_north.strike(area, "built over");
  CHECK(quay.areas(quay.on_north) == Areas{{"Sila", "Quay"}});
  CHECK(quay.try_close(quay.on_north, "Quay").failure().code() == static_cast<std::uint32_t>(ErrorCode::kNotFound));
}

TEST_CASE("an area whose record is not here is no area, like a pool that is not here", "[call][area]") {
  Quay quay;
  const RecordId elsewhere{LogId{0x77}, 3};
  const RecordId pool = Quay::pool_in(quay.on_north, elsewhere, "Seal pool");
  Quay::animal_of(quay.on_north, pool, "Sila");
  Quay::animal_of(quay.on_north, elsewhere, "Ray");
  CHECK(quay.areas(quay.on_north) == Areas{{"Ray", ""}, {"Sila", ""}});
  CHECK(quay.on_north.view(pool).area_name().empty());
  // A close of such an area is a close of no area in particular: it amends and asks nothing.
  proto::DayClose close;
  *close.mutable_in_area() = ref_of(elsewhere);
  close.set_day(quay.today);
  quay.on_north.log(Kind::kDayClose, close);
  *quay.north.clock += kHourMs;
  quay.on_north.meal(Quay::animal_of(quay.on_north, pool, "Kobb"), quay.food, 510, 1'000'000);
  const auto closes = Quay::closes(quay.on_north);
  REQUIRE(closes.size() == 1);
  CHECK(closes[0].area().empty());
  CHECK(closes[0].amended_changes() == 0);
  const auto attention = quay.attention(quay.on_north);
  CHECK(std::none_of(attention.begin(), attention.end(),
                     [](const auto& item) { return item.rule() == proto::ATTENTION_RULE_AMENDED_AFTER_CLOSE; }));
}

TEST_CASE("a record that is given where a text stood counts, and the text does not", "[call][area]") {
  Quay quay;
  const RecordId pool = Quay::old_pool(quay.on_north, "yrad");
  Quay::animal_of(quay.on_north, pool, "Sila");
  proto::Pool fields;
  *fields.mutable_in_area() = ref_of(Quay::area(quay.on_north, "yard"));
  must(quay.on_north.try_edit(pool, fields, "the area has a record now"));
  CHECK(quay.areas(quay.on_north) == Areas{{"Sila", "yard"}});
  CHECK(quay.try_close(quay.on_north, "yrad").failure().code() == static_cast<std::uint32_t>(ErrorCode::kNotFound));
}
