#include "output/risk_words.hpp"

#include "output/text.hpp"

#include <algorithm>
#include <cmath>
#include <ostream>

namespace tq::output {
namespace {

using answers::BowAnswer;
using answers::CrackFlag;
using answers::CrackLevel;
using answers::Risks;
using answers::Verdict;

constexpr std::size_t risk_label_width = 11, verdict_width = 10;
constexpr double unseen_m = 0.05e-3; ///< a bow below is told as none

/// Tenths of a millimetre are all that such an estimate holds.
std::string mm_text(double m) { return formatted("%.1f mm (%.3f in)", m * 1e3, m / 0.0254); }

const BowAnswer* worst_bow(const Risks& risks) {
  const BowAnswer* worst = nullptr;
  for (const BowAnswer& s : risks.stations)
    if (worst == nullptr || s.bow_m > worst->bow_m)
      worst = &s;
  return worst;
}

const char* outside(const BowAnswer& s) {
  return !s.side_certain ? "either side" : s.convex_on_a ? "flank A outside" : "flank B outside";
}

/// What most of the band comes from.
std::string doubt_of(const BowAnswer& s) {
  constexpr std::size_t told = 2;
  constexpr double worth_telling = 0.1; // of the band
  std::string out;
  const double band = 0.5 * (s.high_m - s.low_m);
  for (std::size_t k = 0; k < std::min(told, s.parts.size()); ++k)
    if (std::abs(s.parts[k].change_m) > worth_telling * band)
      out += (out.empty() ? "" : " and ") + s.parts[k].name;
  return out;
}

std::string bow_text(const treatment::Case& c, const BowAnswer& s, bool several) {
  const std::string over = formatted(" over %.0f mm", c.blade.length_m * 1e3);
  std::string text = several ? s.name + ": " : "";
  text += s.high_m < unseen_m ? "under 0.1 mm (0.004 in)" + over
                              : mm_text(s.bow_m) + over + ", nine times in ten from " + mm_text(s.low_m) +
                                    " to " + mm_text(s.high_m) + ", " + outside(s);
  return text + ": " + s.cause;
}

std::string with_verdict(Verdict verdict, const std::string& text) {
  return upper_case(answers::verdict_name(verdict)) + (text.empty() ? "" : ": " + text);
}

} // namespace

std::string brief_bow(const Risks& risks) {
  const BowAnswer* worst = worst_bow(risks);
  if (worst == nullptr)
    return risks.bow.reason.text();
  if (worst->high_m < unseen_m)
    return "under 0.1 mm (0.004 in)";
  return mm_text(worst->bow_m) + ", " + outside(*worst) + "; estimate";
}

std::string brief_crack(const Risks& risks) {
  std::string text;
  for (const CrackFlag& f : risks.crack.flags)
    if (f.level != CrackLevel::note)
      text += (text.empty() ? "" : ", ") + f.title;
  return text.empty() ? (risks.crack.crack.verdict == Verdict::not_asked ? risks.crack.crack.reason.text()
                                                                         : "nothing stated invites one")
                      : text;
}

std::vector<Entry> risk_entries(const treatment::Case& c, const Risks& risks) {
  std::vector<Entry> out;
  if (risks.stations.empty())
    out.push_back({"bow", with_verdict(risks.bow.verdict, risks.bow.reason.text()), {}});
  const bool several = risks.stations.size() > 1;
  for (const BowAnswer& s : risks.stations) {
    const bool first = out.empty();
    const std::string text = bow_text(c, s, several);
    out.push_back({first ? "bow" : "", first ? with_verdict(risks.bow.verdict, text) : text, {}});
  }
  if (const BowAnswer* worst = worst_bow(risks)) {
    const std::string doubt = worst->high_m < unseen_m ? "" : doubt_of(*worst);
    std::string text = doubt.empty() ? "" : "most in doubt by " + doubt;
    if (std::abs(worst->edge_bow_m) > unseen_m)
      text += (text.empty() ? "" : "; ") + std::string("in the plane of the blade ") +
              mm_text(std::abs(worst->edge_bow_m)) +
              (worst->edge_bow_m > 0 ? ", edge outside" : ", spine outside");
    if (!text.empty())
      out.push_back({"", text, {}});
    if (risks.bow.verdict != Verdict::pass) {
      out.push_back({"", "what helps: " + worst->advice, {}});
      out.push_back(
          {"",
           formatted("judged against %.2g and %.2g mm (common practice); of all this the side is the "
                     "least certain",
                     c.thresholds.bow_pass_m * 1e3, c.thresholds.bow_marginal_m * 1e3),
           {risks.straightening_caution}});
    }
  }
  out.push_back({"crack", with_verdict(risks.crack.crack.verdict, brief_crack(risks)), {}});
  for (const CrackFlag& f : risks.crack.flags)
    out.push_back({"", std::string(answers::crack_level_name(f.level)) + ": " + f.reason.text(), {}});
  if (!risks.crack.not_stated.empty() && risks.crack.crack.verdict != Verdict::not_asked) {
    std::string text;
    for (const answers::NotStated& one : risks.crack.not_stated)
      text += (text.empty() ? "not stated: " : ", ") + one.text();
    out.push_back({"", text, {}});
  }
  return out;
}

std::optional<Drawing> draw_bow(const treatment::Case& c, const BowAnswer& bow) {
  if (!(bow.high_m >= unseen_m) || c.blade.length_m <= 0)
    return {};
  // the arc is drawn 40 high whatever it is; upwards is the side that flank A faces
  constexpr double left = 40, right = 460, high = 40, chord = 88;
  const double magnified = high / (right - left) * c.blade.length_m / std::max(bow.bow_m, unseen_m);
  Drawing drawing{Svg(Palette::page), 500, 150, "Bow of the blade, seen along the edge", ""};
  Svg& svg = drawing.svg;
  const double sign = bow.convex_on_a ? -1 : 1, base = chord - (bow.convex_on_a ? -high / 2 : high / 2);
  constexpr int pieces = 48;
  constexpr double half = 3; // of the thickness drawn
  std::vector<Point> upper, lower;
  for (int k = 0; k <= pieces; ++k) {
    const double s = 2.0 * k / pieces - 1;
    const double y = base + sign * high * (1 - s * s), x = left + (right - left) * k / pieces;
    upper.push_back({x, y - half});
    lower.push_back({x, y + half});
  }
  std::vector<Point> body = upper;
  body.insert(body.end(), lower.rbegin(), lower.rend());
  svg.line({left, base}, {right, base}, Tone::faint, 1.2, "6 4");
  svg.area(body, Tone::spine);
  const double middle = 0.5 * (left + right), top = base + sign * high;
  svg.line({middle, base}, {middle, top - sign * half}, Tone::ink, 1.2);
  svg.words(middle, top + sign * 12 + (sign > 0 ? 8 : 0),
            formatted("%.1f mm (%.1f to %.1f)", bow.bow_m * 1e3, bow.low_m * 1e3, bow.high_m * 1e3),
            {14, "middle", Tone::ink, true, true});
  svg.words(left, 16, "flank A", {13, "start", Tone::faint});
  svg.words(left, 144, "flank B", {13, "start", Tone::faint});
  svg.words(right, 144, formatted("bow drawn %.0f times too large", magnified), {13, "end", Tone::faint});
  drawing.description = formatted("The blade as an arc %.1f mm high over %.0f mm, %s.", bow.bow_m * 1e3,
                                  c.blade.length_m * 1e3, outside(bow));
  return drawing;
}

void print_risks(std::ostream& out, const treatment::Case& c, const Risks& risks, bool colour) {
  out << "\nBOW AND CRACKS\n";
  const auto verdict_word = [&](Verdict verdict) {
    std::string word = padded(upper_case(answers::verdict_name(verdict)), verdict_width);
    if (!colour || verdict == Verdict::not_asked)
      return word;
    const char* code = verdict == Verdict::pass ? "32" : verdict == Verdict::marginal ? "33" : "31";
    return formatted("\x1b[1;%sm%s\x1b[0m", code, word.c_str());
  };
  const auto lines = [&](const std::string& head, std::size_t left, const std::string& text) {
    const std::vector<std::string> parts = folded(clean_utf8(text), page_width - left);
    for (std::size_t k = 0; k < parts.size(); ++k)
      out << (k == 0 ? head : std::string(left, ' ')) << parts[k] << '\n';
  };
  const std::string indent(2 + risk_label_width, ' ');
  for (const Entry& e : risk_entries(c, risks)) {
    if (!e.label.empty()) {
      const Verdict verdict = e.label == "bow" ? risks.bow.verdict : risks.crack.crack.verdict;
      const std::size_t word = with_verdict(verdict, " ").size() - 1; // "PASS: "
      lines("  " + padded(e.label, risk_label_width) + verdict_word(verdict),
            2 + risk_label_width + verdict_width, e.text.substr(std::min(word, e.text.size())));
    } else {
      lines(indent, indent.size(), e.text);
    }
    for (const std::string& caution : e.cautions)
      lines(indent + "! ", indent.size() + 2, caution);
  }
}

} // namespace tq::output
