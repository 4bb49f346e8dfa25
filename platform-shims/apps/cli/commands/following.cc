#include "cli/commands/following.h"

#include <exchange.pb.h>

#include <algorithm>
#include <condition_variable>
#include <mutex>
#include <thread>

#include "cli/hub_access.h"
#include "hosts/device_requests.h"
#include "hosts/file_keystore.h"

namespace wrackline::cli {
namespace {

constexpr std::chrono::seconds kFirstRest{1};
constexpr std::chrono::seconds kLongestRest{30};

}  // namespace

struct Following::Shared {
  // Only the thread uses it.
  std::unique_ptr<HubClient> http;
  std::unique_ptr<FileKeystore> key;
  FacilityId facility{};
  HubSession session;

  std::mutex mutex;
  std::condition_variable changed;
  Bytes request;  // Empty: nothing is asked.
  bool has_news = false;
};

Following::Following(Client& client) : shared_(std::make_shared<Shared>()) {
  shared_->http = take(HubClient::create(hub_options(client.options().dir)));
  shared_->key = take(FileKeystore::open(client.options().dir.key()));
  shared_->facility = client.membership().facility;
  std::thread(run, shared_).detach();
}

void Following::ask(const Bytes& request) {
  const std::lock_guard<std::mutex> lock(shared_->mutex);
  shared_->request = request;
  shared_->has_news = false;
  shared_->changed.notify_all();
}

bool Following::has_news(std::chrono::milliseconds at_most) {
  std::unique_lock<std::mutex> lock(shared_->mutex);
  shared_->changed.wait_for(lock, at_most, [this] { return shared_->has_news; });
  return shared_->has_news;
}

void Following::run(std::shared_ptr<Shared> shared) {
  std::chrono::seconds rest = kFirstRest;
  for (;;) {
    Bytes request;
    {
      std::unique_lock<std::mutex> lock(shared->mutex);
      shared->changed.wait(lock, [&] { return !shared->request.empty() && !shared->has_news; });
      request = shared->request;
    }
    auto answer = shared->http->post("/v1/news", request, &shared->session);
    if (!answer && answer.error().code == ErrorCode::kUnauthorized) {
      auto session = open_session(*shared->http, shared->facility, *shared->key);
      if (session) shared->session = std::move(*session);
      if (session) continue;
    }
    proto::NewsReply reply;
    if (!answer || !reply.ParseFromString(*answer)) {
      std::this_thread::sleep_for(rest);
      rest = std::min(rest * 2, kLongestRest);
      continue;
    }
    rest = kFirstRest;
    const std::lock_guard<std::mutex> lock(shared->mutex);
    // An answer to a question older than the last exchange is no news.
    if (!reply.is_news() || request != shared->request) continue;
    shared->has_news = true;
    shared->changed.notify_all();
  }
}

}  // namespace wrackline::cli
