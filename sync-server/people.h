// Finding people by their names, as a command's line gives them.
#pragma once

#include <string>

#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

class Replica;

// The person in account of this name. `doing` begins what a failure says. Errors: kNotFound; kInvalid when several have it.
Result<RecordId> find_person(Replica& replica, const std::string& name, const std::string& doing);
// The same among admins. Errors: kNotFound, kInvalid.
Result<RecordId> find_admin(Replica& replica, const std::string& name, const std::string& doing);

}  // namespace wrackline
