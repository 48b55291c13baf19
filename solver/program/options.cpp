#include "program/options.hpp"

#include "answers/bands.hpp"
#include "answers/fault_draws.hpp"
#include "answers/find.hpp"
#include "output/origin.hpp"
#include "program/shell_help.hpp"

#include <CLI/CLI.hpp>

#include <algorithm>
#include <array>
#include <string_view>

namespace tq::program {
namespace {

/// A command as the help tells it. The examples are run by the tests.
struct CommandText {
  const char* name;
  const char* summary;
  const char* examples;
};

constexpr std::array<CommandText, 18> command_texts{{
    {"harden", "Compute a case from furnace to temper: print the answers, write the files.",
     "  thinquench harden my_blade.toml                 answers on the screen, files in out/\n"
     "  thinquench harden my_blade.toml -o monday       files in monday/\n"
     "  thinquench harden my_blade.toml --full          all of it: reasons, zones, bands, every caution\n"
     "  thinquench harden my_blade.toml --no-bands      only the case as stated, at once\n"
     "  thinquench harden my_blade.toml --quiet         one line with the verdicts, no progress\n"
     "  thinquench harden my_blade.toml --json -q       the answers as JSON, no progress\n"
     "  thinquench harden my_blade.toml --only sheet    of the files only the sheet for the shop\n"},
    {"check", "Read a case and print it with every default filled in; compute nothing.",
     "  thinquench check my_blade.toml                  the case as the program understands it\n"
     "  thinquench blank | thinquench check -           the case from standard input\n"
     "  thinquench check --steel 1084 --spine '3 mm' --edge '0.5 mm' > my_blade.toml\n"
     "                                                  a case file out of the options of a blade\n"},
    {"stock", "List the records, or show where each value of one comes from.",
     "  thinquench stock                                everything on the shelf\n"
     "  thinquench stock steels                         one kind; also coolants, foils, solids, strains\n"
     "  thinquench stock O1                             one record, every value with its source\n"
     "  thinquench stock --gaps O1                      what a steel record leaves open; or your own file\n"},
    {"ask", "Answer about a steel without a blade: hardening, temper, diagram.",
     "  thinquench ask O1                               all of it, at the usual hardening temperature\n"
     "  thinquench ask O1 --temper '400 degF' --hold '2 h' --cycles 2\n"
     "  thinquench ask 52100 --harden '1550 degF' --soak '25 min'\n"
     "  thinquench ask O1 --temper '400 degF' --flash '350 degC' --flash-time '2 s'\n"
     "  thinquench ask O1 --diagram                     start, half and finish of pearlite and bainite\n"
     "  thinquench ask C 0.8 Mn 0.7 Si 0.2              a composition in wt%, with wider bands\n"
     "  printf 'steel,temperature_degC,time_h\\nO1,204,2\\n' | thinquench ask --csv -\n"
     "                                                  rows in, the same rows with answers out\n"},
    {"jominy", "How deep a steel hardens: hardness along the end-quenched bar of ASTM A255.",
     "  thinquench jominy 5160                          a table: hardness, its doubt, pearlite, bainite\n"
     "  thinquench jominy 5160 --draw 5160.svg          the same as a picture, beside a published band\n"
     "  thinquench jominy --draw steels.svg             every steel on the shelf\n"
     "  thinquench jominy C 0.6 Mn 0.9 Cr 0.8 --harden '1550 degF' --json\n"},
    {"blank", "Print a case to fill in, every line explained.",
     "  thinquench blank > my_blade.toml                then edit it and try `thinquench check`\n"},
    {"find", "Find a setting: timer for a soak, oven for a hardness, longest transfer ...",
     "  thinquench find --list                          the questions\n"
     "  thinquench find timer my_blade.toml             the timer for the soak that the case asks for\n"
     "  thinquench find temper my_blade.toml --wish '60 HRC'\n"
     "  thinquench find transfer --steel 1095 --spine '1/8 in' --edge '0.5 mm' --oil fast-oil\n"
     "                                                  without a case file; the rest is assumed, and "
     "said\n"},
    {"what-if", "Show what becomes of a case when furnace, foil, oil or oven are off.",
     "  thinquench what-if my_blade.toml                a strip of outcomes for each\n"},
    {"compare", "Compare oils, bath temperatures, transfers and thicknesses for a blade.",
     "  thinquench compare my_blade.toml --oils fast-oil,medium-oil,vegetable-oil\n"
     "  thinquench compare my_blade.toml --transfers '2 s,5 s,8 s' --spines '2 mm,3 mm,4 mm'\n"
     "  thinquench compare --steel 1084 --spine '3 mm' --edge '0.5 mm' --oils fast-oil,water\n"},
    {"differ", "Show what two cases have different: inputs, settings and outcomes.",
     "  thinquench differ my_blade.toml my_other.toml   only the lines that change\n"},
    {"oil", "Make an oil record from its data sheet or from a measured cooling curve.",
     "  thinquench oil --max-rate '97.3 K/s' --at '619 degC' --rate-300 '6.1 K/s' --out my_oil.toml\n"
     "                                                  any figures of a cooling-curve sheet will do\n"
     "  thinquench oil --ball '12 s' --out my_oil.toml  seconds of the magnetic quenchometer\n"
     "  thinquench oil --trace probe.csv --bath '60 degC' --out my_oil.toml\n"
     "                                                  columns time_s and temperature_degC\n"
     "  thinquench oil --trace log.csv --coupon 'plate 6 mm' --bath '55 degC' --out my_oil.toml\n"},
    {"explain", "It is soft, why? Hold what tester and file read against the case.",
     "  thinquench explain my_blade.toml --quenched 'spine 58 HRC' --file bites\n"
     "                                                  causes by how well they fit, and the next blade\n"
     "  thinquench explain my_blade.toml --quenched 'spine 63 HRC' --tempered 'spine 58 HRC, edge 57 HRC'\n"},
    {"new", "Ask what matters of a blade, one question at a time, and write the case.",
     "  thinquench new my_blade.toml                    questions, each with its usual answer\n"
     "  printf 'O1\\n3.2 mm\\n0.6 mm\\n' | thinquench new my_blade.toml\n"
     "                                                  the answers from a pipe; the rest as usual\n"},
    {"note", "Note what was set and read of a blade or a coupon in the shop's journal.",
     "  thinquench note my_blade.toml --shop shop.toml --seconds '3 s' --file skates --quenched 'spine 64 "
     "HRC'\n"
     "                                                  a journal that is not there yet is begun\n"
     "  thinquench note my_blade.toml --shop shop.toml --tempered 'spine 61 HRC' --oil-before '55 degC'\n"
     "  thinquench note --coupon O1 --temper '205 degC' --hold '2 h' --read '61 HRC' --shop shop.toml\n"},
    {"shop", "Show what the shop's journal taught, and which reading would teach most.",
     "  thinquench shop --shop shop.toml                what its readings say of furnace, foil, oil and "
     "oven\n"},
    {"sweep", "Compute all cases of a plan: keys over lists and ranges, into one HDF5 file.",
     "  thinquench sweep my_plan.toml                   result in my_plan.h5; goes on where it was stopped\n"
     "  thinquench sweep my_plan.toml --shard 3/8       a part, into my_plan.3of8.rows\n"
     "  thinquench sweep my_plan.toml --csv table.csv   a table beside the result\n"},
    {"join", "Make one result of the parts of a sweep.",
     "  thinquench join my_plan.h5 my_plan.*.rows       all shards into one file\n"},
    {"map", "Draw a figure of a sweep over two keys or one, as SVG and HTML.",
     "  thinquench map my_plan.h5 --x blade.spine --y bath.temperature --figure hardness_tempered\n"
     "  thinquench map my_plan.h5 --x blade.spine --y bath.temperature --figure verdict_quench\n"
     "  thinquench map my_plan.h5 --x temper.oven --figure hardness_tempered --at blade.spine='3 mm'\n"},
}};

const CommandText& text_of(std::string_view name) {
  return *std::find_if(command_texts.begin(), command_texts.end(),
                       [&](const CommandText& text) { return name == text.name; });
}

constexpr const char* main_examples =
    "  thinquench new my_blade.toml                    asks what matters and writes the case\n"
    "  thinquench blank > my_blade.toml                a case to fill in, every line explained\n"
    "  thinquench check my_blade.toml                  read it and say what is assumed\n"
    "  thinquench harden my_blade.toml                 compute it: answers here, files in out/\n"
    "  thinquench stock steels                         the steels on the shelf\n"
    "  thinquench stock O1                             one record, every value with its source\n"
    "  thinquench ask O1 --temper '400 degF'           questions without a blade\n"
    "  thinquench find timer my_blade.toml             the setting for what you want; find --list: all\n"
    "  thinquench what-if my_blade.toml                when furnace, foil, oil or oven are off\n";

constexpr const char* main_footer =
    "\nExit codes:\n"
    "  0 done   1 internal error   2 bad command line or input   3 the solver gave up   130 interrupted\n"
    "  4 done, but a verdict is as bad as --fail-on says\n"
    "\nEnvironment:\n"
    "  THINQUENCH_MATERIALS   folder of the records, when --materials is not given\n"
    "  NO_COLOR               no colours, when it is set to anything\n"
    "\n`thinquench COMMAND --help` (or `thinquench help COMMAND`) tells more about one command;\n"
    "`thinquench help man` prints the manual page, `thinquench help bash` (zsh, fish) completion.\n";

/// Two columns, the second at a fixed place.
std::string row(const std::string& left, const std::string& right) {
  constexpr std::size_t column = 24;
  std::string line = "  " + left;
  line += line.size() < column ? std::string(column - line.size(), ' ') : "\n" + std::string(column, ' ');
  return line + right + "\n";
}

std::string option_rows(const CLI::App& app) {
  std::string rows;
  for (const CLI::Option* option : app.get_options()) {
    std::string name = option->get_name(option->get_positional(), true);
    for (std::size_t at = 0; (at = name.find(",--", at)) != std::string::npos; at += 2)
      name.replace(at, 1, ", ");
    if (!option->get_positional() && option->get_expected_max() > 0)
      name += " " + option->get_type_name();
    rows += row(name, option->get_description());
  }
  return rows;
}

/// Help with the examples first, made from the option table.
class Help : public CLI::FormatterBase {
 public:
  std::string make_help(const CLI::App* app, std::string, CLI::AppFormatMode) const override {
    const CLI::App* parent = app->get_parent();
    return parent == nullptr ? whole(*app) : of_command(*app, *parent);
  }

