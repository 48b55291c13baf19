#include "random_case.hpp"

#include "../support/file_records.hpp"
#include "section/profile.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <random>
#include <utility>
#include <vector>

namespace tq::test {

namespace {

using namespace treatment;

/// Shipped records, each file read once.
class Shelf : public RecordSource {
 public:
  std::optional<RecordText> shipped(RecordKind kind, const std::string& key) const override {
    const auto found = held_.find({kind, key});
    return found == held_.end() ? std::nullopt : std::optional(found->second);
  }
  std::optional<RecordText> at_path(RecordKind, const std::string&) const override { return std::nullopt; }
  std::vector<std::string> keys(RecordKind kind) const override {
    std::vector<std::string> out;
    for (const auto& [name, text] : held_)
      if (name.first == kind)
        out.push_back(name.second);
    return out;
  }

  static const Shelf& get() {
    static const Shelf shelf;
    return shelf;
  }

 private:
  Shelf() {
    const FileRecords files;
    for (RecordKind kind : {RecordKind::steel, RecordKind::coolant, RecordKind::foil})
      for (const std::string& key : files.keys(kind))
        held_[{kind, key}] = files.shipped(kind, key).value();
    held_[{RecordKind::phases, "phases"}] = files.shipped(RecordKind::phases, "phases").value();
    held_[{RecordKind::strains, "strains"}] = files.shipped(RecordKind::strains, "strains").value();
    held_[{RecordKind::uncertainty, "typical_uncertainty"}] =
        files.shipped(RecordKind::uncertainty, "typical_uncertainty").value();
  }
  std::map<std::pair<RecordKind, std::string>, RecordText> held_;
};

double four_digits(double v) {
  if (v == 0)
    return 0;
  const double scale = std::pow(10.0, 3 - std::floor(std::log10(std::abs(v))));
  return std::round(v * scale) / scale;
}

class Draw {
 public:
  explicit Draw(std::uint64_t seed) : engine_(seed) {}
  bool chance(double p) { return unit() < p; }
  /// Even in [a, b].
  double even(double a, double b) { return four_digits(a + (b - a) * unit()); }
  /// Even in the logarithm, in [a, b].
  double logarithmic(double a, double b) {
    return four_digits(std::exp(std::log(a) + (std::log(b) - std::log(a)) * unit()));
  }
  int whole(int a, int b) { return a + static_cast<int>(unit() * (b - a + 1)); }
  template <class T>
  const T& one_of(const std::vector<T>& v) {
    return v[static_cast<std::size_t>(whole(0, static_cast<int>(v.size()) - 1))];
  }

 private:
  double unit() { return static_cast<double>(engine_() >> 11) * 0x1.0p-53; } ///< in [0, 1)
  std::mt19937_64 engine_;
};

class CaseText {
 public:
  void table(const std::string& name) { text_ += "\n[" + name + "]\n"; }
  void tables(const std::string& name) { text_ += "\n[[" + name + "]]\n"; }
  void raw(const std::string& key, const std::string& value) { text_ += key + " = " + value + "\n"; }
  void text(const std::string& key, const std::string& value) { raw(key, "\"" + value + "\""); }
  void flag(const std::string& key, bool value) { raw(key, value ? "true" : "false"); }
  void number(const std::string& key, double value) { raw(key, units::format_number(value)); }
  void value(const std::string& key, double number, const std::string& unit) {
    text(key, units::format_number(number) + " " + unit);
  }
  void values(const std::string& key, const std::vector<double>& numbers, const std::string& unit) {
    std::string list;
    for (double v : numbers)
      list += (list.empty() ? "\"" : ", \"") + units::format_number(v) + " " + unit + "\"";
    raw(key, "[" + list + "]");
  }
  const std::string& str() const { return text_; }

