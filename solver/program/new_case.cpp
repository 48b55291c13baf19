// The guided start: what matters of a blade is asked in the order of the work, and the case is written.
#include "output/files/files.hpp"
#include "output/text.hpp"
#include "program/commands.hpp"
#include "program/interview.hpp"
#include "program/material_library.hpp"
#include "program/open_case.hpp"
#include "program/terminal.hpp"
#include "records/document.hpp"
#include "treatment/case_reader.hpp"
#include "units/quantity.hpp"

#include <iostream>

namespace tq::program {
namespace {

namespace fs = std::filesystem;
using records::InputError;

Check quantity(const char* dimension, double least, double most) {
  return [=](std::string& answer) -> std::string {
    try {
      const double value = units::parse_quantity(answer, dimension);
      if (value >= least && value <= most)
        return {};
    } catch (const units::QuantityError& error) {
      return error.what();
    }
    return "'" + answer + "' is out of range; allowed: " + units::format_quantity(least, dimension) + " to " +
           units::format_quantity(most, dimension);
  };
}

/// One of `known` by any case of its letters, or the path of a record where `own` is allowed.
Check one_of(std::vector<std::string> known, bool own) {
  return [known = std::move(known), own](std::string& answer) -> std::string {
    for (const std::string& word : known)
      if (output::lower_case(word) == output::lower_case(answer)) {
        answer = word;
        return {};
      }
    if (own && treatment::is_record_path(answer))
      return {};
    std::string all;
    for (const std::string& word : known)
      all += (all.empty() ? "" : ", ") + word;
    const std::string near = records::nearest(answer, known);
    return "'" + answer + "' is not known; " + (near.empty() ? "" : "did you mean '" + near + "'? ") +
           "allowed: " + all + (own ? ", or the path of your own record (.toml)" : "");
  };
}

Check hardness() {
  return [](std::string& answer) -> std::string {
    if (answer == "none")
      return {};
    try {
      hardness_range("the hardness", answer);
      return {};
    } catch (const std::exception& error) {
      return error.what();
    }
  };
}

std::string quoted(const std::string& text) { return records::toml_string(text); }

/// What was answered, as a case writes it.
struct Told {
  std::string steel, spine, edge, width, length, foil, setpoint, soak, oil, bath, transfer, oven;
  std::string wish = "none";
};

Told ask_all(const MaterialLibrary& library) {
  Told told;
  Interview person("new");
  constexpr double mm = 1e-3, minute = 60, hour = 3600;
  told.steel =
      person.ask("Which steel?", "A key of `thinquench stock steels`, or the path of your own record.", "",
                 one_of(library.keys(treatment::RecordKind::steel), true));
  told.spine =
      person.ask("How thick is the spine?", "At the thickest, before hardening: \"3.2 mm\", \"1/8 in\".", "",
                 quantity("length", 0.3 * mm, 30 * mm));
  told.edge = person.ask("How thick is the edge?",
                         "As it goes into the fire, not yet sharp: a thin edge cools first and warps first.",
                         "", quantity("length", 0.05 * mm, 30 * mm));
  told.width = person.ask("How wide is the blade?", "Spine to edge at the widest.", "30 mm",
                          quantity("length", 2 * mm, 200 * mm));
  told.length =
      person.ask("How long is it?", "Its mass warms the oil.", "110 mm", quantity("length", 10 * mm, 2.0));
  told.foil =
      person.ask("Foil?", "stainless keeps the carbon in and slows the heating; none leaves the blade bare.",
                 "stainless", one_of({"stainless", "none"}, false));
  told.setpoint =
      person.ask("Set point of the furnace?", "On the display. 'usual' is the middle of the steel's range.",
                 "usual", [](std::string& answer) {
                   return answer == "usual" ? "" : quantity("temperature", 600, 1250)(answer);
                 });
  told.soak = person.ask("How long at temperature?",
                         "Counted from when the blade is there; the timer is found from it.", "10 min",
                         quantity("time", 0, 10 * hour));
  told.oil =
      person.ask("Which bath?", "A key of `thinquench stock coolants`, or the path of your own record.",
                 "medium-oil", one_of(library.keys(treatment::RecordKind::coolant), true));
  told.bath = person.ask(
      "How warm is it?", "Stay at least 28 K (50 degF) below the flash point (29 CFR 1910.126).",
      told.oil == "water" || told.oil == "brine" ? "25 degC" : "55 degC", quantity("temperature", -20, 250));
  told.transfer = person.ask("From furnace to bath?", "The time the blade spends in air.", "2 s",
                             quantity("time", 0.1, 10 * minute));
  told.oven =
      person.ask("Tempering oven?", "'none' leaves the temper out.", "205 degC", [](std::string& answer) {
        return answer == "none" ? "" : quantity("temperature", 80, 720)(answer);
      });
  if (told.oven != "none")
    told.wish = person.ask("Wanted hardness?", "Like \"60 HRC\" or \"60-62 HRC\"; 'none' asks for none.",
                           "none", hardness());
  return told;
}

std::string case_text(const Told& told) {
  std::string text =
      "# Made by `thinquench new`. `thinquench blank` shows every other key, each explained.\nformat = 1\n"
      "\n[blade]\nsteel = " +
      quoted(told.steel) + "\nlength = " + quoted(told.length) +
      "\n\n[[blade.station]]\nname = \"middle of the blade\"\nwidth = " + quoted(told.width) +
      "\nspine = " + quoted(told.spine) + "\nedge = " + quoted(told.edge) + "\n\n[furnace]\n" +
      (told.setpoint == "usual" ? "" : "setpoint = " + quoted(told.setpoint) + "\n");
  if (told.foil != "none")
    text += "\n[wrap]\nfoil = " + quoted(told.foil) + "\n";
  text += "\n[transfer]\ntime = " + quoted(told.transfer) + "\n\n[bath]\ncoolant = " + quoted(told.oil) +
          "\ntemperature = " + quoted(told.bath) + "\n";
  if (told.oven != "none")
    text += "\n[temper]\noven = " + quoted(told.oven) + "\n";
  text += "\n[wish]\nsoak = " + quoted(told.soak) + "\n" +
          (told.wish == "none" ? "" : "hardness = " + hardness_range("the hardness", told.wish) + "\n");
  return text;
}

} // namespace

void new_case(const Options& options, const Engine& engine, const std::string& command_line) {
  const fs::path file = options.case_path;
  if (file.extension() != ".toml")
    throw UsageError("new: '" + file.string() + "' does not end in .toml, as a case's name does");
  std::error_code none;
  if (fs::exists(fs::symlink_status(file, none)))
    throw UsageError("new: " + file.string() + " is already there; it is not overwritten");
  require_writable("new", file.parent_path());
  const MaterialLibrary library(find_materials(options.materials), file.parent_path());

  std::cout << "A new case: " << file.string() << ". An empty line takes the answer in brackets.\n";
  const std::string text = case_text(ask_all(library));

  const treatment::Case c = treatment::read_case(text, file.string(), library); // what is written can be read
  output::PendingFile pending(file);
  pending.write(text);
  pending.commit();
  std::cout << "\nWritten: " << file.string()
            << "\n\nNot asked, so assumed (edit the file to say otherwise)\n";
  for (const std::string& line : c.defaults)
    std::cout << "  - " << line << "\n";

  std::cout << "\nCompute it now? yes or no\n> [no] " << std::flush;
  std::string answer;
  next_answer("new", answer);
  std::cout << "\n";
  if (answer == "y" || answer == "yes")
    harden(options, engine, command_line);
  else
    std::cout << "Later: thinquench harden " << file.string() << "\n";
}

} // namespace tq::program
