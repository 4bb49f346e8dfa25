#include "man_pages.h"

#include <algorithm>
#include <sstream>

#include "command_tree.h"

namespace wrackline::manual {
namespace {

constexpr char kExitCodes[] = "Exit codes: ";

// Escapes a word of running text or of a macro's argument: signs that roff would take for its own, and hyphens that
// must stay hyphens.
std::string escaped(const std::string& text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '\\': out += "\\e"; break;
      case '-': out += "\\-"; break;
      case '"': out += "\\(dq"; break;
      case '\'': out += "\\(aq"; break;
      case '`': out += "\\(ga"; break;
      case '^': out += "\\(ha"; break;
      case '~': out += "\\(ti"; break;
      default: out += c;
    }
  }
  return out;
}

// Running text in lines of a source file's width; a line that begins with a dot would be a request.
std::string filled(const std::string& text) {
  constexpr std::size_t kWidth = 76;
  std::istringstream words(escaped(text));
  std::string out, line;
  for (std::string word; words >> word;) {
    if (!line.empty() && line.size() + 1 + word.size() > kWidth) {
      out += line + "\n";
      line.clear();
    }
    if (line.empty()) line = word[0] == '.' ? "\\&" + word : word;
    else line += " " + word;
  }
  return line.empty() ? out : out + line + "\n";
}

// Descriptions end as headings do, or as sentences.
std::string sentence(const std::string& text) {
  const bool has_end = !text.empty() && (text.back() == '.' || text.back() == '?');
  return filled(has_end ? text : text + ".");
}

std::vector<std::string> paragraphs_of(const std::string& text) {
  std::vector<std::string> out;
  std::istringstream lines(text);
  std::string paragraph;
  for (std::string line; std::getline(lines, line);) {
    if (!line.empty()) {
      paragraph += line + " ";
    } else if (!paragraph.empty()) {
      out.push_back(paragraph);
      paragraph.clear();
    }
  }
  if (!paragraph.empty()) out.push_back(paragraph);
  return out;
}

// "Close an area's day: shows what is open, ..." is known by its beginning.
std::string summary_of(const CLI::App& command) {
  const std::string all = command.get_description();
  return all.substr(0, all.find(": "));
}

std::string bold(const std::string& text) { return "\\fB" + escaped(text) + "\\fR"; }
std::string italic(const std::string& text) { return "\\fI" + escaped(text) + "\\fR"; }

std::string name_of_argument(const CLI::Option& argument) {
  const bool repeats = argument.get_expected_max() > 1;
  const std::string name = italic(argument.get_name(true)) + (repeats ? "..." : "");
  return argument.get_required() ? name : "[" + name + "]";
}

std::string synopsis_of(const CLI::App& command) {
  std::string out = bold(path_of(command, " "));
  for (const CLI::Option* option : options_of(command)) {
    if (option->get_required()) out += " " + bold(names_of(*option).back()) + " " + italic(option->get_type_name());
  }
  out += " [" + italic("option") + "]...";
  for (const CLI::Option* argument : arguments_of(command)) out += " " + name_of_argument(*argument);
  if (!commands_of(command).empty()) out += " " + italic("command");
  return out + "\n";
}

// Pointers come in no order that two runs would share.
std::string excluded_by(const CLI::Option& option) {
  std::vector<std::string> names;
  for (const CLI::Option* other : option.get_excludes()) names.push_back(other->get_name());
  std::sort(names.begin(), names.end());
  std::string out;
  for (const std::string& name : names) out += (out.empty() ? "" : ", ") + name;
  return out;
}

std::string told(const CLI::Option& option) {
  std::string text = option.get_description();
  if (option.get_required()) text += ". Required";
  if (!option.get_default_str().empty()) text += ". Without it: " + option.get_default_str();
  if (takes_value(option) && !option.get_positional() && option.get_expected_max() > 1) text += ". May be repeated";
  if (const std::string others = excluded_by(option); !others.empty()) text += ". Not together with " + others;
  return sentence(text);
}

std::string option_text(const CLI::Option& option) {
  std::string names;
  for (const std::string& name : names_of(option)) names += (names.empty() ? "" : ", ") + bold(name);
  if (takes_value(option)) names += " " + italic(option.get_type_name());
  return ".TP\n" + names + "\n" + told(option);
}

