#include "device_contacts.h"

#include <charconv>
#include <sstream>

#include "hosts/private_file.h"

namespace wrackline {
namespace {

constexpr std::string_view kContactsFirstLine = "wrackline-device-contacts 1";
constexpr std::size_t kContactsBytesMax = 4 << 20;

bool key_of_hex(std::string_view text, PublicKey& out) {
  const auto bytes = read_hex(text);
  return bytes && copy_exactly(*bytes, out);
}

template <typename Number>
bool number_or_dash(const std::string& word, std::optional<Number>& out) {
  if (word == "-") return true;
  Number value{};
  const auto [end, fault] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (fault != std::errc() || end != word.data() + word.size()) return false;
  out = value;
  return true;
}

template <typename Number>
std::string text_or_dash(const std::optional<Number>& value) {
  return value ? std::to_string(*value) : "-";
}

}  // namespace

DeviceContacts::DeviceContacts(std::string path) : path_(std::move(path)) {
  if (auto known = read(path_)) contacts_ = std::move(*known);
}

void DeviceContacts::note(const PublicKey& device, const DeviceContact& contact) {
  DeviceContact& known = contacts_[device];
  const std::optional<std::uint64_t> unsent = contact.unsent ? contact.unsent : known.unsent;
  known = contact;
  known.unsent = unsent;
  changed_ = true;
}

Status DeviceContacts::write(WallMs now, bool at_once) {
  // A clock that was set back must not keep it from being written.
  const bool is_due = now < written_ms_ || now - written_ms_ >= kWriteEveryMs;
  if (!changed_ || !(is_due || at_once)) return {};
  written_ms_ = now;
  std::ostringstream out;
  out << kContactsFirstLine << '\n';
  for (const auto& [device, contact] : contacts_)
    out << to_hex(view(device)) << ' ' << contact.last_ms << ' ' << text_or_dash(contact.clock_offset_ms)
        << ' ' << text_or_dash(contact.unsent) << ' ' << contact.address_group << '\n';
  WRACKLINE_TRY(replace_private_file(path_, out.str()));
  changed_ = false;
  return {};
}

Result<std::map<PublicKey, DeviceContact>> DeviceContacts::read(const std::string& path) {
  std::map<PublicKey, DeviceContact> contacts;
  auto content = read_private_file(path, kContactsBytesMax);
  if (!content && content.error().code == ErrorCode::kNotFound) return contacts;
  if (!content) return fail(content.error());
  std::istringstream lines(*content);
  std::string line;
  if (!std::getline(lines, line) || line != kContactsFirstLine)
    return fail(ErrorCode::kStorage, "reading " + path + ": it is no file of device contacts; move it away");
  while (std::getline(lines, line)) {
    std::istringstream words(line);
    std::string key, offset, unsent;
    PublicKey device{};
    DeviceContact contact;
    if (words >> key >> contact.last_ms >> offset >> unsent >> contact.address_group &&
        key_of_hex(key, device) && number_or_dash(offset, contact.clock_offset_ms) &&
        number_or_dash(unsent, contact.unsent))
      contacts[device] = contact;
  }
  return contacts;
}

}  // namespace wrackline
