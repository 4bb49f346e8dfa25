#include "command_tree.h"

namespace wrackline::manual {

std::string path_of(const CLI::App& command, const std::string& between) {
  if (command.get_parent() == nullptr) return command.get_name();
  return path_of(*command.get_parent(), between) + between + command.get_name();
}

std::vector<const CLI::App*> commands_of(const CLI::App& command) {
  return command.get_subcommands([](const CLI::App* sub) { return !sub->get_group().empty() && !sub->get_name().empty(); });
}

std::vector<const CLI::Option*> arguments_of(const CLI::App& command) {
  return command.get_options([](const CLI::Option* option) { return option->get_positional() && !option->get_group().empty(); });
}

std::vector<const CLI::Option*> options_of(const CLI::App& command) {
  return command.get_options([](const CLI::Option* option) { return option->nonpositional() && !option->get_group().empty(); });
}

std::vector<const CLI::Option*> options_from_above(const CLI::App& command) {
  std::vector<const CLI::Option*> out;
  if (command.get_parent() == nullptr || !command.get_fallthrough()) return out;
  const CLI::App& above = *command.get_parent();
  for (const CLI::Option* option : options_of(above)) {
    const bool is_of_one_command =  // Each has its own help; the version is the program's.
        option == above.get_help_ptr() || option == above.get_help_all_ptr() || option == above.get_version_ptr();
    if (!is_of_one_command) out.push_back(option);
  }
  for (const CLI::Option* option : options_from_above(above)) out.push_back(option);
  return out;
}

std::vector<std::string> names_of(const CLI::Option& option) {
  std::vector<std::string> out;
  for (const std::string& name : option.get_snames()) out.push_back("-" + name);
  for (const std::string& name : option.get_lnames()) out.push_back("--" + name);
  return out;
}

bool takes_value(const CLI::Option& option) { return option.get_items_expected_max() > 0; }

}  // namespace wrackline::manual
