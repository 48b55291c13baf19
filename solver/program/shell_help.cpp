#include "program/shell_help.hpp"

#include "output/origin.hpp"

#include <algorithm>
#include <functional>

namespace tq::program {
namespace {

std::string joined(const std::vector<std::string>& words, const std::string& between) {
  std::string out;
  for (const std::string& word : words)
    out += (out.empty() ? "" : between) + word;
  return out;
}

// --- manual page

/// Text for roff: hyphens that are minus signs, backslashes and first characters that would be requests.
std::string roff(const std::string& text) {
  std::string out;
  bool first = true;
  for (const char c : text) {
    if (first && (c == '.' || c == '\''))
      out += "\\&";
    first = c == '\n';
    if (c == '-')
      out += "\\-";
    else if (c == '\\')
      out += "\\e";
    else if (c == '`')
      out += "\\(ga";
    else
      out += c;
  }
  return out;
}

std::string roff_options(const std::vector<HelpOption>& options) {
  std::string out;
  for (const HelpOption& option : options) {
    std::vector<std::string> names;
    for (const std::string& name : option.names)
      names.push_back("\\fB" + roff(name) + "\\fR");
    out += ".TP\n" + joined(names, ", ") + (option.type.empty() ? "" : " \\fI" + roff(option.type) + "\\fR") +
           "\n" + roff(option.text) +
           (option.words.empty() ? "" : " (" + roff(joined(option.words, ", ")) + ")") + "\n";
  }
  return out;
}

std::string verbatim(const std::string& text) { return ".PP\n.nf\n" + roff(text) + ".fi\n"; }

// --- completion

/// Where the values of an option or a place come from.
enum class Values { none, words, files, folders, steels, coolants, questions, records };

Values values_of(const HelpOption& option) {
  const std::string& name = option.names.back();
  if (!option.words.empty())
    return Values::words;
  if (name == "--steel" || name == "STEEL")
    return Values::steels;
  if (name == "--oil" || name == "--oils" || name == "--like")
    return Values::coolants;
  if (name == "QUESTION")
    return Values::questions;
  if (name == "WHAT")
    return Values::records;
  if (option.type == "DIR")
    return Values::folders;
  if (option.type == "FILE" || name == "CASE" || name == "OTHER" || name == "FILE")
    return Values::files;
  return Values::none;
}

/// A text inside single quotes of sh, zsh and fish.
std::string shell_quoted(const std::string& text) {
  std::string out = "'";
  for (const char c : text)
    out += c == '\'' ? "'\\''" : std::string(1, c);
  return out + "'";
}
std::string fish_quoted(const std::string& text) {
  std::string out = "'";
  for (const char c : text)
    out += c == '\'' ? "\\'" : c == '\\' ? "\\\\" : std::string(1, c);
  return out + "'";
}

std::string flags(const std::vector<HelpOption>& options) {
  std::vector<std::string> names;
  for (const HelpOption& option : options)
    names.insert(names.end(), option.names.begin(), option.names.end());
  return joined(names, " ");
}

std::string keys_of(const std::string& kind) { return "thinquench stock --keys " + kind + " 2>/dev/null"; }

/// The lines of a `case` on COMMAND:OPTION for every option with a value, each with what `offer` makes of it.
std::string value_cases(const HelpTable& table, const std::function<std::string(const HelpOption&)>& offer) {
  std::string out;
  const auto add = [&](const std::string& command, const std::vector<HelpOption>& options) {
    for (const HelpOption& option : options) {
      if (option.type.empty())
        continue;
      std::vector<std::string> patterns;
      for (const std::string& name : option.names)
        patterns.push_back(command + ":" + name);
      out += "    " + joined(patterns, "|") + ") " + offer(option) + "; return ;;\n";
    }
  };
  add("*", table.common);
  for (const HelpCommand& command : table.commands)
    add(command.name, command.options);
  return out;
}

std::string command_names(const HelpTable& table, const std::string& between) {
  std::vector<std::string> names;
  for (const HelpCommand& command : table.commands)
    names.push_back(command.name);
  return joined(names, between);
}

std::string place_cases(const HelpTable& table, const std::function<std::string(const HelpOption&)>& offer) {
  std::string out;
  for (const HelpCommand& command : table.commands)
    if (!command.places.empty())
      out += "    " + command.name + ") " + offer(command.places.front()) + " ;;\n";
  return out;
}

std::string bash(const HelpTable& table, const std::vector<std::string>& questions) {
  const auto words = [](const std::string& list) {
    return "COMPREPLY=($(compgen -W \"" + list + "\" -- \"$cur\"))";
  };
  const auto offer = [&](const HelpOption& option) -> std::string {
    switch (values_of(option)) {
    case Values::words:
      return words(joined(option.words, " "));
    case Values::steels:
      return words("$(" + keys_of("steels") + ")");
    case Values::coolants:
      return words("$(" + keys_of("coolants") + ")");
    case Values::records:
      return words("steels coolants foils solids strains $(" + keys_of("") + ")");
    case Values::questions:
      return words(joined(questions, " "));
    case Values::folders:
      return "COMPREPLY=($(compgen -d -- \"$cur\"))";
    case Values::files:
      return "COMPREPLY=($(compgen -f -- \"$cur\"))";
    case Values::none:
      break;
    }
    return ":";
  };
  std::string out =
      "# bash completion for thinquench, made by `thinquench help bash`\n_thinquench() {\n"
      "  local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]} command= i\n"
      "  COMPREPLY=()\n  for ((i = 1; i < COMP_CWORD; i++)); do\n    case ${COMP_WORDS[i]} in\n      " +
      command_names(table, "|") +
      ") command=${COMP_WORDS[i]}; break ;;\n    esac\n  done\n  case $command:$prev in\n" +
      value_cases(table, offer) + "  esac\n  if [[ $cur == -* ]]; then\n    case $command in\n";
  for (const HelpCommand& command : table.commands)
    out +=
        "      " + command.name + ") " + words(flags(command.options) + " " + flags(table.common)) + " ;;\n";
  return out + "      *) " + words(flags(table.common)) +
         " ;;\n    esac\n    return\n  fi\n  case $command in\n" + place_cases(table, offer) + "    '') " +
         words(command_names(table, " ") + " help") +
         " ;;\n  esac\n}\ncomplete -o filenames -F _thinquench thinquench\n";
}

/// "name:text" for zsh's _describe.
std::string described(const std::string& name, const std::string& text) {
  std::string clean;
  for (const char c : name)
    clean += c == ':' ? "\\:" : std::string(1, c);
  return shell_quoted(clean + ":" + text);
}

std::string zsh(const HelpTable& table, const std::vector<std::string>& questions) {
  const auto offer = [&](const HelpOption& option) -> std::string {
    switch (values_of(option)) {
    case Values::words:
      return "compadd -- " + joined(option.words, " ");
    case Values::steels:
      return "compadd -- ${(f)\"$(" + keys_of("steels") + ")\"}; _files -g '*.toml'";
    case Values::coolants:
      return "compadd -- ${(f)\"$(" + keys_of("coolants") + ")\"}; _files -g '*.toml'";
    case Values::records:
      return "compadd -- steels coolants foils solids strains ${(f)\"$(" + keys_of("") + ")\"}";
    case Values::questions:
      return "compadd -- " + joined(questions, " ");
    case Values::folders:
      return "_files -/";
    case Values::files:
      return "_files";
    case Values::none:
      break;
    }
    return "_message " + shell_quoted(option.text);
  };
  const auto describe = [](const std::vector<HelpOption>& options) {
    std::string out;
    for (const HelpOption& option : options)
      for (const std::string& name : option.names)
        out += " " + described(name, option.text);
    return out;
  };
  std::string out = "#compdef thinquench\n# zsh completion for thinquench, made by `thinquench help zsh`\n"
                    "_thinquench() {\n  local cur=$words[CURRENT] prev=$words[CURRENT-1] command= word\n"
                    "  local -a list\n  for word in ${words[2,CURRENT-1]}; do\n    case $word in\n      " +
                    command_names(table, "|") +
                    ") command=$word; break ;;\n    esac\n  done\n  case $command:$prev in\n" +
                    value_cases(table, offer) + "  esac\n  if [[ $cur == -* ]]; then\n    case $command in\n";
  for (const HelpCommand& command : table.commands)
    out +=
        "      " + command.name + ") list=(" + describe(command.options) + describe(table.common) + ") ;;\n";
  out += "      *) list=(" + describe(table.common) +
         ") ;;\n    esac\n    _describe option list\n    return\n  fi\n  case $command in\n" +
         place_cases(table, offer) + "    '') list=(";
  for (const HelpCommand& command : table.commands)
    out += " " + described(command.name, command.summary);
  return out + " 'help:Help about a command') ; _describe command list ;;\n  esac\n}\n_thinquench \"$@\"\n";
}

std::string fish(const HelpTable& table, const std::vector<std::string>& questions) {
  const auto offer = [&](const HelpOption& option) -> std::string {
    switch (values_of(option)) {
    case Values::words:
      return " -f -a " + fish_quoted(joined(option.words, " "));
    case Values::steels:
      return " -a '(" + keys_of("steels") + ")'";
    case Values::coolants:
      return " -a '(" + keys_of("coolants") + ")'";
    case Values::records:
      return " -f -a 'steels coolants foils solids strains (" + keys_of("") + ")'";
    case Values::questions:
      return " -f -a " + fish_quoted(joined(questions, " "));
    case Values::folders:
      return " -f -a '(__fish_complete_directories)'";
    case Values::files:
      return " -F";
    case Values::none:
      break;
    }
    return " -f";
  };
  std::string out = "# fish completion for thinquench, made by `thinquench help fish`\n"
                    "complete -c thinquench -f\n";
  const auto add = [&](const std::string& condition, const std::vector<HelpOption>& options) {
    for (const HelpOption& option : options) {
      out += "complete -c thinquench" + condition;
      for (const std::string& name : option.names)
        out += name.compare(0, 2, "--") == 0 ? " -l " + name.substr(2) : " -s " + name.substr(1);
      out += (option.type.empty() ? "" : " -r" + offer(option)) + " -d " + fish_quoted(option.text) + "\n";
    }
  };
  add("", table.common);
  for (const HelpCommand& command : table.commands) {
    out += "complete -c thinquench -n __fish_use_subcommand -a " + command.name + " -d " +
           fish_quoted(command.summary) + "\n";
    const std::string within = " -n '__fish_seen_subcommand_from " + command.name + "'";
    if (!command.places.empty())
      out += "complete -c thinquench" + within + offer(command.places.front()) + "\n";
    add(within, command.options);
  }
  return out;
}

} // namespace

std::string manual_page(const HelpTable& table) {
  std::string out = ".TH THINQUENCH 1 \"\" \"" + roff(output::program_banner()) + "\" \"User commands\"\n" +
                    ".SH NAME\nthinquench \\- heat treatment of thin knife blades\n.SH SYNOPSIS\n" +
                    "\\fBthinquench\\fR \\fICOMMAND\\fR [\\fIOPTIONS\\fR]\n.SH DESCRIPTION\n" +
                    roff(table.description) + "\n.SH EXAMPLES\n" + verbatim(table.examples) +
                    ".SH COMMANDS\n";
  for (const HelpCommand& command : table.commands) {
    std::string usage = "\\fBthinquench " + roff(command.name) + "\\fR";
    for (const HelpOption& place : command.places)
      usage += " \\fI" + roff(place.names.back()) + "\\fR";
    out += ".SS " + usage + "\n" + roff(command.summary) + "\n" + roff_options(command.places) +
           roff_options(command.options) + verbatim(command.examples);
  }
  return out + ".SH OPTIONS OF EVERY COMMAND\n" + roff_options(table.common) +
         ".SH EXIT CODES AND ENVIRONMENT\n" + verbatim(table.footer) +
         ".SH CAUTIONS\nFlash point, vapour and hot oil: a computed temperature is no leave to go above what "
         "the seller "
         "of an oil allows. The cautions of a case stand at the end of its answers.\n";
}

std::string completion(const HelpTable& table, Shell shell, const std::vector<std::string>& questions) {
  switch (shell) {
  case Shell::bash:
    return bash(table, questions);
  case Shell::zsh:
    return zsh(table, questions);
  case Shell::fish:
    break;
  }
  return fish(table, questions);
}

} // namespace tq::program
