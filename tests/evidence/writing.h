// Evidence files for tests: written through the public call, and altered as somebody with an editor could.
#pragma once

#include <string>
#include <vector>

#include "evidence_check.h"
#include "evidence_file.h"
#include "log/evidence_lines.h"
#include "support/shift.h"

namespace wrackline::evidence {

struct WrittenEvidence {
  std::string text;
  std::size_t pieces = 0;
  std::uint32_t withheld = 0;
};

inline WrittenEvidence evidence_of(Device& device, const std::vector<RecordId>& records, bool whole = false) {
  WrittenEvidence out;
  proto::Call call;
  for (const RecordId record : records) *call.mutable_evidence()->add_records() = ref_of(record);
  call.mutable_evidence()->set_whole(whole);
  for (;;) {
    proto::Reply reply;
    REQUIRE(reply.ParseFromString(dispatch(*device.replica, call.SerializeAsString())));
    if (reply.has_failure()) FAIL(reply.failure().message());
    out.text += reply.evidence().text();
    out.withheld += reply.evidence().withheld();
    ++out.pieces;
    if (!reply.evidence().has_next()) return out;
    *call.mutable_evidence()->mutable_at() = reply.evidence().next();
  }
}

// The sentences against a file; empty when it holds.
inline std::vector<std::string> problems_of(const std::string& text, const std::optional<PublicKey>& hub_key = std::nullopt) {
  const auto file = read_file(text);
  if (!file) return {file.error().message};
  return check(*file, hub_key).problems;
}

inline std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    out.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  return out;
}

// The file of these lines with their checks made anew, as a forger would.
inline std::string with_checks(const std::vector<std::string>& lines) {
  EvidenceWriter writer;
  for (const std::string& line : lines) {
    const std::string body = line.substr(0, line.rfind(kEvidenceCheckMember));
    body.rfind("{\"type\":\"end\"", 0) == 0 ? writer.last_line(body) : writer.line(body);
  }
  return writer.text();
}

// Replaces the text between `before` and the next quote of a line.
inline void replace_member(std::string& line, const std::string& before, const std::string& value) {
  const std::size_t begin = line.find(before);
  REQUIRE(begin != std::string::npos);
  const std::size_t from = begin + before.size();
  line.replace(from, line.find('"', from) - from, value);
}

}  // namespace wrackline::evidence
