#include "text/enum_words.h"

#include <cctype>

#include "text/exit_code.h"

namespace wrackline::text {

using google::protobuf::EnumDescriptor;
using google::protobuf::EnumValueDescriptor;

std::string lower_words(std::string_view text) {
  std::string out;
  for (char c : text)
    out.push_back(c == '-' || c == ' ' ? '_'
                                       : static_cast<char>(std::tolower(static_cast<unsigned char>(c))));
  return out;
}

std::string enum_word(const EnumValueDescriptor& value) {
  // Values begin with the enumeration's own name: ThawMethod and THAW_METHOD_COLD_WATER.
  std::size_t prefix = value.type()->name().size() + 1;
  for (std::size_t i = 1; i < value.type()->name().size(); ++i)
    if (std::isupper(static_cast<unsigned char>(value.type()->name()[i]))) ++prefix;
  return lower_words(std::string_view(value.name()).substr(prefix));
}

const EnumValueDescriptor* enum_typed(const EnumDescriptor& type, std::string_view text) {
  const std::string wanted = lower_words(text);
  for (int i = 0; i < type.value_count(); ++i)
    if (type.value(i)->number() != 0 && enum_word(*type.value(i)) == wanted) return type.value(i);
  std::string list;
  for (int i = 0; i < type.value_count(); ++i)
    if (type.value(i)->number() != 0) list += (list.empty() ? "" : ", ") + enum_word(*type.value(i));
  throw usage("\"" + std::string(text) + "\" is not one of " + list);
}

}  // namespace wrackline::text
