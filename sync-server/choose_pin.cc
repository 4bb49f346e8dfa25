#include "choose_pin.h"

#include <proving.pb.h>

#include "replica/at_hub.h"
#include "replica/pins.h"
#include "replica/replica.h"

namespace wrackline {

Result<Bytes> choose_pin_at(Replica& replica, const PublicKey& device, ByteView request) {
  proto::ChoosePinRequest wanted;
  if (!wanted.ParseFromArray(request.data(), static_cast<int>(request.size())) || !wanted.has_person() || wanted.secret().empty() ||
      wanted.new_pin().empty()) {
    return fail(ErrorCode::kMalformed, "reading a request to set a PIN: the body is not the message it should be; the PIN is as it was");
  }
  const RecordId person{LogId{wanted.person().log()}, wanted.person().seq()};
  WRACKLINE_TRY(replica.pins().check_for_another(person, wanted.secret(), to_hex(view(device))));
  WRACKLINE_TRY_VALUE(known, replica.devices().find(device));
  WRACKLINE_TRY(choose_pin(replica, {person, known.record}, wanted.new_pin()));
  return Bytes();
}

}  // namespace wrackline