std::string options_text(const CLI::App& command) {
  std::string out;
  for (const CLI::Option* argument : arguments_of(command)) out += ".TP\n" + name_of_argument(*argument) + "\n" + told(*argument);
  for (const CLI::Option* option : options_of(command)) out += option_text(*option);
  return out;
}

std::string above_text(const CLI::App& command) {
  std::string names;
  for (const CLI::Option* option : options_from_above(command)) names += (names.empty() ? "" : ", ") + names_of(*option).back();
  return names.empty() ? "" : ".PP\n" + filled("Those of the program may stand here too: " + names + ".");
}

std::string page_name(const CLI::App& command) { return path_of(command, "-"); }

std::string reference(const CLI::App& command) { return bold(page_name(command)) + "(1)"; }

// The program's page: what each command is for, and where it is told, by the groups of its help.
std::string command_list(const CLI::App& program) {
  std::vector<std::string> groups;
  for (const CLI::App* command : commands_of(program)) {
    if (std::find(groups.begin(), groups.end(), command->get_group()) == groups.end()) groups.push_back(command->get_group());
  }
  std::string out;
  for (const std::string& group : groups) {
    if (groups.size() > 1) out += ".SS " + escaped(group) + "\n";
    for (const CLI::App* command : commands_of(program)) {
      if (command->get_group() == group) out += ".TP\n" + reference(*command) + "\n" + sentence(command->get_description());
    }
  }
  return out;
}

// A command's page: what is under it, whole.
std::string commands_within(const CLI::App& command) {
  std::string out;
  for (const CLI::App* sub : commands_of(command)) {
    out += ".SS " + escaped(path_of(*sub, " ")) + "\n" + synopsis_of(*sub) + ".PP\n" + sentence(sub->get_description()) +
           options_text(*sub) + commands_within(*sub);
  }
  return out;
}

std::string notes_of(const CLI::App& command) {
  const bool is_program = command.get_parent() == nullptr;
  if (!is_program && command.get_footer() == command.get_parent()->get_footer()) return "";
  std::string out;
  for (const std::string& paragraph : paragraphs_of(command.get_footer())) {
    if (paragraph.rfind(kExitCodes, 0) != 0) out += (out.empty() ? "" : ".PP\n") + filled(paragraph);
  }
  return out;
}

std::string exit_status_of(const CLI::App& program) {
  for (const std::string& paragraph : paragraphs_of(program.get_footer())) {
    if (paragraph.rfind(kExitCodes, 0) == 0) return filled(paragraph.substr(sizeof(kExitCodes) - 1));
  }
  return "";
}

std::string section(const std::string& title, const std::string& text) {
  return text.empty() ? "" : ".SH " + title + "\n" + text;
}

Page page_of(const CLI::App& command, const CLI::App& program, const Release& release) {
  const bool is_program = &command == &program;
  const std::string name = page_name(command);
  std::string title = name;
  std::transform(title.begin(), title.end(), title.begin(), [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  const std::string text =
      ".\\\" Made from the program's own commands; whoever wants another text changes its help.\n.TH " + escaped(title) + " 1 " +
      release.date + " \"wrackline " + release.version + "\" Wrackline\n" +
      section("NAME", filled(name + " - " + summary_of(command))) + section("SYNOPSIS", synopsis_of(command)) +
      section("DESCRIPTION", sentence(command.get_description())) +
      section("OPTIONS", options_text(command) + above_text(command)) +
      section("COMMANDS", is_program ? command_list(command) : commands_within(command)) + section("NOTES", notes_of(command)) +
      section("EXIT STATUS", exit_status_of(program)) + (is_program ? "" : section("SEE ALSO", reference(program) + "\n"));
  return {name + ".1", text};
}

}  // namespace

std::vector<Page> man_pages(const CLI::App& program, const Release& release) {
  std::vector<Page> out{page_of(program, program, release)};
  for (const CLI::App* command : commands_of(program)) out.push_back(page_of(*command, program, release));
  return out;
}

}  // namespace wrackline::manual
