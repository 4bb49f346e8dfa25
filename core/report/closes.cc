// Days that were closed, a table each: by whom, whether what was closed still stands, and what came after.
#include <records.pb.h>

#include "provenance/provenance_calls.h"
#include "report/reports.h"

namespace wrackline {
namespace {

constexpr std::size_t kDigestShown = 16;  // Hexadecimal digits: enough to compare two prints by eye.

proto::ReportCell by_cell(const proto::RecordRef& author, const std::string& name) {
  return author.seq() == 0 ? code_cell("hub") : record_cell(author, name);
}

// The confirmation is given as a field of the close: apps can tell that in words.
proto::ReportCell confirmation_cell(const proto::CloseView& close) {
  proto::DayClose said;
  *said.mutable_confirmation() = close.confirmation();
  return value_cell(close.record(), static_cast<std::uint32_t>(Kind::kDayClose), proto::DayClose::kConfirmationFieldNumber, said.SerializeAsString());
}

ReportColumns amendment_columns() {
  return {only_data(day_column("day")),  only_data(text_column("area")), only_data(id_column("close")), time_column("entered_ms"),
          record_column("by"),           text_column("device"),          record_column("record"),       code_column("field"),
          value_column("was"),           value_column("became"),         code_column("notice"),         text_column("reason"),
          only_data(id_column("change"))};
}

ReportCells amendment_cells(const proto::CloseView& close, const proto::TrailEntry& entry) {
  ReportCells was, notice;
  for (const std::string& old : entry.replaced()) was.push_back(value_cell(entry.record(), entry.kind(), entry.field(), old));
  if (entry.birth()) notice.push_back(code_cell("new_record"));
  if (entry.came_later()) notice.push_back(code_cell("came_later"));
  if (entry.late()) notice.push_back(code_cell("late"));
  if (entry.clock_suspect()) notice.push_back(code_cell("clock_suspect"));
  return {day_cell(close.day()),
          text_cell(close.area()),
          record_cell(close.record()),
          time_cell(entry.entered_ms()),
          by_cell(entry.author(), entry.author_name()),
          text_cell(entry.device_name()),
          record_cell(entry.record()),
          field_cell(entry.kind(), entry.field()),
          list_cell(std::move(was)),
          value_cell(entry.record(), entry.kind(), entry.field(), entry.value()),
          list_cell(std::move(notice)),
          text_cell(entry.reason()),
          record_cell(entry.change())};
}

TableWriter table_of(const proto::CloseView& close) {
  TableWriter out("close", amendment_columns());
  *out.table().mutable_about() =
      code_cell("close", {day_cell(close.day()), text_cell(close.area()), time_cell(close.entered_ms()),
                          by_cell(close.author(), close.author_name()), text_cell(close.device_name()), record_cell(close.record())});
  if (!close.note().empty()) out.note("said", {text_cell(close.note())});
  if (!close.sha256().empty()) {
    out.note("close_sum", {number_cell(close.records()), number_cell(close.changes()), text_cell(to_hex(close.sha256()).substr(0, kDigestShown))});
  }
  out.note("close_standing", {choice_cell("CloseStanding", proto::CloseStanding_Name(close.standing()), close.standing()),
                              code_cell(close.sealed() ? "sealed" : "not_sealed")});
  if (close.has_confirmation()) out.note("open_when_closed", {confirmation_cell(close)});
  out.note("amendments", {number_cell(close.amended_changes())});
  std::uint32_t shown = 0;
  ChangeId last;
  for (const proto::TrailEntry& entry : close.amendments()) {
    shown += id_of(entry.change()) == last ? 0 : 1;
    last = id_of(entry.change());
    out.row(amendment_cells(close, entry));
  }
  if (shown < close.amended_changes()) out.note("left_out", {number_cell(close.amended_changes() - shown)});
  return out;
}

}  // namespace

Status put_closes(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out) {
  proto::ClosesCall ask;
  ask.set_area(call.area());
  ask.set_first_day(call.first_day());
  ask.set_last_day(call.last_day());
  proto::ClosesReply reply;
  WRACKLINE_TRY(handle_closes(replica, ask, reply));
  for (const proto::CloseView& close : reply.closes()) table_of(close).put_into(out);
  if (!reply.closes().empty()) return {};
  TableWriter none("close", amendment_columns());
  none.note(call.report() == proto::REPORT_KIND_DAY ? "day_not_closed" : "no_day_closed");
  none.put_into(out);
  return {};
}

Status report_closes(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out) {
  out.set_main_table("close");
  return put_closes(replica, call, out);
}

}  // namespace wrackline
