// Projections made anew, states compared.
#include "provenance/provenance_calls.h"

namespace wrackline {

Status handle_rebuild(Replica& replica, proto::RebuildReply& out) {
  Store& store = replica.store();
  WRACKLINE_TRY_VALUE(write, store.begin_write());
  WRACKLINE_TRY_VALUE(before, store.records().table_digest());
  WRACKLINE_TRY_VALUE(changes, store.records().rebuild());
  WRACKLINE_TRY_VALUE(after, store.records().table_digest());
  WRACKLINE_TRY(write.commit());
  out.set_changes(changes);
  out.set_same(before == after);
  return {};
}

Status handle_digest(Replica& replica, proto::DigestReply& out) {
  WRACKLINE_TRY_VALUE(digest, replica.store().records().state_digest());
  out.set_sha256(Bytes(view(digest.sha256)));
  out.set_records(digest.records);
  out.set_changes(replica.store().logs().count());
  return {};
}

}  // namespace wrackline
