// The messages of proto/ as a list of lines that can be kept for ever and compared.
//
//   wrackline.proto.Change 1 stamp fixed64 implicit
//   wrackline.proto.Standing 1 STANDING_STRUCK enum value
//
// Message or enum, number, name, type, label; not the file, which no byte on the wire knows of. The label tells
// what a reader can see: `implicit` (absent and zero are the same), `optional` (absent is told from zero),
// `repeated`, or `oneof:<name>`. Sorted, so that neither the order in a file nor protoc's own order matters.
#pragma once

#include <google/protobuf/descriptor.pb.h>

#include <istream>
#include <string>
#include <vector>

namespace wrackline {

std::vector<std::string> list_descriptors(const google::protobuf::FileDescriptorSet& set);

// The lines of a kept list; comments (#) and empty lines are passed over.
std::vector<std::string> read_list(std::istream& in);

// A sentence for each line of an earlier release that no longer holds: a field or enum value that is gone, or
// has another name, number, type or label. An addition is no fault.
std::vector<std::string> incompatibilities(const std::vector<std::string>& earlier,
                                           const std::vector<std::string>& now);

}  // namespace wrackline
