// Questions without a blade: about one steel on the screen, or rows of a table with their answers.
// solver/program/README.md explains the columns.
#include "answers/local_codes.hpp"
#include "output/json.hpp"
#include "output/text.hpp"
#include "program/commands.hpp"
#include "program/corrected_rows.hpp"
#include "program/material_library.hpp"
#include "program/shop_file.hpp"
#include "program/shop_learning.hpp"
#include "program/values.hpp"
#include "records/csv.hpp"
#include "shop/coupon.hpp"
#include "shop/learning.hpp"
#include "steel/hardness.hpp"
#include "steel/temper.hpp"
#include "treatment/steel_questions.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <iostream>
#include <nlohmann/json.hpp>

namespace tq::program {
namespace {

using output::formatted;
using output::number;
using output::padded;
using output::page_width;
using treatment::DiagramAnswer;
using treatment::HardeningAnswer;
using treatment::HardeningQuestion;
using treatment::Subject;
using treatment::SubjectReader;
using treatment::TemperAnswer;
using treatment::TemperQuestion;
using Json = nlohmann::ordered_json;

// What may be asked; wide enough for any steel, narrow enough to catch a wrong unit.
constexpr records::Range asked_hardening_degC{500, 1300}, tempering_degC{-273, 1300}, cold_degC{-273, 400};
constexpr records::Range duration_s{0, 4e7, true};
constexpr int most_cycles = 20;

records::StartState start_state(const std::string& where, const std::string& text) {
  if (text.empty() || text == "spheroidised" || text == "annealed")
    return records::StartState::spheroidised;
  if (text == "fine pearlite" || text == "fine-pearlite" || text == "normalised")
    return records::StartState::fine_pearlite;
  throw records::InputError(where + ": '" + text +
                            "'; allowed: spheroidised, annealed, fine pearlite, normalised");
}

struct Answer {
  Subject subject;
  HardeningQuestion hardening_question;
  HardeningAnswer hardening;
  std::vector<TemperAnswer> tempers;
  DiagramAnswer diagram;
};

// --- on the screen -----------------------------------------------------------------------------------------

/// "9.8 s", "2.4 min", "3.1 h"; "-" where nothing happens within a week.
std::string reaction_time(double s) {
  constexpr double week_s = 7 * 24 * 3600.0;
  if (!(s < week_s))
    return "-";
  if (s < 100)
    return formatted(s < 10 ? "%.2f s" : "%.0f s", s);
  return s < 6000 ? formatted("%.1f min", s / 60) : formatted("%.1f h", s / 3600);
}

void print_line(const std::string& what, const std::string& answer) {
  constexpr std::size_t column = 25;
  std::string label = "  " + what;
  for (const std::string& line : output::folded(answer, page_width - column)) {
    std::cout << padded(label, column) << line << "\n";
    label.clear();
  }
}

void print_hardening(const Answer& answer) {
  const HardeningAnswer& h = answer.hardening;
  const records::SteelRecord& s = answer.subject.record;
  const bool annealed = answer.hardening_question.start == records::StartState::spheroidised;
  std::cout << "\nHardened from " << output::temperature_text(h.temperature_degC) << ", "
            << output::minutes_text(h.soak_s) << ", " << (annealed ? "annealed bar" : "fine pearlite")
            << ", cooled fast to " << output::temperature_text(h.cooled_to_degC) << "\n";
  print_line("Ac1", output::temperature_text(h.ac1_degC) +
                        formatted(", ends at %.0f degC; Ae1 %.0f, all carbon in solution above %.0f degC",
                                  h.ac1_end_degC, h.ae1_degC, h.acm_degC));
  print_line("austenite formed", output::percent_text(h.austenite_formed));
  print_line("carbon in solution", formatted("%.2f of %.2f wt%%", h.carbon_wt, s.composition.C) +
                                       ", undissolved cementite " + output::percent_text(h.cementite));
  print_line("Ms", output::temperature_text(h.ms_degC) + formatted(" +/- %.0f K", h.ms_band_K) +
                       formatted(" (Payson & Savage %.0f, Andrews %.0f degC)", h.ms_payson_savage_degC,
                                 h.ms_andrews_degC));
  print_line("retained austenite", output::percent_text(h.retained_austenite) + " (" +
                                       output::percent_text(h.retained_austenite_km) +
                                       " with the martensite rate of Koistinen & Marburger 1959)");
  print_line("as quenched", output::hrc_text(h.hardness_HRC) +
                                formatted(" HRC +/- %.1f (%.0f HV), when no pearlite or bainite forms",
                                          h.hardness_band_HRC, h.hardness_HV) +
                                (std::isnan(h.maynier_HV)
                                     ? ""
                                     : formatted(" (martensite by Maynier 1978: %.0f HV)", h.maynier_HV)));
}

void print_tempers(const Answer& answer) {
  std::cout << "\nTempered (" << answer.tempers.front().from << "; hardened through)\n  "
            << padded("temperature", 22) << padded("time", 14) << padded("HRC", 18) << padded("HV", 6)
            << "austenite left\n";
  for (const TemperAnswer& t : answer.tempers) {
    const std::string times = (t.question.cycles > 1 ? std::to_string(t.question.cycles) + " x " : "") +
                              output::hours_text(t.question.hold_s);
    const bool answered = std::isfinite(t.hardness_HRC);
    std::string line =
        "  " + padded(output::temperature_text(t.question.temperature_degC), 22) + padded(times, 14);
    if (answered)
      line += padded(output::hrc_text(t.hardness_HRC) + formatted(" +/- %.1f", t.band_HRC), 18) +
              padded(formatted("%.0f", t.hardness_HV), 6) + output::percent_text(t.retained_austenite);
    else
      line += "no answer";
    std::cout << line << (t.outside.empty() ? "" : "  *") << (t.brittle ? "  brittle range" : "") << "\n";
    if (std::isfinite(t.after_flash_HRC))
      std::cout << "    ground hot, " << formatted("%g s at ", t.question.flash_s)
                << output::temperature_text(*t.question.flash_degC) << ": "
                << output::hrc_text(t.after_flash_HRC) << " HRC\n";
  }
}

void print_diagram(const Answer& answer) {
  const DiagramAnswer& d = answer.diagram;
  std::cout << formatted("\nTransformation diagram, %.2f wt%% carbon in solution\n", d.carbon_wt);
  print_line("pearlite nose, 1 %",
             reaction_time(d.pearlite_nose.time_s) +
                 formatted(" at %.0f degC, a factor %g either way", d.pearlite_nose.T, d.times_band) +
                 " (Kirkaldy & Venugopalan " + reaction_time(d.kirkaldy_nose_s) + ")");
  print_line("bainite nose, 1 %",
             reaction_time(d.bainite_nose.time_s) +
                 formatted(" at %.0f degC, a factor %g either way", d.bainite_nose.T, d.bainite_band));
  print_line("critical cooling rate",
             formatted("%.3g K/s for 1 %% pearlite, %.3g K/s for 1 %% bainite, %.3g K/s for both together; "
                       "constant rate, so also through 700-500 degC; bands as above",
                       d.critical.pearlite, d.critical.bainite, d.critical.both));
  if (d.rows.empty())
    return;
  constexpr std::size_t w = 11;
  const auto cell = [](const std::string& text) { return padded(text, w, true); };
  std::cout << "\n  " << cell("") << cell("pearlite") << cell("") << cell("") << cell("bainite") << "\n  "
            << cell("degC");
  for (int i = 0; i < 2; ++i)
    std::cout << cell("1 %") << cell("50 %") << cell("99 %");
  std::cout << "\n";
  for (const steel::DiagramRow& row : d.rows) {
    std::cout << "  " << cell(formatted("%.0f", row.T));
    for (const steel::ReactionTimes& r : {row.pearlite, row.bainite})
      std::cout << cell(reaction_time(r.start_s)) << cell(reaction_time(r.half_s))
                << cell(reaction_time(r.finish_s));
    std::cout << "\n";
  }
}

void print_cooling(const Answer& answer) {
  constexpr std::size_t w = 11;
  const auto cell = [](const std::string& text) { return padded(text, w, true); };
  std::cout << formatted("\nCooled at a constant rate to %.0f degC (austenite only, bands as above)\n  ",
                         answer.hardening.cooled_to_degC);
  for (const char* heading : {"K/s", "pearlite", "bainite", "martensite", "austenite"})
    std::cout << cell(heading);
  std::cout << "\n";
  for (const steel::CoolingResult& r : answer.diagram.cooling) {
    std::cout << "  " << cell(formatted("%.3g", r.rate_K_s));
    for (const double share : {r.pearlite, r.bainite, r.martensite, r.austenite})
      std::cout << cell(output::percent_text(share));
    std::cout << "\n";
  }
}

/// What the reader must know, each once.
std::vector<std::string> notes_of(const Answer& answer) {
  std::vector<std::string> notes;
  const auto add = [&](const std::string& note) {
    if (std::find(notes.begin(), notes.end(), note) == notes.end())
      notes.push_back(note);
  };
  for (const std::string& text : answer.hardening.outside)
    add(text);
  for (const TemperAnswer& t : answer.tempers)
    for (const std::string& text : t.outside)
      add("* temper: " + text);
  if (answer.subject.by_composition)
    add("known by its composition alone: rules stand in for a record, the bands are wide");
  return notes;
}

void print_answer(const Answer& answer) {
  for (const std::string& line : output::folded(answer.subject.name, page_width))
    std::cout << line << "\n";
  std::cout << "! " << answers::local_codes << "\n";
  print_hardening(answer);
  print_tempers(answer);
  print_diagram(answer);
  print_cooling(answer);
  const std::vector<std::string> notes = notes_of(answer);
  if (notes.empty())
    return;
  std::cout << "\nNote\n";
  for (const std::string& note : notes)
    for (const std::string& line : output::folded(note, page_width - 2))
      std::cout << "  " << line << "\n";
}

// --- as JSON -----------------------------------------------------------------------------------------------

Json times_json(const steel::ReactionTimes& r) {
  return {{"start_s", number(r.start_s)}, {"half_s", number(r.half_s)}, {"finish_s", number(r.finish_s)}};
}

Json as_json(const Answer& answer) {
  const HardeningAnswer& h = answer.hardening;
  const DiagramAnswer& d = answer.diagram;
  Json tempers = Json::array(), rows = Json::array(), cooling = Json::array();
  for (const TemperAnswer& t : answer.tempers)
    tempers.push_back({{"temperature_degC", t.question.temperature_degC},
                       {"hold_s", t.question.hold_s},
                       {"cycles", t.question.cycles},
                       {"HRC", number(t.hardness_HRC)},
                       {"HRC_band", t.band_HRC},
                       {"HV", number(t.hardness_HV)},
                       {"after_flash_HRC", number(t.after_flash_HRC)},
                       {"retained_austenite", number(t.retained_austenite)},
                       {"brittle_range", t.brittle},
                       {"from", t.from},
                       {"outside", t.outside}});
  for (const steel::DiagramRow& row : d.rows)
    rows.push_back({{"temperature_degC", row.T},
                    {"pearlite", times_json(row.pearlite)},
                    {"bainite", times_json(row.bainite)}});
  for (const steel::CoolingResult& r : d.cooling)
    cooling.push_back({{"rate_K_s", r.rate_K_s},
                       {"pearlite_start_degC", number(r.pearlite_start_degC)},
                       {"bainite_start_degC", number(r.bainite_start_degC)},
                       {"pearlite", r.pearlite},
                       {"bainite", r.bainite},
                       {"martensite", r.martensite},
                       {"austenite", r.austenite}});
  return {{"schema", "thinquench-ask"},
          {"schema_version", 1},
          {"caution", answers::local_codes},
          {"steel", answer.subject.name},
          {"by_composition", answer.subject.by_composition},
          {"hardening",
           {{"temperature_degC", h.temperature_degC},
            {"soak_s", h.soak_s},
            {"cooled_to_degC", h.cooled_to_degC},
            {"Ac1_degC", h.ac1_degC},
            {"Ac1_end_degC", h.ac1_end_degC},
            {"Ae1_degC", h.ae1_degC},
            {"Acm_degC", h.acm_degC},
            {"austenite_formed", h.austenite_formed},
            {"carbon_in_solution_wt", h.carbon_wt},
            {"undissolved_cementite", h.cementite},
            {"Ms_degC", h.ms_degC},
            {"Ms_band_K", h.ms_band_K},
            {"Ms_Payson_Savage_degC", h.ms_payson_savage_degC},
            {"Ms_Andrews_degC", h.ms_andrews_degC},
            {"martensite", h.martensite},
            {"retained_austenite", h.retained_austenite},
            {"retained_austenite_van_Bohemen", h.retained_austenite_low},
            {"retained_austenite_Koistinen_Marburger", h.retained_austenite_km},
            {"HRC", h.hardness_HRC},
            {"HRC_band", h.hardness_band_HRC},
            {"HV", h.hardness_HV},
            {"Maynier_martensite_HV", number(h.maynier_HV)}}},
          {"temper", tempers},
          {"diagram",
           {{"carbon_in_solution_wt", d.carbon_wt},
            {"pearlite_band_factor", d.times_band},
            {"bainite_band_factor", d.bainite_band},
            {"pearlite_nose",
             {{"temperature_degC", d.pearlite_nose.T}, {"start_s", number(d.pearlite_nose.time_s)}}},
            {"bainite_nose",
             {{"temperature_degC", d.bainite_nose.T}, {"start_s", number(d.bainite_nose.time_s)}}},
            {"critical_rate_K_s",
             {{"pearlite", d.critical.pearlite}, {"bainite", d.critical.bainite}, {"both", d.critical.both}}},
            {"Kirkaldy_Venugopalan_nose_s", number(d.kirkaldy_nose_s)},
            {"isothermal", rows},
            {"cooling", cooling}}},
          {"notes", notes_of(answer)}};
}

// --- the diagram as CSV ------------------------------------------------------------------------------------

/// Times [s] of each reaction as if alone; an empty cell where nothing happens within 1e9 s.
void print_diagram_csv(const DiagramAnswer& diagram) {
  std::cout << "temperature_degC,pearlite_start_s,pearlite_half_s,pearlite_finish_s,"
               "bainite_start_s,bainite_half_s,bainite_finish_s\n";
  for (const steel::DiagramRow& row : diagram.rows) {
    std::cout << formatted("%g", row.T);
    for (const steel::ReactionTimes& r : {row.pearlite, row.bainite})
      for (const double s : {r.start_s, r.half_s, r.finish_s})
        std::cout << "," << (s < 1e9 ? formatted("%.4g", s) : "");
    std::cout << "\n";
  }
}

// --- rows in, rows out -------------------------------------------------------------------------------------

/// The columns of a table that a question is made of. A column of a quantity has its unit behind its name
/// ("time_h"), or none and then the cells have it ("2 h").
class Columns {
 public:
  explicit Columns(const records::CsvTable& table) : table_(table) {}

