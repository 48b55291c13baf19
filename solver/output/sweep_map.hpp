// One figure of a sweep over two of its keys as a map with contours and the limits of verdicts, or over one
// key as curves: the picture that hangs on the wall.
#pragma once

#include "output/drawings.hpp"

#include <string>
#include <vector>

namespace tq::output {

/// A key along one side of the map.
struct MapAxis {
  std::string name;                ///< "bath.temperature"
  std::string says;                ///< what it means
  std::string dimension;           ///< of the values, see units::dimensions()
  std::vector<double> values;      ///< SI, degC; empty where words stand for them
  std::vector<std::string> labels; ///< words
  std::size_t size() const { return values.empty() ? labels.size() : values.size(); }
};

/// Verdict of each point: 0 pass, 1 marginal, 2 fail, others: not asked or missing.
struct MapVerdict {
  std::string name; ///< "quench"
  std::vector<int> at;
};

struct SweepMap {
  std::string title;
  MapAxis x, y;              ///< y with one value: curves
  std::string figure, unit;  ///< its column, its unit in UDUNITS
  std::string says;          ///< its long name
  bool is_verdict = false;   ///< the figure is a verdict, drawn in the colours of pass, marginal and fail
  std::vector<double> value; ///< [y * x.size() + x]; NaN where there is none
  std::vector<MapVerdict> verdicts;
  std::vector<std::string> fixed; ///< what holds for the whole map: "temper.oven = 205 degC", "zone edge"
};

/// The map, on paper when `palette` is fixed.
Drawing draw_sweep_map(const SweepMap& map, Palette palette = Palette::fixed);
/// A page of it, with the values as a table below.
std::string sweep_map_html(const SweepMap& map, const std::string& program);

} // namespace tq::output
