// How records are called: by name where they have one, by a short id otherwise.
//
// A short id is the shortest beginning of the log's hexadecimal id that no other log here shares (at least
// four digits), a point, and the seq: "3f9a.12". It is for people at one moment; programs get the full id.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "cli/client.h"

namespace wrackline::cli {

class Names {
 public:
  explicit Names(Client& client) : client_(client) {}

  std::string short_id(const RecordRef& record);
  static std::string full_id(const RecordRef& record) { return to_text(id_of(record)); }

  // "3f9a.12", "3f9a0c11d2e3f405.12" or any beginning of the log in between. Throws Stop (not found,
  // ambiguous, or usage when it is no id at all).
  RecordRef record(std::string_view text);
  static bool looks_like_id(std::string_view text);

  // Finds a record by name or id among the records of one kind ("animal") or two ("animal or pool"). Names match whatever
  // their case; the beginning of a name, or of a word in it, will do if only one fits. Throws Stop and lists what would fit.
  RecordRef find(std::string_view kind, std::string_view text);

  // "Sila", "herring", "Meal 08:30 of Sila, 2026-11-24"; the short id where nothing better is known.
  std::string call_it(const RecordRef& record);
  // The same without asking for an event's details: a name, or the short id.
  std::string name_of(const RecordRef& record);
  // "" where it has no name, or is not held here.
  std::string known_name(const RecordRef& record);
  bool holds(const RecordRef& record) { return view(record) != nullptr; }

 private:
  const RecordView* view(const RecordRef& record);
  const std::vector<RecordView>& of_kind(std::string_view kind);

  Client& client_;
  std::map<ChangeId, RecordView> views_;
  std::map<std::string, std::vector<RecordView>, std::less<>> of_kind_;  // Read once, as find() needs them.
};

}  // namespace wrackline::cli
