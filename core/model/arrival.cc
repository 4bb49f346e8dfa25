#include "model/arrival.h"

#include "arrivals.pb.h"
#include "model/read_message.h"

namespace wrackline {

std::vector<ArrivedSpan> arrived_spans(ByteView fields) {
  std::vector<ArrivedSpan> out;
  proto::Arrival arrival;
  if (!read_message(fields, arrival)) return out;
  for (const proto::ArrivedSpan& span : arrival.spans()) {
    ArrivedSpan read{LogId{span.log()}, span.first_seq(), span.last_seq(), {}};
    const bool is_usable = read.log && read.first >= 1 && read.first <= read.last && read.last <= kSeqMax;
    if (is_usable && copy_exactly(span.root(), read.root)) out.push_back(read);
  }
  return out;
}

Bytes arrival_fields(const std::vector<ArrivedSpan>& spans) {
  proto::Arrival arrival;
  for (const ArrivedSpan& span : spans) {
    proto::ArrivedSpan& out = *arrival.add_spans();
    out.set_log(span.log.value);
    out.set_first_seq(span.first);
    out.set_last_seq(span.last);
    out.set_root(Bytes(view(span.root)));
  }
  return arrival.SerializeAsString();
}

}  // namespace wrackline