  /// The cell under this heading, whatever its case; nothing when there is none, or it is empty or says that
  /// nothing is known ("?", "-", "NA", "NaN", "n/a").
  std::optional<std::string> text(std::size_t row, const std::string& name) const {
    const auto column = find(name);
    if (!column)
      return {};
    std::string cell = table_.rows[row][*column];
    const auto first = cell.find_first_not_of(" \t");
    if (first == std::string::npos)
      return {};
    cell = cell.substr(first, cell.find_last_not_of(" \t") - first + 1);
    const std::string word = output::lower_case(cell);
    if (word == "?" || word == "-" || word == "na" || word == "nan" || word == "n/a")
      return {};
    return cell;
  }

  bool has(const std::string& name) const { return find(name).has_value(); }

  std::optional<double> number(std::size_t row, const std::string& name) const {
    const auto cell = text(row, name);
    if (!cell)
      return {};
    return checked(name, [&] { return units::parse_number(*cell); });
  }

  std::optional<double> quantity(std::size_t row, const std::string& name, const char* dimension,
                                 const std::vector<const char*>& known_units, records::Range range) const {
    std::optional<double> value;
    std::string heading = name;
    if (const auto cell = text(row, name))
      value = checked(name, [&] { return units::parse_quantity(*cell, dimension); });
    for (const char* unit : known_units)
      if (const auto bare = number(row, name + "_" + unit); bare && !value) {
        heading = name + "_" + unit;
        value = checked(heading, [&] { return units::from_unit(*bare, unit, dimension); });
      }
    if (value && !range.holds(*value))
      fail(heading, "is out of range");
    return value;
  }

