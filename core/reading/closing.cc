#include "reading/closing.h"
#include "reading/record_view.h"

#include <records.pb.h>

#include <algorithm>
#include <tuple>

#include "base/wire.h"

namespace wrackline {

CloseCover::CloseCover(const proto::DayClose& close) {
  for (const proto::ClosedLog& log : close.logs()) {
    Named& named = logs_[LogId{log.log()}];
    named.seq = std::min<Seq>(log.seq(), kSeqMax);
    named.records.assign(log.records().begin(), log.records().end());
    std::sort(named.records.begin(), named.records.end());
  }
}

bool CloseCover::covers(ChangeId change) const {
  const auto log = logs_.find(change.log);
  return log != logs_.end() && change.seq <= log->second.seq;
}

bool CloseCover::lists(RecordId record) const {
  const auto log = logs_.find(record.log);
  return log != logs_.end() && std::binary_search(log->second.records.begin(), log->second.records.end(), record.seq);
}

std::vector<RecordId> CloseCover::records() const {
  std::vector<RecordId> out;
  for (const auto& [log, named] : logs_) {
    for (const Seq seq : named.records) out.push_back({log, seq});
  }
  return out;
}

bool CloseCover::is_held(const LogTable& logs) const {
  return std::all_of(logs_.begin(), logs_.end(), [&](const auto& named) {
    const LogEntry* log = logs.find(named.first);
    return log != nullptr && log->head.seq >= named.second.seq;
  });
}

bool KnownClose::is_amended_by(ChangeId change, WallMs change_entered_ms, RecordId record, const std::string& of_area) const {
  const bool is_of_area = !of_area.empty() && of_area == area;
  if (cover.names_changes()) return (is_of_area || cover.lists(record)) && !cover.covers(change);
  return is_of_area && change_entered_ms > entered_ms;
}

Result<std::vector<KnownClose>> Closes::read(Day first, Day last) {
  WRACKLINE_TRY_VALUE(found, gather<proto::DayClose>(replica_, 0, Kind::kDayClose, first, last));
  std::vector<KnownClose> out;
  for (Gathered<proto::DayClose>& record : found) {
    WRACKLINE_TRY_VALUE(bytes, replica_.store().logs().content_of(record.place));
    WRACKLINE_TRY_VALUE(birth, read_change(bytes));
    CloseCover cover(record.message);
    WRACKLINE_TRY_VALUE(area, areas_.name_for(record.message));
    out.push_back({record.id, std::move(record.message), std::move(area), std::move(cover), birth.entered_ms()});
  }
  return out;
}

Result<const std::vector<KnownClose>*> Closes::of_day(Day day) {
  const auto [it, is_new] = by_day_.try_emplace(day);
  if (is_new) {
    WRACKLINE_TRY_VALUE(closes, read(day, day));
    std::sort(closes.begin(), closes.end(), [](const KnownClose& a, const KnownClose& b) {
      return std::tie(a.entered_ms, a.id) < std::tie(b.entered_ms, b.id);
    });
    it->second = std::move(closes);
  }
  return &it->second;
}

Result<std::vector<KnownClose>> Closes::of_days(Day first, Day last, const std::string& area) {
  WRACKLINE_TRY_VALUE(closes, read(first, last));
  if (!area.empty()) {
    closes.erase(std::remove_if(closes.begin(), closes.end(), [&](const KnownClose& c) { return c.area != area; }),
                 closes.end());
  }
  std::sort(closes.begin(), closes.end(), [](const KnownClose& a, const KnownClose& b) {
    return std::make_tuple(a.message.day(), a.area, a.id) < std::make_tuple(b.message.day(), b.area, b.id);
  });
  return closes;
}

Result<std::vector<RecordId>> records_of_area(Replica& replica, Belonging& belonging, const std::string& area, Day day) {
  Projection& records = replica.store().records();
  LogTable& logs = replica.store().logs();
  std::vector<RecordId> out;
  for (const KindRow& row : all_kinds()) {
    if (row.happened_field == 0 || row.key.day == 0 || row.kind == Kind::kDayClose) continue;
    WRACKLINE_TRY_VALUE(places, records.find_all_subjects(row.kind, day, day));
    for (const Place place : places) {
      const RecordId id = logs.id_of(place);
      WRACKLINE_TRY_VALUE(chain, belonging.chain_of(id));
      WRACKLINE_TRY_VALUE(of, belonging.area_of(chain));
      if (of != area) continue;
      out.push_back(id);
      WRACKLINE_TRY_VALUE(parts, records.find_belonging(place));
      for (const KeyRow& part : parts) {
        if (part.key.kind == static_cast<std::uint32_t>(Kind::kPortion)) out.push_back(logs.id_of(part.record));
      }
    }
  }
  std::sort(out.begin(), out.end());
  return out;
}

Result<ClosedSum> sum_of(Replica& replica, const std::vector<RecordId>& records, const CloseCover* cover) {
  ClosedSum out;
  for (const RecordId id : records) {
    WRACKLINE_TRY_VALUE(whole, replica.store().records().history(replica.store().logs().find_place(id)));
    Folded covered;
    if (cover != nullptr) {
      std::vector<FoldInput> inputs;
      for (const FoldInput& input : whole->folded.inputs) {
        if (cover->covers(input.id)) inputs.push_back(input);
      }
      covered = fold(id, std::move(inputs));
    }
    const Folded& history = cover == nullptr ? whole->folded : covered;
    if (history.kind == 0) continue;
    ++out.records;
    out.changes += static_cast<std::uint32_t>(history.inputs.size());
    const Bytes fields = history.merged();
    Bytes head;
    append_le(head, id.log.value, 8);
    append_varint(head, id.seq);
    append_varint(head, history.kind);
    append_varint(head, fields.size());
    out.sha256 = sha256(view(out.sha256), head, fields, history.disagreements());
  }
  return out;
}

Status put_closed_records(Replica& replica, const std::vector<RecordId>& records, const ClosedSum& sum, proto::DayClose& out) {
  out.set_records(sum.records);
  out.set_changes(sum.changes);
  out.set_sha256(Bytes(view(sum.sha256)));
  for (const auto& [id, log] : replica.store().logs().all()) {
    if (log.head.seq == 0 || !log.opening || log.is_arrivals()) continue;
    proto::ClosedLog& named = *out.add_logs();
    named.set_log(id.value);
    named.set_seq(log.head.seq);
    for (const RecordId record : records) {
      if (record.log == id) named.add_records(record.seq);
    }
  }
  return {};
}

}  // namespace wrackline