 private:
  static std::string whole(const CLI::App& app) {
    std::string text = app.get_description() + "\n\nUsage: thinquench COMMAND [OPTIONS]\n\nExamples:\n";
    text += main_examples;
    text += "\nCommands:\n";
    for (const CommandText& command : command_texts)
      text += row(command.name, command.summary);
    return text + "\nOptions:\n" + option_rows(app) + main_footer;
  }

  static std::string of_command(const CLI::App& app, const CLI::App& parent) {
    const auto command = std::find_if(command_texts.begin(), command_texts.end(),
                                      [&](const CommandText& c) { return c.name == app.get_name(); });
    std::string usage = "Usage: thinquench " + app.get_name();
    for (const CLI::Option* option : app.get_options())
      if (option->get_positional())
        usage += option->get_required() ? " " + option->get_name(true) : " [" + option->get_name(true) + "]";
    return std::string(command->summary) + "\n\n" + usage + " [OPTIONS]\n\nExamples:\n" + command->examples +
           "\nOptions:\n" + option_rows(app) + "\nOptions of every command:\n" + option_rows(parent);
  }
};

/// Number of letters to change, add or drop between two words.
std::size_t distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> line(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j)
    line[j] = j;
  for (std::size_t i = 0; i < a.size(); ++i) {
    std::size_t corner = line[0]++;
    for (std::size_t j = 0; j < b.size(); ++j) {
      const std::size_t above = line[j + 1];
      line[j + 1] = std::min({above + 1, line[j] + 1, corner + (a[i] == b[j] ? 0 : 1)});
      corner = above;
    }
  }
  return line.back();
}

/// Why a line without a valid command was refused.
std::string no_such_command(const std::string& word) {
  if (word.empty())
    return "no command given; harden, check, find or another command is expected (see thinquench --help)";
  if (word.size() > 5 && word.substr(word.size() - 5) == ".toml")
    return "'" + word + "' is no command; to compute this case: thinquench harden " + word;
  std::string_view nearest = "help";
  for (const CommandText& command : command_texts)
    if (distance(word, command.name) < distance(word, nearest))
      nearest = command.name;
  if (distance(word, nearest) <= 2)
    return "'" + word + "' is no command; did you mean '" + std::string(nearest) + "'?";
  return "'" + word +
         "' is no command; harden, check, find or another command is expected (see thinquench --help)";
}

/// First word of the line that is neither an option of all commands nor what follows one.
std::string first_word(int argc, const char* const* argv) {
  for (int i = 1; i < argc; ++i) {
    const std::string_view word = argv[i];
    if (word == "--materials" || word == "--shop" || word == "--bar")
      ++i;
    else if (word.empty() || word[0] != '-')
      return std::string(word);
  }
  return {};
}

/// "; did you mean '--quiet'?" when a word of the line is nearly an option of the command or of all.
std::string near_option(const CLI::App& app, const CLI::App& command, int argc, const char* const* argv) {
  std::vector<std::string> known;
  for (const CLI::App* from : {&app, &command})
    for (const CLI::Option* option : from->get_options())
      for (const std::string& name : option->get_lnames())
        known.push_back("--" + name);
  for (int i = 1; i < argc; ++i) {
    const std::string_view given = argv[i];
    const std::string word(given.substr(0, given.find('=')));
    if (word.size() < 4 || word.compare(0, 2, "--") != 0 ||
        std::find(known.begin(), known.end(), word) != known.end())
      continue;
    const auto nearest =
        std::min_element(known.begin(), known.end(), [&](const std::string& a, const std::string& b) {
          return distance(word, a) < distance(word, b);
        });
    if (word == "--wish" && std::find(known.begin(), known.end(), "--hardness") != known.end())
      return "; a wish is told by --hardness '60-62 HRC' here, or by --set 'wish.hardness=[\"60 HRC\", \"62 "
             "HRC\"]' "
             "of a case";
    std::string owner; // an option of another command is no slip of the pen
    for (const CLI::App* other : app.get_subcommands([](const CLI::App*) { return true; }))
      if (owner.empty() && other->get_option_no_throw(word) != nullptr)
        owner = other->get_name();
    if (!owner.empty())
      return "; " + word + " belongs to `" + owner + "`";
    if (distance(word, *nearest) <= 2)
      return "; did you mean '" + *nearest + "'?";
  }
  return {};
}

std::vector<HelpOption> help_options(const CLI::App& app, bool places) {
  std::vector<HelpOption> out;
  for (const CLI::Option* option : app.get_options()) {
    if (option->get_positional() != places)
      continue;
    HelpOption entry;
    for (const std::string& name : option->get_snames())
      entry.names.push_back("-" + name);
    for (const std::string& name : option->get_lnames())
      entry.names.push_back("--" + name);
    if (places)
      entry.names = {option->get_name(true)};
    else if (option->get_expected_max() > 0)
      entry.type = option->get_type_name();
    if (const std::size_t colon = entry.type.find(':'); colon != std::string::npos)
      entry.type.erase(colon); // what a check adds to it
    entry.text = option->get_description();
    if (!places && entry.names.back() == "--fail-on")
      entry.words = {"fail", "marginal"};
    if (!places && entry.names.back() == "--grind")
      entry.words = {"flat", "bevel", "hollow", "convex", "one-sided"};
    out.push_back(std::move(entry));
  }
  return out;
}

/// Why a text is no seed; a number that is negative or too large would be taken as another one.
std::string seed_fault(const std::string& text) {
  constexpr std::size_t most_digits = 18;
  const bool digits = !text.empty() && text.find_first_not_of("0123456789") == std::string::npos;
  return digits && text.size() <= most_digits ? ""
                                              : "'" + text + "' is no seed; allowed: 0 to 999999999999999999";
}

/// An option that is given nothing, as a script does whose variable is not set, is no option left out.
void refuse_empty(const CLI::App& app) {
  for (const CLI::Option* option : app.get_options())
    if (option->get_expected_max() > 0 && !option->get_positional())
      for (const std::string& given : option->results())
        if (given.empty())
          throw UsageError(option->get_name() + ": '' is empty; give " + option->get_type_name() +
                           ", or leave the option out");
}

/// The texts of `help man`, `help bash`, `help zsh`, `help fish`; nothing for other words.
std::optional<std::string> made_help(const CLI::App& app, const std::string& what) {
  HelpTable table{app.get_description(), main_examples, main_footer, help_options(app, false), {}};
  for (const CommandText& text : command_texts) {
    const CLI::App* command = app.get_subcommand(text.name);
    table.commands.push_back({text.name, text.summary, text.examples, help_options(*command, false),
                              help_options(*command, true)});
  }
  std::vector<std::string> questions;
  for (const answers::Question& question : answers::questions())
    questions.push_back(question.key);
  if (what == "man")
    return manual_page(table);
  if (what == "bash")
    return completion(table, Shell::bash, questions);
  if (what == "zsh")
    return completion(table, Shell::zsh, questions);
  if (what == "fish")
    return completion(table, Shell::fish, questions);
  return {};
}

/// Whether `help WORD` has a page: a command, or an option behind.
bool helped_with(std::string_view word) {
  return word == "help" || word.substr(0, 1) == "-" ||
         std::any_of(command_texts.begin(), command_texts.end(),
                     [&](const CommandText& command) { return word == command.name; });
}

/// `help` and `help COMMAND` as what they mean.
std::vector<const char*> with_help_turned(int argc, const char* const* argv) {
  std::vector<const char*> words(argv, argv + argc);
  if (words.size() >= 2 && std::string_view(words[1]) == "help") {
    words.erase(words.begin() + 1);
    words.push_back("--help");
  }
  return words;
}

/// All commands with their options, each of which puts its value into `options`.
class CommandLine {
 public:
  Options options;
  CLI::App app{"thinquench computes the heat treatment of thin knife blades on their cross-section:\n"
               "how long the blade must soak, whether it hardens in the oil, what the temper leaves.",
               "thinquench"};

