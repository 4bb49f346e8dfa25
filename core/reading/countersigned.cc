#include "reading/countersigned.h"

#include "base/built_in_fields.h"
#include "base/wire.h"
#include "model/countersigning.h"

namespace wrackline {

Word word_in(const Folded& history) {
  const auto field = history.fields.find(word_field(history.kind));
  if (field == history.fields.end()) return Word::kNobodys;
  RecordId giver;
  for (const FoldInput& input : history.inputs) {
    if (input.change.is_birth()) giver = input.change.author;
  }
  // A witness saw what was written by then, and not what somebody corrected later.
  const auto is_outdated = [&](const Change& word) {
    if (!must_be_another(history.kind)) return false;
    for (const auto& [number, of] : history.fields) {
      if (number >= kStandingField || number == word_field(history.kind)) continue;
      for (const Assignment& assignment : of.assignments) {
        const Change& change = history.inputs[assignment.input].change;
        if (assignment.head && word.stamp < change.stamp && change.author != word.author) return true;
      }
    }
    return false;
  };
  bool is_named = false;
  for (const Assignment& assignment : field->second.assignments) {
    const RecordId named = named_in_word(history.kind, assignment.slice);
    if (!assignment.head || !named) continue;
    is_named = true;
    const Change& word = history.inputs[assignment.input].change;
    const bool is_theirs = word.author == named && !is_outdated(word);
    if (is_theirs && !(must_be_another(history.kind) && named == giver)) return Word::kTheirs;
  }
  return is_named ? Word::kAsked : Word::kNobodys;
}

Result<Word> word_of(Replica& replica, Place record) {
  WRACKLINE_TRY_VALUE(history, replica.store().records().history(record));
  return word_in(history->folded);
}

}  // namespace wrackline