  [[noreturn]] void fail(const std::string& name, const std::string& why) const {
    throw records::InputError(name + ": " + why);
  }

 private:
  std::optional<std::size_t> find(const std::string& name) const {
    const std::string wanted = output::lower_case(name);
    for (std::size_t i = 0; i < table_.heading.size(); ++i)
      if (output::lower_case(table_.heading[i]) == wanted)
        return i;
    return {};
  }

  double checked(const std::string& name, const std::function<double()>& read) const {
    try {
      return read();
    } catch (const units::QuantityError& error) {
      fail(name, error.what());
    }
  }

  const records::CsvTable& table_;
};

const std::vector<const char*> temperature_units = {"degC", "degF", "K"}, time_units = {"s", "min", "h"};

/// The composition of a row that has a `C`.
std::optional<records::Composition> composition_of(const Columns& columns, std::size_t row) {
  if (!columns.text(row, "C"))
    return {};
  std::string text;
  for (const char* element : {"C", "Mn", "Si", "Cr", "Ni", "Mo", "V", "W", "Cu", "P", "S"})
    if (const auto share = columns.number(row, element))
      text += std::string(element) + " " + units::format_number(*share) + " ";
  try {
    return treatment::read_composition_text(text);
  } catch (const records::InputError& error) {
    columns.fail("C ... S", error.what());
  }
}

Subject named_subject(const Columns& columns, std::size_t row, SubjectReader& reader) {
  const auto name = columns.text(row, "steel");
  if (!name)
    columns.fail("steel", "is missing, and so is C; one of them is expected");
  try {
    return reader.read(*name);
  } catch (const records::InputError& error) {
    columns.fail("steel", error.what());
  }
}

std::string figure(double value, const char* pattern) {
  return std::isfinite(value) ? formatted(pattern, value) : "";
}

constexpr std::array<const char*, 21> answer_columns = {"computed_HRC",
                                                        "computed_HRC_band",
                                                        "computed_HV",
                                                        "computed_after_flash_HRC",
                                                        "computed_from",
                                                        "computed_temper_outside",
                                                        "computed_retained_austenite",
                                                        "computed_Ac1_degC",
                                                        "computed_austenite_formed",
                                                        "computed_carbon_in_solution",
                                                        "computed_Ms_degC",
                                                        "computed_Ms_band_K",
                                                        "computed_as_quenched_retained_austenite",
                                                        "computed_as_quenched_HRC",
                                                        "computed_as_quenched_HRC_band",
                                                        "computed_pearlite_nose_degC",
                                                        "computed_pearlite_nose_s",
                                                        "computed_bainite_nose_s",
                                                        "computed_critical_rate_K_s",
                                                        "computed_times_band_factor",
                                                        "computed_hardening_outside"};

std::string joined(const std::vector<std::string>& flags, const std::vector<std::string>& more) {
  std::string text;
  for (const auto* list : {&flags, &more})
    for (const std::string& flag : *list)
      text += (text.empty() ? "" : " | ") + flag;
  return text;
}

/// Alloying that the models know nothing of, above what steel holds of it anyhow (usual traces; copper is
/// known to the Ms formulas but stands in no series of the temper model).
std::vector<std::string> unknown_elements(const Columns& columns, std::size_t row) {
  constexpr std::array<std::pair<const char*, double>, 9> traces_wt = {{{"Al", 0.05},
                                                                        {"Co", 0.05},
                                                                        {"Nb", 0.02},
                                                                        {"Ti", 0.02},
                                                                        {"B", 0.0005},
                                                                        {"N", 0.02},
                                                                        {"P", 0.06},
                                                                        {"S", 0.06},
                                                                        {"Cu", 0.35}}};
  std::vector<std::string> unknown;
  for (const auto& [element, trace] : traces_wt)
    if (const auto share = columns.number(row, element); share && *share > trace)
      unknown.push_back(std::string(element) + " " + units::format_number(*share) +
                        " is not known to the models");
  return unknown;
}

/// Where a temper stands on its curve, for corrections.
double one_hour_of(const Subject& subject, const TemperQuestion& question, const steel::TemperModel& model) {
  constexpr double hour_s = 3600;
  const double constant = subject.by_composition ? steel::temper_constant(model, subject.record.composition.C)
                                                 : subject.record.temper.hj_constant_h;
  return steel::equivalent_temperature(
      steel::hollomon_jaffe(question.temperature_degC, question.hold_s * question.cycles, constant), hour_s,
      constant);
}

/// The answers to one row, and where its temper stands on the curve when it has one.
struct RowAnswer {
  std::vector<std::string> cells;
  std::optional<TemperPoint> point;
};

RowAnswer answer_cells(const Subject& subject, const Columns& columns, std::size_t row,
                       const steel::TemperModel& model) {
  RowAnswer answer;
  HardeningQuestion hardening;
  hardening.temperature_degC =
      columns.quantity(row, "harden", "temperature", temperature_units, asked_hardening_degC);
  hardening.soak_s = columns.quantity(row, "soak", "time", time_units, duration_s);
  if (const auto start = columns.text(row, "start"))
    try {
      hardening.start = start_state("start", *start);
    } catch (const records::InputError& error) {
      columns.fail("start", error.what());
    }
  if (const auto cold = columns.quantity(row, "cool_to", "temperature", temperature_units, cold_degC))
    hardening.cooled_to_degC = *cold;
  const HardeningAnswer h = answer_hardening(subject, hardening);
  const DiagramAnswer d = answer_diagram(subject, h, false);

  const std::vector<std::string> unknown = unknown_elements(columns, row);
  std::array<std::string, 7> temper;
  if (const auto T = columns.quantity(row, "temperature", "temperature", temperature_units, tempering_degC)) {
    TemperQuestion question;
    question.temperature_degC = *T;
    question.hold_s = columns.quantity(row, "time", "time", time_units, duration_s).value_or(3600);
    const double cycles = columns.number(row, "cycles").value_or(1);
    if (cycles < 1 || cycles > most_cycles || cycles != std::floor(cycles))
      columns.fail("cycles", formatted("must be a whole number from 1 to %d", most_cycles));
    question.cycles = static_cast<int>(cycles);
    question.flash_degC = columns.quantity(row, "flash", "temperature", temperature_units, tempering_degC);
    question.flash_s = columns.quantity(row, "flash_time", "time", time_units, duration_s).value_or(1);
    TemperAnswer t = answer_temper(subject, question, h, model);
    if (subject.by_composition && !unknown.empty())
      t.band_HRC = std::max(t.band_HRC, 2.0 * model.error_flagged_HRC);
    if (std::isfinite(t.hardness_HRC) && question.hold_s > 0)
      answer.point = {one_hour_of(subject, question, model), t.hardness_HRC, t.band_HRC};
    temper = {figure(t.hardness_HRC, "%.2f"),
              figure(t.band_HRC, "%.2f"),
              figure(t.hardness_HV, "%.0f"),
              figure(t.after_flash_HRC, "%.2f"),
              t.from,
              joined(t.outside, unknown),
              figure(t.retained_austenite, "%.4f")};
  }
  std::vector<std::string>& cells = answer.cells;
  cells.assign(temper.begin(), temper.end());
  for (const std::string& cell :
       {figure(h.ac1_degC, "%.1f"), figure(h.austenite_formed, "%.4f"), figure(h.carbon_wt, "%.4f"),
        figure(h.ms_degC, "%.1f"), figure(h.ms_band_K, "%.0f"), figure(h.retained_austenite, "%.4f"),
        figure(h.hardness_HRC, "%.2f"), figure(h.hardness_band_HRC, "%.2f"),
        figure(d.pearlite_nose.T, "%.0f"), figure(d.pearlite_nose.time_s, "%.4g"),
        figure(d.bainite_nose.time_s, "%.4g"), figure(d.critical.both, "%.4g"), figure(d.times_band, "%g"),
        joined(h.outside, unknown)})
    cells.push_back(cell);
  return answer;
}

/// The answers to a row that has none, because no formula bears its composition or it cannot be read: why.
std::vector<std::string> refused_cells(const std::string& why) {
  std::vector<std::string> cells(answer_columns.size());
  for (std::size_t i = 0; i < cells.size(); ++i)
    if (std::string(answer_columns[i]).find("_outside") != std::string::npos)
      cells[i] = why;
  return cells;
}

/// A row that cannot be answered says so and leaves the other rows alone.
RowAnswer answer_row(const Columns& columns, std::size_t row, SubjectReader& reader) {
  try {
    const auto composition = composition_of(columns, row);
    if (composition)
      if (const std::string why = treatment::why_not_covered(*composition); !why.empty())
        return {refused_cells("refused: " + why), {}};
    return answer_cells(composition ? reader.of_composition(*composition)
                                    : named_subject(columns, row, reader),
                        columns, row, reader.temper_model());
  } catch (const records::InputError& error) {
    return {refused_cells(std::string("refused: ") + error.what()), {}};
  }
}

/// The same text for rows of the same steel.
std::string steel_of_row(const Columns& columns, std::size_t row) {
  std::string text;
  for (const char* column : {"steel", "C", "Mn", "Si", "Cr", "Ni", "Mo", "V", "W", "Cu", "P", "S"})
    text += columns.text(row, column).value_or("") + "|";
  return text;
}

/// What was read of a row; nothing where the cell is empty.
std::optional<double> measured_of_row(const Columns& columns, std::size_t row, const std::string& column) {
  const auto hrc = columns.number(row, column);
  if (hrc && !(*hrc >= 0 && *hrc <= 70))
    columns.fail(column, formatted("%g is no reading of hardness; allowed: 0 to 70 HRC", *hrc));
  return hrc;
}

/// A row takes 2 ms of a processor and 1 kB (measured).
void expect_sane_rows(std::size_t rows, const std::string& name) {
  constexpr std::size_t most = 100'000, many = 30'000, in_a_minute = 30'000;
  if (rows > most)
    throw records::InputError(
        formatted("%s: %zu rows; allowed: at most %zu in one table", name.c_str(), rows, most));
  if (rows > many)
    std::cerr << "thinquench: " << rows << " rows take about " << (rows + in_a_minute - 1) / in_a_minute
              << " minutes of processor time\n";
}

void answer_table(const AskOptions& asked, SubjectReader& reader) {
  const std::string& path = asked.csv;
  const std::string name = path == "-" ? "standard input" : path;
  const records::CsvTable table = records::read_csv(read_case_text(path), name);
  for (const char* column : answer_columns)
    if (std::find(table.heading.begin(), table.heading.end(), column) != table.heading.end())
      throw records::InputError(name + ":1: there is a column '" + column + "' already");
  expect_sane_rows(table.rows.size(), name);
  const Columns columns(table);
  if (!columns.has("C") && !columns.has("steel"))
    throw records::InputError(name + ":1: there is neither a column C nor a column steel");
  std::string out;
  const auto write_row = [&](const std::vector<std::string>& cells, const auto& more) {
    std::string line;
    for (const std::string& cell : cells)
      line += records::csv_cell(cell, table.separator) + table.separator;
    for (const auto& cell : more)
      line += records::csv_cell(cell, table.separator) + table.separator;
    line.back() = '\n';
    out += line;
  };
  const bool correct = !asked.measured.empty();
  if (correct && !columns.has(asked.measured))
    throw records::InputError(name + ":1: there is no column '" + asked.measured + "' (--measured)");
  std::vector<std::string> more(answer_columns.begin(), answer_columns.end());
  if (correct)
    more.insert(more.end(), CorrectedRows::columns.begin(), CorrectedRows::columns.end());
  write_row(table.heading, more);
  std::size_t refused = 0, first_refused_line = 0;
  std::vector<RowAnswer> answers;
  CorrectedRows corrected;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    answers.push_back(table.faults[row].empty()
                          ? answer_row(columns, row, reader)
                          : RowAnswer{refused_cells("refused: " + table.faults[row]), {}});
    if (answers.back().cells.back().rfind("refused: ", 0) == 0 && refused++ == 0)
      first_refused_line = static_cast<std::size_t>(table.lines[row]);
    if (correct)
      corrected.add(steel_of_row(columns, row), answers.back().point,
                    measured_of_row(columns, row, asked.measured));
  }
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    std::vector<std::string>& cells = answers[row].cells;
    if (correct)
      for (const std::string& cell : corrected.cells(row))
        cells.push_back(cell);
    write_row(table.rows[row], cells);
  }
  std::cout << out;
  if (correct && corrected.coupons() == 0)
    std::cerr << name << ": no row has a temper (temperature_degC and time_h, time_min or time_s) and a "
              << "number in '" << asked.measured << "', so nothing was corrected\n";
  if (refused > 0)
    std::cerr << name << ": " << refused << " of " << table.rows.size()
              << " rows have no answer (the first on line " << first_refused_line
              << "); the reason stands in computed_hardening_outside\n";
}

