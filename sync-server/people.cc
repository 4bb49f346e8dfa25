#include "people.h"

#include <records.pb.h>

#include <algorithm>
#include <vector>

#include "base/built_in_fields.h"
#include "model/authority.h"
#include "model/kinds.h"
#include "replica/replica.h"
#include "store/store.h"

namespace wrackline {
namespace {

Result<RecordId> find(Replica& replica, const std::string& name, Roles needed, const std::string& what, const std::string& doing) {
  Store& store = replica.store();
  WRACKLINE_TRY(store.refresh());
  WRACKLINE_TRY_VALUE(places, store.records().find(0, Kind::kPerson, 0, 0));
  std::vector<RecordId> found;
  for (const Place place : places) {
    WRACKLINE_TRY_VALUE(state, store.records().load(place));
    proto::Person person;
    if (!state || !built_in_of(state->fields).in_account() || !person.ParseFromString(state->fields) || person.name() != name) continue;
    if (needed == 0 || (roles_of_person(state->fields) & needed) != 0) found.push_back(store.logs().id_of(place));
  }
  if (found.size() == 1) return found.front();
  if (found.empty()) return fail(ErrorCode::kNotFound, doing + ": there is no " + what + " called \"" + name + "\" in the records; nothing was changed");
  return fail(ErrorCode::kInvalid, doing + ": more than one " + what + " is called \"" + name + "\"; nothing was changed; give one of them another name first");
}

}  // namespace

Result<RecordId> find_person(Replica& replica, const std::string& name, const std::string& doing) { return find(replica, name, 0, "person", doing); }

Result<RecordId> find_admin(Replica& replica, const std::string& name, const std::string& doing) {
  return find(replica, name, roles_for(Authority::kDevices), "admin", doing);
}

}  // namespace wrackline
