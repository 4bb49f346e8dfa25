#include "cli/command.h"

#include <iostream>

#include "text/message_schema.h"
#include "text/visible.h"

namespace wrackline::cli {

void print(const Json& json) { std::cout << json.str() << "\n"; }
void print(const std::string& text) { std::cout << visible_lines(text); }

Exit tell_logged(Client& client, Names& names, const LogCall& call, const LogReply& reply) {
  if (client.json()) {
    Json json;
    json.object().key("logged").array();
    for (int i = 0; i < reply.records_size(); ++i)
      json.object()
          .member("record", Names::full_id(reply.records(i)))
          .member("short", names.short_id(reply.records(i)))
          .member("kind", kind_name(call.records(i).kind()))
          .end();
    print(json.end().end());
    return Exit::kOk;
  }
  for (const RecordRef& r : reply.records())
    print("logged " + names.short_id(r) + "  " + names.call_it(r) + "\n");
  return Exit::kOk;
}

Exit tell_edited(Client& client, Names& names, const RecordRef& record, const RecordRef& change,
                 const std::string& what) {
  if (client.json()) {
    Json json;
    json.object().member("record", Names::full_id(record)).member("change", Names::full_id(change));
    print(json.member("done", what).end());
    return Exit::kOk;
  }
  print(what + " " + names.short_id(record) + "  " + names.call_it(record) + "\n");
  return Exit::kOk;
}

}  // namespace wrackline::cli
