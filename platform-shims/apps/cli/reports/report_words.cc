#include "cli/reports/report_words.h"

#include <algorithm>

#include "cli/commands/close_words.h"
#include "cli/commands/trail_words.h"
#include "cli/record_fields.h"
#include "cli/reports/attention_words.h"
#include "cli/reports/due_words.h"
#include "cli/reports/report_catalogue.h"
#include "cli/reports/report_charts.h"
#include "cli/reports/water_figures.h"
#include "cli/summary.h"
#include "records.pb.h"
#include "text/figures.h"
#include "text/quantity.h"
#include "text/spaced.h"

namespace wrackline::cli {
namespace {

// A value of an enumeration whose name in the protos begins with `prefix`.
template <typename E>
E choice(bool (*parse)(const std::string&, E*), std::string_view prefix, const std::string& code) {
  std::string name(prefix);
  for (const char c : code) name += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  E out{};
  parse(name, &out);
  return out;
}

std::string choice_text(const ReportCode& code) {
  if (code.of() == "DueState") return state_text(choice<DueState>(DueState_Parse, "DUE_STATE_", code.code()));
  if (code.of() == "AttentionRule") return attention_words(choice<AttentionRule>(AttentionRule_Parse, "ATTENTION_RULE_", code.code())).text;
  if (code.of() == "Judgement") return judgement_text(choice<Judgement>(Judgement_Parse, "JUDGEMENT_", code.code()), false);
  if (code.of() == "Parameter") return parameter_text(choice<Parameter>(Parameter_Parse, "PARAMETER_", code.code()));
  if (code.of() == "Derived") return derived_text(choice<Derived>(Derived_Parse, "DERIVED_", code.code()));
  if (code.of() == "CloseStanding") return close_standing_text(choice<CloseStanding>(CloseStanding_Parse, "CLOSE_STANDING_", code.code()));
  return spaced(code.code());
}

std::string upper(std::string text) {
  for (char& c : text) c = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  return text;
}

std::string title_of(const ReportColumn& column) {
  const bool is_number = column.type() == REPORT_COLUMN_TYPE_NUMBER || column.type() == REPORT_COLUMN_TYPE_FIGURE;
  const auto found = report_titles().find(column.code());
  std::string out;
  if (found != report_titles().end()) {
    out = found->second;
  } else {
    out = column.code();
    // Without the unit at its end, which each cell says.
    for (const std::string_view end : {"_mg", "_cal", "_ppm"})
      if (out.size() > end.size() && std::string_view(out).substr(out.size() - end.size()) == end) out.resize(out.size() - end.size());
    out = upper(spaced(out));
  }
  return (is_number ? ">" : "") + out;
}

// To what a person reads: grams, tenths of a per cent. JSON and CSV are exact.
std::string figure_text(Unit unit, std::int64_t value) {
  switch (unit) {
    case Unit::kMassMg:
    case Unit::kEnergyCal:
    case Unit::kPpm:
      return print_quantity(unit, rounded(value, 1000));
    case Unit::kNitrogenNgPerL:
    case Unit::kMeanProbableNumber:
      return print_quantity(unit, rounded(value, 100));
    case Unit::kSalinity:
    case Unit::kDensity:
      return print_quantity(unit, rounded(value, 10));
    default:
      return print_quantity(unit, value);
  }
}

// Fills the parameters into the words of a catalogue.
std::string filled(const std::string& words, const std::vector<std::string>& parameters) {
  std::string out;
  for (std::size_t at = 0; at < words.size();) {
    const std::size_t open = words.find('{', at);
    out += words.substr(at, open - at);
    if (open == std::string::npos) break;
    const std::size_t close = words.find('}', open);
    const auto which = static_cast<std::size_t>(words[open + 1] - '0');
    const std::string text = which < parameters.size() ? parameters[which] : "";
    out += text;
    const std::string nouns = words.substr(open + 2, close - open - 2);
    if (const std::size_t bar = nouns.find('|'); bar != std::string::npos) out += text == "1" ? nouns.substr(0, bar) : " " + nouns.substr(bar + 1);
    at = close + 1;
  }
  return out;
}

// A count of nothing in every row tells no reader anything.
bool is_of_nothing(const ReportTable& table, int column) {
  const ReportColumn& c = table.columns(column);
  return c.type() == REPORT_COLUMN_TYPE_NUMBER && c.unit().empty() && std::all_of(table.rows().begin(), table.rows().end(), [&](const ReportRow& row) {
           const ReportCell& cell = row.cells(column);
           return cell.is_case() == ReportCell::IS_NOT_SET || (cell.is_case() == ReportCell::kNumber && cell.number() == 0);
         });
}

}  // namespace

Report ReportWords::report(const ReportReply& reply) {
  Report out;
  out.title = title(reply);
  std::vector<std::string> said;
  for (const ReportCode& one : reply.notes()) (one.code().rfind("caution_", 0) == 0 ? out.cautions : said).push_back(note(one));
  if (!said.empty()) out.sections.push_back({"Of these days", said, {}, {}, {}});
  for (const ReportTable& table : reply.tables()) {
    if (!table.only_data()) {
      out.sections.push_back(section(table));
      out.sections.back().chart = report_chart(reply, table, out.sections.back().heading);
    }
  }
  return out;
}

std::string ReportWords::title(const ReportReply& reply) {
  const std::string first = print_day(reply.first_day()), last = print_day(reply.last_day());
  const std::string area = reply.area().empty() ? "" : ", " + reply.area();
  const std::string heads = reply.head_count() > 1 ? ", " + std::to_string(reply.head_count()) + " heads together" : "";
  const std::string days = ", " + first + " to " + last;
  switch (reply.report()) {
    case REPORT_KIND_DAY: return "Day report, " + last + area;
    case REPORT_KIND_MONTH: return "Month report" + days + area + (reply.subject_name().empty() ? "" : ", " + reply.subject_name());
    case REPORT_KIND_TREATMENTS: return "Treatments of " + reply.subject_name() + days;
    case REPORT_KIND_WATER: return "Water of " + reply.subject_name() + days;
    case REPORT_KIND_ANIMAL: return "History of " + reply.subject_name() + heads + days;
    case REPORT_KIND_RETENTION: return "Retention of records, as of " + last;
    case REPORT_KIND_CLOSES: return "Closed days" + days + area;
    default: return "Report" + days;
  }
}

std::string ReportWords::heading(const ReportTable& table) {
  if (table.has_about()) {
    std::string text = cell({}, table.about());
    if (!text.empty() && text != "pH" && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
  }
  const auto found = report_headings().find(table.code());
  return found == report_headings().end() ? spaced(table.code()) : found->second;
}

ReportSection ReportWords::section(const ReportTable& table) {
  ReportSection out;
  out.heading = heading(table);
  for (const ReportCode& one : table.notes()) out.notes.push_back(note(one));
  std::vector<int> shown;
  for (int c = 0; c < table.columns_size(); ++c) {
    if (table.columns(c).only_data() || is_of_nothing(table, c)) continue;
    shown.push_back(c);
    out.titles.push_back(title_of(table.columns(c)));
  }
  for (const ReportRow& row : table.rows()) {
    std::vector<std::string>& cells = out.rows.emplace_back();
    for (const int c : shown) cells.push_back(cell(table.columns(c), row.cells(c)));
  }
  return out;
}

std::string ReportWords::cell(const ReportColumn& column, const ReportCell& cell) {
  const Unit unit = unit_of_code(cell.unit().empty() ? column.unit() : cell.unit());
  std::string out;
  switch (cell.is_case()) {
    case ReportCell::kText: out = cell.text(); break;
    case ReportCell::kNumber:
      out = column.type() == REPORT_COLUMN_TYPE_FIGURE ? figure_text(unit, cell.number()) : print_quantity(unit, cell.number());
      break;
    case ReportCell::kDay: out = print_day(cell.day()); break;
    case ReportCell::kTimeMs:
      out = column.type() == REPORT_COLUMN_TYPE_CLOCK ? client_.zone().print_clock(cell.time_ms()) : client_.zone().print(cell.time_ms());
      break;
    case ReportCell::kCode: out = code(cell.code()); break;
    case ReportCell::kRecord:
      if (column.type() == REPORT_COLUMN_TYPE_ID) {
        out = names_.short_id(cell.record().record());
      } else {
        out = cell.record().name().empty() ? names_.call_it(cell.record().record()) : cell.record().name();
      }
      break;
    case ReportCell::kField:
      out = cell.field().has_value() ? value(cell.field()) : field_label(cell.field().kind(), cell.field().field());
      break;
    case ReportCell::kList: {
      const char* between = column.type() == REPORT_COLUMN_TYPE_ID ? " " : column.type() == REPORT_COLUMN_TYPE_VALUE ? " and " : ", ";
      for (const ReportCell& one : cell.list().cells()) out += (out.empty() ? "" : between) + this->cell(column, one);
      break;
    }
    case ReportCell::IS_NOT_SET: return {};
  }
  if (cell.mark() == REPORT_MARK_PART || cell.mark() == REPORT_MARK_DISAGREES) out.insert(0, "*");
  if (cell.mark() == REPORT_MARK_NOT_PROVEN) out += " (not proven)";
  return out;
}

std::string ReportWords::value(const ReportField& field) {
  TrailEntry entry;
  entry.set_kind(field.kind());
  entry.set_field(field.field());
  *entry.mutable_record() = field.record();
  return TrailWords(client_, names_).value(entry, field.value());
}

// Numbers of notes are computed; a record without a name goes by its id.
std::string ReportWords::parameter(const ReportCell& cell) {
  if (cell.is_case() == ReportCell::kRecord && cell.record().name().empty()) return names_.short_id(cell.record().record());
  ReportColumn column;
  column.set_type(REPORT_COLUMN_TYPE_FIGURE);
  return this->cell(column, cell);
}

std::string ReportWords::code(const ReportCode& code) {
  if (!code.of().empty()) return choice_text(code);
  const auto found = report_codes().find(code.code());
  std::vector<std::string> parameters;
  for (const ReportCell& one : code.parameters()) parameters.push_back(parameter(one));
  return found == report_codes().end() ? spaced(code.code()) : filled(found->second, parameters);
}

std::string ReportWords::note(const ReportCode& note) {
  // An order is told by its own fields.
  if (note.code() == "order")
    return record_summary(client_.get(note.parameters(0).record().record()), client_, names_, {"animal", "preparation"}) + ".";
  if (note.code() == "amendments") {
    const std::int64_t count = note.parameters(0).number();
    if (count == 0) return "No amendment since, by what is known here.";
    return std::to_string(count) + (count == 1 ? " amendment since:" : " amendments since:");
  }
  std::vector<std::string> parameters;
  for (const ReportCell& one : note.parameters()) parameters.push_back(parameter(one));
  const auto found = report_notes().find(note.code());
  return found == report_notes().end() ? spaced(note.code()) : filled(found->second, parameters);
}

}  // namespace wrackline::cli
