// One exchange with the hub, page by page; for the command of that name and for enrolment's first one.
#pragma once

#include "client.h"
#include "hub.h"

namespace wrackline::cli {

// Throws Stop when the hub cannot be reached; what was taken in until then is kept, and the next exchange
// goes on from there. `progress` is called after each page.
ExchangeStep exchange_with(Client& client, Hub& hub,
                           const std::function<void(const ExchangeStep&)>& progress);

}  // namespace wrackline::cli
