#include "cli/commands/doubts.h"

#include "records.pb.h"
#include "text/message_schema.h"

namespace wrackline::cli {

std::vector<std::string> unsettled_intake_sentences(const RecordRef& animal, Day first_day, Day last_day,
                                                    bool with_mass, const Ask& ask) {
  const auto get = [&](const RecordRef& record) {
    Call call;
    *call.mutable_get()->mutable_record() = record;
    return ask(call).get().record();
  };
  Call call;
  call.mutable_review();
  const Reply reply = ask(call);
  std::vector<std::string> out;
  for (const ReviewItem& item : reply.review().items()) {
    const std::string kind = kind_name(item.kind());
    if (item.records_size() == 0 ||
        (kind != "meal" && kind != "portion" && !(kind == "measure" && with_mass)))
      continue;
    RecordView view = get(item.records(0));
    if (kind == "portion") {
      Portion portion;
      portion.ParseFromString(view.fields());
      view = get(portion.meal());
    }
    RecordRef whose;
    Day day = 0;
    if (kind == "measure") {
      Measure measure;
      measure.ParseFromString(view.fields());
      whose = measure.animal();
      day = measure.day();
    } else {
      Meal meal;
      meal.ParseFromString(view.fields());
      whose = meal.animal();
      day = meal.day();
    }
    // A body mass counts until the next one, so an earlier one in doubt matters too.
    if (!same(whose, animal) || day > last_day || (day < first_day && kind != "measure")) continue;
    out.push_back(print_day(day) + ": " +
                  (item.field() ? "a " + kind + " is in disagreement; one of its values is counted"
                                : "a " + kind + " may have been recorded twice; both count") +
                  " until the officer has spoken (`wrack review`)");
  }
  return out;
}

}  // namespace wrackline::cli
