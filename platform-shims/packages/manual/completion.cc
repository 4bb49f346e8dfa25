#include "completion.h"

#include <algorithm>

#include "command_tree.h"

namespace wrackline::manual {
namespace {

// PROGRAM stands for its name, NAME for that as a part of a shell function's. Bash splits at `=`, so that --dir=here is three
// words. Where nothing is found bash offers files, which is what most values are.
constexpr char kHead[] = R"(# Completes PROGRAM in bash; made from the program's own commands.

# Of the command in $1: sets what may follow it.
_NAME_words() {
  commands="" options="" valued=""
  case $1 in
)";
constexpr char kTail[] = R"(  esac
}

_NAME() {
  local commands options valued path=PROGRAM word i
  COMPREPLY=()
  _NAME_words "$path"
  for ((i = 1; i < COMP_CWORD; ++i)); do
    word=${COMP_WORDS[i]}
    if [[ " $valued " == *" $word "* ]]; then
      if [[ ${COMP_WORDS[i + 1]} == "=" ]]; then ((++i)); fi
      if ((++i >= COMP_CWORD)); then return; fi  # A value is wanted.
    elif [[ " $commands " == *" $word "* ]]; then
      path+=" $word"
      _NAME_words "$path"
    fi
  done
  word=${COMP_WORDS[COMP_CWORD]}
  case $word in
    -*) mapfile -t COMPREPLY < <(compgen -W "$options" -- "$word") ;;
    *) mapfile -t COMPREPLY < <(compgen -W "$commands" -- "$word") ;;
  esac
}

complete -o default -F _NAME PROGRAM
)";

std::string joined(std::vector<std::string> words) {
  std::sort(words.begin(), words.end());
  std::string out;
  for (const std::string& word : words) out += (out.empty() ? "" : " ") + word;
  return out;
}

std::string with(std::string text, const std::string& placeholder, const std::string& value) {
  for (std::size_t at = 0; (at = text.find(placeholder, at)) != std::string::npos; at += value.size())
    text.replace(at, placeholder.size(), value);
  return text;
}

std::string rows_of(const CLI::App& command) {
  std::vector<std::string> commands, options, valued;
  for (const CLI::App* sub : commands_of(command)) commands.push_back(sub->get_name());
  std::vector<const CLI::Option*> all = options_of(command);
  for (const CLI::Option* option : options_from_above(command)) all.push_back(option);
  for (const CLI::Option* option : all) {
    for (const std::string& name : names_of(*option)) {
      options.push_back(name);
      if (takes_value(*option)) valued.push_back(name);
    }
  }
  std::string out = "    \"" + path_of(command, " ") + "\")\n      commands=\"" + joined(commands) + "\"\n      options=\"" +
                    joined(options) + "\"\n      valued=\"" + joined(valued) + "\"\n      ;;\n";
  for (const CLI::App* sub : commands_of(command)) out += rows_of(*sub);
  return out;
}

}  // namespace

std::string bash_completion(const CLI::App& program) {
  std::string name = program.get_name();
  std::replace(name.begin(), name.end(), '-', '_');
  const std::string text = std::string(kHead) + rows_of(program) + kTail;
  return with(with(text, "PROGRAM", program.get_name()), "NAME", name);
}

}  // namespace wrackline::manual
