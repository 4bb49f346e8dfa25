// Waits for news of the hub in a thread of its own, so that the records keep their one thread.
//
// A hub that cannot be reached is asked again, ever more seldom; what is to be sent waits on this device.
#pragma once

#include <chrono>
#include <memory>

#include "cli/client.h"

namespace wrackline::cli {

class Following {
 public:
  explicit Following(Client& client);

  // Asks the hub from now on, with the request of NewsStep.
  void ask(const Bytes& request);
  // Whether the hub has something new, waiting for it at most so long.
  bool has_news(std::chrono::milliseconds at_most);

 private:
  struct Shared;  // The thread may outlive this: it ends with the program.
  static void run(std::shared_ptr<Shared> shared);
  std::shared_ptr<Shared> shared_;
};

}  // namespace wrackline::cli
