#include "demo_centre.h"

#include <filesystem>
#include <fstream>

#include "base/ids.h"
#include "call/dispatch.h"
#include "crypto/sha256.h"
#include "demo_device.h"
#include "story.h"

namespace wrackline::demo {
namespace {

namespace fs = std::filesystem;

constexpr char kTimeZone[] = "Europe/Oslo";

Status make_directory(const std::string& path) {
  std::error_code error;
  if (fs::exists(path, error) && !(fs::is_directory(path, error) && fs::is_empty(path, error)))
    return fail(ErrorCode::kInvalid,
                "making the centre: " + path + " is there already and not empty; nothing in it was touched");
  fs::create_directories(path, error);
  if (error)
    return fail(ErrorCode::kStorage, "making the centre: no directory " + path + ": " + error.message());
  fs::permissions(path, fs::perms::owner_all, error);
  return {};
}

Result<HubSide> make_hub(const std::string& directory, std::uint64_t seed, WallMs now,
                         Membership& membership) {
  WRACKLINE_TRY(make_directory(directory));
  HubSide hub;
  WRACKLINE_TRY_VALUE(keystore, seeded_key(directory + "/hub.key", seed, "hub"));
  hub.keystore = std::move(keystore);
  hub.clock = std::make_shared<WallMs>(now);
  Bytes number;
  append_le(number, seed, 8);
  const Hash facility = sha256("wrackline demo facility", number);
  if (!copy_exactly(ByteView(view(facility)).substr(0, FacilityId{}.size()), membership.facility))
    return fail(ErrorCode::kInternal, "making the centre: a hash is too short");
  membership.hub_key = hub.keystore->public_key();
  membership.device_name = "hub";
  const auto clock = hub.clock;
  WRACKLINE_TRY_VALUE(replica, Replica::create({directory + "/hub.db", hub.keystore.get(),
                                                [clock] { return *clock += 1'000; }, nullptr, seeded_random(seed, "hub")},
                                               membership));
  hub.replica = std::move(replica);
  WRACKLINE_TRY(hub.replica->admit_device("hub", membership.hub_key));
  return hub;
}

Result<proto::RecordRef> found(HubSide& hub) {
  proto::Facility self;
  self.set_name("Skerry Bay Rescue");
  self.set_time_zone(kTimeZone);
  proto::Person admin;
  admin.set_name("Runa Dahl");
  admin.add_roles(proto::ROLE_ADMIN);
  WRACKLINE_TRY_VALUE(ids, hub.replica->log_unauthored(
                               {{static_cast<std::uint32_t>(Kind::kFacility), self.SerializeAsString()},
                                {static_cast<std::uint32_t>(Kind::kPerson), admin.SerializeAsString()}}));
  proto::RecordRef ref;
  ref.set_log(ids[1].log.value);
  ref.set_seq(ids[1].seq);
  return ref;
}

Status write_bundle(Device& desk, const std::string& path) {
  proto::Call call;
  call.mutable_bundle_export();
  WRACKLINE_TRY_VALUE(reply, desk.call(call));
  std::ofstream file(path, std::ios::binary | std::ios::trunc);
  file << reply.bundle_export().bundle() << std::flush;
  if (!file) return fail(ErrorCode::kStorage, "making the centre: cannot write " + path);
  return {};
}

// Takes the facts from the desk, once the hub is known to hold the same.
Result<CentreFacts> facts_of(Device& desk, HubSide& hub) {
  proto::Call call;
  call.mutable_digest();
  WRACKLINE_TRY_VALUE(here, desk.call(call));
  proto::Reply there;
  if (!there.ParseFromString(dispatch(*hub.replica, call.SerializeAsString())) || there.has_failure() ||
      there.digest().sha256() != here.digest().sha256())
    return fail(ErrorCode::kInternal, "making the centre: hub and desk do not hold the same records");
  return CentreFacts{here.digest().records(), here.digest().changes(), to_hex(here.digest().sha256())};
}

}  // namespace

Result<CentreFacts> make_centre(const std::string& directory, const CentreOptions& options) {
  if (options.days < 1 || options.days > 3'660)
    return fail(ErrorCode::kInvalid, "making the centre: give 1 to 3660 days; nothing was made");
  WRACKLINE_TRY_VALUE(zone, text::Zone::find(kTimeZone));
  WRACKLINE_TRY(make_directory(directory));
  const Day first_day = options.last_day - options.days + 1;
  WRACKLINE_TRY_VALUE(start, zone.parse(text::print_day(first_day - 1) + " 09:00", 0));
  Membership membership;
  WRACKLINE_TRY_VALUE(hub, make_hub(directory + "/hub", options.seed, start, membership));
  WRACKLINE_TRY_VALUE(admin, found(hub));
  Devices devices;
  const auto enrol = [&](const char* name, std::unique_ptr<Device>& out) -> Status {
    WRACKLINE_TRY_VALUE(made, Device::make(directory + "/" + name, name, options.seed, hub, membership));
    out = std::move(made);
    return out->exchange(hub);
  };
  WRACKLINE_TRY(enrol("desk", devices.desk));
  WRACKLINE_TRY(enrol("north", devices.north));
  WRACKLINE_TRY(enrol("south", devices.south));
  WRACKLINE_TRY_VALUE(roster, record_roster(*devices.desk, admin, first_day));
  Story story(Dice(options.seed), zone, devices, hub, roster, first_day, options.days);
  WRACKLINE_TRY(story.tell());
  WRACKLINE_TRY(write_bundle(*devices.desk, directory + "/centre.bundle"));
  return facts_of(*devices.desk, hub);
}

}  // namespace wrackline::demo
