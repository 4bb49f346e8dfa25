// Fields of any record, by descriptor: "left=80g" into a message, and out again for people and programs.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "cli/names.h"
#include "text/json.h"
#include "text/message_schema.h"

namespace wrackline::cli {

// Sets one field from what was typed. `name` is the field's name, with or without its unit ("left" and
// "left_mg"; "line" for one of "lines"); a repeated field takes a list (roles=keeper,vet) or is given again.
// A nested message is written as "food=herring slot=08:30 mass=1.2kg"; a word without "=" belongs to the
// value before it, unless that is quoted (preparation="whole = head on"); several stand on a line each.
// "animal_name" takes the animal's name, and checks it where the id is given too; "area" takes the name of an area. `whole` is the record as it stands, where the meaning of a value depends on it.
// Throws Stop. Returns the field.
const FieldDescriptor& set_field(google::protobuf::Message& message, std::string_view name,
                                 std::string_view value, Client& client, Names& names,
                                 const google::protobuf::Message* whole = nullptr);

// "name=value" taken apart. Throws Stop (usage).
struct Assignment {
  std::string name, value;
};
Assignment split_assignment(std::string_view text);

// Sets several in an order in which each can be understood, whatever order they were typed in: a water
// reading's parameter before its value.
void set_fields(google::protobuf::Message& message, std::vector<Assignment> assignments, Client& client,
                Names& names, const google::protobuf::Message* whole = nullptr);

// The field `name` stands for in this kind; null when there is none. Several fields can share a name without
// unit (dose=5mg, dose=0.5mL); then all of them.
std::vector<const FieldDescriptor*> fields_called(const Descriptor& kind, std::string_view name);

// One field for people, "" when absent; a repeated one as a list. `whole`: see above.
std::string field_text(const google::protobuf::Message& message, const FieldDescriptor& field, Client& client,
                       Names& names, const google::protobuf::Message* whole = nullptr);
// One value alone, exactly; `index` is below 0 where the field is not repeated.
std::string field_value_text(const google::protobuf::Message& message, const FieldDescriptor& field, int index,
                             Client& client, Names& names);
// People read this label instead of a field's name: "left" for left_mg.
std::string field_label(const FieldDescriptor& field);
std::string field_label(std::uint32_t kind, std::uint32_t number);  // "field 57" for one of a newer release.

// All set fields as JSON members: numbers in the unit of their name, days as dates, records as full ids,
// enumerations as lower-case words, bytes in hexadecimal.
void fields_json(Json& json, const google::protobuf::Message& message);

// A whole record as one JSON object.
void record_json(Json& json, const RecordView& view, Names& names, Client& client);

bool is_present(const google::protobuf::Message& message, const FieldDescriptor& field);

}  // namespace wrackline::cli
