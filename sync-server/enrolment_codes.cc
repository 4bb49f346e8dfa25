#include "enrolment_codes.h"

#include <sstream>

#include "crypto/constant_time.h"
#include "file_lock.h"
#include "hosts/private_file.h"

namespace wrackline {
namespace {

constexpr std::string_view kCodesFirstLine = "wrackline-enrolment-codes 1";
constexpr std::size_t kCodesBytesMax = 64 << 10;

constexpr std::string_view kPurpose = "wrackline/enrolment-code/1";

bool read_hash(std::string_view text, Hash& out) {
  const auto bytes = read_hex(text);
  return bytes && copy_exactly(*bytes, out);
}

}  // namespace

Result<std::vector<EnrolmentCodes::Entry>> EnrolmentCodes::read(WallMs now) const {
  std::vector<Entry> entries;
  auto content = read_private_file(path_, kCodesBytesMax);
  if (!content && content.error().code == ErrorCode::kNotFound) return entries;
  if (!content) return fail(content.error());
  std::istringstream lines(*content);
  std::string line;
  if (!std::getline(lines, line) || line != kCodesFirstLine)
    return fail(ErrorCode::kStorage, "reading the open codes in " + path_ +
                                         ": it is no such file; move it away and make new codes");
  while (std::getline(lines, line)) {
    std::istringstream words(line);
    std::string hash;
    Entry entry;
    // A line that cannot be read lets nobody in.
    if (!(words >> hash >> entry.expires_ms >> entry.spent_by) || !read_hash(hash, entry.hash)) continue;
    std::string person, device;
    if (words >> person >> device) entry.inviter = {parse_change_id(person).value_or(RecordId{}), parse_change_id(device).value_or(RecordId{})};
    if (entry.expires_ms > now) entries.push_back(std::move(entry));
  }
  return entries;
}

Status EnrolmentCodes::write(const std::vector<Entry>& entries) const {
  std::string content(kCodesFirstLine);
  content += '\n';
  for (const Entry& entry : entries) {
    content += to_hex(view(entry.hash)) + ' ' + std::to_string(entry.expires_ms) + ' ' + entry.spent_by;
    if (entry.inviter.person) content += ' ' + to_text(entry.inviter.person) + ' ' + to_text(entry.inviter.device);
    content += '\n';
  }
  return replace_private_file(path_, content);
}

Result<std::string> EnrolmentCodes::make(WallMs now, WallMs lifetime_ms, const Inviter& inviter) {
  WRACKLINE_TRY_VALUE(lock, FileLock::take(path_ + ".lock", FileLock::Wait::kYes));
  static_cast<void>(lock);
  WRACKLINE_TRY_VALUE(entries, read(now));
  if (entries.size() >= kOpenMax)
    return fail(ErrorCode::kInvalid, "making a code: " + std::to_string(kOpenMax) +
                                         " are open or just used; wait until some have expired");
  WRACKLINE_TRY_VALUE(code, draw_code());
  entries.push_back({hash_of_code(kPurpose, code), now + lifetime_ms, "-", inviter});
  WRACKLINE_TRY(write(entries));
  return shown_code(code);
}

Result<EnrolmentCodes::Inviter> EnrolmentCodes::spend(std::string_view code, const PublicKey& device, WallMs now) {
  WRACKLINE_TRY_VALUE(lock, FileLock::take(path_ + ".lock", FileLock::Wait::kYes));
  static_cast<void>(lock);
  WRACKLINE_TRY_VALUE(entries, read(now));
  const Hash hash = hash_of_code(kPurpose, normal_code(code));
  Entry* found = nullptr;
  for (Entry& entry : entries) {
    if (equal_in_constant_time(view(entry.hash), view(hash))) found = &entry;
  }
  const std::string key = to_hex(view(device));
  if (found != nullptr && found->spent_by == key) return found->inviter;
  if (found == nullptr || found->spent_by != "-")
    return fail(
        ErrorCode::kUnauthorized,
        "enrolling a device: this code is not known, has expired or was used by another device; nothing was "
        "changed. Ask an admin for a new one");
  found->spent_by = key;
  const Inviter inviter = found->inviter;
  WRACKLINE_TRY(write(entries));
  return inviter;
}

}  // namespace wrackline
