#include "cli/reports/report_json.h"

#include "cli/command.h"
#include "text/message_schema.h"

namespace wrackline::cli {
namespace {

class Writer {
 public:
  explicit Writer(ReportWords& words) : words_(words) {}

  Json& json() { return json_; }

  void value(const ReportCell& cell) {
    switch (cell.is_case()) {
      case ReportCell::kText: json_.text(cell.text()); break;
      case ReportCell::kNumber: json_.number(cell.number()); break;
      case ReportCell::kDay: json_.text(print_day(cell.day())); break;
      case ReportCell::kTimeMs: json_.number(cell.time_ms()); break;
      case ReportCell::kCode: code(cell.code()); break;
      case ReportCell::kRecord: json_.text(Names::full_id(cell.record().record())); break;
      case ReportCell::kField:
        json_.text(cell.field().has_value() ? words_.value(cell.field())
                                            : kind_name(cell.field().kind()) + "." + field_name(cell.field().kind(), cell.field().field()));
        break;
      case ReportCell::kList:
        json_.array();
        for (const ReportCell& one : cell.list().cells()) value(one);
        json_.end();
        break;
      case ReportCell::IS_NOT_SET: json_.null();
    }
  }

  void member(const std::string& name, const ReportColumn& column, const ReportCell& cell) {
    if (cell.is_case() == ReportCell::IS_NOT_SET) return;
    json_.key(name);
    value(cell);
    if (column.type() == REPORT_COLUMN_TYPE_RECORD && !cell.record().name().empty()) json_.member(name + "_name", cell.record().name());
    if (!cell.unit().empty()) json_.member(name + "_unit", cell.unit());
    if (cell.mark() == REPORT_MARK_PART) json_.member(name + "_mark", "part");
    if (cell.mark() == REPORT_MARK_DISAGREES) json_.member(name + "_mark", "disagrees");
    if (cell.mark() == REPORT_MARK_NOT_PROVEN) json_.member(name + "_mark", "not_proven");
  }

  void notes(const google::protobuf::RepeatedPtrField<ReportCode>& notes) {
    json_.key("notes").array();
    for (const ReportCode& note : notes) {
      json_.object().member("note", note.code()).key("parameters").array();
      for (const ReportCell& one : note.parameters()) value(one);
      json_.end().member("text", words_.note(note)).end();
    }
    json_.end();
  }

  void table(const ReportTable& table) {
    json_.object().member("table", table.code());
    if (table.has_about()) {
      ReportColumn column;
      column.set_type(REPORT_COLUMN_TYPE_RECORD);
      member("about", column, table.about());
    }
    json_.key("rows").array();
    for (const ReportRow& row : table.rows()) {
      json_.object();
      for (int c = 0; c < table.columns_size(); ++c) member(table.columns(c).code(), table.columns(c), row.cells(c));
      json_.end();
    }
    json_.end();
    notes(table.notes());
    json_.end();
  }

 private:
  // A code that speaks of nothing is its own text.
  void code(const ReportCode& code) {
    if (code.parameters().empty()) {
      json_.text(code.code());
      return;
    }
    json_.object().member("code", code.code()).key("parameters").array();
    for (const ReportCell& one : code.parameters()) value(one);
    json_.end().end();
  }

  ReportWords& words_;
  Json json_;
};

}  // namespace

void print_report_json(const ReportReply& reply, ReportWords& words) {
  Writer out(words);
  out.json().object().member("title", words.title(reply));
  if (reply.has_subject()) out.json().member("subject", Names::full_id(reply.subject())).member("subject_name", reply.subject_name());
  if (!reply.area().empty()) out.json().member("area", reply.area());
  out.json().member("first_day", print_day(reply.first_day())).member("last_day", print_day(reply.last_day()));
  out.json().member("known_as_of_ms", reply.known_as_of_ms()).key("tables").array();
  for (const ReportTable& table : reply.tables()) out.table(table);
  out.json().end();
  out.notes(reply.notes());
  print(out.json().end());
}

}  // namespace wrackline::cli
