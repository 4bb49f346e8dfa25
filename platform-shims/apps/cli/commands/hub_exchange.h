// One exchange with the hub, page by page; for the command of that name, and for enrolment and changes of keys.
#pragma once

#include "cli/client.h"
#include "cli/commands/file_exchange.h"
#include "cli/hub_access.h"

namespace wrackline::cli {

// Throws Stop when the hub cannot be reached; what was taken in until then is kept, and the next exchange
// goes on from there. `progress` is called after each page.
ExchangeStep exchange_with(Client& client, Hub& hub,
                           const std::function<void(const ExchangeStep&)>& progress);

// On a terminal one line that renews itself; in a log nothing but the end.
void show_progress(const ExchangeStep& step);
// Tells the outcome of an exchange as text or JSON. kFailed when a record was refused; a file that could not be
// sent fails nothing.
Exit tell_exchanged(Client& client, const ExchangeStep& step, const std::string& address, const FilesSent& files = {});

}  // namespace wrackline::cli
