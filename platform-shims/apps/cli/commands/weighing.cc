#include "cli/commands/weighing.h"

#include "cli/record_fields.h"
#include "records.pb.h"
#include "text/message_schema.h"

namespace wrackline::cli {

// "gross:1500g,tare:300g,note:cut, thawed" -> parts; "1.2kg,left:0g" begins with what was offered. A comma
// ends a part only where "name:" follows it, so that decimal commas and commas of a note stay.
std::vector<Assignment> split_weighing(const std::string& text) {
  std::vector<Assignment> out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t colon = text.find(':', at);
    std::size_t end = text.size();
    for (std::size_t comma = text.find(',', at); comma != std::string::npos;
         comma = text.find(',', comma + 1)) {
      std::size_t name_end = comma + 1;
      while (name_end < text.size() && text[name_end] >= 'a' && text[name_end] <= 'z') ++name_end;
      if (name_end > comma + 1 && name_end < text.size() && text[name_end] == ':') {
        end = comma;
        break;
      }
    }
    if (at == 0 && (colon == std::string::npos || colon >= end)) {
      out.push_back({"offered", text.substr(0, end)});
      at = end + 1;
      continue;
    }
    if (colon == std::string::npos || colon >= end)
      throw usage("\"" + text + "\" is not a weighing; write it like 1.2kg, or gross:1500g,tare:300g");
    out.push_back({text.substr(at, colon - at), text.substr(colon + 1, end - colon - 1)});
    at = end + 1;
  }
  return out;
}

NewRecord portion_record(const google::protobuf::MessageLite& portion, std::uint32_t meal) {
  NewRecord record;
  record.set_kind(kind_number("portion"));
  record.set_fields(portion.SerializeAsString());
  Link* link = record.add_links();
  link->set_field(Portion::kMealFieldNumber);
  link->set_record(meal);
  return record;
}

NewRecord portion_typed(const std::string& text, std::uint32_t meal, Client& client, Names& names) {
  const Assignment food = split_assignment(text);
  const KindInfo& kind = kind_typed("portion");
  const MessagePtr portion = blank(kind);
  set_field(*portion, "food", food.name, client, names);
  for (const Assignment& part : split_weighing(food.value)) {
    if (part.name == "meal" || part.name == "food")
      throw usage("\"" + part.name + "\" is not part of a weighing");
    set_field(*portion, part.name, part.value, client, names);
  }
  return portion_record(*portion, meal);
}

}  // namespace wrackline::cli
