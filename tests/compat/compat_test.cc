// Records that earlier releases wrote can still be read: their lists of messages are kept in descriptors/, one file a
// release, and every line of every list must still hold. The checker itself is tried on altered descriptors.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <functional>
#include <sstream>

#include "descriptor_list.h"

using namespace wrackline;
using google::protobuf::DescriptorProto;
using google::protobuf::FieldDescriptorProto;
using google::protobuf::FileDescriptorSet;

namespace {

FileDescriptorSet descriptors_now() {
  FileDescriptorSet set;
  std::ifstream in(WRACKLINE_DESCRIPTORS, std::ios::binary);
  REQUIRE(set.ParseFromIstream(&in));
  REQUIRE(set.file_size() >= 4);
  return set;
}

DescriptorProto& message_of(FileDescriptorSet& set, const std::string& name) {
  for (auto& file : *set.mutable_file()) {
    for (auto& message : *file.mutable_message_type()) {
      if (message.name() == name) return message;
    }
  }
  FAIL("no message " << name);
  std::abort();
}

FieldDescriptorProto& field_of(DescriptorProto& message, const std::string& name) {
  for (auto& field : *message.mutable_field()) {
    if (field.name() == name) return field;
  }
  FAIL("no field " << name);
  std::abort();
}

// The faults found when today's descriptors are followed by ones altered so.
std::vector<std::string> faults_after(const std::function<void(FileDescriptorSet&)>& alter) {
  FileDescriptorSet altered = descriptors_now();
  alter(altered);
  return incompatibilities(list_descriptors(descriptors_now()), list_descriptors(altered));
}

std::string joined(const std::vector<std::string>& lines) {
  std::string out;
  for (const std::string& line : lines) out += line + "\n";
  return out;
}

}  // namespace

TEST_CASE("everything that earlier releases wrote still has its number, name, type and label", "[compat]") {
  const std::vector<std::string> now = list_descriptors(descriptors_now());
  bool this_release = false;
  for (const auto& entry : std::filesystem::directory_iterator(WRACKLINE_GOLDEN_DIR)) {
    CAPTURE(entry.path().filename().string());
    this_release = this_release || entry.path().stem() == WRACKLINE_RELEASE;
    std::ifstream in(entry.path());
    const std::vector<std::string> earlier = read_list(in);
    REQUIRE(earlier.size() > 100);
    const std::vector<std::string> faults = incompatibilities(earlier, now);
    INFO(joined(faults));
    CHECK(faults.empty());
  }
  CHECK(this_release);  // Written by --write; see main.cc.
}

TEST_CASE("a line of the list says file, message, number, name, type and label", "[compat]") {
  const std::vector<std::string> lines = list_descriptors(descriptors_now());
  const auto held = [&lines](const char* line) { return std::count(lines.begin(), lines.end(), line) == 1; };
  CHECK(held("wrackline.proto.Change 1 stamp fixed64 implicit"));
  CHECK(held("wrackline.proto.Change 4 record message:wrackline.proto.RecordRef optional"));
  CHECK(held("wrackline.proto.Change 7 clears uint32 repeated"));
  CHECK(held("wrackline.proto.Meal 2 day sint32 optional"));
  CHECK(held("wrackline.proto.Meal 1000 standing enum:wrackline.proto.Standing optional"));
  CHECK(held("wrackline.proto.Standing 1 STANDING_STRUCK enum value"));
  CHECK(held("wrackline.proto.Call 2 status message:wrackline.proto.StatusCall oneof:what"));
}

TEST_CASE("the list does not depend on the order in which things stand", "[compat]") {
  FileDescriptorSet turned = descriptors_now();
  std::reverse(turned.mutable_file()->begin(), turned.mutable_file()->end());
  for (auto& file : *turned.mutable_file()) {
    std::reverse(file.mutable_message_type()->begin(), file.mutable_message_type()->end());
    for (auto& message : *file.mutable_message_type()) {
      std::reverse(message.mutable_field()->begin(), message.mutable_field()->end());
    }
  }
  CHECK(list_descriptors(turned) == list_descriptors(descriptors_now()));
}

TEST_CASE("an addition is no fault", "[compat]") {
  CHECK(faults_after([](FileDescriptorSet&) {}).empty());
  CHECK(faults_after([](FileDescriptorSet& set) {
          FieldDescriptorProto* field = message_of(set, "Meal").add_field();
          field->set_name("weather");
          field->set_number(7);
          field->set_type(FieldDescriptorProto::TYPE_STRING);
          set.mutable_file(0)->add_message_type()->set_name("Newcomer");
          auto* value = set.mutable_file(0)->add_enum_type();
          value->set_name("NewEnum");
        }).empty());
}

