// One function for each report of proto/report.proto, in a file of its own; report_call.cc chooses among them. Only report/*.cc include
// this.
//
// Each appends its tables and notes to a reply whose head (report, subject, days) is filled in, or returns the failure. The figures are
// those of the other calls: a report asks the same handlers and adds only what it counts.
#pragma once

#include "reading/roster.h"
#include "reading/zone.h"
#include "report/report_table.h"

namespace wrackline {

Status report_day(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out);
Status report_month(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out);
Status report_treatments(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out);
Status report_water(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out);
Status report_animal(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out);
Status report_retention(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out);
Status report_closes(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out);

// Part of the day's report as well: a row for each close of these days, and one for each amendment.
Status put_closes(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out);

}  // namespace wrackline
