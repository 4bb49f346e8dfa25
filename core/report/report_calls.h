// The calls of proto/report.proto; call/dispatch.cc chooses among them. They read only.
//
// A handler fills the reply's part for its call, or returns the failure; then the reply holds nothing else. Errors: those that
// proto/report.proto names, and of the store.
#pragma once

#include <call.pb.h>

#include "base/result.h"
#include "replica/replica.h"

namespace wrackline {

Status handle_report(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out);
Status handle_csv(Replica& replica, const proto::CsvCall& call, proto::CsvReply& out);

}  // namespace wrackline
