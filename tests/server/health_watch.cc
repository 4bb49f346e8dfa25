#include "health_watch.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <cstdio>

#include "raw_tls.h"

namespace wrackline {
namespace {

struct Seen {
  std::vector<double> answered_ms;
  std::uint64_t unanswered = 0;
  double slowest_ms = 0;
  std::string slowest_test;
};

Seen& seen() {
  static Seen all;
  return all;
}

}  // namespace

HealthWatch::HealthWatch(std::uint16_t port)
    : port_(port), test_(Catch::getResultCapture().getCurrentTestName()), thread_([this] { watch(); }) {}

HealthWatch::~HealthWatch() {
  is_over_ = true;
  thread_.join();
  Seen& all = seen();
  for (const double ms : answered_ms_) {
    all.answered_ms.push_back(ms);
    if (ms <= all.slowest_ms) continue;
    all.slowest_ms = ms;
    all.slowest_test = test_;
  }
  all.unanswered += unanswered_;
}

void HealthWatch::watch() {
  RawPeer::Options options;
  options.address = "127.0.0.77";  // An address of its own: the tests fill up those of others.
  while (!is_over_) {
    const auto begun = std::chrono::steady_clock::now();
    RawPeer peer(port_, options);
    const bool asked = peer.is_open() && peer.send("GET /healthz HTTP/1.1\r\nHost: hub\r\nConnection: close\r\n\r\n");
    const int status = asked ? status_in(peer.hear(30'000)) : 0;
    const double ms = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun).count();
    if (status == 200) {
      answered_ms_.push_back(ms);
    } else {
      ++unanswered_;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
}

std::string HealthWatch::figures() {
  Seen& all = seen();
  if (all.answered_ms.empty()) return "health: nobody asked\n";
  std::sort(all.answered_ms.begin(), all.answered_ms.end());
  const auto at = [&](double share) { return all.answered_ms[static_cast<std::size_t>(share * static_cast<double>(all.answered_ms.size() - 1))]; };
  char text[400];
  std::snprintf(text, sizeof text,
                "health: asked %zu times meanwhile: answered in %.1f ms (median), %.1f (99 of 100), %.1f at most (target 100  %s), in \"%s\"; %llu times there was no hub\n",
                all.answered_ms.size(), at(0.5), at(0.99), all.slowest_ms, all.slowest_ms <= 100 ? "met" : "MISSED", all.slowest_test.c_str(),
                static_cast<unsigned long long>(all.unanswered));
  return text;
}

}  // namespace wrackline
