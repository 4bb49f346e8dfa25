#include "sync/exchange.h"

#include <algorithm>
#include <set>
#include <type_traits>
#include <utility>

#include "base/planted.h"
#include "base/wire.h"
#include "crypto/sha256.h"
#include "crypto/texts.h"
#include "sync/messages.h"

namespace wrackline {
namespace {

constexpr const char* kHubVector = "hub_vector";
constexpr const char* kLastExchange = "last_exchange";

// A message in memory is larger than its bytes, and an empty one by a hundred times. A segment carries a log and a seed, an
// entry of a vector a log and a head: with less of each than this the message is none of ours, and is not read.
constexpr std::size_t kEntryBytesMin = 16, kPartsFree = 64;

Status check_parts(ByteView request) {
  std::size_t parts = 0, entries = 0;
  WireReader reader(request);
  WireField field;
  while (reader.next(field)) {
    ++parts;
    if (field.number != proto::ExchangeRequest::kVectorFieldNumber) continue;
    WireReader vector(field.bytes);
    for (WireField entry; vector.next(entry);) ++entries;
  }
  if (parts <= kPartsFree + request.size() / kSegmentBytesMin && entries <= kPartsFree + request.size() / kEntryBytesMin) return {};
  return fail(ErrorCode::kTooLarge, "reading an exchange: it has more parts than its size has room for; nothing was kept");
}

// The message says what exactly is being read; a parse is bounded by kExchangeBytesMax.
template <typename Message>
Status parse(ByteView bytes, Message& message) {
  if (bytes.size() > kExchangeBytesMax) {
    return fail(ErrorCode::kTooLarge, "reading an exchange: the message is over 4 MiB; nothing was kept");
  }
  if constexpr (std::is_same_v<Message, proto::ExchangeRequest>) WRACKLINE_TRY(check_parts(bytes));
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

// None where nothing was kept, or it cannot be read.
Result<VersionVector> last_hub_vector(Store& store) {
  WRACKLINE_TRY_VALUE(kept, store.meta(kHubVector));
  proto::Vector vector;
  if (!kept || !vector.ParseFromString(*kept)) return VersionVector();
  return take_vector(vector);
}

// A mistake, see planted().
Status raise_to_remembered(Store& store, VersionVector& vector) {
  WRACKLINE_TRY_VALUE(before, last_hub_vector(store));
  for (const auto& [log, point] : before) {
    if (vector[log].seq < point.seq) vector[log] = point;
  }
  return {};
}

}  // namespace

VersionVector vector_of(Store& store) {
  VersionVector out;
  for (const auto& [id, log] : store.logs().all()) {
    // A log that was brought over from an earlier form is asked for again until a seal comes with it.
    const bool lacks_seal = log.opening && log.opening->log_class == LogClass::kFormer && !log.seal;
    if (log.opening && !lacks_seal && log.head.seq > 0) out[id] = {log.head.seq, first8(log.head.root)};
  }
  return out;
}

Result<Bytes> news_request(Store& store) {
  WRACKLINE_TRY_VALUE(theirs, last_hub_vector(store));
  proto::NewsRequest request;
  request.set_protocol(kProtocol);
  request.set_facility(Bytes(view(store.facility())));
  if (!theirs.empty()) request.set_mark(mark_of(theirs));
  return request.SerializeAsString();
}

Result<Bytes> Exchange::request(const VersionVector& lacking_there, bool& sends_any) {
  proto::ExchangeRequest message;
  message.set_protocol(kProtocol);
  message.set_facility(Bytes(view(store_.facility())));
  named_ = is_base_known_ && !theirs_.empty() ? mark_of(theirs_) : Bytes();
  put_vector(named_.empty() ? vector_of(store_) : difference(vector_of(store_), theirs_), *message.mutable_vector());
  message.mutable_vector()->set_base(named_);
  message.set_reply_bytes_max(kExchangeBytesMax);
  sent_at_last_ = 0;
  WRACKLINE_TRY_VALUE(all, add_lacking(store_, lacking_there, refused_, kExchangeBytesWanted, *message.mutable_segments(), sent_at_last_));
  sent_ += sent_at_last_;
  (void)all;  // A run that did not fit goes with the next request, when the reply's vector shows it lacking.
  WRACKLINE_TRY(offer_branches(message));
  sends_any = message.segments_size() > 0;
  return message.SerializeAsString();
}

Status Exchange::offer_branches(proto::ExchangeRequest& message) {
  std::size_t bytes = 0;
  for (const RefusedLog& refused : refused_) {
    const LogEntry* log = store_.logs().find(refused.log);
    if (refused.error.code != ErrorCode::kFork || log == nullptr || !log->opening) continue;
    Seq& offered = offered_.try_emplace(refused.log, log->base()).first->second;
    if (offered >= log->sealed || bytes >= kExchangeBytesWanted) continue;
    WRACKLINE_TRY_VALUE(runs, store_.logs().runs_after(*log, offered, kExchangeBytesWanted - bytes));
    put_runs(*log, runs, nullptr, *message.mutable_segments());
    for (const OutgoingRun& run : runs.runs) {
      bytes += run.packed.body.size() + 64;
      offered = run.last();
    }
  }
  return {};
}

// More may come that makes a key known: what was refused for it is asked for again then.
void Exchange::check_hub_key(const proto::ExchangeReply& reply) {
  const auto is_unknown = [](const RefusedLog& r) { return r.error.code == ErrorCode::kUnknownDevice; };
  if (reply.more()) refused_.erase(std::remove_if(refused_.begin(), refused_.end(), is_unknown), refused_.end());
  unknown_hub_key_.reset();
  PublicKey key;
  if (reply.more() || !copy_exactly(reply.hub_key(), key) || devices_.hub().is_key(key)) return;
  unknown_hub_key_ = key;
  note_refused({LogId(), 0,
                {ErrorCode::kUnknownDevice,
                 "exchanging: the hub seals with a key to which no hand-over of its key has come here, " + to_hex(view(key)) +
                     "; nothing that key says is believed, and nothing held here was changed; compare it with what an admin "
                     "reads from the hub, and then pin it (repin)"}});
}

void Exchange::note_refused(RefusedLog refused) {
  // A word about no log in particular stands for itself: it never takes another's place.
  const auto same = std::find_if(refused_.begin(), refused_.end(), [&](const RefusedLog& r) {
    return r.log == refused.log && (r.log || r.error.message == refused.error.message);
  });
  if (same == refused_.end()) {
    refused_.push_back(std::move(refused));
  } else if (refused.error.code == ErrorCode::kFork && same->error.code != ErrorCode::kFork) {
    // A run that goes on from the other branch fails at the hub by its seal. The fork is why, and only a log that was
    // told as forked is offered whole.
    *same = std::move(refused);
  }
}

Result<Bytes> Exchange::begin() {
  WRACKLINE_TRY(store_.refresh());
  WRACKLINE_TRY_VALUE(hint, last_hub_vector(store_));
  theirs_ = std::move(hint);
  heard_.remember(theirs_);
  bool sends_any = false;
  if (!theirs_.empty()) return request(theirs_, sends_any);
  return request(vector_of(store_), sends_any);  // Nothing is known of the hub: ask before sending.
}

void Exchange::hear_vector(const proto::Vector& vector) {
  // An answer may come late or twice, so it may build on any vector of this exchange. Where it builds on none that is known here, or
  // on none though one was named, the other side hears the whole vector next: it has forgotten what it told, or is another hub.
  const VersionVector* base = vector.base().empty() ? nullptr : heard_.find(vector.base());
  is_base_known_ = base != nullptr || (vector.base().empty() && named_.empty());
  if (!is_base_known_) sent_ -= std::exchange(sent_at_last_, 0);  // None of it was taken in.
  if (base == nullptr && !vector.base().empty()) return;
  theirs_ = base == nullptr ? take_vector(vector) : sum(*base, take_vector(vector));
  heard_.remember(theirs_);
}

Result<Bytes> Exchange::receive(ByteView bytes, const ExchangeClock& clock) {
  proto::ExchangeReply reply;
  WRACKLINE_TRY(parse(bytes, reply));
  WRACKLINE_TRY(check_facility_and_protocol(store_, reply.facility(), reply.protocol()));
  hear_vector(reply.vector());
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  Admission admission(store_, devices_, Source::kFromHub);
  WRACKLINE_TRY_VALUE(admitted, admit_all(admission, devices_, reply.segments(), refused_));
  std::vector<RefusedLog> views;
  tell_contradictions(admission, views);
  for (RefusedLog& view : views) note_refused(std::move(view));
  for (const proto::Refusal& refusal : reply.refusals()) {
    // A gap means that the hub holds less than was thought; its vector says where to go on from.
    if (refusal.code() == static_cast<std::uint32_t>(ErrorCode::kLogGap)) continue;
    note_refused({LogId{refusal.log()}, refusal.seq(), {static_cast<ErrorCode>(refusal.code()), refusal.message()}});
  }
  check_hub_key(reply);
  if (planted("remember-the-cursor")) WRACKLINE_TRY(raise_to_remembered(store_, theirs_));
  std::vector<RefusedLog> forks;
  WRACKLINE_TRY(find_forks(store_, theirs_, forks));
  for (RefusedLog& fork : forks) note_refused(std::move(fork));
  proto::Vector told;
  put_vector(theirs_, told);
  WRACKLINE_TRY(store_.set_meta(kHubVector, told.SerializeAsString()));
  hub_now_ms_ = reply.now_ms();

  bool sends_any = false;
  const std::uint32_t sent_before = sent_;
  WRACKLINE_TRY_VALUE(next, request(theirs_, sends_any));
  Bytes round = mark_of(theirs_) + mark_of(vector_of(store_)) + named_;
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
  if (clock.observe && admitted > 0) WRACKLINE_TRY(clock.observe(admission.latest_stamp()));
  WRACKLINE_TRY(write.commit());
  received_ += admitted;
  return go_on ? Result<Bytes>(std::move(next)) : Result<Bytes>(Bytes());
}

namespace {

// Completes an answer: `base` is what both sides know.
Bytes put_told_vector(Store& store, const VersionVector& base, ToldVectors& told, proto::ExchangeReply& reply, bool more) {
  const VersionVector held = vector_of(store);
  put_vector(difference(held, base), *reply.mutable_vector());
  told.remember(held);
  reply.set_more(more);
  return reply.SerializeAsString();
}

Status take_in(Store& store, DeviceRegistry& devices, const proto::ExchangeRequest& request, const ExchangeClock& clock,
               const VersionVector& theirs, HubHand& hub, std::vector<RefusedLog>& refused) {
  Admission admission(store, devices, Source::kToHub);
  WRACKLINE_TRY_VALUE(write, store.begin_write());
  WRACKLINE_TRY_VALUE(was_put_back, hub.leave_logs_known_further(theirs));
  if (was_put_back) {
    const Error told{ErrorCode::kFork,
                     "exchanging: the hub's records were put back to an earlier state, and it goes on in a new log; what this device holds of the "
                     "earlier one is taken in again, and nothing held here was changed; a device that was let in meanwhile may need a new code; tell an admin"};
    refused.push_back({LogId(), 0, told});
    hub.note_trouble(told);
  }
  WRACKLINE_TRY_VALUE(admitted, admit_all(admission, devices, request.segments(), refused, clock.is_over));
  tell_contradictions(admission, refused);
  // Before the hub writes what it holds: that comes after what it speaks of.
  if (clock.observe && admitted > 0) WRACKLINE_TRY(clock.observe(admission.latest_stamp()));
  WRACKLINE_TRY(admission.conclude(hub));
  WRACKLINE_TRY(hub.note_arrivals());
  WRACKLINE_TRY(write.commit());
  return {};
}

}  // namespace

Result<Bytes> answer_exchange(Store& store, DeviceRegistry& devices, ByteView bytes, const ExchangeClock& clock,
                              ToldVectors& told, HubHand& hub) {
  proto::ExchangeRequest request;
  WRACKLINE_TRY(parse(bytes, request));
  WRACKLINE_TRY(check_facility_and_protocol(store, request.facility(), request.protocol()));
  proto::ExchangeReply reply;
  reply.set_protocol(kProtocol);
  reply.set_facility(request.facility());
  reply.set_now_ms(clock.now);
  reply.set_hub_key(Bytes(view(hub.key())));
  const Bytes& named = request.vector().base();
  const VersionVector* known = named.empty() ? nullptr : told.find(named);
  if (!named.empty() && known == nullptr && !planted("believe-an-unknown-base")) {
    // How far the device knows the hub's own logs stands in what is not known here. So nothing is taken in yet: a hub that
    // was put back must not write before it has heard that.
    return put_told_vector(store, {}, told, reply, true);
  }
  std::vector<RefusedLog> refused;
  const VersionVector base = known != nullptr ? *known : named.empty() ? VersionVector() : vector_of(store);
  const VersionVector theirs = sum(base, take_vector(request.vector()));
  const Status taken = take_in(store, devices, request, clock, theirs, hub, refused);
  if (!taken && taken.error().code != ErrorCode::kDiskFull) return fail(taken.error());
  if (!taken) {
    hub.note_trouble(taken.error());
    WRACKLINE_TRY(store.refresh());  // Memory no longer agrees with the file.
    refused.clear();
    // For the asker: what is wrong here exactly is for the hub's own log.
    const Error full{ErrorCode::kDiskFull,
                     "taking in a log: the hub's disk is full, and nothing of it was kept there; everything is safe on this "
                     "device, which sends it again; tell an admin"};
    std::set<std::uint64_t> came;
    for (const proto::Segment& segment : request.segments()) {
      if (came.size() < kRefusalsMax && came.insert(segment.log()).second) refused.push_back({LogId{segment.log()}, segment.first_seq(), full});
    }
  }
  WRACKLINE_TRY(find_forks(store, theirs, refused));
  put_refusals(refused, reply);
  std::size_t wanted = kExchangeBytesWanted;
  if (request.reply_bytes_max() != 0) wanted = std::min<std::size_t>(wanted, request.reply_bytes_max() / 2);
  std::uint32_t changes = 0;
  WRACKLINE_TRY_VALUE(all, add_lacking(store, theirs, refused, wanted, *reply.mutable_segments(), changes));
  reply.mutable_vector()->set_base(named);
  return put_told_vector(store, base, told, reply, !all);
}

}  // namespace wrackline