 private:
  std::string text_;
};

constexpr double mm = 1e-3;
const std::string htc_unit = "W/(m2 K)";

std::vector<double> metres(std::vector<double> in_mm) {
  for (double& v : in_mm)
    v *= mm;
  return in_mm;
}

/// Writes the section; returns it.
section::Profile draw_section(Draw& d, CaseText& out) {
  for (;;) {
    try {
      CaseText text;
      section::Profile profile;
      if (d.chance(0.15)) { // caliper readings
        std::vector<double> x{0}, t{d.logarithmic(1, 8)};
        const double width = d.even(10, 80);
        const int readings = d.whole(2, 7);
        for (int i = 1; i < readings; ++i) {
          x.push_back(four_digits(width * i / (readings - 1)));
          t.push_back(std::max(0.1, four_digits(t.back() * d.even(0.5, 1.05))));
        }
        profile = section::profile_from_calipers(metres(x), metres(t));
        text.table("blade.station.caliper");
        text.values("distance", x, "mm");
        text.values("thickness", t, "mm");
      } else if (d.chance(0.1)) { // a crooked outline
        const double w = d.even(10, 80), s = d.logarithmic(1, 8), e = d.logarithmic(0.1, s);
        const double lean = d.even(-0.3, 0.3) * s;
        const std::vector<double> x{0, w, w, 0.5 * w, 0, 0};
        const std::vector<double> y{0.5 * s, 0.5 * e + lean, -0.5 * e + lean, -0.4 * s, -0.5 * s, 0};
        profile = section::profile_from_points(metres(x), metres(y));
        text.table("blade.station.outline");
        text.values("x", x, "mm");
        text.values("y", y, "mm");
      } else {
        section::GrindSpec g;
        const auto length = [&](const char* key, double& at, double value_mm) {
          text.value(key, value_mm, "mm");
          at = value_mm * mm;
          return value_mm;
        };
        g.grind = static_cast<section::Grind>(d.whole(0, 4));
        text.text("grind",
                  std::vector{"flat", "bevel", "hollow", "convex", "one-sided"}[static_cast<int>(g.grind)]);
        const double width = length("width", g.width, d.even(10, 80));
        const double spine = length("spine", g.spine, d.logarithmic(1, 8));
        length("edge", g.edge, std::min(spine, d.logarithmic(0.1, 2)));
        if (g.grind != section::Grind::flat)
          length("bevel_height", g.bevel_height, four_digits(d.even(0.3, 0.9) * width));
        if (g.grind == section::Grind::hollow)
          length("wheel_radius", g.wheel_radius, d.logarithmic(30, 500));
        if (g.grind == section::Grind::convex)
          length("convex_bulge", g.convex_bulge, four_digits(d.even(0.01, 0.1) * spine));
        if (d.chance(0.15)) {
          length("false_edge_width", g.false_edge_width, four_digits(d.even(0.1, 0.25) * width));
          length("false_edge_thickness", g.false_edge_thickness, four_digits(d.even(0.3, 0.9) * spine));
        }
        profile = section::profile_from_grind(g);
      }
      out.raw("name", "\"drawn\"\n" + text.str());
      return profile;
    } catch (const section::ProfileError&) {
      // not a blade: draw again
    }
  }
}

/// Most cases run every stage; the others any set of them.
std::vector<std::string> draw_stages(Draw& d) {
  const std::vector<std::string> all{"furnace", "transfer", "bath", "cool", "temper"};
  if (d.chance(0.65))
    return all;
  std::vector<std::string> some;
  while (some.empty())
    for (const std::string& stage : all)
      if (d.chance(0.55))
        some.push_back(stage);
  return some;
}

/// Hardening temperatures [degC] of a steel, without reading its record here.
std::pair<double, double> usual_hardening(const std::string& steel) {
  static std::map<std::string, std::pair<double, double>> known;
  auto found = known.find(steel);
  if (found == known.end()) {
    const Case c = read_case("format = 1\n[blade]\nsteel = \"" + steel +
                                 "\"\nlength = \"1 m\"\n[[blade.station]]\nwidth = \"30 mm\"\nspine = \"3 "
                                 "mm\"\nedge = \"0.5 mm\"\n",
                             "probe", Shelf::get());
    const auto& a = c.steel.austenitising;
    found = known.emplace(steel, std::pair(a.hardening_from_degC, a.hardening_to_degC)).first;
  }
  return found->second;
}

/// The keys that came later are drawn from a stream of their own, so that the older ones of a seed stay.
void draw_load(Draw& more, CaseText& out, double hardening) {
  if (hardening < 950 && more.chance(0.3)) { // below the limit of the foil
    out.value("overshoot", more.logarithmic(1, 60), "K");
    if (more.chance(0.5))
      out.value("overshoot_peak", more.logarithmic(5, 1800), "s");
  }
  if (more.chance(0.3)) {
    out.number("blades", more.whole(2, 12));
    out.value("spacing", more.logarithmic(2, 200), "mm");
  }
}

void draw_support(Draw& more, CaseText& out, double width_m) {
  if (!more.chance(0.25))
    return;
  out.table("furnace.support");
  out.text("face", more.chance(0.6) ? "spine" : "edge");
  out.value("depth", four_digits(std::min(50.0, more.even(0, 0.6) * width_m / mm)), "mm");
  out.value("conductance", more.logarithmic(10, 2000), htc_unit);
  if (more.chance(0.5))
    out.value("cooler", more.even(0, 400), "K");
}

/// Returns the temperature of the hold.
double draw_furnace(Draw& d, Draw& more, CaseText& out, double hardening) {
  out.table("furnace");
  const bool hot = d.chance(0.7);
  out.text("loading", hot ? "hot" : "cold");
  if (!d.chance(0.05))
    out.value("timer", d.chance(0.05) ? d.even(0.5, 60) : d.logarithmic(60, 3 * 3600), "s");
  out.text("timer_from", d.chance(0.7) ? "door" : "recovery");
  out.value("reading_offset", d.even(-30, 30), "K");
  out.number("wall_emissivity", d.even(0.05, 1));
  out.value("convection", d.chance(0.05) ? 0 : d.even(3, 40), htc_unit);
  draw_load(more, out, hardening);
  if (hot) {
    out.value("setpoint", hardening, "degC");
    const bool droops = d.chance(0.7);
    out.value("droop", droops ? d.even(1, 110) : 0, "K");
    out.value("recovery", droops ? d.logarithmic(30, 1800) : 0, "s");
    return hardening;
  }
  const int lines = d.whole(1, 4);
  for (int i = 1; i <= lines; ++i) {
    out.tables("furnace.programme");
    out.value("target", i < lines ? d.even(200, hardening) : hardening, "degC");
    if (!d.chance(0.3))
      out.value("rate", d.logarithmic(0.02, 2), "K/s");
    if (!d.chance(0.2))
      out.value("hold", d.logarithmic(1, 1800), "s");
  }
  return hardening;
}

/// Returns true when the foil stays on in the bath.
bool draw_wrap(Draw& d, Draw& more, CaseText& out) {
  out.table("wrap");
  const bool in_oil = d.chance(0.4);
  out.number("layers", d.whole(1, 3));
  out.value("thickness", d.logarithmic(20, 100), "um");
  const auto gap = [&] { return d.logarithmic(1, 3000); };
  out.value("gap", gap(), "um");
  if (d.chance(0.1))
    out.value("gap_conductance", d.logarithmic(5, 20000), htc_unit);
  out.number("contact_fraction", d.chance(0.5) ? 0.02 : d.even(0, 0.3));
  out.value("contact_conductance", d.even(300, 3000), htc_unit);
  out.number("emissivity_outside", d.even(0.1, 0.95));
  out.number("emissivity_inside", d.even(0.1, 0.95));
  if (d.chance(0.1))
    out.value("heat_capacity", d.logarithmic(20, 1000), "J/(m2 K)");
  out.flag("in_oil", in_oil);
  if (more.chance(0.3)) {
    out.number("emissivity_oxidised", more.even(0.1, 0.95));
    if (more.chance(0.5))
      out.value("oxidises_in", more.logarithmic(5, 7200), "s");
  }
  if (d.chance(0.4)) {
    std::string faces;
    for (const char* face : {"flank_a", "flank_b", "spine", "edge"})
      faces +=
          (faces.empty() ? "{ " : ", ") + std::string(face) + " = \"" + units::format_number(gap()) + " um\"";
    out.raw("gaps", faces + " }");
  }
  return in_oil;
}

/// One flank cooled otherwise than the other. `wetted`: a dip, a delay or a speed of wetting tells already
/// when each flank meets the bath.
void draw_flanks(Draw& more, CaseText& out, bool wetted) {
  if (more.chance(0.6))
    out.number("flank_cooling", more.logarithmic(0.2, 5));
  if (!wetted && more.chance(0.6))
    out.value("flank_delay", four_digits(more.even(-1, 1) * more.logarithmic(0.1, 20)), "s");
}

/// When and how far the blade is in the bath, and the blades before it. Returns whether wetting is told.
bool draw_ways(Draw& more, CaseText& out, double bath_degC, double width_m, bool finite, bool oil) {
  if (more.chance(0.15)) {
    out.value("out_at", std::clamp(four_digits(bath_degC + more.logarithmic(2, 600)), -50.0, 900.0), "degC");
    out.text("out_where", more.one_of(std::vector<std::string>{"surface", "inside", "edge", "spine"}));
  }
  bool wetted = true;
  if (more.chance(0.1)) {
    out.value("immersion", four_digits(more.even(0.05, 1.1) * width_m / mm), "mm");
  } else if (more.chance(0.15)) {
    out.value("wetting_delay", more.chance(0.3) ? 0 : more.logarithmic(0.01, 20), "s");
    if (more.chance(0.6))
      out.value("wetting_speed", more.logarithmic(1, 1000), "mm/s");
  } else {
    wetted = false;
  }
  if (finite && more.chance(0.25)) {
    out.number("blades", more.whole(2, 10));
    out.value("interval", more.chance(0.1) ? 0 : more.logarithmic(1, 7200), "s");
  }
  if (oil && more.chance(0.2))
    out.value("water", more.even(0, 0.1), "%");
  return wetted;
}

/// `table`: bath, or second_bath, which is drawn from the stream `more` alone.
void draw_bath(Draw& d, Draw& more, CaseText& out, double width_m, bool flanks,
               const std::string& table = "bath") {
  out.table(table);
  const bool fixed = d.chance(0.2), plain = fixed && d.chance(0.5);
  const std::string coolant = d.one_of(Shelf::get().keys(RecordKind::coolant));
  const bool air = coolant == "still-air", water = coolant == "water" || coolant == "brine";
  if (!plain)
    out.text("coolant", coolant);
  if (fixed)
    out.value("htc", d.logarithmic(5, 20000), htc_unit);
  const double bath_degC = plain   ? d.even(-80, 200)
                           : water ? d.even(5, 60)
                           : air   ? d.even(-10, 40)
                                   : d.even(15, 120);
  out.value("temperature", bath_degC, "degC");
  bool finite = false;
  if (!plain && !air) {
    finite = !d.chance(0.2);
    if (finite)
      out.value("volume", d.logarithmic(0.5, 200), "L");
    else
      out.text("volume", "large");
  }
  if (!plain)
    out.value("agitation", d.chance(0.5) ? 0 : d.even(0, 1), "m/s");
  out.value("time", d.logarithmic(1, 600), "s");
  if (air)
    return;
  const bool wetted = draw_ways(more, out, bath_degC, width_m, finite, !plain && !water);
  if (flanks)
    draw_flanks(more, out, wetted);
}

/// Of the zones some are wished hard, some soft.
void draw_wish(Draw& more, CaseText& out) {
  std::string hard, soft;
  for (const char* zone : {"edge", "middle", "spine", "thickest"}) {
    const bool wanted = more.chance(0.5);
    if (wanted || more.chance(0.3)) {
      std::string& list = wanted ? hard : soft;
      list += (list.empty() ? "[\"" : ", \"") + std::string(zone) + "\"";
    }
  }
  if (!more.chance(0.3) || hard.empty())
    return;
  out.table("wish");
  out.raw("harden", hard + "]");
  if (!soft.empty())
    out.raw("soft", soft + "]");
}

void draw_temper(Draw& d, CaseText& out) {
  out.table("temper");
  out.value("oven", d.chance(0.1) ? d.even(60, 700) : d.even(120, 450), "degC");
  out.value("time", d.logarithmic(600, 4 * 3600), "s");
  out.number("count", d.whole(1, 3));
  out.text("kind", d.chance(0.5) ? "still" : "fan");
  if (d.chance(0.5)) {
    out.value("swing", d.even(0, 40), "K");
    out.value("swing_period", d.logarithmic(60, 1800), "s");
  }
  if (d.chance(0.3))
    out.value("edge_extra", d.even(0, 40), "K");
  if (d.chance(0.3))
    out.value("convection", d.even(3, 60), htc_unit);
  out.number("emissivity", d.even(0.1, 0.95));
}

} // namespace

std::string random_case_text(std::uint64_t seed) {
  Draw d(seed * 0x9E3779B97F4A7C15ull + 1), more(seed * 0xD1B54A32D192ED03ull + 7);
  CaseText out;
  out.number("format", 1);
  out.text("title", "random case " + std::to_string(seed));
  const std::vector<std::string> stages = draw_stages(d);
  const auto runs = [&](const char* stage) {
    return std::find(stages.begin(), stages.end(), stage) != stages.end();
  };
  std::string words;
  for (const std::string& stage : stages)
    words += (words.empty() ? "[\"" : ", \"") + stage + "\"";
  out.raw("stages", words + "]");

  const std::string steel = d.one_of(Shelf::get().keys(RecordKind::steel));
  const auto [from, to] = usual_hardening(steel);
  const double hardening = d.chance(0.05) ? d.even(500, 1050) : d.even(from - 60, to + 60);
  out.table("start");
  if (stages.front() == "furnace") {
    out.value("temperature", d.chance(0.9) ? 20 : d.even(-20, 500), "degC");
  } else if (stages.front() == "temper") {
    out.value("temperature", d.even(-80, 150), "degC");
  } else {
    const bool usual = d.chance(0.8);
    out.value("temperature", usual ? hardening : d.even(250, 1150), "degC");
    out.flag("austenitised", usual || d.chance(0.5));
  }

  out.table("blade");
  out.text("steel", steel);
  out.value("length", d.even(30, 600), "mm");
  out.text("start", d.chance(0.5) ? "spheroidised" : "fine pearlite");
  out.tables("blade.station");
  const section::Profile profile = draw_section(d, out);

  if (runs("furnace"))
    draw_furnace(d, more, out, hardening);
  if (runs("furnace"))
    draw_support(more, out, profile.width());
  const bool wrapped = d.chance(0.75), in_oil = wrapped && draw_wrap(d, more, out);
  out.table("surface");
  out.number("air", d.even(0.1, 0.95));
  out.number("furnace", d.even(0.1, 0.95));
  out.number("in_foil", d.even(0.1, 0.95));
  out.table("transfer");
  out.value("time", d.chance(0.1) ? 0 : four_digits(d.even(0, 60) * d.even(0, 1)), "s");
  if (wrapped)
    out.flag("in_foil", in_oil || d.chance(0.2));
  out.value("air", d.even(-10, 40), "degC");
  if (d.chance(0.3))
    out.value("convection", d.even(5, 100), htc_unit);
  const bool flanks = seed >= first_seed_with_flanks;
  draw_bath(d, more, out, profile.width(), flanks);
  if (runs("bath") && more.chance(0.15)) {
    draw_bath(more, more, out, profile.width(), flanks, "second_bath");
  }
  draw_wish(more, out);
  out.table("cool");
  out.value("air", d.even(-20, 40), "degC");
  if (d.chance(0.6))
    out.value("lowest", d.even(-196, 80), "degC");
  if (d.chance(0.3))
    out.value("convection", d.even(5, 100), htc_unit);
  draw_temper(d, out);

  for (int i = 1; i <= 2; ++i) {
    const double at = d.even(0.01, 0.99) * profile.width(), across = d.even(0.05, 0.95);
    out.tables("probe");
    out.text("name", "probe " + std::to_string(i));
    out.value("x", at / mm, "mm");
    out.value("y", (profile.bottom_at(at) + across * profile.thickness_at(at)) / mm, "mm");
  }
  if (d.chance(0.1)) { // fields at odd moments, also far beyond the end
    std::vector<double> times;
    for (int i = d.whole(1, 8); i > 0; --i)
      times.push_back(d.logarithmic(0.01, 20000));
    std::sort(times.begin(), times.end());
    times.erase(std::unique(times.begin(), times.end()), times.end());
    out.table("output");
    out.values("times", times, "s");
  }
  out.table("solver");
  const bool fine = d.chance(0.05);
  out.value("tolerance", d.logarithmic(0.05, 1), "K");
  const int along = fine ? d.whole(48, 96) : d.whole(16, 32);
  const int across = 2 * (fine ? d.whole(4, 8) : d.whole(2, 4));
  // up to six times the default's lines
  const bool very_fine = seed >= first_seed_with_fine_grids && more.chance(0.1);
  out.number("along", very_fine ? more.whole(90, 540) : along);
  out.number("across", very_fine ? 2 * more.whole(4, 18) : across);
  if (d.chance(0.03))
    out.value("max_step", d.logarithmic(10, 300), "s");
  out.flag("symmetry", d.chance(0.8));
  return out.str();
}

Case random_case(std::uint64_t seed) {
  return read_case(random_case_text(seed), "seed " + std::to_string(seed), Shelf::get());
}

} // namespace tq::test
