#include "hosts/enrolment_link.h"

#include <algorithm>

namespace wrackline {
namespace {

constexpr std::string_view kScheme = "WRACKLINE://";
constexpr std::string_view kEnrol = "/ENROL/";
constexpr std::size_t kFingerprintDigits = 64;
constexpr std::size_t kLinkBytesMax = 512;

std::string capitals(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
  }
  return out;
}

bool is_hexadecimal(std::string_view text) {
  return std::all_of(text.begin(), text.end(),
                     [](char c) { return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'F'); });
}

}  // namespace

std::string to_text(const EnrolmentLink& link) {
  return capitals("wrackline://" + to_text(link.hub) + "/enrol/" + link.fingerprint + "/" + link.code);
}

Result<EnrolmentLink> parse_enrolment_link(std::string_view text) {
  const auto invalid = [](const char* what) {
    return fail(ErrorCode::kInvalid, std::string("reading an enrolment link: ") + what +
                                         "; nothing was changed. Ask an admin for a new one");
  };
  const std::string link = capitals(text.substr(0, kLinkBytesMax));
  if (text.size() > kLinkBytesMax || link.compare(0, kScheme.size(), kScheme) != 0)
    return invalid("it does not begin with wrackline://");
  const std::size_t enrol = link.find(kEnrol, kScheme.size());
  if (enrol == std::string::npos) return invalid("it is not for enrolling a device");
  std::string host = link.substr(kScheme.size(), enrol - kScheme.size());
  for (char& c : host) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  auto address = parse_hub_address(host);
  if (!address) return fail(address.error());
  EnrolmentLink out;
  out.hub = std::move(*address);
  const std::string rest = link.substr(enrol + kEnrol.size());
  out.fingerprint = rest.substr(0, kFingerprintDigits);
  if (rest.size() <= kFingerprintDigits + 1 || rest[kFingerprintDigits] != '/' ||
      !is_hexadecimal(out.fingerprint))
    return invalid("its fingerprint is not 64 hexadecimal digits");
  out.code = rest.substr(kFingerprintDigits + 1);
  if (!std::all_of(out.code.begin(), out.code.end(), [](char c) { return c >= 'A' && c <= 'Z'; }))
    return invalid("its code is not made of letters");
  return out;
}

}  // namespace wrackline
