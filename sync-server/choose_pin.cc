#include "choose_pin.h"

#include <proving.pb.h>

#include "replica/at_hub.h"
#include "replica/pin_watch.h"
#include "replica/replica.h"

namespace wrackline {

Result<Bytes> choose_pin_at(Replica& replica, const PublicKey& device, ByteView request) {
  proto::ChoosePinRequest wanted;
  if (!wanted.ParseFromArray(request.data(), static_cast<int>(request.size())) || !wanted.has_person() || wanted.secret().empty() ||
      wanted.new_pin().empty()) {
    return fail(ErrorCode::kMalformed, "reading a request to set a PIN: the body is not the message it should be; the PIN is as it was");
  }
  const RecordId person{LogId{wanted.person().log()}, wanted.person().seq()};
  WRACKLINE_TRY(check_pin_or_code_shown(replica, person, wanted.secret(), device));
  WRACKLINE_TRY_VALUE(known, replica.devices().find(device));
  WRACKLINE_TRY(choose_pin(replica, {person, known.record}, wanted.new_pin()));
  return Bytes();
}

}  // namespace wrackline
