// What becomes of the hardness and the verdicts when one thing is not as set: a strip of outcomes.
#include "output/chart.hpp"
#include "output/drawings.hpp"
#include "output/text.hpp"

#include <algorithm>
#include <cmath>

namespace tq::output {

using answers::Verdict;
using answers::WhatIfPoint;

namespace {

Verdict worst_of(const WhatIfPoint& p) {
  Verdict worst = Verdict::not_asked;
  for (const Verdict v : {p.soak, p.quench, p.hardness})
    if (v != Verdict::not_asked && (worst == Verdict::not_asked || v > worst))
      worst = v;
  return worst;
}

Tone tone_of(Verdict verdict) {
  return verdict == Verdict::pass       ? Tone::pass
         : verdict == Verdict::marginal ? Tone::marginal
         : verdict == Verdict::fail     ? Tone::fail
                                        : Tone::spine;
}

std::string with_degree_signs(std::string text) {
  for (std::size_t at; (at = text.find("degC")) != std::string::npos;)
    text.replace(at, 4, "\u00b0C");
  return text;
}

bool tempered(const WhatIfPoint& p) { return std::isfinite(p.tempered_least_HRC); }
double least_of(const WhatIfPoint& p) { return tempered(p) ? p.tempered_least_HRC : p.as_quenched_least_HRC; }
double most_of(const WhatIfPoint& p) { return tempered(p) ? p.tempered_most_HRC : p.as_quenched_most_HRC; }

bool changes_anything(const answers::WhatIfStrip& strip) {
  constexpr double told_HRC = 0.5; // hardness is told to half a point
  const auto apart = [](double a, double b) { return std::abs(a - b) >= told_HRC; };
  return std::any_of(strip.points.begin(), strip.points.end(), [&](const WhatIfPoint& p) {
    const WhatIfPoint& first = strip.points.front();
    return p.possible != first.possible || worst_of(p) != worst_of(first) ||
           apart(least_of(p), least_of(first)) || apart(most_of(p), most_of(first));
  });
}

} // namespace

std::optional<Drawing> draw_what_if(const treatment::Case& c, const answers::WhatIfStrip& strip) {
  double low = 99, high = 0;
  const treatment::HardnessWish wish = c.common_wish();
  for (const WhatIfPoint& p : strip.points)
    if (p.possible && std::isfinite(least_of(p)) && std::isfinite(most_of(p))) {
      low = std::min(low, least_of(p));
      high = std::max(high, most_of(p));
    }
  if (strip.points.size() < 2 || high < low)
    return {};
  if (wish.stated()) {
    low = std::min(low, wish.from);
    high = std::max(high, wish.to);
  }
  Axis x, y;
  x.to = static_cast<double>(strip.points.size());
  y.name = "HRC";
  y.unit = "HRC";
  y.from = std::max(20.0, std::floor(low - 1));
  y.to = std::ceil(high + 1);
  y.ticks = plain_ticks(y.from, y.to, 5);

  Drawing drawing{Svg(Palette::page), 500, 246, strip.question, ""};
  Svg& svg = drawing.svg;
  const Box plot{44, 46, 448, 140};
  Chart chart(svg, plot, x, y);
  const double column = plot.width / x.to;
  for (std::size_t k = 0; k < strip.points.size(); ++k)
    if (strip.points[k].as_set)
      svg.box({plot.left + column * static_cast<double>(k), plot.top - 24, column, plot.height + 24},
              Tone::panel, Tone::hair);
  if (wish.stated())
    svg.box({plot.left, chart.py(wish.to), plot.width, chart.py(wish.from) - chart.py(wish.to)}, Tone::wanted,
            Tone::none);
  chart.frame("");
  for (std::size_t k = 0; k < strip.points.size(); ++k) {
    const WhatIfPoint& p = strip.points[k];
    const double middle = plot.left + column * (static_cast<double>(k) + 0.5);
    const Verdict verdict = worst_of(p);
    const char* sign = !p.possible                    ? "\u2014"
                       : verdict == Verdict::pass     ? "\u2713"
                       : verdict == Verdict::marginal ? "!"
                       : verdict == Verdict::fail     ? "\u2715"
                                                      : "";
    const Tone tone = tone_of(verdict);
    svg.words(middle, plot.top - 8, sign, {16, "middle", p.possible ? tone : Tone::ink, true});
    std::string outcome = p.possible ? "" : "not possible";
    if (p.possible && std::isfinite(least_of(p)) && std::isfinite(most_of(p))) {
      const double top = std::clamp(chart.py(most_of(p)), plot.top, plot.bottom()),
                   bottom = std::clamp(chart.py(least_of(p)), plot.top, plot.bottom());
      svg.line({middle, top}, {middle, bottom}, tone, 5);
      svg.dot({middle, top}, tone, 4);
      svg.dot({middle, bottom}, tone, 4);
      const std::string least = hrc_text(least_of(p)), most = hrc_text(most_of(p));
      outcome = (least == most ? least : least + " to " + most) + " HRC";
      const bool above = bottom + 18 > plot.bottom();
      svg.words(middle, above ? top - 9 : bottom + 18, least, {13, "middle", Tone::ink, p.as_set, true});
    }
    const auto wide = static_cast<std::size_t>(std::max(6.0, column / 7.2));
    const std::vector<std::string> lines = folded(with_degree_signs(p.label), wide);
    for (std::size_t line = 0; line < lines.size() && line < 3; ++line)
      svg.words(middle, plot.bottom() + 18 + 15 * static_cast<double>(line), lines[line],
                {12.5, "middle", p.as_set ? Tone::ink : Tone::faint, p.as_set});
    drawing.description +=
        p.told + ": " + outcome +
        (!p.possible || verdict == Verdict::not_asked ? ""
                                                      : ", " + lower_case(answers::verdict_name(verdict))) +
        ". ";
  }
  return drawing;
}

WhatIfDrawings draw_what_ifs(const treatment::Case& c, const std::vector<answers::WhatIfStrip>& strips) {
  WhatIfDrawings out;
  for (const answers::WhatIfStrip& strip : strips)
    if (auto drawing = draw_what_if(c, strip)) {
      if (changes_anything(strip))
        out.changing.emplace_back(strip.key, std::move(*drawing));
      else
        out.same += (out.same.empty() ? "Nothing changes: " : " ") + strip.question;
    }
  return out;
}

} // namespace tq::output