  CommandLine() {
    app.formatter(std::make_shared<Help>());
    app.set_help_flag("-h,--help", "Show this help, or that of the command");
    app.set_version_flag("-V,--version", output::program_banner(), "Show the version");
    app.add_flag("--no-color", options.no_color, "No colours");
    app.add_option("--materials", options.materials, "Folder of the records instead of the shipped one")
        ->type_name("DIR");
    app.add_option("--shop", options.shop.file, "Journal of the shop (default: shop.toml beside the case)")
        ->type_name("FILE");
    app.add_flag("--no-shop", options.shop.none, "Leave out what the journal of the shop teaches");
    app.add_option("--bar", options.shop.bar, "The bar of steel in hand, as the journal calls it")
        ->type_name("NAME");
    add_harden();
    add_check();
    add_stock();
    add_ask();
    add_jominy();
    add_blank();
    add_find();
    add_what_if();
    add_compare();
    add_differ();
    add_oil();
    add_explain();
    add_new();
    add_note();
    add_shop();
    add_sweep();
    add_join();
    add_map();
  }

 private:
  static constexpr const char* set_text =
      "Replaces a value of the case, like furnace.setpoint='800 degC'; any number";

  CLI::App* add_command(const CommandText& text, Command command) {
    CLI::App* sub = app.add_subcommand(text.name, text.summary);
    sub->set_help_flag();
    sub->fallthrough();
    sub->callback([this, command] { options.command = command; });
    return sub;
  }
  void add_settings(CLI::App* sub, const char* what) {
    sub->add_option("--set", options.settings, what)->type_name("KEY=VALUE")->expected(1)->take_all();
  }
  void add_case(CLI::App* sub) {
    sub->add_option("CASE", options.case_path, "The case file (TOML); - reads standard input")->required();
    add_settings(sub, set_text);
  }
  void add_quiet(CLI::App* sub, const char* what) { sub->add_flag("-q,--quiet", options.quiet, what); }
  void add_json(CLI::App* sub, const char* what) { sub->add_flag("--json", options.json, what); }
  static void add_text(CLI::App* sub, const char* name, std::string& value, const char* type,
                       const char* what) {
    sub->add_option(name, value, what)->type_name(type);
  }
  void add_one_line(CLI::App* sub) {
    OneLine& o = options.one_line;
    sub->add_option("CASE", options.case_path,
                    "The case file (TOML), - reads standard input; or these options");
    add_settings(sub, set_text);
    add_text(sub, "--steel", o.steel, "KEY", "Steel, instead of a case file");
    add_text(sub, "--spine", o.spine, "LENGTH", "Thickness of the spine (needed with --steel)");
    add_text(sub, "--edge", o.edge, "LENGTH", "Thickness of the edge before hardening (needed with --steel)");
    add_text(sub, "--width", o.width, "LENGTH", "Spine to edge (default: 30 mm)");
    add_text(sub, "--length", o.length, "LENGTH", "Length of the blade (default: 110 mm)");
    add_text(sub, "--grind", o.grind, "KIND", "flat (default), bevel, hollow, convex, one-sided");
    add_text(sub, "--bevel-height", o.bevel_height, "LENGTH", "Height of the bevel from the edge");
    add_text(sub, "--setpoint", o.setpoint, "TEMP", "Furnace, on the display");
    add_text(sub, "--timer", o.timer, "TIME", "Blade out after this");
    add_text(sub, "--soak", o.soak, "TIME", "Time wanted at temperature");
    add_text(sub, "--gap", o.gap, "LENGTH", "Gap between foil and blade");
    sub->add_flag("--bare", o.bare, "No foil");
    sub->add_flag("--foil-in-oil", o.foil_in_oil, "The foil stays on in the oil");
    add_text(sub, "--transfer", o.transfer, "TIME", "From furnace to bath (default: 2 s)");
    add_text(sub, "--oil", o.oil, "KEY", "Bath (default: medium-oil)");
    add_text(sub, "--bath", o.bath, "TEMP", "Temperature of the bath");
    add_text(sub, "--volume", o.volume, "VOLUME", "Volume of the bath (default: 8 L)");
    add_text(sub, "--oven", o.oven, "TEMP", "Tempering oven (default: 205 degC)");
    add_text(sub, "--temper-time", o.temper_time, "TIME", "Each temper (default: 2 h)");
    add_text(sub, "--tempers", o.tempers, "N", "Number of tempers (default: 2)");
    add_text(sub, "--hardness", o.hardness, "HRC", "Wanted, like '60 HRC' or '60-62 HRC'");
    sub->add_flag("--soft-spine", o.soft_spine, "A soft spine is welcome: edge and middle must harden");
  }

