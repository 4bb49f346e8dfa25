#include "support/facility.h"

#include "support/random.h"

#include <stdlib.h>

#include <filesystem>

#include "base/wire.h"
#include "model/kinds.h"

namespace wrackline {

ScratchFolder::ScratchFolder(const std::string& parent) {
  const std::filesystem::path where = parent.empty() ? std::filesystem::temp_directory_path() : std::filesystem::path(parent);
  std::string pattern = (where / "wrackline-test-XXXXXX").string();
  path_ = mkdtemp(pattern.data());
}

ScratchFolder::~ScratchFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

namespace {

Replica::Options options_of(const Device& device) {
  auto clock = device.clock;
  return {device.path, device.keystore.get(), [clock] { return *clock; }, device.fence, device.random};
}

}  // namespace

void Device::reopen() { must(try_reopen()); }

Status Device::try_reopen() {
  replica.reset();
  WRACKLINE_TRY_VALUE(opened, Replica::open(options_of(*this)));
  replica = std::move(opened);
  return {};
}

void Facility::fix_random(Device& device, std::uint64_t number) const {
  if (log_ids_ != LogIds::kFixed) return;
  const auto random = std::make_shared<Random>(seed_ * 0x0123456789abcdull + number);
  device.random = [random](std::size_t count) -> Result<Bytes> { return random->bytes(count); };
}

Membership Facility::membership(const std::string& name) const {
  return {id_, hub_.keystore->public_key(), name};
}

Facility::Facility(std::uint64_t seed, LogIds log_ids, const std::string& parent)
    : folder_(parent), seed_(seed), log_ids_(log_ids) {
  for (std::size_t i = 0; i < id_.size(); ++i) id_[i] = static_cast<unsigned char>(seed >> (i % 8 * 8));
  hub_ = {"hub", folder_ / "hub.db", std::make_unique<SeededKeystore>(seed),
          std::make_shared<WallMs>(kStartMs), nullptr};
  fix_random(hub_, 1);
  hub_.replica = must(Replica::create(options_of(hub_), membership("hub")));
  must(hub_.replica->admit_device("hub", hub_.keystore->public_key()));
  Bytes person;
  append_bytes_field(person, 1, "Ines Valdor");
  // Every role: what tests are about is seldom who may do it.
  for (std::uint64_t role = 1; role <= 5; ++role) append_varint_field(person, 2, role);
  keeper_ = must(hub_.replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kPerson), person}})).front();
}

Device& Facility::add_device(const std::string& name) {
  const std::uint64_t number = devices_.size() + 1;
  auto device = std::make_unique<Device>();
  device->name = name;
  device->path = folder_ / (name + ".db");
  device->keystore = std::make_unique<SeededKeystore>(seed_ * 1000 + number);
  device->clock = std::make_shared<WallMs>(kStartMs);
  must(hub_.replica->admit_device(name, device->keystore->public_key()));
  fix_random(*device, 1 + number);
  device->replica = must(Replica::create(options_of(*device), membership(name)));
  devices_.push_back(std::move(device));
  return *devices_.back();
}

Status Facility::exchange(Device& device) {
  Bytes reply;
  for (int round = 0; round < 1000; ++round) {
    WRACKLINE_TRY_VALUE(request, device.replica->exchange(reply));
    if (request.empty()) return {};
    WRACKLINE_TRY_VALUE(answer, hub_.replica->answer_exchange(request, device.keystore->public_key()));
    reply = answer;
  }
  return fail(ErrorCode::kInternal, "an exchange did not end");
}

void Facility::exchange_all() {
  // Twice: what the last device brings, the first has then too.
  for (int round = 0; round < 2; ++round) {
    for (auto& device : devices_) must(exchange(*device));
  }
}

std::string state_of(Device& device) {
  must(device.replica->store().refresh());
  return to_hex(view(must(device.replica->store().records().state_digest()).sha256));
}

}  // namespace wrackline
