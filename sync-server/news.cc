#include "news.h"

#include <exchange.pb.h>

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "replica/replica.h"
#include "store/store.h"
#include "sync/exchange.h"

namespace wrackline {

boost::asio::awaitable<void> News::wait(Waiter& waiter, ByteView request, std::chrono::seconds at_most) {
  proto::NewsRequest asked;
  if (!asked.ParseFromArray(request.data(), static_cast<int>(request.size()))) co_return;
  const std::function<void()> work = [this] { look(); };
  co_await desk_.run(work);
  // While it was at the desk nothing could be woken.
  if (asked.mark() != mark_ || waiter.has_ended_) co_return;
  waiting_.insert(&waiter);
  waiter.timer_.expires_after(at_most);
  // Cancelled or run out: either way the answer says what is so.
  co_await waiter.timer_.async_wait(boost::asio::as_tuple(boost::asio::use_awaitable));
  waiting_.erase(&waiter);
}

void News::look() {
  // News that cannot be read now is found at the next look.
  if (!replica_.store().refresh()) return;
  Bytes mark = mark_of(vector_of(replica_.store()));
  if (mark == seen_) return;
  seen_ = mark;
  // It comes there before the end of the work that it was found in.
  boost::asio::post(io_, [this, mark = std::move(mark)]() mutable { hear(std::move(mark)); });
}

void News::hear(Bytes mark) {
  mark_ = std::move(mark);
  for (Waiter* waiter : waiting_) waiter->wake();
}

}  // namespace wrackline
