// Digests of the tables and of what they show.
#include "base/wire.h"
#include "store/projection.h"

namespace wrackline {

Result<Hash> Projection::table_digest() {
  WRACKLINE_TRY(flush());
  Hash digest{};
  for (const char* sql : {"SELECT subject,kind,day,detail,record,brief,'' FROM key ORDER BY 1,2,3,4,5",
                          "SELECT place,kind,0,0,0,fields,disagreements FROM record ORDER BY 1",
                          "SELECT record,change,0,0,0,'','' FROM edit ORDER BY 1,2",
                          "SELECT record,0,0,0,0,'','' FROM hub_key ORDER BY 1",
                          "SELECT rule,record,0,0,0,'','' FROM review ORDER BY 1,2",
                          "SELECT hold,stamp,first,last,0,'','' FROM held ORDER BY 1",
                          "SELECT teller,last,entry,first,held_ms,'','' FROM arrival ORDER BY 1,2,3"}) {
    Statement rows(database_, sql);
    for (;;) {
      WRACKLINE_TRY_VALUE(row, rows.step());
      if (!row) break;
      Bytes numbers;
      for (int column = 0; column < 5; ++column) append_le(numbers, static_cast<std::uint64_t>(rows.integer(column)), 8);
      append_le(numbers, rows.blob(5).size(), 8);
      digest = sha256(view(digest), numbers, rows.blob(5), rows.blob(6));
    }
  }
  return digest;
}

Result<Projection::StateDigest> Projection::state_digest() {
  WRACKLINE_TRY(flush());
  StateDigest out;
  const auto add = [&](ChangeId id, const RecordState& state) {
    Bytes head;
    append_le(head, id.log.value, 8);
    append_varint(head, id.seq);
    append_varint(head, state.kind);
    append_varint(head, state.fields.size());
    out.sha256 = sha256(view(out.sha256), head, state.fields, state.disagreements);
    ++out.records;
  };
  for (const auto& [id, log] : logs_.all()) {
    if (log.is_arrivals()) continue;
    // Edited records first gather here, births of the log pass by in order and take their place among them.
    Statement edited(database_, "SELECT place FROM record WHERE place>=? AND place<=? ORDER BY place");
    WRACKLINE_TRY_VALUE(edited_places, edited.with(place_of(log.no, 1), place_of(log.no, kSeqMax)).integers());
    auto next_edited = edited_places.begin();
    const auto add_edited_up_to = [&](Place limit) -> Status {
      for (; next_edited != edited_places.end() && *next_edited <= limit; ++next_edited) {
        WRACKLINE_TRY_VALUE(state, load(*next_edited));
        if (state) add(logs_.id_of(*next_edited), *state);
      }
      return {};
    };
    const LogNo no = log.no;
    const LogId log_id = id;
    const LogEntry& entry = log;
    Bytes copy;  // Loading an edited record may throw the run out that `bytes` points into.
    const auto visit = [&](Seq seq, ByteView bytes) -> Status {
      const Place place = place_of(no, seq);
      bool is_edited = false;
      if (entry.branch || (next_edited != edited_places.end() && *next_edited <= place)) {
        copy.assign(bytes);
        logs_.bytes_to_content(entry, copy);
        bytes = copy;
      }
      if (next_edited != edited_places.end() && *next_edited <= place) {
        WRACKLINE_TRY(add_edited_up_to(place));
        is_edited = *(next_edited - 1) == place;
      }
      WRACKLINE_TRY_VALUE(change, read_change(bytes));
      if (change.is_birth() && !is_edited && !holds_.is_held(place)) add({log_id, seq}, {change.kind, merged_birth(change.fields), {}, false});
      return {};
    };
    WRACKLINE_TRY(logs_.for_each(log, 0, visit));
    WRACKLINE_TRY(add_edited_up_to(place_of(no, kSeqMax)));
  }
  return out;
}

}  // namespace wrackline
