// All a device needs to find its hub and be let in, in one line that fits a QR picture:
//
//   wrackline://HOST:PORT/enrol/FINGERPRINT/CODE
//
// FINGERPRINT is the SHA-256 of the hub's certificate (DER), 64 hexadecimal digits; CODE a one-time code, its
// ten letters. Everything but the host is capitals, and so is the host when it is written: digits, capitals
// and these separators are what QR pictures hold most densely (ISO/IEC 18004, alphanumeric mode), and none of
// the parts minds. The link holds no secret but the code.
#pragma once

#include <string>
#include <string_view>

#include "hosts/hub_address.h"

namespace wrackline {

struct EnrolmentLink {
  HubAddress hub;
  std::string fingerprint;  // 64 capital hexadecimal digits.
  std::string code;         // Without a hyphen.
};

std::string to_text(const EnrolmentLink& link);
// Errors: kInvalid, with what is wrong.
Result<EnrolmentLink> parse_enrolment_link(std::string_view text);

}  // namespace wrackline