TEST_CASE("a field that is gone is found", "[compat]") {
  const std::vector<std::string> faults = faults_after([](FileDescriptorSet& set) {
    DescriptorProto& meal = message_of(set, "Meal");
    for (int i = 0; i < meal.field_size(); ++i) {
      if (meal.field(i).name() == "slot_min") return meal.mutable_field()->DeleteSubrange(i, 1);
    }
  });
  REQUIRE(faults.size() == 1);
  CHECK(faults[0] == "gone: wrackline.proto.Meal 3 slot_min uint32 optional");
}

TEST_CASE("a field under another number is found", "[compat]") {
  const std::vector<std::string> faults = faults_after(
      [](FileDescriptorSet& set) { field_of(message_of(set, "Change"), "reason").set_number(99); });
  REQUIRE(faults.size() == 1);
  CHECK(faults[0].find("gone: wrackline.proto.Change 9 reason") == 0);
}

TEST_CASE("two fields that changed places are found", "[compat]") {
  const std::vector<std::string> faults = faults_after([](FileDescriptorSet& set) {
    FieldDescriptorProto &gross = field_of(message_of(set, "Portion"), "gross_mg"),
                         &tare = field_of(message_of(set, "Portion"), "tare_mg");
    gross.set_number(4);
    tare.set_number(3);
  });
  REQUIRE(faults.size() == 2);
  CHECK(faults[0].find("changed: wrackline.proto.Portion 3 gross_mg") == 0);
}

TEST_CASE("a field of another type is found", "[compat]") {
  CHECK(faults_after([](FileDescriptorSet& set) {
          field_of(message_of(set, "Meal"), "day").set_type(FieldDescriptorProto::TYPE_INT32);
        }).size() == 1);
  CHECK(faults_after([](FileDescriptorSet& set) {
          field_of(message_of(set, "Meal"), "animal").set_type_name(".wrackline.proto.Accepted");
        }).size() == 1);
}

TEST_CASE("a field with another label is found", "[compat]") {
  CHECK(faults_after([](FileDescriptorSet& set) {
          field_of(message_of(set, "Person"), "name").set_label(FieldDescriptorProto::LABEL_REPEATED);
        }).size() == 1);
  // Absent and zero would become the same.
  CHECK(faults_after([](FileDescriptorSet& set) {
          FieldDescriptorProto& left = field_of(message_of(set, "Portion"), "left_mg");
          left.clear_proto3_optional();
          left.clear_oneof_index();
        }).size() == 1);
  CHECK(faults_after([](FileDescriptorSet& set) {
          field_of(message_of(set, "Call"), "digest").clear_oneof_index();
        }).size() == 1);
}

TEST_CASE("a field or enum value with another name is found, since scripts name them", "[compat]") {
  CHECK(faults_after([](FileDescriptorSet& set) {
          field_of(message_of(set, "Pool"), "area").set_name("zone");
        }).size() == 1);
  CHECK(faults_after([](FileDescriptorSet& set) {
          for (auto& file : *set.mutable_file()) {
            for (auto& type : *file.mutable_enum_type()) {
              if (type.name() == "Outcome") type.mutable_value(4)->set_name("OUTCOME_WITHHELD");
            }
          }
        }).size() == 1);
}

TEST_CASE("an enum value that is gone or renumbered is found", "[compat]") {
  for (const bool remove : {true, false}) {
    const std::vector<std::string> faults = faults_after([remove](FileDescriptorSet& set) {
      for (auto& file : *set.mutable_file()) {
        for (auto& type : *file.mutable_enum_type()) {
          if (type.name() != "Quantity") continue;
          if (remove) {
            type.mutable_value()->DeleteSubrange(4, 1);
          } else {
            type.mutable_value(4)->set_number(40);
          }
        }
      }
    });
    REQUIRE(faults.size() == 1);
    CHECK(faults[0].find("gone: wrackline.proto.Quantity 4 QUANTITY_GIRTH") == 0);
  }
}

TEST_CASE("a message or a file that is gone is found", "[compat]") {
  CHECK(faults_after([](FileDescriptorSet& set) { message_of(set, "RecordRef").set_name("Ref"); }).size() >=
        2);
  CHECK(faults_after([](FileDescriptorSet& set) { set.mutable_file()->RemoveLast(); }).size() > 10);
}

TEST_CASE("a kept list is read past its comments", "[compat]") {
  std::istringstream in("# one\n\np.M 1 x uint32 implicit\n# two\n");
  CHECK(read_list(in) == std::vector<std::string>{"p.M 1 x uint32 implicit"});
}
