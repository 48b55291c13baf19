// How deep steels harden, without a blade: the end-quenched bar of ASTM A255 and the ideal critical diameter.
#include "answers/local_codes.hpp"
#include "output/draw_end_quench.hpp"
#include "output/files/files.hpp"
#include "output/json.hpp"
#include "output/text.hpp"
#include "program/commands.hpp"
#include "program/material_library.hpp"
#include "program/thread_pool.hpp"
#include "program/values.hpp"
#include "steel/transformation.hpp"
#include "treatment/steel_questions.hpp"

#include <cmath>
#include <iostream>
#include <nlohmann/json.hpp>

namespace tq::program {
namespace {

using output::EndQuenchCurve;
using output::formatted;
using output::number;
using output::padded;
using output::page_width;
using Json = nlohmann::ordered_json;

constexpr records::Range hardening_degC{650, 1300};
constexpr int told_at_J[] = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 24, 28, 32};

/// A steel in the end-quenched bar, and as round bars.
struct Bar {
  treatment::Subject subject;
  EndQuenchCurve curve;
  double hardening_degC = 0;
  double ideal_m = 0, ideal_a255_m = 0;
};

std::vector<Bar> asked_bars(const Options& options, treatment::SubjectReader& reader,
                            const MaterialLibrary& library) {
  std::string name;
  for (const std::string& word : options.jominy.steel)
    name += (name.empty() ? "" : " ") + word;
  const std::vector<std::string> names =
      name.empty() ? library.keys(treatment::RecordKind::steel) : std::vector<std::string>{name};
  std::vector<Bar> bars;
  for (const std::string& each : names) {
    Bar bar;
    bar.subject = reader.read(each);
    const records::SteelRecord& steel = bar.subject.record;
    if (steel.inert) {
      if (name.empty())
        continue;
      throw UsageError("jominy: " + each + " does not harden");
    }
    const records::Austenitising& a = steel.austenitising;
    bar.hardening_degC = 0.5 * (a.hardening_from_degC + a.hardening_to_degC);
    if (!options.jominy.harden.empty())
      bar.hardening_degC = value_of("--harden", options.jominy.harden, "temperature", hardening_degC);
    if (const double ends = steel::ac1_end(steel); bar.hardening_degC < ends)
      throw UsageError(formatted("--harden: %.0f degC leaves ferrite in %s; allowed: %.0f degC and above",
                                 bar.hardening_degC, each.c_str(), std::ceil(ends)));
    bar.curve.name = bar.subject.by_composition ? each : steel.key;
    bars.push_back(std::move(bar));
  }
  return bars;
}

void compute(std::vector<Bar>& bars) {
  ThreadPool pool;
  pool.for_each_index(3 * bars.size(), [&](std::size_t i) {
    Bar& bar = bars[i / 3];
    records::SteelRecord steel = bar.subject.record;
    const int end = static_cast<int>(i % 3) - 1; // shallow, as it is, deep
    records::Transformation& t = steel.transformation;
    if (end != 0) {
      t.pearlite_factor *= end < 0 ? 1 / t.factor_uncertainty : t.factor_uncertainty;
      t.bainite_factor *= end < 0 ? 1 / t.bainite_uncertainty : t.bainite_uncertainty;
    }
    (end < 0   ? bar.curve.shallow
     : end > 0 ? bar.curve.deep
               : bar.curve.usual) = steel::end_quench(steel, bar.hardening_degC);
    if (end != 0)
      return;
    records::Composition in_solution = t.matrix;
    in_solution.C = steel::saturation_carbon(steel, bar.hardening_degC);
    bar.ideal_m = steel::ideal_diameter(steel, bar.hardening_degC);
    bar.ideal_a255_m = steel::ideal_diameter_a255(in_solution, t.grain_number);
    bar.curve.half_hardened_m = bar.curve.usual.reaches(bar.curve.usual.hardened, 0.5);
    bar.curve.published = steel::published_end_quench(steel.key);
  });
}

std::string J_text(double distance_m) {
  return std::isnan(distance_m) ? "-" : formatted("J%.1f", distance_m / steel::sixteenth_m);
}

void print_one(const Bar& bar) {
  const steel::EndQuench& usual = bar.curve.usual;
  constexpr std::size_t w = 12;
  const auto cell = [](const std::string& text) { return padded(text, w, true); };
  std::cout << "\nEnd-quenched bar (ASTM A255), austenitised at "
            << output::temperature_text(bar.hardening_degC) << "\n  ";
  for (const char* heading : {"J", "mm", "HRC", "from", "to", "pearlite", "bainite"})
    std::cout << cell(heading);
  std::cout << (bar.curve.published.empty() ? "" : cell("published")) << "\n";
  for (const int J : told_at_J) {
    const double x = J * steel::sixteenth_m;
    std::cout << "  " << cell(std::to_string(J)) << cell(formatted("%.1f", 1e3 * x));
    for (const steel::EndQuench* e : {&usual, &bar.curve.shallow, &bar.curve.deep})
      std::cout << cell(formatted("%.1f", e->at(e->hrc, x)));
    std::cout << cell(output::percent_text(usual.at(usual.pearlite, x)))
              << cell(output::percent_text(usual.at(usual.bainite, x)));
    for (const steel::PublishedHardness& point : bar.curve.published)
      if (std::abs(point.distance_m - x) < 1e-6)
        std::cout << cell(formatted("%.1f", point.hrc));
    std::cout << "\n";
  }
  std::cout << formatted(
      "\nHalf hardened at %s; ideal critical diameter %.0f mm (%.0f mm by the factors of ASTM "
      "A255)\n",
      J_text(bar.curve.half_hardened_m).c_str(), 1e3 * bar.ideal_m, 1e3 * bar.ideal_a255_m);
}

void print_all(const std::vector<Bar>& bars) {
  constexpr std::size_t w = 7;
  std::cout
      << "End-quenched bar (ASTM A255): HRC at sixteenths of an inch from the quenched end, where half has\n"
         "hardened, and ideal critical diameter in mm, computed and by the factors of ASTM A255\n\n"
      << padded("", 10);
  constexpr int few_J[] = {1, 2, 4, 6, 8, 12, 16, 24, 32};
  for (const int J : few_J)
    std::cout << padded(formatted("J%d", J), w, true);
  std::cout << padded("half", w + 1, true) << padded("ideal", w + 1, true) << padded("A255", w, true) << "\n";
  for (const Bar& bar : bars) {
    const steel::EndQuench& usual = bar.curve.usual;
    std::cout << padded(bar.curve.name, 10);
    for (const int J : few_J)
      std::cout << padded(formatted("%.1f", usual.at(usual.hrc, J * steel::sixteenth_m)), w, true);
    std::cout << padded(J_text(bar.curve.half_hardened_m), w + 1, true)
              << padded(formatted("%.0f", 1e3 * bar.ideal_m), w + 1, true)
              << padded(formatted("%.0f", 1e3 * bar.ideal_a255_m), w, true) << "\n";
  }
}

void print_notes(const std::vector<Bar>& bars) {
  std::cout << "\nNote\n";
  const auto note = [](const std::string& text) {
    for (const std::string& line : output::folded(text, page_width - 2))
      std::cout << "  " << line << "\n";
  };
  note("ideal: the round bar whose middle half hardens when its face is at once as cold as the water. The "
       "scale of "
       "ASTM A255 is a quarter to a third smaller than such a bar (its own table of distances says so), and "
       "its "
       "factors are for steel that is austenite through and through.");
  if (bars.size() == 1) {
    note(formatted("from, to: pearlite starts %g times earlier or later, bainite %g times",
                   bars.front().subject.record.transformation.factor_uncertainty,
                   bars.front().subject.record.transformation.bainite_uncertainty));
    for (const std::string& text : bars.front().subject.outside)
      note(text);
    if (bars.front().subject.by_composition)
      note("known by its composition alone: rules stand in for a record, the bands are wide");
  }
  for (const Bar& bar : bars)
    if (!bar.curve.published.empty())
      note(std::string("published: ") + steel::published_hardness_source +
           "; the middle of many heats falls less steeply than the bar of one");
}

Json as_json(const std::vector<Bar>& bars) {
  Json steels = Json::array();
  for (const Bar& bar : bars) {
    const EndQuenchCurve& c = bar.curve;
    Json published = Json::array();
    for (const steel::PublishedHardness& point : c.published)
      published.push_back({{"distance_m", point.distance_m}, {"HRC", point.hrc}});
    steels.push_back({{"steel", c.name},
                      {"by_composition", bar.subject.by_composition},
                      {"hardening_degC", bar.hardening_degC},
                      {"half_hardened_m", number(c.half_hardened_m)},
                      {"ideal_diameter_m", bar.ideal_m},
                      {"ideal_diameter_A255_m", bar.ideal_a255_m},
                      {"distance_m", c.usual.distance_m},
                      {"HRC", c.usual.hrc},
                      {"HRC_shallow", c.shallow.hrc},
                      {"HRC_deep", c.deep.hrc},
                      {"pearlite", c.usual.pearlite},
                      {"bainite", c.usual.bainite},
                      {"published", published},
                      {"outside", bar.subject.outside}});
  }
  return {{"schema", "thinquench-jominy"},
          {"schema_version", 1},
          {"caution", answers::local_codes},
          {"steels", steels}};
}

void write_drawing(const std::string& file, const std::vector<Bar>& bars) {
  std::vector<EndQuenchCurve> curves;
  for (const Bar& bar : bars)
    curves.push_back(bar.curve);
  const output::Drawing drawing = output::draw_end_quench(curves);
  output::PendingFile svg{std::filesystem::path(file)};
  svg.write("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" +
            drawing.svg.element(drawing.width, drawing.height, drawing.title, drawing.description));
  svg.commit();
}

} // namespace

void jominy(const Options& options) {
  const std::string& file = options.jominy.drawing;
  require_drawing("--draw", file);
  const MaterialLibrary library(find_materials(options.materials), {});
  treatment::SubjectReader reader(library);
  std::vector<Bar> bars = asked_bars(options, reader, library);
  compute(bars);
  if (!file.empty())
    write_drawing(file, bars);
  if (options.json) {
    std::cout << output::json_text(as_json(bars));
    return;
  }
  if (bars.size() == 1) {
    for (const std::string& line : output::folded(bars.front().subject.name, page_width))
      std::cout << line << "\n";
    std::cout << "! " << answers::local_codes << "\n";
    print_one(bars.front());
  } else {
    print_all(bars);
    std::cout << "\n! " << answers::local_codes << "\n";
  }
  print_notes(bars);
  if (!file.empty())
    std::cout << "\n" << file << "\n";
}

} // namespace tq::program
