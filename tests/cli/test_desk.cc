#include "test_desk.h"

#include <CLI/CLI.hpp>
#include <iostream>
#include <sstream>

#include "cli/command.h"
#include "hosts/file_keystore.h"
#include "records.pb.h"
#include "text/message_schema.h"

namespace wrackline::cli {

SharedRoster::SharedRoster(std::uint64_t seed) : facility_(seed) {
  proto::Facility place;
  place.set_name("Skerry Bay Rescue");
  place.set_time_zone("Europe/Oslo");
  add("facility", place.SerializeAsString());
  Person vet;
  vet.set_name("Dr. Mara Lund");
  vet.add_roles(ROLE_VET);
  add("person", vet.SerializeAsString());
}

RecordRef SharedRoster::add(const char* kind, const std::string& fields) {
  const auto ids = must(facility_.hub().replica->log_unauthored({{kind_number(kind), fields}}));
  return ref_of(ids.front());
}

Desk::Desk(SharedRoster& roster) {
  auto keystore = must(FileKeystore::create(path("device.key")));
  auto core = must(Core::create({path("records.db"), keystore.get(), wall_clock_now},
                                roster.facility().membership("desk")));
  Call call;
  must(roster.facility().hub().replica->author().seal());
  call.mutable_bundle_import()->set_bundle(must(roster.facility().hub().replica->export_bundle({})).bytes);
  Client::reply_of(core->call(call.SerializeAsString()));
}

Options Desk::options() const {
  Options options;
  options.dir.path = folder_ / ".";
  options.person = "Ines Valdor";
  options.yes = true;
  options.page = 7;  // So that lists of any length are put together from pages.
  return options;
}

Desk::Output Desk::run(const std::vector<std::string>& words, bool json) {
  CLI::App app;
  app.require_subcommand(1);
  Action chosen;
  add_record_commands(app, chosen);
  add_table_commands(app, chosen);
  add_foods_command(app, chosen);
  add_feeding_commands(app, chosen);
  add_prep_command(app, chosen);
  add_store_commands(app, chosen);
  add_sheet_command(app, chosen);
  add_body_command(app, chosen);
  add_trend_command(app, chosen);
  add_observing_commands(app, chosen);
  add_dose_command(app, chosen);
  add_water_commands(app, chosen);
  add_review_command(app, chosen);
  add_deciding_commands(app, chosen);
  add_report_commands(app, chosen);
  std::ostringstream printed;
  std::streambuf* const before = std::cout.rdbuf(printed.rdbuf());
  Output out{Exit::kFailed, {}};
  try {
    std::vector<std::string> reversed(words.rbegin(), words.rend());
    app.parse(reversed);
    Options how = options();
    how.json = json;
    out.exit = chosen(how);
  } catch (const Stop& stop) {
    out.exit = stop.exit;
    printed << stop.message;
  } catch (const CLI::ParseError& error) {
    out.exit = Exit::kUsage;
    printed << error.what();
  }
  std::cout.rdbuf(before);
  out.text = printed.str();
  return out;
}

}  // namespace wrackline::cli
