#include "sync/hub_session.h"

#include <array>
#include <charconv>

namespace wrackline {
namespace {

constexpr std::size_t kTokenDigits = 64;

// The text up to the next point, which is taken away with it.
std::string_view next_part(std::string_view& rest) {
  const std::size_t end = rest.find('.');
  const std::string_view part = rest.substr(0, end);
  rest.remove_prefix(end == std::string_view::npos ? rest.size() : end + 1);
  return part;
}

template <std::size_t N>
bool read_exactly(std::string_view digits, std::array<unsigned char, N>& out) {
  const auto bytes = read_hex(digits);
  return bytes && copy_exactly(*bytes, out);
}

}  // namespace

std::optional<RequestAuthorization> read_authorization(std::string_view header) {
  if (header.substr(0, kAuthorizationScheme.size()) != kAuthorizationScheme) return std::nullopt;
  std::string_view rest = header.substr(kAuthorizationScheme.size());
  if (rest.empty() || rest.front() != ' ') return std::nullopt;
  rest.remove_prefix(1);
  RequestAuthorization out;
  out.token = next_part(rest);
  const std::string_view number = next_part(rest);
  const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), out.number);
  if (error != std::errc() || end != number.data() + number.size()) return std::nullopt;
  const bool is_read = read_exactly(next_part(rest), out.body) && read_exactly(next_part(rest), out.signature);
  // One text for one meaning: what is written again is what came.
  if (!is_read || out.token.size() != kTokenDigits || to_text(out) != header) return std::nullopt;
  return out;
}

std::string to_text(const RequestAuthorization& authorization) {
  return std::string(kAuthorizationScheme) + " " + authorization.token + "." + std::to_string(authorization.number) + "." +
         to_hex(view(authorization.body)) + "." + to_hex(view(authorization.signature));
}

Result<std::string> authorize(const FacilityId& facility, Keystore& keystore, std::string_view token, std::uint64_t number,
                              const RequestHead& head, const Hash& body) {
  WRACKLINE_TRY_VALUE(signature, keystore.sign(request_text(facility, token, number, head, body)));
  return to_text({std::string(token), number, body, signature});
}

Result<std::string> HubSession::authorize(const RequestHead& head, ByteView body) {
  if (keystore_ == nullptr) return std::string();
  return wrackline::authorize(facility_, *keystore_, token_, ++asked_, head, sha256(body));
}

}  // namespace wrackline
