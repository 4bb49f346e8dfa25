#include "attaching.h"

#include <records.pb.h>

#include <filesystem>

#include "hosts/system_clock.h"
#include "model/kinds.h"
#include "replica/author.h"
#include "store/store.h"

namespace wrackline {

AttachingDevice::AttachingDevice(RunningHub& hub, std::string name)
    : device(hub, name), folder(hub.scratch / (name + ".blobs")), hub_(hub) {
  device.log_people(1);
  keeper_ = {device.replica().author().log(LogClass::kRoster), 1};
  must(device.exchange());
}

Hash AttachingDevice::attach(const Bytes& content) {
  const Hash hash = sha256(content);
  must(folder.put(hash, 0, content.size(), content));
  proto::Attachment attachment;
  attachment.mutable_subject()->set_log(keeper_.log.value);
  attachment.mutable_subject()->set_seq(keeper_.seq);
  attachment.set_day(static_cast<Day>(wall_clock_ms() / kDayMs));
  attachment.set_sha256(Bytes(view(hash)));
  attachment.set_bytes(content.size());
  attachment.set_media_type("image/jpeg");
  attachment.set_name("photograph.jpg");
  must(device.replica().author().log_records(
      keeper_, {{static_cast<std::uint32_t>(Kind::kAttachment), attachment.SerializeAsString(), {}, {}}}));
  return hash;
}

FileRoute AttachingDevice::route() {
  client_ = must(HubClient::create(hub_.client_options()));
  FileRoute route;
  route.post = [this](const std::string& path, const Bytes& body) { return client_->post(path, body, &device.session()); };
  route.put = [this](const std::string& path, std::uint64_t offset, std::uint64_t total, ByteView part) {
    return client_->put_part(path, offset, total, part, device.session());
  };
  route.get = [this](const std::string& path, std::uint64_t offset, std::uint64_t count) {
    return client_->get_part(path, offset, count, device.session());
  };
  return route;
}

Status AttachingDevice::send(const Hash& hash, const FileProgress& progress) {
  const FileRoute hub = route();
  WRACKLINE_TRY_VALUE(there, ask_held(hub, {hash}));
  return send_file(hub, folder, hash, there.front(), progress);
}

std::size_t files_below(const std::string& folder) {
  std::size_t count = 0;
  if (!std::filesystem::exists(folder)) return count;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) count += entry.is_regular_file();
  return count;
}

}  // namespace wrackline
