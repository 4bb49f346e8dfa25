// Changes what is sealed, and seals it anew with the key of the device whose log it is, which the fuzzer knows: without that
// nothing it makes would get past the first signature, and a device of the facility may be what sends nonsense.
#pragma once

#include <exchange.pb.h>

#include "log/change_run.h"
#include "support/random.h"

namespace wrackline::fuzz {

// Packs the changes into the segment, with count, tree and seal that fit. A segment of a device that is none of the world's
// keeps its seal.
void seal_segment(proto::Segment& segment, const ChangeRun& run, Random& random);

// One change to the changes of a segment, or to where it stands.
void mutate_segment(proto::Segment& segment, Random& random);

// One change to a list of segments: one of them, or which there are and in what order.
void mutate_segments(google::protobuf::RepeatedPtrField<proto::Segment>& segments, Random& random);

}  // namespace wrackline::fuzz
