#include "cli/reports/due_words.h"

#include "cli/client.h"
#include "text/enum_words.h"
#include "text/message_schema.h"

namespace wrackline::cli {
namespace {

std::string word_of(const google::protobuf::EnumDescriptor* type, int number) {
  const auto* value = type ? type->FindValueByNumber(number) : nullptr;
  std::string word = value ? enum_word(*value) : "value " + std::to_string(number);
  for (char& c : word)
    if (c == '_') c = ' ';
  return word;
}

}  // namespace

// Descriptors of the enumerations that records use, by way of a field that has them.
std::string enum_text(const char* kind, const char* field, int number) {
  const KindInfo& info = kind_typed(kind);
  const auto* f = info.descriptor->FindFieldByName(field);
  return word_of(f ? f->enum_type() : nullptr, number);
}

const char* state_text(DueState state) {
  switch (state) {
    case DUE_STATE_UPCOMING:
      return "upcoming";
    case DUE_STATE_DUE:
      return "due";
    case DUE_STATE_LATE:
      return "LATE";
    case DUE_STATE_MISSED:
      return "MISSED";
    case DUE_STATE_DONE:
      return "done";
    case DUE_STATE_NOT_KNOWN:
      return "not known here";
    default:
      return "?";
  }
}

}  // namespace wrackline::cli
