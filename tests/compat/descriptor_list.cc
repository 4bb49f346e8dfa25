#include "descriptor_list.h"

#include <algorithm>
#include <cctype>
#include <map>
#include <set>
#include <sstream>

namespace wrackline {
namespace {

using google::protobuf::DescriptorProto;
using google::protobuf::EnumDescriptorProto;
using google::protobuf::FieldDescriptorProto;
using google::protobuf::FileDescriptorProto;

std::string type_of(const FieldDescriptorProto& field) {
  // "TYPE_SINT64" -> "sint64".
  std::string type = FieldDescriptorProto::Type_Name(field.type()).substr(5);
  std::transform(type.begin(), type.end(), type.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  // Enums and messages say which: ".wrackline.proto.RecordRef".
  if (field.has_type_name()) type += ":" + field.type_name().substr(1);
  return type;
}

std::string label_of(const FieldDescriptorProto& field, const DescriptorProto& message) {
  if (field.label() == FieldDescriptorProto::LABEL_REPEATED) return "repeated";
  if (field.proto3_optional()) return "optional";
  if (field.has_oneof_index()) return "oneof:" + message.oneof_decl(field.oneof_index()).name();
  // A message that is absent is told from an empty one, with or without the word `optional`.
  return field.type() == FieldDescriptorProto::TYPE_MESSAGE ? "optional" : "implicit";
}

class Lister {
 public:
  explicit Lister(const FileDescriptorProto& file) : prefix_(file.package()) {
    for (const EnumDescriptorProto& type : file.enum_type()) list(prefix_, type);
    for (const DescriptorProto& type : file.message_type()) list(prefix_, type);
  }
  std::vector<std::string> lines;

 private:
  void add(const std::string& of, int number, const std::string& rest) {
    lines.push_back(of + " " + std::to_string(number) + " " + rest);
  }
  void list(const std::string& prefix, const EnumDescriptorProto& type) {
    for (const auto& value : type.value())
      add(prefix + "." + type.name(), value.number(), value.name() + " enum value");
  }
  void list(const std::string& prefix, const DescriptorProto& message) {
    const std::string name = prefix + "." + message.name();
    for (const FieldDescriptorProto& field : message.field()) {
      add(name, field.number(), field.name() + " " + type_of(field) + " " + label_of(field, message));
    }
    for (const EnumDescriptorProto& type : message.enum_type()) list(name, type);
    for (const DescriptorProto& type : message.nested_type()) list(name, type);
  }
  std::string prefix_;
};

struct Line {
  std::string of;  // Message or enum.
  int number = 0;
  std::string rest;
};

Line parse(const std::string& text) {
  std::istringstream in(text);
  Line line;
  in >> line.of >> line.number;
  std::getline(in >> std::ws, line.rest);
  return line;
}

bool before(const std::string& a, const std::string& b) {
  const Line x = parse(a), y = parse(b);
  if (x.of != y.of) return x.of < y.of;
  return x.number != y.number ? x.number < y.number : x.rest < y.rest;
}

}  // namespace

std::vector<std::string> list_descriptors(const google::protobuf::FileDescriptorSet& set) {
  std::vector<std::string> lines;
  for (const FileDescriptorProto& file : set.file()) {
    const Lister lister(file);
    lines.insert(lines.end(), lister.lines.begin(), lister.lines.end());
  }
  std::sort(lines.begin(), lines.end(), before);
  return lines;
}

std::vector<std::string> read_list(std::istream& in) {
  std::vector<std::string> lines;
  for (std::string line; std::getline(in, line);) {
    if (!line.empty() && line[0] != '#') lines.push_back(line);
  }
  return lines;
}

std::vector<std::string> incompatibilities(const std::vector<std::string>& earlier,
                                           const std::vector<std::string>& now) {
  const std::set<std::string> held(now.begin(), now.end());
  std::multimap<std::pair<std::string, int>, std::string> by_number;
  for (const std::string& text : now) {
    const Line line = parse(text);
    by_number.emplace(std::make_pair(line.of, line.number), line.rest);
  }
  std::vector<std::string> faults;
  for (const std::string& text : earlier) {
    if (held.count(text) != 0) continue;
    const Line line = parse(text);
    const auto found = by_number.find({line.of, line.number});
    if (found == by_number.end()) {
      faults.push_back("gone: " + text);
    } else {
      faults.push_back("changed: " + text + "; now: " + found->second);
    }
  }
  return faults;
}

}  // namespace wrackline
