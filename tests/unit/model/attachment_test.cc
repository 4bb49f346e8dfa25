// The rules of an attachment (model/attachment.cc), and which files are taken by what is in them.
#include "model/attachment.h"

#include <catch2/catch.hpp>

#include "records.pb.h"
#include "support/random.h"
#include "support/rule_slips.h"

using namespace wrackline;

namespace {

proto::Attachment sound_attachment() {
  proto::Attachment attachment;
  set_ref(attachment.mutable_subject(), 1, 2);
  attachment.set_day(20000);
  attachment.set_sha256(Bytes(32, 'h'));
  attachment.set_bytes(482'113);
  attachment.set_media_type("image/jpeg");
  attachment.set_name("wound, left.jpg");
  return attachment;
}

bool name_is_taken(const std::string& name) {
  proto::Attachment attachment = sound_attachment();
  attachment.set_name(name);
  return judge(Kind::kAttachment, attachment).empty();
}

}  // namespace

TEST_CASE("an attachment says what it belongs to, when, and which file", "[model]") {
  CHECK(judge(Kind::kAttachment, sound_attachment()).empty());
  proto::Attachment attachment = sound_attachment();
  attachment.clear_subject();
  CHECK(only_problem(Kind::kAttachment, attachment, "names no record"));
  attachment = sound_attachment();
  attachment.clear_day();
  CHECK(only_problem(Kind::kAttachment, attachment, "day is missing"));
  for (const std::size_t size : {0u, 31u, 33u, 64u}) {
    attachment = sound_attachment();
    attachment.set_sha256(Bytes(size, 'h'));
    CHECK(only_problem(Kind::kAttachment, attachment, "32 bytes"));
  }
}

TEST_CASE("a file has 1 byte to 64 MiB and is of a type that is taken", "[model]") {
  proto::Attachment attachment = sound_attachment();
  for (const std::uint64_t bytes : {std::uint64_t{1}, kAttachmentBytesMax}) {
    attachment.set_bytes(bytes);
    CHECK(judge(Kind::kAttachment, attachment).empty());
  }
  for (const std::uint64_t bytes : {std::uint64_t{0}, kAttachmentBytesMax + 1, ~std::uint64_t{0}}) {
    attachment.set_bytes(bytes);
    CHECK(only_problem(Kind::kAttachment, attachment, "64 MiB"));
  }
  attachment.clear_bytes();
  CHECK(only_problem(Kind::kAttachment, attachment, "64 MiB"));
  attachment = sound_attachment();
  for (const char* type : {"", "image", "image/", "image/svg+xml", "text/html", "IMAGE/JPEG", "image/jpeg ", "application/x-sh"}) {
    attachment.set_media_type(type);
    CHECK(only_problem(Kind::kAttachment, attachment, "type"));
    CHECK_FALSE(is_media_type_taken(type));
  }
  for (const char* type : {"image/jpeg", "image/png", "image/webp", "application/pdf", "text/plain"}) {
    attachment.set_media_type(type);
    CHECK(judge(Kind::kAttachment, attachment).empty());
    CHECK(std::string(kMediaTypesTaken).find(type) != std::string::npos);
  }
}

// A name is shown on terminals and offered as the name of a file.
TEST_CASE("the name of a file is no path and holds nothing that a terminal obeys", "[model]") {
  CHECK(name_is_taken("a"));
  CHECK(name_is_taken("S\u00e6l, \u00f8ye (2).JPG"));
  CHECK(name_is_taken(std::string(255, 'n')));
  for (const std::string& name : {std::string(), std::string("  "), std::string("."), std::string(".."), std::string("a/b.jpg"),
                                  std::string("..\\b.jpg"), std::string("a\nb"), std::string("\x1b[2J"), std::string("a\0b", 3),
                                  std::string("a\x7f"), std::string(256, 'n')}) {
    CAPTURE(name);
    CHECK_FALSE(name_is_taken(name));
  }
}

TEST_CASE("a file's type is told by what is in it", "[model]") {
  CHECK(media_type_of("\xff\xd8\xff\xe0JFIF") == "image/jpeg");
  CHECK(media_type_of("\x89PNG\r\n\x1a\n....") == "image/png");
  CHECK(media_type_of(ByteView("RIFF\x10\0\0\0WEBPVP8 ", 16)) == "image/webp");
  CHECK(media_type_of("%PDF-1.7\n") == "application/pdf");
  CHECK(media_type_of("Blood, 12 May:\r\n\tHb 14.2 g/dl, \u00b5 and \u20ac and \U0001f9ad\n") == "text/plain");
  CHECK(media_type_of("").empty());
  CHECK(media_type_of(ByteView("RIFF\x10\0\0\0WAVEfmt ", 16)).empty());
  CHECK(media_type_of(ByteView("MZ\x90\0\x03", 5)).empty());
  CHECK(media_type_of("cut off in a letter: \xe2\x82").empty());
  CHECK(media_type_of("\xc0\xaf").empty());
  CHECK(media_type_of("a terminal obeys \x1b[2J").empty());
  // Bytes at random are no text but by great luck, and reading them ends.
  Random random = test_random("media types");
  int texts = 0;
  for (int i = 0; i < 500; ++i) texts += !media_type_of(random.bytes(64)).empty();
  CHECK(texts < 5);
}