// --- one question ------------------------------------------------------------------------------------------

Answer answer_question(const AskOptions& asked, SubjectReader& reader) {
  std::string name;
  for (const std::string& word : asked.steel)
    name += (name.empty() ? "" : " ") + word;
  Answer answer;
  answer.subject = reader.read(name);
  HardeningQuestion& q = answer.hardening_question;
  if (!asked.harden.empty())
    q.temperature_degC = value_of("--harden", asked.harden, "temperature", asked_hardening_degC);
  if (!asked.soak.empty())
    q.soak_s = value_of("--soak", asked.soak, "time", duration_s);
  q.start = start_state("--start", asked.start);
  if (!asked.cool_to.empty())
    q.cooled_to_degC = value_of("--cool-to", asked.cool_to, "temperature", cold_degC);
  answer.hardening = answer_hardening(answer.subject, q);

  TemperQuestion temper;
  temper.cycles = asked.cycles;
  if (asked.cycles < 1 || asked.cycles > most_cycles)
    throw UsageError(formatted("--cycles: %d; allowed: 1 to %d", asked.cycles, most_cycles));
  if (!asked.hold.empty())
    temper.hold_s = value_of("--hold", asked.hold, "time", duration_s);
  if (!asked.flash.empty())
    temper.flash_degC = value_of("--flash", asked.flash, "temperature", tempering_degC);
  if (!asked.flash_time.empty())
    temper.flash_s = value_of("--flash-time", asked.flash_time, "time", duration_s);
  std::vector<double> temperatures;
  if (!asked.temper.empty())
    temperatures.push_back(value_of("--temper", asked.temper, "temperature", tempering_degC));
  else
    for (double T = 150; T <= 350; T += 25)
      temperatures.push_back(T);
  for (const double T : temperatures) {
    temper.temperature_degC = T;
    answer.tempers.push_back(answer_temper(answer.subject, temper, answer.hardening, reader.temper_model()));
  }
  answer.diagram = answer_diagram(answer.subject, answer.hardening, true);
  return answer;
}

