#include "sync/facility_policy.h"

#include "base/built_in_fields.h"
#include "model/kinds.h"

namespace wrackline {

Result<SignInPolicy> facility_policy(Store& store) {
  WRACKLINE_TRY_VALUE(places, store.records().find(0, Kind::kFacility, 0, 0));
  for (const Place place : places) {
    WRACKLINE_TRY_VALUE(state, store.records().load(place));
    if (state && built_in_of(state->fields).in_account()) return sign_in_policy(state->fields);
  }
  return SignInPolicy();
}

}  // namespace wrackline
