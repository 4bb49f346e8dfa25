#include "hub.h"

#include "hub_requests.h"

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
  open();
}

void Hub::replace_key(Keystore& next) {
  take(wrackline::replace_key(*http_, token_, client_.membership().facility, client_.keystore(), next));
}

void Hub::open() { token_ = take(open_session(*http_, client_.membership().facility, client_.keystore())); }

Bytes Hub::post(const std::string& path, const Bytes& body) {
  auto answer = http_->post(path, body, token_);
  if (!answer && answer.error().code == ErrorCode::kUnauthorized) {
    open();
    answer = http_->post(path, body, token_);
  }
  return take(std::move(answer));
}

Ask asks(Client& client, bool the_hub) {
  if (!the_hub) return [&client](const Call& call) { return client.call(call); };
  return [hub = std::make_shared<Hub>(client)](const Call& call) {
    return Client::reply_of(hub->query(call.SerializeAsString()));
  };
}

}  // namespace wrackline::cli
