#include "sync/bundle.h"

#include <string>

#include "sync/messages.h"

namespace wrackline {
namespace {

constexpr ByteView kMagic = "wrackbn2";
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
  proto::BundleHeader header;
  header.set_protocol(kProtocol);
  header.set_facility(Bytes(view(store.facility())));
  put_vector(vector_of(store), *header.mutable_vector());
  header.set_segments(static_cast<std::uint32_t>(segments.size()));
  header.set_written_ms(now);
  out.bytes = Bytes(kMagic);
  append_frame(out.bytes, header);
  for (const proto::Segment& segment : segments) append_frame(out.bytes, segment);
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
  // Each carries a seed at least; without this a file of empty ones would take thirty times its size in memory.
  if (std::uint64_t{header.segments()} * kSegmentBytesMin > bundle.size()) return damaged("it names more than it has room for");
  google::protobuf::RepeatedPtrField<proto::Segment> segments;
  for (std::uint32_t i = 0; i < header.segments(); ++i) WRACKLINE_TRY(take_frame(body, at, *segments.Add()));
  if (at != body.size()) return damaged("there is something after its end, at byte " + std::to_string(at));
  if (ByteView(view(sha256(body))) != bundle.substr(body.size())) {
    return damaged("its checksum does not match: it was altered or damaged");
  }

  TakenBundle taken;
  taken.writer = take_vector(header.vector());
  for (const proto::Segment& segment : segments) taken.in_file += segment.count();
  WRACKLINE_TRY_VALUE(admitted, admit_all(admission, devices, segments, taken.refused));
  tell_contradictions(admission, taken.refused);
  taken.new_here = admitted;
  return taken;
}

}  // namespace wrackline