  void add_harden() {
    CLI::App* harden = add_command(text_of("harden"), Command::harden);
    add_one_line(harden);
    harden->add_option("-o,--output", options.output, "Folder for the files written (default: out)")
        ->type_name("DIR");
    harden->add_option("--fail-on", options.fail_on, "Exit 4 when a verdict is fail, or also when marginal")
        ->type_name("VERDICT")
        ->check(CLI::IsMember({"fail", "marginal"}));
    add_json(harden, "The answers as one JSON document instead of tables");
    add_quiet(harden, "One line with the verdicts, no progress, bands only with --members");
    harden->add_flag("--full", options.full,
                     "All of it: reasons, every caution, zones, bands, what is assumed");
    harden->add_flag_callback(
        "--no-bands", [this] { options.bands = false; },
        "Only the case as stated, not how far it may be off");
    harden->add_option("--members", options.members, "Times the uncertain inputs are drawn (default: 128)")
        ->type_name("N")
        ->each([this](const std::string&) { options.members_asked = true; })
        ->check(CLI::Range(answers::fewest_members, answers::most_members));
    harden->add_option("--seed", options.seed, "Other draws; the same seed, the same bands (default: 1)")
        ->type_name("N")
        ->check(seed_fault);
    harden
        ->add_option("--threads", options.threads,
                     "Threads (default: all cores); the answers do not depend on it")
        ->type_name("N")
        ->check(CLI::Range(1, 1024));
    harden->add_flag_callback(
        "--no-what-if", [this] { options.what_if = false; },
        "Leave out the what-if strips of the report: saves a second");
    CLI::Option* no_files = harden->add_flag_callback(
        "--no-files", [this] { options.files = output::FileChoice::only({}); }, "Write no files");
    harden
        ->add_option_function<std::vector<std::string>>(
            "--only",
            [this](const std::vector<std::string>& kinds) {
              options.files = output::FileChoice::only(kinds);
            },
            "Write only these files: report, sheet, json, hdf5, svg")
        ->type_name("LIST")
        ->delimiter(',')
        ->check(CLI::IsMember(output::FileChoice::words()))
        ->excludes(no_files);
  }

