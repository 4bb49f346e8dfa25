#include "sync/bundle.h"

#include <string>

#include "sync/messages.h"

namespace wrackline {
namespace {

constexpr ByteView kMagic = "wrackbn1";
constexpr std::size_t kTrailerSize = 32;

void append_frame(Bytes& out, const google::protobuf::MessageLite& message) {
  const Bytes frame = message.SerializeAsString();
  append_le(out, frame.size(), 4);
  out += frame;
}

Unexpected damaged(const std::string& what) {
  return fail(ErrorCode::kMalformed, "importing a bundle: " + what + "; nothing of it was imported; copy the file again or have it written anew");
}

// Reads the next frame. Reports the byte at which the file stops making sense.
Status take_frame(ByteView file, std::size_t& at, google::protobuf::MessageLite& message) {
  if (file.size() - at < 4) return damaged("it is cut short at byte " + std::to_string(at));
  const std::size_t size = load_le(file.substr(at, 4));
  if (size > file.size() - at - 4) return damaged("it is cut short at byte " + std::to_string(file.size()));
  if (!message.ParseFromArray(file.data() + at + 4, static_cast<int>(size))) {
    return damaged("it cannot be read at byte " + std::to_string(at));
  }
  at += 4 + size;
  return {};
}

}  // namespace

Result<WrittenBundle> write_bundle(Store& store, const VersionVector& have, WallMs now) {
  WrittenBundle out;
  google::protobuf::RepeatedPtrField<proto::Segment> segments;
  WRACKLINE_TRY_VALUE(all, add_lacking(store, have, {}, kBundleBytesMax / 2, segments, out.changes));
  if (!all) {
    return fail(ErrorCode::kTooLarge, "writing a bundle: it would be over 128 MiB; nothing was written; exchange by network instead");
  }
  std::vector<proto::Receipt> receipts;
  for (const auto& [id, log] : store.logs().all()) {
    WRACKLINE_TRY_VALUE(held, store.receipts().after(log, 0));
    for (const Receipt& receipt : held) put_receipt(id, receipt, receipts.emplace_back());
  }
  proto::BundleHeader header;
  header.set_protocol(kProtocol);
  header.set_facility(Bytes(view(store.facility())));
  put_vector(vector_of(store), *header.mutable_vector());
  header.set_segments(static_cast<std::uint32_t>(segments.size()));
  header.set_receipts(static_cast<std::uint32_t>(receipts.size()));
  header.set_written_ms(now);
  out.bytes = Bytes(kMagic);
  append_frame(out.bytes, header);
  for (const proto::Segment& segment : segments) append_frame(out.bytes, segment);
  for (const proto::Receipt& receipt : receipts) append_frame(out.bytes, receipt);
  out.bytes += view(sha256(out.bytes));
  return out;
}

Result<TakenBundle> take_bundle(Store& store, DeviceRegistry& devices, ByteView bundle, Admission& admission) {
  if (bundle.size() > kBundleBytesMax) {
    return fail(ErrorCode::kTooLarge, "importing a bundle: the file is over 256 MiB; nothing of it was imported");
  }
  if (bundle.substr(0, kMagic.size()) != kMagic) return damaged("the file is no bundle");
  if (bundle.size() < kMagic.size() + kTrailerSize) return damaged("it is cut short at byte " + std::to_string(bundle.size()));
  const ByteView body = bundle.substr(0, bundle.size() - kTrailerSize);
  std::size_t at = kMagic.size();
  proto::BundleHeader header;
  WRACKLINE_TRY(take_frame(body, at, header));
  WRACKLINE_TRY(check_facility_and_protocol(store, header.facility(), header.protocol()));
  google::protobuf::RepeatedPtrField<proto::Segment> segments;
  for (std::uint32_t i = 0; i < header.segments(); ++i) WRACKLINE_TRY(take_frame(body, at, *segments.Add()));
  std::vector<proto::Receipt> receipts;
  for (std::uint32_t i = 0; i < header.receipts(); ++i) WRACKLINE_TRY(take_frame(body, at, receipts.emplace_back()));
  if (at != body.size()) return damaged("there is something after its end, at byte " + std::to_string(at));
  if (ByteView(view(sha256(body))) != bundle.substr(body.size())) {
    return damaged("its checksum does not match: it was altered or damaged");
  }

  TakenBundle taken;
  taken.writer = take_vector(header.vector());
  for (const proto::Segment& segment : segments) taken.in_file += segment.count();
  std::vector<RefusedLog> refused;
  WRACKLINE_TRY_VALUE(admitted, admit_all(admission, devices, segments, refused));
  if (!refused.empty()) {
    Error error = refused.front().error;
    error.message = "importing a bundle: " + error.message + "; nothing of the file was imported";
    return fail(error);
  }
  taken.new_here = admitted;
  for (const proto::Receipt& receipt : receipts) {
    auto kept = keep_receipt(store, receipt);
    if (!kept && is_own_trouble(kept.error().code)) return fail(kept.error());
  }
  return taken;
}

}  // namespace wrackline
