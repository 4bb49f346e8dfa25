#include "sync/exchange.h"

#include <algorithm>
#include <set>

#include "base/planted.h"
#include "crypto/sha256.h"
#include "crypto/texts.h"
#include "sync/messages.h"

namespace wrackline {
namespace {

constexpr const char* kHubVector = "hub_vector";
constexpr const char* kLastExchange = "last_exchange";

// What exactly is being read stands in the message; a parse is bounded by kExchangeBytesMax.
template <typename Message>
Status parse(ByteView bytes, Message& message) {
  if (bytes.size() > kExchangeBytesMax) {
    return fail(ErrorCode::kTooLarge, "reading an exchange: the message is over 4 MiB; nothing was kept");
  }
  if (!message.ParseFromArray(bytes.data(), static_cast<int>(bytes.size()))) {
    return fail(ErrorCode::kMalformed, "reading an exchange: it is cut short or no message of ours; nothing was kept; try again");
  }
  return {};
}

void put_refusals(const std::vector<RefusedLog>& refused, proto::ExchangeReply& reply) {
  for (const RefusedLog& r : refused) {
    proto::Refusal& out = *reply.add_refusals();
    out.set_log(r.log.value);
    out.set_seq(r.seq);
    out.set_code(static_cast<std::uint32_t>(r.error.code));
    out.set_message(r.error.message);
  }
}

// A mistake, see planted().
Status raise_to_remembered(Store& store, proto::Vector& vector) {
  WRACKLINE_TRY_VALUE(remembered, store.meta(kHubVector));
  proto::Vector before;
  if (!remembered || !before.ParseFromString(*remembered)) return {};
  VersionVector all = take_vector(vector);
  for (const auto& [log, point] : take_vector(before)) {
    if (all[log].seq < point.seq) all[log] = point;
  }
  vector.Clear();
  put_vector(all, vector);
  return {};
}

// The hub's word for every log it holds further than its last receipt says.
Status make_receipts(Store& store, WallMs now, HubHand& hub) {
  for (const auto& [id, entry] : store.logs().all()) {
    if (!entry.device || entry.sealed <= entry.receipted) continue;
    WRACKLINE_TRY_VALUE(chain, store.logs().chain_at(entry, entry.sealed));
    Receipt receipt{entry.sealed, now, first8(chain), {}};
    WRACKLINE_TRY_VALUE(signature, hub.sign(receipt_text(store.facility(), {id, receipt.seq}, receipt.head, now)));
    receipt.signature = signature;
    WRACKLINE_TRY_VALUE(log, store.logs().intern(id));
    WRACKLINE_TRY(store.receipts().add(*log, receipt));
  }
  return {};
}

}  // namespace

VersionVector vector_of(Store& store) {
  VersionVector out;
  for (const auto& [id, log] : store.logs().all()) {
    if (log.device && log.head.seq > 0) out[id] = {log.head.seq, first8(log.head.hash), log.receipted};
  }
  return out;
}

Bytes news_mark(const VersionVector& vector) {
  Bytes text;
  for (const auto& [log, point] : vector) {
    append_le(text, log.value, 8);
    append_le(text, point.seq, 4);
  }
  return Bytes(view(sha256("wrackline/news/1", text)).substr(0, 8));
}

Result<Bytes> news_request(Store& store) {
  WRACKLINE_TRY_VALUE(known, store.meta(kHubVector));
  proto::NewsRequest request;
  request.set_protocol(kProtocol);
  request.set_facility(Bytes(view(store.facility())));
  proto::Vector theirs;
  if (known && theirs.ParseFromString(*known)) request.set_mark(news_mark(take_vector(theirs)));
  return request.SerializeAsString();
}

Result<Bytes> Exchange::request(const VersionVector& theirs, bool& sends_any) {
  proto::ExchangeRequest message;
  message.set_protocol(kProtocol);
  message.set_facility(Bytes(view(store_.facility())));
  put_vector(vector_of(store_), *message.mutable_vector());
  message.set_reply_bytes_max(kExchangeBytesMax);
  WRACKLINE_TRY_VALUE(all, add_lacking(store_, theirs, refused_, kExchangeBytesWanted, *message.mutable_segments(), sent_));
  (void)all;  // What did not fit goes with the next request, when the reply's vector shows it lacking.
  WRACKLINE_TRY(offer_branches(message));
  sends_any = message.segments_size() > 0;
  return message.SerializeAsString();
}

Status Exchange::offer_branches(proto::ExchangeRequest& message) {
  std::size_t bytes = 0;
  for (const RefusedLog& refused : refused_) {
    const LogEntry* log = store_.logs().find(refused.log);
    if (refused.error.code != ErrorCode::kFork || log == nullptr || !log->device) continue;
    Seq& offered = offered_.try_emplace(refused.log, log->base()).first->second;
    if (offered >= log->sealed || bytes >= kExchangeBytesWanted) continue;
    WRACKLINE_TRY_VALUE(runs, store_.logs().runs_after(*log, offered, kExchangeBytesWanted - bytes));
    for (const SealedRun& run : runs) {
      put_segment(*log, run, *message.add_segments());
      bytes += run.body.size() + 128;
      offered = run.last();
    }
  }
  return {};
}

// More may come that makes a key known: what was refused for it is asked for again then.
void Exchange::check_hub_key(const proto::ExchangeReply& reply) {
  const auto is_unknown = [](const RefusedLog& r) { return r.error.code == ErrorCode::kUnknownDevice; };
  if (reply.more()) refused_.erase(std::remove_if(refused_.begin(), refused_.end(), is_unknown), refused_.end());
  PublicKey key;
  if (reply.more() || !copy_exactly(reply.hub_key(), key) || devices_.hub().is_key(key)) return;
  note_refused({LogId(), 0,
                {ErrorCode::kUnknownDevice,
                 "exchanging: the hub seals with a key to which no hand-over of its key has come here, " + to_hex(view(key)) +
                     "; nothing that key says is believed, and nothing held here was changed; compare it with what an admin "
                     "reads from the hub, and then pin it (repin)"}});
}

void Exchange::note_refused(RefusedLog refused) {
  const auto same = std::find_if(refused_.begin(), refused_.end(), [&](const RefusedLog& r) { return r.log == refused.log; });
  if (same == refused_.end()) refused_.push_back(std::move(refused));
}

Result<Bytes> Exchange::begin() {
  WRACKLINE_TRY(store_.refresh());
  WRACKLINE_TRY_VALUE(hint, store_.meta(kHubVector));
  proto::Vector theirs;
  bool sends_any = false;
  if (hint && theirs.ParseFromString(*hint)) return request(take_vector(theirs), sends_any);
  return request(vector_of(store_), sends_any);  // Nothing is known of the hub: ask before sending.
}

Result<Bytes> Exchange::receive(ByteView bytes, const ExchangeClock& clock) {
  proto::ExchangeReply reply;
  WRACKLINE_TRY(parse(bytes, reply));
  WRACKLINE_TRY(check_facility_and_protocol(store_, reply.facility(), reply.protocol()));
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  Admission admission(store_, devices_, Source::kFromHub);
  WRACKLINE_TRY_VALUE(admitted, admit_all(admission, devices_, reply.segments(), refused_));
  for (const proto::Receipt& receipt : reply.receipts()) {
    auto kept = keep_receipt(store_, receipt);
    if (!kept && is_own_trouble(kept.error().code)) return fail(kept.error());
  }
  for (const proto::Refusal& refusal : reply.refusals()) {
    // A gap means that the hub holds less than was thought; its vector says where to go on from.
    if (refusal.code() == static_cast<std::uint32_t>(ErrorCode::kLogGap)) continue;
    note_refused({LogId{refusal.log()}, refusal.seq(), {static_cast<ErrorCode>(refusal.code()), refusal.message()}});
  }
  check_hub_key(reply);
  if (planted("remember-the-cursor")) WRACKLINE_TRY(raise_to_remembered(store_, *reply.mutable_vector()));
  const VersionVector theirs = take_vector(reply.vector());
  std::vector<RefusedLog> forks;
  WRACKLINE_TRY(find_forks(store_, theirs, forks));
  for (RefusedLog& fork : forks) note_refused(std::move(fork));
  WRACKLINE_TRY(store_.set_meta(kHubVector, reply.vector().SerializeAsString()));
  hub_now_ms_ = reply.now_ms();

  bool sends_any = false;
  const std::uint32_t sent_before = sent_;
  WRACKLINE_TRY_VALUE(next, request(theirs, sends_any));
  proto::Vector mine;
  put_vector(vector_of(store_), mine);
  Bytes round = reply.vector().SerializeAsString() + mine.SerializeAsString();
  for (const auto& [log, offered] : offered_) append_le(round, offered, 4);
  // A round that moved neither side, though something is lacking, would only repeat itself.
  const bool go_on = (reply.more() || sends_any) && round != last_round_;
  last_round_ = round;
  if (!go_on) sent_ = sent_before;
  if (!go_on) {
    Bytes ended;
    append_le(ended, clock.now, 8);
    append_le(ended, hub_now_ms_ - clock.now, 8);
    WRACKLINE_TRY(store_.set_meta(kLastExchange, ended));
  }
  WRACKLINE_TRY(write.commit());
  received_ += admitted;
  if (clock.observe && admitted > 0) clock.observe(admission.latest_stamp());
  return go_on ? Result<Bytes>(std::move(next)) : Result<Bytes>(Bytes());
}

namespace {

Status take_in(Store& store, DeviceRegistry& devices, const proto::ExchangeRequest& request, const ExchangeClock& clock,
               HubHand& hub, std::vector<RefusedLog>& refused) {
  Admission admission(store, devices, Source::kToHub);
  WRACKLINE_TRY_VALUE(write, store.begin_write());
  WRACKLINE_TRY_VALUE(admitted, admit_all(admission, devices, request.segments(), refused));
  WRACKLINE_TRY(admission.conclude(hub));
  WRACKLINE_TRY(make_receipts(store, clock.now, hub));
  WRACKLINE_TRY(write.commit());
  // What was taken in is kept; the hub's own tail is sealed by the next exchange otherwise.
  const Status sealed = hub.seal();
  if (!sealed && sealed.error().code != ErrorCode::kDiskFull) return fail(sealed.error());
  if (!sealed) hub.note_trouble(sealed.error());
  if (clock.observe && admitted > 0) clock.observe(admission.latest_stamp());
  return {};
}

}  // namespace

Result<Bytes> answer_exchange(Store& store, DeviceRegistry& devices, ByteView bytes, const ExchangeClock& clock,
                              HubHand& hub) {
  proto::ExchangeRequest request;
  WRACKLINE_TRY(parse(bytes, request));
  WRACKLINE_TRY(check_facility_and_protocol(store, request.facility(), request.protocol()));
  proto::ExchangeReply reply;
  reply.set_protocol(kProtocol);
  reply.set_facility(request.facility());
  reply.set_now_ms(clock.now);
  reply.set_hub_key(Bytes(view(hub.key())));
  std::vector<RefusedLog> refused;
  const VersionVector theirs = take_vector(request.vector());
  const Status taken = take_in(store, devices, request, clock, hub, refused);
  if (!taken && taken.error().code != ErrorCode::kDiskFull) return fail(taken.error());
  if (!taken) {
    hub.note_trouble(taken.error());
    WRACKLINE_TRY(store.refresh());  // What is in memory is not what the file holds.
    refused.clear();
    // For the asker: what is wrong here exactly is for the hub's own log.
    const Error full{ErrorCode::kDiskFull,
                     "taking in a log: the hub's disk is full, and nothing of it was kept there; everything is safe on this "
                     "device, which sends it again; tell an admin"};
    std::set<std::uint64_t> came;
    for (const proto::Segment& segment : request.segments()) {
      if (came.insert(segment.log()).second) refused.push_back({LogId{segment.log()}, segment.first_seq(), full});
    }
  }
  WRACKLINE_TRY(find_forks(store, theirs, refused));
  put_refusals(refused, reply);
  put_vector(vector_of(store), *reply.mutable_vector());
  std::size_t wanted = kExchangeBytesWanted;
  if (request.reply_bytes_max() != 0) wanted = std::min<std::size_t>(wanted, request.reply_bytes_max() / 2);
  std::uint32_t changes = 0;
  WRACKLINE_TRY_VALUE(all, add_lacking(store, theirs, refused, wanted, *reply.mutable_segments(), changes));
  reply.set_more(!all);
  for (const auto& [id, log] : store.logs().all()) {
    const auto there = theirs.find(id);
    WRACKLINE_TRY_VALUE(receipts, store.receipts().after(log, there == theirs.end() ? 0 : there->second.receipted));
    for (const Receipt& receipt : receipts) put_receipt(id, receipt, *reply.add_receipts());
  }
  return reply.SerializeAsString();
}

}  // namespace wrackline