/// Moves the tempers to what the shop's coupons of this steel and bar say.
void correct_tempers(const Options& options, SubjectReader& reader, Answer& answer) {
  const auto shop_file = find_shop(options, {});
  if (!shop_file)
    return;
  const Subject& subject = answer.subject;
  const auto coupons =
      coupon_readings(options, *shop_file, open_shop(*shop_file),
                      subject.by_composition ? subject.name : subject.record.key, options.shop.bar);
  std::vector<shop::CouponPoint> points;
  for (const shop::CouponReading& coupon : coupons)
    points.push_back({coupon.one_hour_degC, coupon.off_HRC - shop::tester_by_block_HRC(coupon)});
  if (points.empty())
    return;
  for (TemperAnswer& t : answer.tempers) {
    if (!std::isfinite(t.hardness_HRC))
      continue;
    const shop::CurveCorrection c =
        shop::correct_curve(points, one_hour_of(subject, t.question, reader.temper_model()), t.band_HRC);
    t.hardness_HRC += c.shift_HRC;
    t.after_flash_HRC += c.shift_HRC;
    t.hardness_HV = steel::hv_from_hrc(t.hardness_HRC);
    t.band_HRC = c.band_HRC;
    t.from += ", " + shop::rests_on(0, static_cast<int>(points.size()));
  }
}

} // namespace

void ask(const Options& options) {
  const AskOptions& asked = options.ask;
  const bool table = !asked.csv.empty();
  if (table == !asked.steel.empty())
    throw UsageError("ask: a steel or --csv FILE is expected, and not both (see thinquench ask --help)");
  if (!table && !asked.measured.empty())
    throw UsageError("ask: --measured names a column of --csv");
  if (asked.diagram && (table || options.json))
    throw UsageError("ask: --diagram writes a table of its own, so --csv and --json have no place beside it");
  if (table && options.json)
    throw UsageError("ask: --csv writes a table, so --json has no place beside it");
  const bool piped = asked.csv == "-";
  const MaterialLibrary library(find_materials(options.materials),
                                table && !piped ? std::filesystem::path(asked.csv).parent_path()
                                                : std::filesystem::path());
  SubjectReader reader(library);
  if (table) {
    answer_table(asked, reader);
    return;
  }
  Answer answer = answer_question(asked, reader);
  correct_tempers(options, reader, answer);
  if (asked.diagram)
    print_diagram_csv(answer.diagram);
  else if (options.json)
    std::cout << output::json_text(as_json(answer));
  else
    print_answer(answer);
}

} // namespace tq::program
