#include "hub.h"

#include "hub_requests.h"

namespace wrackline::cli {

Hub::Hub(Client& client) : client_(client) {
  const StateDir& dir = client.options().dir;
  address_ = read_file(dir.hub_address(), "the hub's address");
  address_.erase(address_.find_last_not_of(" \r\n") + 1);
  HubClient::Options options;
  options.hub = take(parse_hub_address(address_));
  options.certificate_path = dir.hub_certificate();
  http_ = take(HubClient::create(options));
  open();
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
