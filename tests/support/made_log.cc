#include "support/made_log.h"

#include "crypto/sha256.h"
#include "support/must.h"
#include "sync/exchange.h"
#include "sync/messages.h"

namespace wrackline {

BlockSeed made_seed(std::uint32_t block) {
  BlockSeed seed{};
  for (std::size_t i = 0; i < seed.size(); ++i) seed[i] = static_cast<unsigned char>(block * 31 + i);
  return seed;
}

MadeLog made_log(const FacilityId& facility, const PublicKey& device, std::uint64_t number, LogClass log_class) {
  MadeLog out;
  out.facility = facility;
  out.opening.device = device;
  out.opening.log_class = log_class;
  for (std::size_t i = 0; i < 8; ++i) out.opening.nonce[i] = static_cast<unsigned char>(number >> (8 * i));
  out.id = out.sealed_as = log_id(facility, out.opening);
  return out;
}

MadeLog made_behind(const FacilityId& facility, LogTable& logs, const LogEntry& log, Seq seq) {
  MadeLog out;
  out.facility = facility;
  out.id = log.id;
  out.sealed_as = log.sealed_as();
  out.opening = *log.opening;
  out.tree = must(logs.tree_at(log, seq));
  if (seq % kBlockLeaves != 0) {
    const std::uint32_t block = block_of(seq);
    if (const auto seed = must(logs.seed_of(log, block))) out.seeds[block] = *seed;
  }
  return out;
}

proto::Opening made_opening(const LogOpening& opening) {
  proto::Opening out;
  put_opening(opening, Frontier(), out);
  return out;
}

proto::Sealing made_sealing(const MadeLog& log, Keystore& signer) {
  LogSeal seal;
  seal.size = log.tree.size();
  seal.root = log.tree.root();
  seal.signature = must(signer.sign(seal_text(log.facility, log.sealed_as, log.opening, seal)));
  proto::Sealing out;
  put_seal(seal, out);
  return out;
}

proto::Segment made_segment(MadeLog& log, Keystore& signer, const ChangeRun& changes, bool as_columns) {
  proto::Segment out;
  out.set_log(log.id.value);
  out.set_first_seq(log.last() + 1);
  out.set_count(static_cast<std::uint32_t>(changes.size()));
  const PackedRun packed = as_columns ? pack_run(changes) : pack_run_plain(changes);
  out.set_codec(packed.codec);
  out.set_body(packed.body);
  TreeWalk walk(log.tree);
  Bytes seeds;
  for (std::uint32_t block = block_of(log.tree.size()); block <= block_of(log.tree.size() + std::max<std::size_t>(changes.size(), 1) - 1); ++block) {
    const BlockSeed seed = log.seeds.try_emplace(block, made_seed(block)).first->second;
    walk.give_seed(block, seed);
    seeds += view(seed);
  }
  for (std::size_t i = 0; i < changes.size(); ++i) walk.step(changes[i]);
  log.tree = walk.tree();
  out.set_seeds(seeds);
  *out.mutable_opening() = made_opening(log.opening);
  *out.mutable_sealing() = made_sealing(log, signer);
  return out;
}

proto::Segment made_segment(MadeLog& log, Keystore& signer, const std::vector<Bytes>& changes) {
  ChangeRun run;
  for (const Bytes& change : changes) run.append(change);
  return made_segment(log, signer, run);
}

Bytes made_bundle(const FacilityId& facility, const std::vector<proto::Segment>& segments) {
  const auto append_frame = [](Bytes& out, const google::protobuf::MessageLite& message) {
    const Bytes frame = message.SerializeAsString();
    append_le(out, frame.size(), 4);
    out += frame;
  };
  proto::BundleHeader header;
  header.set_protocol(kProtocol);
  header.set_facility(Bytes(view(facility)));
  header.set_segments(static_cast<std::uint32_t>(segments.size()));
  Bytes out = "wrackbn2";
  append_frame(out, header);
  for (const proto::Segment& segment : segments) append_frame(out, segment);
  return out + Bytes(view(sha256(out)));
}

}  // namespace wrackline