  void add_check() {
    CLI::App* check = add_command(text_of("check"), Command::check);
    add_one_line(check);
    add_json(check, "The resolved case and what was assumed, as one JSON document");
    add_quiet(check, "Print nothing but errors");
  }

  void add_stock() {
    CLI::App* stock = add_command(text_of("stock"), Command::stock);
    stock->add_option("WHAT", options.wanted,
                      "steels, coolants, foils, solids, strains, or the key of one record");
    stock->add_flag("--keys", options.keys, "Only the keys, one a line");
    stock->add_flag("--gaps", options.gaps,
                    "Of a steel (key or file): what is missing, assumed, out of range");
    add_json(stock, "The records as one JSON document");
  }

  void add_ask() {
    CLI::App* ask = add_command(text_of("ask"), Command::ask);
    AskOptions& question = options.ask;
    ask->add_option("STEEL", question.steel, "Key or file of a record, or a composition in wt%");
    add_text(ask, "--harden", question.harden, "TEMP", "Hardening temperature (default: the usual one)");
    add_text(ask, "--soak", question.soak, "TIME", "Soak at that temperature (default: the usual one)");
    add_text(ask, "--start", question.start, "STATE", "spheroidised (default) or 'fine pearlite'");
    add_text(ask, "--cool-to", question.cool_to, "TEMP",
             "Coldest temperature before tempering (default: 20 degC)");
    add_text(ask, "--temper", question.temper, "TEMP", "Tempering temperature (default: a table of them)");
    add_text(ask, "--hold", question.hold, "TIME", "Hold of one tempering cycle (default: 1 h)");
    ask->add_option("--cycles", question.cycles, "Tempering cycles (default: 1)")->type_name("N");
    add_text(ask, "--flash", question.flash, "TEMP", "Heat of grinding after the temper: what it takes off");
    add_text(ask, "--flash-time", question.flash_time, "TIME", "How long that heat lasts (default: 1 s)");
    ask->add_flag("--diagram", question.diagram, "The transformation diagram alone, as CSV");
    add_text(ask, "--csv", question.csv, "FILE",
             "Rows in, the same rows with answers out; - reads standard input");
    add_text(ask, "--measured", question.measured, "COLUMN",
             "Column of measured HRC in --csv; it corrects rows of its steel");
    add_json(ask, "The answers as one JSON document");
  }

