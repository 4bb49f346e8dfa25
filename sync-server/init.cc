#include "init.h"

#include <records.pb.h>

#include <cstdlib>
#include <filesystem>

#include "base/bytes.h"
#include "certificate.h"
#include "hosts/file_keystore.h"
#include "hosts/private_file.h"
#include "hosts/system_clock.h"
#include "log.h"
#include "model/kinds.h"
#include "plain_text.h"
#include "read_file.h"
#include "replica/at_hub.h"
#include "replica/replica.h"
#include "scaffold.h"
#include "tls_authority.h"

namespace wrackline {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kNameBytesMax = 200;
constexpr std::size_t kPinKeyBytes = 32;

// A wrong zone would put husbandry days on the wrong date for ever, so it is looked up where the system keeps
// zones; where it keeps none, the form alone is looked at.
bool is_time_zone(const std::string& name) {
  if (name.empty() || name.size() > 64 || name.front() == '/' || name.find("..") != std::string::npos)
    return false;
  for (const char c : name) {
    const bool good = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                      c == '/' || c == '_' || c == '-' || c == '+';
    if (!good) return false;
  }
  const char* set = std::getenv("TZDIR");
  const fs::path zones = set != nullptr ? set : "/usr/share/zoneinfo";
  std::error_code error;
  if (!fs::is_directory(zones, error)) return true;
  return fs::is_regular_file(zones / name, error);
}

Status check(const InitOptions& options) {
  const auto invalid = [](const std::string& what) {
    return fail(ErrorCode::kInvalid, "making a hub: " + what);
  };
  if (!is_plain_text(options.facility_name, kNameBytesMax))
    return invalid("the facility needs a name of 1 to 200 bytes without line breaks");
  if (!is_plain_text(options.admin_name, kNameBytesMax))
    return invalid("the first admin needs a name of 1 to 200 bytes without line breaks");
  if (!is_time_zone(options.time_zone))
    return invalid("\"" + options.time_zone +
                   "\" is no time zone of this machine's; write it like Europe/Oslo");
  if (options.certificate_path.empty() != options.certificate_key_path.empty())
    return invalid("a certificate and its key are given together");
  if (!is_free_place(options.directory.path))
    return invalid(options.directory.path +
                   " is there already and not empty; nothing in it was touched. Name another directory");
  return {};
}

Result<CertificateFacts> write_certificate(const HubDirectory& directory, const InitOptions& options,
                                           WallMs now) {
  CertificatePair pair;
  if (options.certificate_path.empty()) {
    WRACKLINE_TRY_VALUE(authority, make_tls_authority(options.hosts, now));
    WRACKLINE_TRY(create_private_file(directory.authority_key(), authority.key_pem));
    WRACKLINE_TRY(create_private_file(directory.authority(), authority.certificate_pem));
    WRACKLINE_TRY_VALUE(made, make_certificate(authority, options.hosts, now));
    pair = std::move(made);
  } else {
    WRACKLINE_TRY_VALUE(certificate, read_file(options.certificate_path, kPemBytesMax));
    WRACKLINE_TRY_VALUE(key, read_file(options.certificate_key_path, kPemBytesMax));
    pair = {std::move(certificate), std::move(key)};
  }
  WRACKLINE_TRY_VALUE(facts, check_pair(pair.certificate_pem, pair.key_pem));
  WRACKLINE_TRY(create_private_file(directory.certificate_key(), pair.key_pem));
  WRACKLINE_TRY(create_private_file(directory.certificate(), pair.certificate_pem));
  return facts;
}

// Returns the first admin's one-time code.
Result<std::string> write_first_records(const HubDirectory& directory, const InitOptions& options,
                           const FacilityId& facility) {
  WRACKLINE_TRY_VALUE(keystore, FileKeystore::create(directory.key()));
  const PublicKey hub_key = keystore->public_key();
  WRACKLINE_TRY_VALUE(pin_key, random_bytes(kPinKeyBytes));
  WRACKLINE_TRY_VALUE(replica, Replica::create({directory.records(), keystore.get(), wall_clock_ms},
                                               Membership{facility, hub_key, "hub", pin_key}));
  WRACKLINE_TRY(replica->admit_device("hub", hub_key));
  proto::Facility self;
  self.set_name(options.facility_name);
  self.set_time_zone(options.time_zone);
  if (options.proof_required) self.set_proof_required(true);
  proto::Person admin;
  admin.set_name(options.admin_name);
  admin.add_roles(proto::ROLE_ADMIN);
  WRACKLINE_TRY_VALUE(records, replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kFacility), self.SerializeAsString()},
                                                        {static_cast<std::uint32_t>(Kind::kPerson), admin.SerializeAsString()}}));
  return give_pin_code_at_machine(*replica, records.back(), "the first admin's");
}

}  // namespace

Result<InitOutcome> init(const InitOptions& options) {
  WRACKLINE_TRY(check(options));
  const std::string place = without_slash(options.directory.path);
  WRACKLINE_TRY_VALUE(scaffold, Scaffold::make(place));
  const HubDirectory making{scaffold.path()};
  WRACKLINE_TRY_VALUE(random, random_bytes(FacilityId{}.size()));
  FacilityId facility;
  copy_exactly(random, facility);
  WRACKLINE_TRY_VALUE(facts, write_certificate(making, options, wall_clock_ms()));
  WRACKLINE_TRY_VALUE(pin_code, write_first_records(making, options, facility));
  WRACKLINE_TRY(scaffold.move_to(place));
  return InitOutcome{to_hex(view(facility)), facts.fingerprint, utc_text(facts.expires_ms), pin_code};
}

}  // namespace wrackline
