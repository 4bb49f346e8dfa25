#include "set_pin.h"

#include "hub_records.h"
#include "people.h"
#include "plain_text.h"
#include "replica/at_hub.h"

namespace wrackline {
namespace {

constexpr const char* kSetting = "setting a PIN";
constexpr std::size_t kPinReasonBytesMax = 1000;

}  // namespace

Status set_pin(const SetPinOptions& options) {
  if (!is_plain_text(options.reason, kPinReasonBytesMax)) {
    return fail(ErrorCode::kInvalid, std::string(kSetting) + ": it needs a reason of one line, which stays in the trail; nothing was changed");
  }
  WRACKLINE_TRY_VALUE(hub, HubRecords::open(options.directory, kSetting));
  WRACKLINE_TRY_VALUE(person, find_person(*hub.replica, options.person, kSetting));
  return set_pin_at_machine(*hub.replica, person, options.pin, options.reason);
}

Result<std::string> give_code(const SetPinOptions& options) {
  constexpr const char* kGiving = "giving a one-time code for a PIN";
  if (!is_plain_text(options.reason, kPinReasonBytesMax)) {
    return fail(ErrorCode::kInvalid, std::string(kGiving) + ": it needs a reason of one line, which stays in the trail; nothing was changed");
  }
  WRACKLINE_TRY_VALUE(hub, HubRecords::open(options.directory, kGiving));
  WRACKLINE_TRY_VALUE(person, find_person(*hub.replica, options.person, kGiving));
  return give_pin_code_at_machine(*hub.replica, person, options.reason);
}

}  // namespace wrackline
