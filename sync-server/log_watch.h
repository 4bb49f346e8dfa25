// Hears from a shared log that other hubs have appended to it, and has this one read on.
//
// A hint may be lost, or the server be away: so it also looks now and then by itself.
//
// Threads: one at a time. Its arguments outlive it.
#pragma once

#include <boost/asio/awaitable.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/steady_timer.hpp>

namespace wrackline {

class Hub;
class PostgresLog;

class LogWatch {
 public:
  LogWatch(boost::asio::io_context& io, PostgresLog& log, Hub& hub) : log_(log), hub_(hub), descriptor_(io), timer_(io), io_(io) {}

  boost::asio::awaitable<void> run();
  void stop();

 private:
  boost::asio::awaitable<void> listen();
  void follow_connection();

  PostgresLog& log_;
  Hub& hub_;
  boost::asio::posix::stream_descriptor descriptor_;  // A duplicate, since the log closes its own.
  boost::asio::steady_timer timer_;
  boost::asio::io_context& io_;
  std::uint64_t connection_ = 0;  // The connection that the duplicate belongs to.
  bool stopping_ = false;
};

}  // namespace wrackline
