#include "cli/hub_access.h"

#include "hosts/device_requests.h"

namespace wrackline::cli {

HubClient::Options hub_options(const StateDir& dir) {
  std::string address = read_file(dir.hub_address(), "the hub's address");
  address.erase(address.find_last_not_of(" \r\n") + 1);
  HubClient::Options options;
  options.hub = take(parse_hub_address(address));
  options.certificate_path = dir.hub_certificate();
  return options;
}

Hub::Hub(Client& client) : client_(client) {
  const HubClient::Options options = hub_options(client.options().dir);
  address_ = to_text(options.hub);
  http_ = take(HubClient::create(options));
  take(open());
}

void Hub::replace_key(Keystore& next) {
  take(wrackline::replace_key(*http_, session_, client_.membership().facility, client_.keystore(), next));
}

Status Hub::open() {
  WRACKLINE_TRY_VALUE(session, open_session(*http_, client_.membership().facility, client_.keystore()));
  session_ = std::move(session);
  return {};
}

Result<Bytes> Hub::in_session(const std::function<Result<Bytes>()>& ask) {
  auto answer = ask();
  if (answer || answer.error().code != ErrorCode::kUnauthorized) return answer;
  WRACKLINE_TRY(open());
  return ask();
}

Bytes Hub::post(const std::string& path, const Bytes& body) {
  return take(in_session([&] { return http_->post(path, body, &session_); }));
}

FileRoute Hub::files() {
  FileRoute route;
  route.post = [this](const std::string& path, const Bytes& body) {
    return in_session([&] { return http_->post(path, body, &session_); });
  };
  route.put = [this](const std::string& path, std::uint64_t offset, std::uint64_t total, ByteView part) {
    return in_session([&] { return http_->put_part(path, offset, total, part, session_); });
  };
  route.get = [this](const std::string& path, std::uint64_t offset, std::uint64_t count) {
    return in_session([&] { return http_->get_part(path, offset, count, session_); });
  };
  return route;
}

Ask asks(Client& client, bool the_hub) {
  if (!the_hub) return [&client](const Call& call) { return client.call(call); };
  return [hub = std::make_shared<Hub>(client)](const Call& call) {
    return Client::reply_of(hub->query(call.SerializeAsString()));
  };
}

}  // namespace wrackline::cli