  void add_jominy() {
    CLI::App* jominy = add_command(text_of("jominy"), Command::jominy);
    jominy->add_option("STEEL", options.jominy.steel,
                       "Key or file of a record, or a composition in wt% (default: all on the shelf)");
    add_text(jominy, "--harden", options.jominy.harden, "TEMP",
             "Hardening temperature (default: the middle of the usual range)");
    add_text(jominy, "--draw", options.jominy.drawing, "FILE", "Drawing to write (SVG)");
    add_json(jominy, "The figures as one JSON document");
  }

  void add_blank() {
    add_command(text_of("blank"), Command::blank)
        ->add_flag("--keys", options.keys, "A page of all keys with defaults, ranges and meaning (Markdown)");
  }

  void add_find() {
    SearchOptions& search = options.search;
    CLI::App* find = add_command(text_of("find"), Command::find);
    find->add_option("QUESTION", search.question, "What to find; --list tells them");
    add_one_line(find);
    find->add_option("--wish", search.wish, "What is wanted; its meaning by the question")
        ->type_name("VALUE");
    find->add_option("--spine-at-most", search.spine_at_most, "temper: hardness allowed at the spine")
        ->type_name("HRC");
    find->add_option("--blades", search.blades, "batch, oil-volume: number of blades")->type_name("N");
    find->add_flag("--fahrenheit", search.fahrenheit, "Steps of 5 degF (default when the case is in degF)");
    find->add_flag("--bands", search.bands, "Also the band of outcomes at that setting (some seconds)");
    find->add_flag("--list", search.list, "List the questions");
    add_json(find, "The answer as one JSON document");
  }

  void add_what_if() {
    CLI::App* what_if = add_command(text_of("what-if"), Command::what_if);
    add_one_line(what_if);
    add_json(what_if, "The strips as one JSON document");
  }

  void add_compare() {
    SearchOptions& search = options.search;
    CLI::App* compare = add_command(text_of("compare"), Command::compare);
    add_one_line(compare);
    add_text(compare, "--oils", search.oils, "KEYS", "Baths, parted by commas (default: the case's)");
    add_text(compare, "--bath-temperatures", search.baths, "TEMPS",
             "Temperatures of the bath, parted by commas");
    add_text(compare, "--transfers", search.transfers, "TIMES",
             "Ways from furnace to bath, parted by commas");
    add_text(compare, "--spines", search.spines, "LENGTHS", "Thicknesses of the spine, parted by commas");
    add_text(compare, "--steels", search.steels, "KEYS",
             "Steels side by side, each at its usual set point, soak and the oven for the wish");
    add_json(compare, "The table as one JSON document");
  }

  void add_differ() {
    CLI::App* differ = add_command(text_of("differ"), Command::differ);
    differ->add_option("CASE", options.case_path, "The first case file")->required();
    differ->add_option("OTHER", options.other_case_path,
                       "The second case file (default: the first, with --set)");
    add_settings(differ, "Replaces a value of the second case; any number");
    add_json(differ, "The differences as one JSON document");
  }

  void add_oil() {
    CLI::App* oil = add_command(text_of("oil"), Command::oil);
    OilOptions& test = options.oil;
    add_text(oil, "--max-rate", test.max_rate, "RATE", "Sheet: largest cooling rate, as printed");
    add_text(oil, "--at", test.at, "TEMP", "Sheet: temperature of the largest cooling rate");
    add_text(oil, "--rate-300", test.rate_300, "RATE", "Sheet: cooling rate at 300 degC");
    add_text(oil, "--time-600", test.time_600, "TIME", "Sheet: time to 600 degC");
    add_text(oil, "--time-400", test.time_400, "TIME", "Sheet: time to 400 degC");
    add_text(oil, "--time-200", test.time_200, "TIME", "Sheet: time to 200 degC");
    add_text(oil, "--tests", test.tests, "N", "Sheet: its figures are means of N tests (default: 3)");
    add_text(oil, "--ball", test.ball, "TIME", "Seconds of the nickel ball (magnetic quenchometer)");
    add_text(oil, "--bath", test.bath, "TEMP", "Bath of the test (default: 60 degC)");
    add_text(oil, "--trace", test.trace, "FILE",
             "Measured curve, CSV: time_s, temperature_degC; - reads standard input");
    add_text(oil, "--immersed", test.immersed, "TIME",
             "Time in the file at which the piece went in (default: 0)");
    add_text(oil, "--start", test.start, "TEMP", "Temperature before immersion (default: the first reading)");
    add_text(oil, "--lag", test.lag, "TIME", "Time constant of the thermocouple (default: 0.2 s)");
    add_text(oil, "--coupon", test.coupon, "SIZE",
             "Your own piece: 'plate 6 mm', 'cylinder 12 mm' (default: probe)");
    add_text(oil, "--material", test.material, "KEY", "Its material (default: austenitic_stainless)");
    add_text(oil, "--lumped", test.lumped, "FILE", "Record with a lumped table, to make a local one of it");
    add_text(oil, "--like", test.like, "KEY",
             "Oil that lends density and the effect of agitation (default: medium-oil)");
    add_text(oil, "--flash", test.flash, "TEMP", "Flash point, from the seller");
    add_text(oil, "--name", test.name, "TEXT", "Name of the oil (default: that of the file)");
    add_text(oil, "--out", test.out, "FILE", "The record to write");
    add_quiet(oil, "Print nothing but errors");
  }

