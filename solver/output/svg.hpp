// Growing SVG text from a few shapes, for every drawing of the program. A drawing names tones, not colours:
// it stands alone on white paper with fixed colours, or inside a page whose style sheet sets the colours by
// class.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace tq::output {

struct Point {
  double x, y;
};

/// Rectangle of a page, y downwards.
struct Box {
  double left, top, width, height;
  double right() const { return left + width; }
  double bottom() const { return top + height; }
};

/// What a mark stands for. The three zones keep apart for the colour-blind and differ in dash and lightness
/// too (hues after Okabe & Ito 2008, darkened to 4.5 : 1 on white).
enum class Tone {
  none,
  ink,
  faint,
  hair,
  paper,
  panel,
  spine,
  middle,
  edge,
  pearlite,
  bainite,
  wanted,
  pass,
  marginal,
  fail
};
/// "#1b1f24"; "none" for Tone::none.
const char* tone_colour(Tone tone);
/// Short name in the classes of a page: "ink" gives "f-ink" for filling and "s-ink" for stroking.
const char* tone_name(Tone tone);

/// Blue to yellow with steadily rising lightness, share 0..1: survives colour blindness and grey printing
/// (nine stops of the public-domain map of Nunez, Anderton and Renslow 2018, PLoS ONE 13(7) e0199239).
std::string map_colour(double share);
/// Light to dark grey for a printer without colours.
std::string map_grey(double share);

enum class Palette { fixed, page };

/// How words look.
struct Type {
  double size = 14;
  const char* anchor = "start"; ///< start, middle, end
  Tone tone = Tone::ink;
  bool bold = false;
  bool rim = false; ///< rim in the colour of the ground, keeps words readable on top of lines
};

class Svg {
 public:
  explicit Svg(Palette palette = Palette::fixed) : palette_(palette) {}

  bool on_page() const { return palette_ == Palette::page; }
  void add(const std::string& element) { body_ += element + "\n"; }
  /// A group; `classes` counts on a page only.
  void open(const char* classes, const char* attributes = "");
  void close() { add("</g>"); }

  void words(double x, double y, const std::string& text, const Type& type = {});
  /// The same, with tags of our own in the text, already escaped.
  void marked(double x, double y, const std::string& markup, const Type& type = {});
  void line(Point a, Point b, Tone tone, double width = 1, const char* dash = "");
  void curve(const std::vector<Point>& points, Tone tone, double width, const char* dash = "");
  /// Closed and filled, without a line.
  void area(const std::vector<Point>& points, Tone tone, double opacity = 1);
  void box(const Box& box, Tone fill, Tone stroke, double width = 1);
  void swatch(const Box& box, const std::string& colour);
  void dot(Point at, Tone tone, double radius = 3.5);
  /// Attributes that fill and stroke: fixed colours, or classes on a page.
  std::string paint(Tone fill, Tone stroke) const;

  const std::string& body() const { return body_; }
  /// The whole element with title and description for those who cannot see it. `id` must be unique in a page.
  std::string element(double width, double height, const std::string& title, const std::string& description,
                      const std::string& id = "") const;

 private:
  Palette palette_;
  std::string body_;
};

/// Fewest of the points that stay within a quarter of a pixel of the line drawn (Douglas & Peucker 1973).
std::vector<Point> thinned(const std::vector<Point>& all);
/// "12.3,45.6 ..." as polyline and polygon want them.
std::string point_list(const std::vector<Point>& points);

} // namespace tq::output
