#include "random_records.h"

#include "cli/record_fields.h"
#include "model/kinds.h"
#include "model/rules.h"
#include "text/quantity.h"

namespace wrackline::cli {
namespace {

using google::protobuf::Message;

RecordRef random_ref(Random& random, const FieldDescriptor& field, const Referable& referable) {
  const std::string kinds(find_field(field.containing_type()->name(), field.name())->to);
  const std::string kind = kinds.substr(0, kinds.find(' '));
  const auto known = referable.find(kind);
  if (known != referable.end() && !random.once_in(8)) return random.pick(known->second);
  RecordRef stranger;  // One that has not arrived here yet.
  stranger.set_log(random.next() | 1);
  stranger.set_seq(static_cast<std::uint32_t>(1 + random.below(1000)));
  return stranger;
}

std::int64_t random_number(Random& random, const FieldDescriptor& field) {
  const auto small = [&](std::uint64_t n) { return static_cast<std::int64_t>(random.below(n)); };
  switch (unit_of(field)) {
    case Unit::kDayNumber:
      return 19'000 + small(1500);
    case Unit::kClockMin:
      return small(1440);
    case Unit::kOffsetMin:
      return (small(57) - 28) * 30;
    case Unit::kWeekdays:
      return small(128);
    case Unit::kInstantMs:
      return 1'640'000'000'000 + small(130'000'000'000);
    case Unit::kPpm:
      return small(220'000);
    case Unit::kTabletParts:
      return 1 + small(8);
    case Unit::kMassChangeMg:
      return small(20'000'000) - 10'000'000;
    default:
      break;
  }
  const std::string& name = field.name();
  if (name == "response") return small(5);
  if (name == "times_per_week") return 1 + small(70);
  if (name == "of_kind") return 1 + small(kinds().size() + 1);
  if (name == "of_field" || name == "of_detail") return 1 + small(12);
  if (name == "value" || name == "low" || name == "high") return small(13'000);
  return small(std::uint64_t{1} << (1 + random.below(12)));
}

void put(Random& random, Message& m, const FieldDescriptor& f, const Referable& referable);

void fill(Random& random, Message& m, const Referable& referable) {
  for (int i = 0; i < m.GetDescriptor()->field_count(); ++i) {
    const FieldDescriptor& f = *m.GetDescriptor()->field(i);
    if (is_built_in(f)) continue;
    if (f.is_repeated())
      for (std::uint64_t n = random.below(4); n > 0; --n) put(random, m, f, referable);
    else if (!random.once_in(3))
      put(random, m, f, referable);
  }
}

void put(Random& random, Message& m, const FieldDescriptor& f, const Referable& referable) {
  const auto& r = *m.GetReflection();
  const bool list = f.is_repeated();
  switch (f.cpp_type()) {
    case FieldDescriptor::CPPTYPE_STRING:
      list ? r.AddString(&m, &f, random_text(random)) : r.SetString(&m, &f, random_text(random));
      return;
    case FieldDescriptor::CPPTYPE_BOOL:
      r.SetBool(&m, &f, random.once_in(2));
      return;
    case FieldDescriptor::CPPTYPE_ENUM: {
      const auto* value = f.enum_type()->value(
          static_cast<int>(1 + random.below(static_cast<std::uint64_t>(f.enum_type()->value_count()) - 1)));
      list ? r.AddEnum(&m, &f, value) : r.SetEnum(&m, &f, value);
      return;
    }
    case FieldDescriptor::CPPTYPE_MESSAGE: {
      Message& nested = list ? *r.AddMessage(&m, &f) : *r.MutableMessage(&m, &f);
      if (referred_kind(f))
        nested.ParseFromString(random_ref(random, f, referable).SerializeAsString());
      else
        fill(random, nested, referable);
      return;
    }
    case FieldDescriptor::CPPTYPE_UINT32: {
      const auto v = static_cast<std::uint32_t>(random_number(random, f));
      list ? r.AddUInt32(&m, &f, v) : r.SetUInt32(&m, &f, v);
      return;
    }
    case FieldDescriptor::CPPTYPE_INT32:
      r.SetInt32(&m, &f, static_cast<std::int32_t>(random_number(random, f)));
      return;
    case FieldDescriptor::CPPTYPE_UINT64:
      r.SetUInt64(&m, &f, static_cast<std::uint64_t>(random_number(random, f)));
      return;
    case FieldDescriptor::CPPTYPE_INT64:
      r.SetInt64(&m, &f, random_number(random, f));
      return;
    default:
      return;
  }
}

void clear(Message& m, std::initializer_list<const char*> names) {
  for (const char* name : names)
    if (const FieldDescriptor* f = m.GetDescriptor()->FindFieldByName(name))
      m.GetReflection()->ClearField(&m, f);
}

// A draw field by field seldom meets these: alternatives of which one is allowed, and times that go together.
void mend(Random& random, Message& m, const std::string& kind, const Referable& referable) {
  const auto& r = *m.GetReflection();
  const auto field = [&](const char* name) { return m.GetDescriptor()->FindFieldByName(name); };
  if (const FieldDescriptor* happened = field("happened_ms")) {
    const FieldDescriptor* offset = field("utc_offset_min");
    if (!is_present(m, *happened) || !is_present(m, *offset)) {
      clear(m, {"happened_ms", "utc_offset_min"});
    } else if (const FieldDescriptor* day = field("day"); day && kind != "day_close") {
      r.SetInt32(&m, day, local_day(r.GetUInt64(m, happened), r.GetInt32(m, offset)));
    }
  }
  if (kind == "treatment_order") {
    const std::vector<const char*> doses = {"dose_ug",
                                            "dose_ul",
                                            "dose_units",
                                            "dose_ug_per_kg",
                                            "dose_ug_per_kg_food",
                                            "dose_units_per_kg_food"};
    const char* kept = random.pick(doses);
    for (const char* name : doses)
      if (name != kept) clear(m, {name});
    r.SetUInt64(&m, field(kept), 1 + random.below(5'000'000));
    clear(m, {random.once_in(2) ? "strength_ug_per_ml" : "strength_ug_per_unit"});
    clear(m, {random.once_in(2) ? "every_min" : "slots_min"});
  }
  if (kind == "portion") {
    random.once_in(2) ? clear(m, {"offered_mg"}) : clear(m, {"gross_mg", "tare_mg"});
    if (random.once_in(2)) clear(m, {"substitutes", "substituted_by", "substituted_mg"});
  }
  // Where there is a record of it, nothing writes the text; a check and a close must have one of the two.
  if (const FieldDescriptor* in_area = field("in_area")) {
    clear(m, {"area"});
    if (kind != "pool" && !is_present(m, *in_area)) put(random, m, *in_area, referable);
  }
  if (kind == "watch_plan") clear(m, {random.once_in(2) ? "quantity" : "parameter"});
  if (kind == "stock_movement" && random.once_in(2)) clear(m, {"counted_mg"});
  if (kind == "attachment") {
    r.SetString(&m, field("sha256"), random.bytes(32));
    r.SetUInt64(&m, field("bytes"), 1 + random.below(64 << 20));
    r.SetString(&m, field("media_type"), random.once_in(2) ? "image/jpeg" : "text/plain");
    r.SetString(&m, field("name"), "=wound, " + std::to_string(random.below(100)) + " \"left\".jpg");
  }
  if (kind == "tag" && random.once_in(2)) r.SetString(&m, field("code"), "578000012345678");
}

}  // namespace

std::string random_text(Random& random) {
  static const std::vector<std::string> kPieces = {
      "herring",
      "Herring, Atlantic",
      "\"",
      "'",
      "''",
      "=",
      "=1+1",
      "+47",
      "-",
      "@",
      "\t",
      " ",
      "  ",
      "\n",
      "\r\n",
      ";",
      "\\",
      "\u00c5se",
      "na\u00efve \u20ac",
      "a=b",
      "yes",
      "0",
      "1,200g",
      "mass=1kg",
      "; ",
      "<script>",
      "O'Brien",
  };
  std::string out;
  for (std::uint64_t n = 1 + random.below(4); n > 0; --n) out += random.pick(kPieces);
  return out;
}

MessagePtr random_record(Random& random, const KindInfo& kind, const Referable& referable) {
  const KindRow& row = *find_kind(kind.number);
  for (int i = 0; i < 1000; ++i) {
    MessagePtr message = blank(kind);
    fill(random, *message, referable);
    mend(random, *message, kind.name, referable);
    Problems problems;
    row.validate(message->SerializeAsString(), problems);
    if (problems.empty()) return message;
  }
  return nullptr;
}

}  // namespace wrackline::cli
