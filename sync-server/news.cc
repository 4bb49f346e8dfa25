#include "news.h"

#include <exchange.pb.h>

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "replica/replica.h"
#include "store/store.h"
#include "sync/exchange.h"

namespace wrackline {

boost::asio::awaitable<void> News::wait(Waiter& waiter, ByteView request, std::chrono::seconds at_most) {
  proto::NewsRequest asked;
  if (!asked.ParseFromArray(request.data(), static_cast<int>(request.size()))) co_return;
  look();
  if (asked.mark() != mark_) co_return;
  waiting_.insert(&waiter);
  waiter.timer_.expires_after(at_most);
  // Cancelled or run out: either way the answer says what is so.
  co_await waiter.timer_.async_wait(boost::asio::as_tuple(boost::asio::use_awaitable));
  waiting_.erase(&waiter);
}

void News::look() {
  // What cannot be read now is found at the next look.
  if (!replica_.store().refresh()) return;
  Bytes mark = news_mark(vector_of(replica_.store()));
  if (mark == mark_) return;
  mark_ = std::move(mark);
  for (Waiter* waiter : waiting_) waiter->wake();
}

}  // namespace wrackline
