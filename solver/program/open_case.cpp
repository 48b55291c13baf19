#include "program/open_case.hpp"

#include "program/material_library.hpp"
#include "program/shop_file.hpp"
#include "program/shop_learning.hpp"
#include "records/document.hpp"
#include "treatment/case_reader.hpp"
#include "treatment/key_facts.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <cctype>

namespace tq::program {
namespace {

namespace fs = std::filesystem;

bool says_anything(const OneLine& o) {
  for (const std::string* text : {&o.steel, &o.spine, &o.edge, &o.width, &o.length, &o.grind, &o.bevel_height,
                                  &o.setpoint, &o.timer, &o.soak, &o.gap, &o.transfer, &o.oil, &o.bath,
                                  &o.volume, &o.oven, &o.temper_time, &o.tempers, &o.hardness})
    if (!text->empty())
      return true;
  return o.bare || o.foil_in_oil || o.soft_spine;
}

/// The text of a value, refused under the name of its option when it is none of that kind.
std::string checked(const char* option, const std::string& text, const char* dimension) {
  try {
    units::parse_quantity(text, dimension);
  } catch (const units::QuantityError& error) {
    throw UsageError(std::string(option) + ": " + error.what());
  }
  return records::toml_string(text);
}

} // namespace

std::string hardness_range(const char* option, const std::string& text) {
  std::string number = text;
  for (const std::string_view said : {"HRC", " "}) // "60 HRC to 62 HRC"
    for (std::size_t at; (at = number.find(said)) != std::string::npos;)
      number.erase(at, said.size());
  for (const std::string_view joint : {"to", "..", "\u2013"})
    if (const auto at = number.find(joint); at != std::string::npos)
      number.replace(at, joint.size(), "-");
  const auto dash = number.find('-', 1);
  const std::string from = number.substr(0, dash) + " HRC",
                    to = dash == std::string::npos ? from : number.substr(dash + 1) + " HRC";
  return "[" + checked(option, from, "hardness_HRC") + ", " + checked(option, to, "hardness_HRC") + "]";
}

namespace {
/// Refuses a path of --set that no key has, when its last part is a key somewhere else.
void check_path(const std::string& path) {
  if (treatment::key_facts(path) || path.starts_with("step[")) // the kind of a step is known to its reader
    return;
  const std::string name = path.substr(path.find_last_of('.') + 1);
  std::string others;
  for (const char* table :
       {"blade", "blade.station", "furnace", "wrap", "transfer", "bath", "cool", "temper", "wish"})
    if (const std::string other = std::string(table) + "." + name;
        path.find("_override") == std::string::npos && treatment::key_facts(other))
      others += (others.empty() ? "" : " or ") +
                (std::string_view(table) == "blade.station" ? "blade.station[1]." + name : other);
  if (!others.empty())
    throw UsageError("--set: '" + path + "' is no key of a case; did you mean " + others + "?");
}

/// Where a case comes from and what is laid on it.
struct Origin {
  std::string name, stem;
  fs::path beside;
  bool set = true;
  Learning learning = Learning::yes;
};

OpenedCase read(const std::string& text, const Origin& from, const Options& options) {
  const MaterialLibrary library(find_materials(options.materials), from.beside);
  const auto shop_file = find_shop(options, from.beside);
  std::optional<shop::Journal> journal;
  std::vector<records::Setting> settings;
  if (shop_file) {
    journal = open_shop(*shop_file);
    settings = shop::left_open(*journal, text, from.name);
  }
  const std::size_t of_shop = settings.size();
  if (from.set)
    for (records::Setting& setting : settings_of(options))
      settings.push_back(std::move(setting));
  OpenedCase opened;
  opened.contents = treatment::read_case(text, from.name, library, settings);
  opened.name = from.name;
  opened.stem = from.stem;
  opened.records = library.handed_out();
  if (shop_file) {
    opened.records.push_back({shop_file->string(), read_case_text(shop_file->string())});
    for (std::size_t i = 0; i < of_shop; ++i)
      opened.contents.defaults.push_back("from the shop's journal: " + settings[i].path + " = " +
                                         settings[i].value);
    opened.shop_file = shop_file;
    if (from.learning == Learning::yes) {
      treatment::Case known = in_shop(options, *shop_file, *journal, opened.contents);
      if (known.uncertainty.learnt)
        opened.unlearnt = std::move(opened.contents);
      opened.contents = std::move(known);
    }
  }
  return opened;
}

} // namespace

std::vector<records::Setting> settings_of(const Options& options) {
  std::vector<records::Setting> out;
  for (const std::string& each : options.settings) {
    const auto equals = each.find('=');
    if (equals == std::string::npos || equals == 0)
      throw UsageError("--set: '" + each + "' is no key=value; write --set furnace.setpoint='800 degC'");
    const auto trimmed = [](std::string text) {
      text.erase(0, std::min(text.find_first_not_of(' '), text.size()));
      text.erase(text.find_last_not_of(' ') + 1);
      return text;
    };
    out.push_back({trimmed(each.substr(0, equals)), trimmed(each.substr(equals + 1))});
    check_path(out.back().path);
  }
  return out;
}

OpenedCase open_case(const Options& options, const std::string& path, bool set, Learning learning) {
  const bool piped = path == "-";
  return read(read_case_text(path),
              {piped ? "standard input" : path, piped ? "case" : fs::path(path).stem().string(),
               piped ? fs::path() : fs::path(path).parent_path(), set, learning},
              options);
}

std::string one_line_case(const OneLine& o, const std::string& command, std::vector<std::string>& assumed) {
  for (const auto& [option, text] : {std::pair<const char*, const std::string&>{"--steel", o.steel},
                                     {"--spine", o.spine},
                                     {"--edge", o.edge}})
    if (text.empty())
      throw UsageError(command + ": " + option +
                       " is missing; without a case file --steel, --spine and --edge are needed");
  if (o.bare && (!o.gap.empty() || o.foil_in_oil))
    throw UsageError(command + ": --bare means no foil, so " + (o.gap.empty() ? "--foil-in-oil" : "--gap") +
                     " has no place beside it");
  std::string blade, station, furnace, wrap, transfer, bath, temper, wish;
  const auto put = [](std::string& table, const char* key, const char* option, const std::string& value,
                      const char* dimension) {
    if (!value.empty())
      table += std::string(key) + " = " + checked(option, value, dimension) + "\n";
  };
  const auto put_or = [&](std::string& table, const char* key, const char* option, const std::string& value,
                          const char* dimension, const char* otherwise, const char* what) {
    if (value.empty())
      assumed.push_back(std::string(otherwise) + what);
    put(table, key, option, value.empty() ? std::string(otherwise) : value, dimension);
  };
  blade = "steel = " + records::toml_string(o.steel) + "\n";
  put_or(blade, "length", "--length", o.length, "length", "110 mm", " long");
  put_or(station, "width", "--width", o.width, "length", "30 mm", " wide, spine to edge");
  put(station, "spine", "--spine", o.spine, "length");
  put(station, "edge", "--edge", o.edge, "length");
  if (!o.grind.empty())
    station += "grind = " + records::toml_string(o.grind) + "\n";
  put(station, "bevel_height", "--bevel-height", o.bevel_height, "length");
  put(furnace, "setpoint", "--setpoint", o.setpoint, "temperature");
  put(furnace, "timer", "--timer", o.timer, "time");
  put(wish, "soak", "--soak", o.soak, "time");
  if (!o.bare) {
    wrap = "[wrap]\n";
    put(wrap, "gap", "--gap", o.gap, "length");
    if (o.foil_in_oil)
      wrap += "in_oil = true\n";
    assumed.push_back("in one layer of stainless foil (--bare: without)");
  }
  put(transfer, "time", "--transfer", o.transfer, "time");
  if (!o.oil.empty())
    bath += "coolant = " + records::toml_string(o.oil) + "\n";
  put(bath, "temperature", "--bath", o.bath, "temperature");
  put(bath, "volume", "--volume", o.volume, "volume");
  put_or(temper, "oven", "--oven", o.oven, "temperature", "205 degC", " in the tempering oven");
  put(temper, "time", "--temper-time", o.temper_time, "time");
  if (!o.tempers.empty()) {
    if (!std::all_of(o.tempers.begin(), o.tempers.end(), [](unsigned char k) { return std::isdigit(k); }))
      throw UsageError("--tempers: '" + o.tempers + "' is no whole number");
    temper += "count = " + o.tempers + "\n";
  }
  if (!o.hardness.empty())
    wish += "hardness = " + hardness_range("--hardness", o.hardness) + "\n";
  if (o.soft_spine)
    wish += "soft_spine = true\n";
  return "format = 1\n[blade]\n" + blade + "[[blade.station]]\nname = \"section\"\n" + station +
         "[furnace]\n" + furnace + wrap + "[transfer]\n" + transfer + "[bath]\n" + bath + "[temper]\n" +
         temper + "[wish]\n" + wish;
}

OpenedCase open_case_or_line(const Options& options, const std::string& command, Learning learning) {
  const bool line = says_anything(options.one_line);
  if (!options.case_path.empty()) {
    if (line)
      throw UsageError(command + ": a case file or the options of a blade, not both; a key of the case is "
                                 "changed by --set, like --set "
                                 "blade.steel=1084");
    return open_case(options, options.case_path, true, learning);
  }
  if (!line)
    throw UsageError(
        command +
        ": CASE is missing: a case file or --steel, --spine and --edge are expected (see thinquench " +
        command + " --help)");
  std::vector<std::string> assumed;
  const std::string text = one_line_case(options.one_line, command, assumed);
  OpenedCase opened = read(text, {"the options", "case", {}, true, learning}, options);
  assumed.insert(assumed.end(), opened.contents.defaults.begin(), opened.contents.defaults.end());
  opened.contents.defaults = std::move(assumed);
  return opened;
}

} // namespace tq::program
