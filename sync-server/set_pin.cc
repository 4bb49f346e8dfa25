#include "set_pin.h"

#include "base/wire.h"
#include "hub_records.h"
#include "model/sign_in_rules.h"
#include "people.h"
#include "plain_text.h"
#include "replica/author.h"
#include "replica/sign_in.h"

namespace wrackline {
namespace {

constexpr const char* kDoing = "setting a PIN";
constexpr std::size_t kReasonBytesMax = 1000;

}  // namespace

Status set_pin(const SetPinOptions& options) {
  if (!is_plain_text(options.reason, kReasonBytesMax)) {
    return fail(ErrorCode::kInvalid, std::string(kDoing) + ": it needs a reason of one line, which stays in the trail; nothing was changed");
  }
  WRACKLINE_TRY_VALUE(hub, HubRecords::open(options.directory, kDoing));
  WRACKLINE_TRY_VALUE(person, find_person(*hub.replica, options.person, kDoing));
  WRACKLINE_TRY_VALUE(hash, hub.replica->sign_in().hash_of(person, options.pin));
  Edit edit;
  edit.record = person;
  append_bytes_field(edit.fields, kPinField, hash);
  edit.reason = options.reason;
  edit.settle = true;
  WRACKLINE_TRY(hub.replica->author().edit({}, std::move(edit)));
  return {};
}

}  // namespace wrackline
