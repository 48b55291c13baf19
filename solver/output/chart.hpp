// A diagram with axes: curves over time or temperature, direct labels beside them. Temperatures show both
// scales; a page can hide either (classes "tC", "tF" and "both").
#pragma once

#include "output/svg.hpp"
#include "treatment/run.hpp"

#include <string>
#include <vector>

namespace tq::output {

/// "800 °C (1472 °F)" as markup of which a page can hide either scale; plain text on a drawing of its own.
std::string temperature_markup(double degC, bool on_page);

struct Axis {
  double from = 0, to = 1;
  bool logarithmic = false;
  std::vector<double> ticks;
  double tick_unit = 1;     ///< ticks are shown divided by it: 60 for minutes
  std::string name;         ///< below the axis, or above the left one
  std::string unit;         ///< for reading off with the pointer
  bool temperature = false; ///< degC and degF side by side
};

/// Ticks 1, 2, 5 of each decade inside.
std::vector<double> decade_ticks(double from, double to);
/// At most about `most` even steps of a time scale, whole in `unit`.
std::vector<double> even_ticks(double to, double unit, int most = 8);
/// At most about `most` ticks 1, 2 or 5 times a power of ten apart.
std::vector<double> plain_ticks(double from, double to, int most = 6);
/// The 1-2-5 number that is not below (above) `value`.
double round_125(double value, bool up);

struct Line {
  std::string name;
  Tone tone;
  const char* dash;
  double width;
  std::vector<Point> points;
};

class Chart {
 public:
  Chart(Svg& svg, const Box& plot, Axis x, Axis y);

  const Box& plot() const { return plot_; }
  double px(double x) const;
  double py(double y) const;
  void frame(const std::string& title);

  /// The part of a curve inside the diagram, in page coordinates; x shifted by `zero`, y pulled to the frame.
  std::vector<Point> points(const std::vector<double>& x, const std::vector<double>& y,
                            double zero = 0) const;
  /// Draws and names a curve for the pointer.
  void curve(const std::vector<Point>& points, const std::string& name, Tone tone, double width,
             const char* dash = "");
  /// Dotted upright line with words at a height.
  void marker(double x, const std::string& text, double text_y);
  enum class Place { above_left, below_left, above_right };
  /// Dashed level with words, already marked up.
  void level(double y, const std::string& markup, Place place);
  /// The same with its words, `wide` units wide, where they lie on the fewest points of the lines; `usual`
  /// where that is as good as any.
  void clear_level(double y, const std::string& markup, double wide, const std::vector<Line>& lines,
                   Place usual);

 private:
  void temperature_scale();
  void plain_scale();

  Svg& svg_;
  Box plot_;
  Axis x_, y_;
};

/// The curves of spine, middle and edge.
std::vector<Line> zone_lines(const treatment::Run& run, const Chart& chart, double zero);
void draw_lines(Chart& chart, const std::vector<Line>& lines);
/// Names beside the curves: the first to get there on its left, the others on the right, at different
/// heights; one common name where they run together.
void name_lines(Svg& svg, const Chart& chart, std::vector<Line> lines, bool falling);

/// Highest temperature of the zones (and of what surrounds them) between two times.
double hottest_of(const treatment::Run& run, double from, double to, bool with_surroundings);
/// Axis from 0 to the next hundred above `hottest`.
Axis temperature_axis(double hottest);

} // namespace tq::output
