#include "cli/asking.h"

#include <algorithm>
#include <iostream>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/dose_words.h"
#include "cli/record_fields.h"
#include "records.pb.h"
#include "text/enum_words.h"
#include "text/message_schema.h"
#include "text/quantity.h"
#include "text/spaced.h"
#include "text/value_units.h"

namespace wrackline::cli {
namespace {

using google::protobuf::Message;

// An import may have hundreds; the first tell what is wrong.
constexpr int kShownMax = 12;

// A number in the unit of its field, which may turn on the quantity or parameter it is of.
std::string value_text(const Question& question, std::int64_t value) {
  const KindInfo* const kind = find_kind_info(question.kind());
  const FieldDescriptor* const field =
      kind && kind->descriptor ? kind->descriptor->FindFieldByNumber(static_cast<int>(question.field()))
                               : nullptr;
  if (!field) return std::to_string(value);
  const MessagePtr entry = blank(*kind);
  for (const char* name : {"quantity", "parameter"}) {
    const FieldDescriptor* const selector = kind->descriptor->FindFieldByName(name);
    if (selector && question.has_detail())
      entry->GetReflection()->SetEnumValue(entry.get(), selector, static_cast<int>(question.detail()));
  }
  return print_quantity(unit_in(*field, *entry, nullptr), value);
}

// "left", "body temperature": what the value is of.
std::string what_text(const Question& question) {
  const KindInfo* const kind = find_kind_info(question.kind());
  for (const char* name : {"quantity", "parameter"}) {
    const FieldDescriptor* const selector =
        kind && kind->descriptor ? kind->descriptor->FindFieldByName(name) : nullptr;
    if (!selector || !question.has_detail()) continue;
    const auto* word = selector->enum_type()->FindValueByNumber(static_cast<int>(question.detail()));
    if (!word) break;
    return spaced(enum_word(*word));
  }
  return field_label(question.kind(), question.field());
}

std::string beyond_text(const Question& question) {
  const bool is_low = question.has_low() && question.value() < question.low();
  return what_text(question) + " " + value_text(question, question.value()) + " is " +
         (is_low ? "below " + value_text(question, question.low())
                 : "above " + value_text(question, question.high()));
}

std::string set_text(const Question& question, const char* did, Client& client) {
  return std::string(did) + (question.set_by().empty() ? "" : " by " + question.set_by()) +
         (question.set_ms() ? " at " + client.zone().print(question.set_ms()) : "");
}

// Says how many things of a day are still open.
std::string open_text(std::uint64_t rule, std::int64_t count) {
  const char *one = "thing open", *more = "things open";
  switch (rule) {
    case OPEN_RULE_UNWEIGHED:
      one = "leftover not weighed", more = "leftovers not weighed";
      break;
    case OPEN_RULE_NOT_DONE:
      one = "due thing not recorded", more = "due things not recorded";
      break;
    case OPEN_RULE_REVIEW:
      one = "thing in review", more = "things in review";
      break;
    case OPEN_RULE_HELD:
      one = "hold not decided", more = "holds not decided";
      break;
    case OPEN_RULE_NOT_HEARD:
      one = "device not heard of", more = "devices not heard of";
      break;
    default:
      break;
  }
  return std::to_string(count) + " " + (count == 1 ? one : more);
}

}  // namespace

std::string question_text(const Question& question, Client& client, Names& names) {
  const std::string entry = spaced(kind_name(question.kind())) + ": ";
  switch (question.rule()) {
    case QUESTION_RULE_SITE_LIMIT:
      return entry + beyond_text(question) + ", the site's limit " + names.short_id(question.source()) +
             set_text(question, ", set", client) +
             (question.note().empty() ? "" : " (" + question.note() + ")");
    case QUESTION_RULE_IMPROBABLE:
      return entry + beyond_text(question) + ", which is improbable: look at the unit and the point";
    case QUESTION_RULE_FUTURE:
      if (question.has_day()) return entry + "the day " + print_day(question.day()) + " has not begun";
      return entry + "its time, " + client.zone().print(static_cast<WallMs>(question.value())) +
             ", is yet to come by this device's clock";
    case QUESTION_RULE_STRUCK:
      return entry +
             (question.source_name().empty() ? names.call_it(question.source()) : question.source_name()) +
             set_text(question, " was struck", client);
    case QUESTION_RULE_CLOSED_DAY:
      return entry + "the day " + print_day(question.day()) + " of " + question.source_name() +
             set_text(question, " was closed", client) + "; this will be an amendment";
    case QUESTION_RULE_DOSE: {
      DoseFinding finding;
      finding.set_rule(static_cast<DoseRule>(question.detail()));
      *finding.mutable_record() = question.source();
      finding.set_author_name(question.set_by());
      finding.set_happened_ms(question.set_ms());
      finding.set_minutes(static_cast<std::uint32_t>(question.value()));
      const std::string amounts = question.field() == 0 ? "" : beyond_text(question) + ", ";
      return entry + amounts + finding_text(finding, client, names);
    }
    case QUESTION_RULE_DAY_OPEN:
      return "the day " + print_day(question.day()) + " of " + question.source_name() + " is to be closed with " +
             open_text(question.detail(), question.value());
    default:
      return entry + "a question of a newer release";
  }
}

std::string confirmation_text(const Confirmation& confirmation, Client& client, Names& names) {
  std::string asked;
  for (const Question& question : confirmation.questions())
    asked += (asked.empty() ? "" : "; ") + question_text(question, client, names);
  return confirmation.because() + (confirmation.because().empty() ? "" : " ") + "[asked: " + asked + "]";
}

void answer_questions(Client& client, const Failure& failure, Call& call) {
  Names names(client);
  std::string all;
  int shown = 0;
  for (const Question& question : failure.questions()) {
    if (++shown > kShownMax) break;
    const std::string text = question_text(question, client, names);
    all += (all.empty() ? "" : "; ") + text;
    if (!client.json()) print(wrapped_lines("STOP AND LOOK: " + text, 2));
  }
  if (failure.questions_size() > kShownMax)
    all += "; and " + std::to_string(failure.questions_size() - kShownMax) + " more";
  std::cout << std::flush;
  try {
    confirm(client.options(), all + ". Write it all the same?");
  } catch (const Stop& stop) {
    throw Stop{stop.exit, stop.message, "unconfirmed"};
  }
  *call.mutable_confirmed()->mutable_questions() = failure.questions();
  call.mutable_confirmed()->set_because(client.options().because);
}

}  // namespace wrackline::cli