  void add_explain() {
    CLI::App* explain = add_command(text_of("explain"), Command::explain);
    ExplainOptions& read = options.explain;
    add_one_line(explain);
    add_text(explain, "--quenched", read.quenched, "READINGS",
             "As quenched, like 'spine 58 HRC, edge 61 HRC' (edge, middle, spine, thickest)");
    add_text(explain, "--tempered", read.tempered, "READINGS", "The same after the last temper");
    add_text(
        explain, "--file", read.file, "FEEL",
        "As quenched: skates, 'just skates', bites; elsewhere than at the edge 'spine bites, edge skates'");
    add_text(explain, "--file-ground", read.file_ground, "FEEL",
             "The same after 0.1 to 0.2 mm of skin were ground off");
    explain->add_flag("--ground", read.ground,
                      "0.1 to 0.2 mm of skin was ground off before the tester read it");
    add_text(explain, "--tester", read.tester, "HRC",
             "The tester is within this nine times in ten (default: 1 HRC)");
    add_text(explain, "--station", read.station, "NAME", "Section that was read (default: the first)");
    explain->add_option("--members", read.members, "Times that each fault is drawn (default: 64)")
        ->type_name("N")
        ->check(CLI::Range(answers::least_fault_members, answers::most_fault_members));
    explain->add_option("--seed", read.seed, "Other draws; the same seed, the same answer (default: 1)")
        ->type_name("N")
        ->check(seed_fault);
    add_json(explain, "The causes and the forecast as one JSON document");
  }

  void add_sweep() {
    CLI::App* sweep = add_command(text_of("sweep"), Command::sweep);
    SweepOptions& asked = options.sweep;
    sweep->add_option("PLAN", asked.plan, "The plan (TOML); solver/sweep/README.md explains it")->required();
    add_settings(sweep, "Replaces a value of the plan's case; any number");
    add_text(sweep, "-o,--output", asked.result, "FILE",
             "HDF5 file to write (default: name of the plan, .h5)");
    add_text(sweep, "--csv", asked.csv, "FILE", "The same as a table of comma-separated values");
    add_text(sweep, "--shard", asked.shard, "K/N", "Only part K of N, as rows for thinquench join");
    sweep->add_flag("--keep-rows", asked.keep_rows, "Leave the file of rows beside the result");
    sweep
        ->add_option("--threads", options.threads,
                     "Threads (default: all cores); the rows do not depend on it")
        ->type_name("N")
        ->check(CLI::Range(1, 1024));
    add_quiet(sweep, "No progress, nothing but errors");
  }

  void add_join() {
    CLI::App* joined = add_command(text_of("join"), Command::join);
    SweepOptions& asked = options.sweep;
    joined->add_option("RESULT", asked.result, "HDF5 file to write")->required();
    joined->add_option("PARTS", asked.parts, "Files of rows, in any order")->required();
    add_text(joined, "--csv", asked.csv, "FILE", "The same as a table of comma-separated values");
    joined->add_flag("--partly", asked.partly, "Also when cases are missing");
    add_quiet(joined, "Print nothing but errors");
  }

  void add_map() {
    CLI::App* map = add_command(text_of("map"), Command::map);
    SweepOptions& asked = options.sweep;
    map->add_option("SWEEP", asked.result, "The result of a sweep (HDF5)")->required();
    map->add_option("--x", asked.x, "Key along the x axis")->type_name("KEY")->required();
    add_text(map, "--y", asked.y, "KEY", "Key along the y axis; without it a curve is drawn");
    map->add_option("--figure", asked.figure, "Figure or verdict_... to draw")->type_name("NAME")->required();
    add_text(map, "--zone", asked.zone, "ZONE", "edge (default), middle, spine, thickest");
    add_text(map, "--station", asked.station, "NAME", "Section (default: the first)");
    map->add_option("--at", asked.at,
                    "Value of a key that is not drawn (default: the middle one); any number")
        ->type_name("KEY=VALUE")
        ->expected(1)
        ->take_all();
    add_text(map, "-o,--output", asked.drawing, "FILE",
             "Drawing to write (default: that of the sweep, .svg)");
    add_quiet(map, "Print nothing but errors");
  }

  void add_new() {
    CLI::App* fresh = add_command(text_of("new"), Command::new_case);
    fresh->add_option("FILE", options.case_path, "The case to write; it must not be there yet")->required();
  }

