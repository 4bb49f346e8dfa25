#include "reading/record_view.h"
#include "reading/roster.h"

#include <records.pb.h>

#include <tuple>

#include "base/wire.h"

namespace wrackline {

Result<std::vector<RosterAnimal>> Roster::animals(const std::string& area) {
  WRACKLINE_TRY_VALUE(found, gather<proto::Animal>(replica_, 0, Kind::kAnimal));
  std::vector<RosterAnimal> out;
  for (Gathered<proto::Animal>& record : found) {
    RosterAnimal animal{record.id, record.place, std::move(record.message), {}, {}};
    WRACKLINE_TRY(put_pool(animal));
    if (area.empty() || animal.area == area) out.push_back(std::move(animal));
  }
  std::sort(out.begin(), out.end(), [](const RosterAnimal& a, const RosterAnimal& b) {
    return std::tie(a.area, a.pool_name, a.animal.name(), a.id) < std::tie(b.area, b.pool_name, b.animal.name(), b.id);
  });
  return out;
}

Result<RosterAnimal> Roster::animal(ChangeId id, const char* doing) {
  WRACKLINE_TRY_VALUE(state, require_record(replica_, id, doing));
  RosterAnimal out;
  if (state.kind != static_cast<std::uint32_t>(Kind::kAnimal) || !out.animal.ParseFromString(state.fields)) {
    return fail(ErrorCode::kInvalid,
                std::string(doing) + ": record " + to_text(id) + " is no animal; choose an animal or a group");
  }
  out.id = id;
  out.place = replica_.store().logs().find_place(id);
  WRACKLINE_TRY(put_pool(out));
  return out;
}

Status Roster::put_pool(RosterAnimal& animal) {
  const ChangeId id = id_of(animal.animal.pool());
  if (!id) return {};
  const auto [it, is_new] = pools_.try_emplace(id);
  if (is_new) {
    WRACKLINE_TRY_VALUE(pool, read_record<proto::Pool>(replica_, replica_.store().logs().find_place(id), true));
    if (pool) {
      WRACKLINE_TRY_VALUE(area, areas_.name_for(pool->message));
      it->second = {pool->message.name(), std::move(area)};
    }
  }
  animal.pool_name = it->second.name;
  animal.area = it->second.area;
  return {};
}

Result<std::string> Roster::name_of(ChangeId id) {
  if (!id) return std::string();
  const auto [it, is_new] = names_.try_emplace(id);
  if (!is_new) return it->second;
  WRACKLINE_TRY_VALUE(state, replica_.store().records().load(replica_.store().logs().find_place(id)));
  if (!state) return std::string();
  WireReader reader(state->fields);
  WireField field;
  while (reader.next(field)) {
    if (field.number == 1 && field.type == WireType::kBytes) it->second = std::string(field.bytes);
  }
  return it->second;
}

Result<std::string> Roster::author_name(ChangeId id) {
  LogTable& logs = replica_.store().logs();
  WRACKLINE_TRY_VALUE(bytes, logs.content_of(logs.find_place(id)));
  if (bytes.empty()) return std::string();
  WRACKLINE_TRY_VALUE(change, read_change(bytes));
  return name_of(change.author);
}

Result<WallMs> known_as_of(Replica& replica) {
  // The hub knows what there is to know: everybody brings it there.
  if (replica.is_hub()) return replica.now();
  WRACKLINE_TRY_VALUE(last, replica.store().meta("last_exchange"));
  return last && last->size() >= 8 ? load_le(ByteView(*last).substr(0, 8)) : WallMs{0};
}

}  // namespace wrackline
