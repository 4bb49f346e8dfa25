// This file says what needs attention today, as a replica says it.
#pragma once

#include <call.pb.h>

#include <vector>

#include "base/ids.h"
#include "call/dispatch.h"
#include "support/facility.h"
#include "support/must.h"

namespace wrackline {

inline proto::Call attention_call(WallMs now) {
  const auto day = static_cast<Day>(now / kDayMs);
  proto::Call call;
  call.mutable_attention()->set_day(day);
  call.mutable_attention()->add_zone()->set_from_ms((std::int64_t{day} - 40) * static_cast<std::int64_t>(kDayMs));
  return call;
}

inline std::vector<proto::AttentionItem> items_of(const proto::Reply& reply, proto::AttentionRule rule) {
  std::vector<proto::AttentionItem> out;
  for (const proto::AttentionItem& item : reply.attention().items()) {
    if (item.rule() == rule) out.push_back(item);
  }
  return out;
}

inline std::vector<proto::AttentionItem> attention(Device& device, proto::AttentionRule rule) {
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(dispatch(*device.replica, attention_call(*device.clock).SerializeAsString(), CallScope::kReadOnly)));
  REQUIRE(reply.has_attention());
  return items_of(reply, rule);
}

}  // namespace wrackline
