// What the files hold besides the figures of zones and stations (answers/figures.hpp): texts, fields and rows
// of lists, each with name, unit and meaning. Units in UDUNITS spelling.
#pragma once

#include "answers/figures.hpp"

#include <array>
#include <functional>
#include <string>
#include <vector>

namespace tq::output {

/// Version of the layout of both files; raised whenever a name, a shape, a unit or a meaning changes.
inline constexpr int schema_version = 2;

using answers::Meaning, answers::Scale;

/// A figure of a row: of a list, or of something that a station has once.
template <class Row>
struct RowFigure {
  Meaning meaning;
  double (*value)(const Row&);
};
struct SurfaceText {
  const char* name;
  const char* long_name;
  std::string answers::SurfaceAnswer::*value;
};
/// A field of the section.
struct FieldFigure {
  Meaning meaning;
  std::vector<double> treatment::NodeState::*value;
  bool of_transforming_steel = true; ///< false: exists for inert steels too
};

const std::vector<SurfaceText>& surface_texts();
const std::vector<FieldFigure>& field_figures();
const std::vector<RowFigure<treatment::Event>>& event_figures();
const std::vector<RowFigure<answers::ColdAnswer>>& cold_figures();
const std::vector<RowFigure<answers::CycleAnswer>>& cycle_figures();
const std::vector<RowFigure<answers::DiagramAnswer>>& diagram_figures();
const std::vector<RowFigure<steel::DiagramRow>>& isothermal_figures();
const std::vector<RowFigure<steel::CoolingResult>>& cooling_figures();

inline constexpr Meaning in_air_meaning = {"in_air", "degC", "temperature so long after leaving the furnace",
                                           Scale::on_scale};
inline constexpr Meaning in_air_time_meaning = {"in_air_time", "s",
                                                "times of in_air after leaving the furnace"};
inline constexpr std::array<double, 4> in_air_times_s = {2, 3, 5, 8};
inline constexpr Meaning vickers_meaning = {"hardness_vickers", "1", "Vickers hardness of the mixture"};
inline constexpr Meaning rockwell_meaning = {"hardness_rockwell_c", "1",
                                             "Rockwell C hardness by ASTM E140, NaN outside 20 to 68"};

/// "pearlite_starts", "bainite_starts", "martensite_starts"
const char* event_key(treatment::EventKind kind);

/// "pass", "marginal", "fail", "not_asked"
std::string verdict_key(answers::Verdict verdict);

/// The section as shown: a half section is mirrored to the whole one. Row j = 0 is flank B (least y).
struct WholeSection {
  explicit WholeSection(const section::Grid& grid);

  int ni = 0, nj = 0;
  std::vector<double> x, y; ///< [j * ni + i] in m
  /// Node values of the grid as solved, on the whole section.
  std::vector<double> expand(const std::vector<double>& solved) const;

 private:
  bool half_ = false;
};

/// Rockwell C of node values in Vickers, NaN outside the table.
std::vector<double> rockwell(const std::vector<double>& vickers);

} // namespace tq::output
