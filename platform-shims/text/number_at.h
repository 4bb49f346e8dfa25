// The number in an integer field of a message, by reflection.
#pragma once

#include <google/protobuf/message.h>

#include <cstdint>

namespace wrackline::text {

// `index` is of a repeated field, and not looked at otherwise. 0 for a field that holds no integer.
inline std::int64_t number_at(const google::protobuf::Message& m, const google::protobuf::FieldDescriptor& f, int index) {
  const auto& r = *m.GetReflection();
  const bool list = f.is_repeated();
  switch (f.cpp_type()) {
    case google::protobuf::FieldDescriptor::CPPTYPE_UINT32:
      return list ? r.GetRepeatedUInt32(m, &f, index) : r.GetUInt32(m, &f);
    case google::protobuf::FieldDescriptor::CPPTYPE_INT32:
      return list ? r.GetRepeatedInt32(m, &f, index) : r.GetInt32(m, &f);
    case google::protobuf::FieldDescriptor::CPPTYPE_UINT64:
      return static_cast<std::int64_t>(list ? r.GetRepeatedUInt64(m, &f, index) : r.GetUInt64(m, &f));
    case google::protobuf::FieldDescriptor::CPPTYPE_INT64:
      return list ? r.GetRepeatedInt64(m, &f, index) : r.GetInt64(m, &f);
    default:
      return 0;
  }
}

}  // namespace wrackline::text
