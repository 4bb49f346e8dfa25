#include "reading/areas.h"
#include "reading/record_view.h"

#include <records.pb.h>

#include <algorithm>
#include <set>

namespace wrackline {

Result<std::string> Areas::name_in(std::uint32_t kind, ByteView fields) {
  const auto read = [&](auto message) -> Result<std::string> {
    if (!message.ParseFromArray(fields.data(), static_cast<int>(fields.size()))) return std::string();
    return name_for(message);
  };
  switch (static_cast<Kind>(kind)) {
    case Kind::kPool:
      return read(proto::Pool());
    case Kind::kHygieneCheck:
      return read(proto::HygieneCheck());
    case Kind::kDayClose:
      return read(proto::DayClose());
    default:
      return std::string();
  }
}

Result<std::string> Areas::name_of(RecordId area) {
  const auto [it, is_new] = names_.try_emplace(area);
  if (!is_new) return it->second;
  std::set<RecordId> passed;
  std::string own, last;
  for (RecordId at = area; at;) {
    if (!passed.insert(at).second) {
      last = own;
      break;
    }
    WRACKLINE_TRY_VALUE(state, replica_.store().records().load(replica_.store().logs().find_place(at)));
    proto::Area found;
    if (!state || state->kind != static_cast<std::uint32_t>(Kind::kArea) || !found.ParseFromString(state->fields)) break;
    last = found.name();
    if (at == area) own = last;
    at = built_in_of(state->fields).folded_into;
  }
  it->second = last;
  return last;
}

Status Areas::put_in(proto::DayClose& close, const std::string& name, const char* doing) {
  WRACKLINE_TRY_VALUE(areas, gather<proto::Area>(replica_, 0, Kind::kArea));
  // gather() sorts what has no time by its id.
  const auto area = std::find_if(areas.begin(), areas.end(), [&](const auto& a) { return a.message.name() == name; });
  if (area != areas.end()) {
    put_id(area->id, *close.mutable_in_area());
    return {};
  }
  WRACKLINE_TRY_VALUE(pools, gather<proto::Pool>(replica_, 0, Kind::kPool));
  const bool is_text = std::any_of(pools.begin(), pools.end(), [&](const auto& pool) {
    return !id_of(pool.message.in_area()) && pool.message.area() == name;
  });
  if (!is_text) {
    return fail(ErrorCode::kNotFound, std::string(doing) + ": no area is called " + name +
                                          "; nothing was written; check the name, or add the area first");
  }
  close.set_area(name);
  return {};
}

}  // namespace wrackline
