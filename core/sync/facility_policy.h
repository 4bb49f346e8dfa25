// This file says what the facility's own record asks of people who write.
#pragma once

#include "base/result.h"
#include "model/sign_in_rules.h"
#include "store/store.h"

namespace wrackline {

// Reads the policy of the first facility in account, or what a SignInPolicy says by itself where there is none.
// Errors: of the store.
Result<SignInPolicy> facility_policy(Store& store);

}  // namespace wrackline