  void add_note() {
    CLI::App* note = add_command(text_of("note"), Command::note);
    NoteOptions& read = options.note;
    note->add_option("CASE", options.case_path, "The case that the blade was made by");
    add_settings(note, "What was set otherwise than in the case, like furnace.timer='22 min'");
    add_text(note, "--blade", read.blade, "NAME", "Name of the blade");
    add_text(note, "--date", read.date, "DAY", "Like 2026-03-14 (default: today)");
    add_text(note, "--station", read.station, "NAME", "Section that was read (default: the first)");
    add_text(note, "--seconds", read.seconds, "TIME", "From furnace to oil, by a watch or a film");
    add_text(note, "--oil-before", read.oil_before, "TEMP", "Oil before the blade");
    add_text(note, "--oil-after", read.oil_after, "TEMP", "Oil after it, stirred");
    add_text(note, "--file", read.file, "FEEL", "At the edge as quenched: skates, 'just skates', bites");
    note->add_flag("--ground", read.ground, "0.1 to 0.2 mm of skin was ground off before it was read");
    add_text(note, "--quenched", read.quenched, "READINGS",
             "As quenched, like 'spine 64 HRC, edge 65 HRC' (or middle, thickest)");
    note->add_option("--tempered", read.tempered, "The same after a temper; once for each temper")
        ->type_name("READINGS")
        ->expected(1)
        ->take_all();
    add_text(note, "--packet-log", read.packet_log, "FILE",
             "CSV of a thermocouple in the packet, on the blade");
    add_text(note, "--quench-log", read.quench_log, "FILE",
             "CSV of a thermocouple on the blade through the oil");
    add_text(note, "--coupon-log", read.coupon_log, "FILE",
             "CSV of a thermocouple in a coupon of the bar as it was quenched");
    add_text(note, "--coupon-thickness", read.coupon_thickness, "LENGTH",
             "Of that coupon, when it went into the oil bare");
    add_text(note, "--coupon-quenched", read.coupon_quenched, "HRC",
             "What that coupon reads as quenched, however it was cooled");
    add_text(note, "--oven-log", read.oven_log, "FILE", "CSV of a thermometer in the tempering oven");
    add_text(note, "--bow", read.bow, "LENGTH", "Bow after the quench, at the middle");
    add_text(note, "--remark", read.remark, "TEXT", "Anything else");
    add_coupon(note);
    add_quiet(note, "Print nothing but errors");
  }

  void add_coupon(CLI::App* note) {
    NoteOptions& read = options.note;
    add_text(note, "--coupon", read.coupon, "STEEL", "A tempered coupon instead of a blade: its steel");
    add_text(note, "--temper", read.temper, "TEMP", "Coupon: tempered at");
    add_text(note, "--hold", read.hold, "TIME", "Coupon: for (default: 1 h)");
    note->add_option("--cycles", read.cycles, "Coupon: so many times (default: 1)")->type_name("N");
    add_text(note, "--read", read.read, "HRC", "Coupon: what was read of it, the mean of its dents");
    note->add_option("--dents", read.dents, "Coupon: so many dents (default: 1)")->type_name("N");
    add_text(note, "--block", read.block, "HRC", "Coupon: what is written on a test block");
    add_text(note, "--block-read", read.block_read, "HRC", "Coupon: what the tester read of the block");
    add_text(note, "--block-within", read.block_within, "HRC",
             "Coupon: how exact the block is, by its certificate");
    add_text(note, "--harden", read.harden, "TEMP", "Coupon: hardened from (default: the usual temperature)");
    add_text(note, "--soak", read.soak, "TIME", "Coupon: soaked for (default: the usual time)");
  }

  void add_shop() {
    CLI::App* shop = add_command(text_of("shop"), Command::shop);
    shop->add_option("CASE", options.case_path, "A case: what the journal makes of its answers");
    add_settings(shop, set_text);
    add_text(shop, "--next", options.shop.next, "FIGURE",
             "Which reading would narrow this figure most, like timer_from_door");
    add_json(shop, "The same as one JSON document");
  }
};

} // namespace

std::variant<Options, std::string> parse_command_line(int given_argc, const char* const* given_argv) {
  const std::vector<const char*> words = with_help_turned(given_argc, given_argv);
  const int argc = static_cast<int>(words.size());
  const char* const* argv = words.data();
  CommandLine line;
  CLI::App& app = line.app;
  const Options& options = line.options;
  if (given_argc == 3 && std::string_view(given_argv[1]) == "help")
    if (const std::optional<std::string> text = made_help(app, given_argv[2]))
      return *text;
  if (given_argc >= 3 && std::string_view(given_argv[1]) == "help" && !helped_with(given_argv[2]))
    throw UsageError(no_such_command(given_argv[2]));
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp&) {
    return app.help();
  } catch (const CLI::CallForVersion&) {
    return output::program_banner() + "\n";
  } catch (const CLI::ParseError& error) {
    if (app.get_subcommands().empty() && !first_word(argc, argv).empty())
      throw UsageError(no_such_command(first_word(argc, argv)));
    if (app.get_subcommands().size() > 1 && app.get_subcommands().front()->get_name() == "find")
      throw UsageError("find: '" + app.get_subcommands()[1]->get_name() +
                       "' is no question, but a command of its own; see thinquench find --list");
    const CLI::App* at = app.get_subcommands().empty() ? &app : app.get_subcommands().front();
    throw UsageError(std::string(error.what()) + near_option(app, *at, argc, argv) + " (see thinquench " +
                     (at == &app ? "" : at->get_name() + " ") + "--help)");
  }
  if (app.get_subcommands().empty())
    throw UsageError(no_such_command(first_word(argc, argv)));
  if (options.output.empty() || options.output == "-")
    throw UsageError("--output: '" + options.output.string() +
                     "' is no folder; for the answers on standard output there is --json");
  refuse_empty(app);
  refuse_empty(*app.get_subcommands().front());
  if (app.get_subcommands().size() > 1)
    throw UsageError("one command at a time (see thinquench --help)");
  return options;
}

} // namespace tq::program
