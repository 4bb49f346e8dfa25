// This file says what may be attached to a record, and the rules of the record that says so.
#include "model/attachment.h"

#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

namespace {

constexpr std::string_view kTaken[] = {"image/jpeg", "image/png", "image/webp", "application/pdf", "text/plain"};
constexpr std::size_t kSha256Bytes = 32;

bool begins_with(ByteView content, ByteView beginning) { return content.substr(0, beginning.size()) == beginning; }

// UTF-8 without characters that a text has no use for. Overlong forms and surrogates are left to whoever shows it.
bool is_text(ByteView content) {
  int following = 0;
  for (unsigned char c : content) {
    if (following > 0) {
      if ((c & 0xc0) != 0x80) return false;
      --following;
    } else if (c < 0x80) {
      if (c < 0x20 && c != '\t' && c != '\n' && c != '\r' && c != '\f') return false;
    } else if (c >= 0xc2 && c <= 0xf4) {
      following = c >= 0xf0 ? 3 : c >= 0xe0 ? 2 : 1;
    } else {
      return false;
    }
  }
  return following == 0;
}

// It is shown on terminals and offered as the name of a file.
bool is_file_name(const std::string& name) {
  if (!has_text(name) || name.size() > kAttachmentNameBytesMax || name == "." || name == "..") return false;
  for (unsigned char c : name) {
    if (c < 0x20 || c == 0x7f || c == '/' || c == '\\') return false;
  }
  return true;
}

}  // namespace

bool is_media_type_taken(std::string_view media_type) {
  for (std::string_view taken : kTaken) {
    if (taken == media_type) return true;
  }
  return false;
}

std::string_view media_type_of(ByteView content) {
  if (begins_with(content, "\xff\xd8\xff")) return kTaken[0];
  if (begins_with(content, "\x89PNG\r\n\x1a\n")) return kTaken[1];
  if (begins_with(content, "RIFF") && content.size() >= 12 && content.substr(8, 4) == "WEBP") return kTaken[2];
  if (begins_with(content, "%PDF-")) return kTaken[3];
  return !content.empty() && is_text(content) ? kTaken[4] : std::string_view();
}

void validate_attachment(ByteView fields, Problems& problems) {
  Attachment attachment;
  if (!read_to_judge(fields, attachment, problems)) return;
  expect(problems, is_usable(attachment.subject()), Attachment::kSubjectFieldNumber, ProblemCode::kAttachmentNamesNoRecord);
  expect_day(problems, attachment);
  expect(problems, attachment.sha256().size() == kSha256Bytes, Attachment::kSha256FieldNumber, ProblemCode::kFileHashNot32Bytes);
  expect(problems, attachment.bytes() >= 1 && attachment.bytes() <= kAttachmentBytesMax, Attachment::kBytesFieldNumber, ProblemCode::kFileEmptyOrOver64Mib);
  expect(problems, is_media_type_taken(attachment.media_type()), Attachment::kMediaTypeFieldNumber, ProblemCode::kFileTypeNotTaken);
  expect(problems, is_file_name(attachment.name()), Attachment::kNameFieldNumber, ProblemCode::kFileNameNotUsable);
}

}  // namespace wrackline
