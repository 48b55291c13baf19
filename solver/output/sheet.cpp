#include "output/sheet.hpp"

#include "answers/bath_limit.hpp"
#include "answers/decision.hpp"
#include "answers/ledger.hpp"
#include "answers/temper_forecast.hpp"
#include "output/chart.hpp"
#include "output/drawings.hpp"
#include "output/html.hpp"
#include "output/judged.hpp"
#include "output/key_figures.hpp"
#include "output/section_map.hpp"
#include "output/sheet_remedies.hpp"
#include "output/text.hpp"
#include "page_assets.hpp"
#include "steel/grain.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

namespace tq::output {
namespace {

using answers::Answers;
using answers::StationAnswer;
using answers::Verdict;
using treatment::Case;
using treatment::Part;
using treatment::Run;

/// "800 °C / 1472 °F": the sheet shows both scales, equally large.
std::string both(double degC) { return formatted("%.0f \u00b0C / %.0f \u00b0F", degC, degC * 1.8 + 32); }

class Sheet {
 public:
  Sheet(const Case& c, const std::vector<Run>& runs, const Answers& a, const Origin& origin,
        const Extras& extras)
      : case_(c), runs_(runs), answers_(a), origin_(origin), extras_(extras) {
    for (std::size_t k = 0; k < a.stations.size(); ++k) // the section that decides is the one drawn
      if (margin_of(a.stations[k]) < margin_of(a.stations[shown_]))
        shown_ = k;
  }

  std::string html() {
    const std::string title = answers_.title.empty() ? "Heat treatment" : answers_.title;
    out_ = page_head("Shop sheet: " + title, sheet_css, "");
    out_ += "<main class=\"page\">\n";
    head(title);
    decision();
    strip();
    const std::string above = std::exchange(out_, "");
    height_mm_ = 0;
    if (case_.heated())
      furnace();
    Column left = taken();
    if (case_.quenched() || case_.carried())
      bath();
    Column right = taken();
    if (!case_.steel.inert && (case_.quenched() || case_.cooled()))
      before_temper();
    // Two columns of their own height: what comes third goes below the one that is shorter by then, and the
    // map of the section fills what is left.
    const auto below_shorter = [&] {
      Column& shorter = left.height_mm <= right.height_mm ? left : right;
      const Column next = taken();
      shorter.html += next.html;
      shorter.height_mm += next.height_mm;
    };
    below_shorter();
    map();
    below_shorter();
    constexpr double far_longer = 1.1; // then it gets more of the width
    const bool wide_left = left.height_mm > far_longer * right.height_mm;
    out_ = above + "<div class=\"cards" + (wide_left ? " left" : "") + "\">\n<div>\n" + left.html +
           "</div>\n<div>\n" + right.html + "</div>\n</div>\n";
    if (case_.tempered())
      temper();
    out_ += "<div class=\"plots\">\n";
    curves();
    remedies();
    out_ += "</div>\n";
    readings();
    foot();
    out_ += "</main>\n" + page_foot("");
    return std::move(out_);
  }

 private:
  static double margin_of(const StationAnswer& s) {
    double least = std::numeric_limits<double>::infinity();
    for (const answers::ZoneAnswer& z : s.zones)
      if (z.rate_margin < least)
        least = z.rate_margin;
    return least;
  }

  struct Column {
    std::string html;
    double height_mm = 0;
  };
  Column taken() { return {std::exchange(out_, ""), std::exchange(height_mm_, 0)}; }

  /// Counts lines of a paragraph in a card, by the mean width of a letter at its size; to compare columns.
  void count_lines(const std::string& text, double letters, double line_mm) {
    height_mm_ += line_mm * std::ceil(static_cast<double>(columns(text)) / letters);
  }

  void card(const char* title) {
    height_mm_ += 7; // its title, frame and distance
    out_ += std::string("<section><h2>") + title + "</h2>\n";
  }

  void big(const std::string& text, const std::string& after = "") {
    count_lines(text + after, 42, 6.4);
    out_ += "<p class=\"big\">" + xml_escaped(text) +
            (after.empty() ? "" : " <small>" + xml_escaped(after) + "</small>") + "</p>\n";
  }
  void mid(const std::string& text) {
    count_lines(text, 44, 4.5);
    out_ += "<p class=\"mid\">" + plain_units(text) + "</p>\n";
  }
  void small(const std::string& text) {
    count_lines(text, 56, 3.8);
    out_ += "<p>" + plain_units(text) + "</p>\n";
  }

  /// The cautions that belong beside this card's numbers.
  void safety(const std::vector<const char*>& beside) {
    std::string text;
    for (const char* where : beside)
      for (const answers::Caution& caution : answers_.cautions)
        if (caution.beside == where)
          text += (text.empty() ? "" : " ") + caution.text;
    if (text.empty())
      return;
    count_lines(text, 76, 2.7);
    out_ += "<p class=\"safe\">" + plain_units(text) + "</p>\n";
  }

  void head(const std::string& title) {
    out_ += "<header class=\"head\">\n<div>\n<h1" +
            std::string(title.size() > 60   ? " class=\"long\""
                        : title.size() > 34 ? " class=\"middling\""
                                            : "") +
            ">" + xml_escaped(title) + "</h1>\n<p>" + xml_escaped(case_.steel.designation) +
            "</p>\n<div class=\"fill\">\n";
    for (const char* what : {"blade", "bar batch", "date", "by"})
      out_ += std::string("<p>") + what + " <span class=\"blank\"></span></p>\n";
    out_ += "</div>\n</div>\n<div>\n";
    outline();
    out_ += "</div>\n</header>\n";
  }

  /// The section with its calipers' figures.
  void outline() {
    const Run& run = runs_.at(shown_);
    const WholeSection whole(run.grid);
    const double width = run.grid.x.back();
    const auto [low, high] = std::minmax_element(whole.y.begin(), whole.y.end());
    const double scale = std::min(380 / width, 60 / (*high - *low));
    Svg svg(Palette::page);
    const Placement place{(420 - width * scale) / 2, 26 + *high * scale, scale};
    draw_outline(svg, whole, place, 0);
    const auto thick = [&](std::size_t i) {
      return (run.grid.top[i] - run.grid.bottom[i]) * (run.grid.half ? 2 : 1);
    };
    svg.words(4, 15, "spine " + length_text(thick(0)), {13});
    svg.words(416, 15, "edge " + length_text(thick(run.grid.x.size() - 1)), {13, "end"});
    const double below = place.centre - *low * scale + 20;
    std::string text = length_text(width) + " wide";
    if (case_.blade.length_m > 0)
      text += formatted(", %.0f mm long", case_.blade.length_m * 1e3);
    const double mass = answers_.stations[shown_].mass_kg;
    if (std::isfinite(mass) && mass > 0)
      text += formatted(", %.0f g", mass * 1e3);
    svg.words(210, below, text, {13, "middle"});
    svg.words(210, below + 17, run.station, {13, "middle"});
    out_ += svg.element(420, below + 24, "Section of the blade", text, "outline");
  }

  /// Go or not, why, what to change.
  void decision() {
    const answers::Decision d = answers::decide(answers_, extras_.risks);
    std::string change;
    constexpr std::size_t most = 2;
    for (std::size_t k = 0; k < std::min(most, d.changes.size()); ++k)
      change += (k > 0 ? "; " : "") + d.changes[k];
    out_ += std::string("<p class=\"go ") +
            (d.go == answers::Go::go || d.go == answers::Go::not_asked ? "pass"
             : d.go == answers::Go::do_not                             ? "fail"
                                                                       : "marginal") +
            "\"><b>" + answers::go_word(d.go) + "</b> " + plain_units(d.because) +
            (change.empty() ? "" : ". <b class=\"change\">Change:</b> " + plain_units(change)) + "</p>\n";
  }

  /// What its place holds: the first clause, of a verdict that is no pass all that is said by draws.
  static std::string brief_reason(const answers::Judgement& j) {
    constexpr std::size_t place_for = 100;
    const std::string whole = j.reason.by_draws();
    return j.verdict == Verdict::pass || whole.size() > place_for ? j.reason.brief() : whole;
  }

  void strip() {
    std::string cells;
    for (const Named& named : named_verdicts(answers_))
      if (named.judgement->verdict != Verdict::not_asked)
        cells += std::string("<section><span>") + named.name + "</span> <b class=\"" +
                 verdict_key(named.judgement->verdict) + "\">" +
                 upper_case(answers::verdict_name(named.judgement->verdict)) + "</b><p class=\"reason\">" +
                 plain_units(brief_reason(*named.judgement)) + "</p></section>\n";
    if (!cells.empty())
      out_ += "<div class=\"strip\">\n" + cells + "</div>\n";
    std::string risks; // no draws decide them, so they stand in a line of their own
    for (const NamedRisk& risk : named_risks(extras_.risks))
      if (risk.judgement->verdict != Verdict::not_asked)
        risks += std::string("<p>") + risk.name + " <strong class=\"" + verdict_key(risk.judgement->verdict) +
                 "\">" + upper_case(answers::verdict_name(risk.judgement->verdict)) + "</strong> " +
                 plain_units(risk.brief) + "</p>\n";
    if (!risks.empty())
      out_ += "<div class=\"risks\">\n" + risks + "</div>\n";
  }

  void furnace() {
    const treatment::Furnace& f = case_.furnace();
    card("1 Furnace");
    big(both(f.setpoint_degC), f.log ? "as logged" : "on the display");
    const double door = over_stations(answers_.stations, "timer_from_door", true);
    const double careful = over_stations(answers_.stations, "timer_careful", true);
    const bool hot = f.loading == treatment::Loading::hot, drawn = std::isfinite(careful);
    if (std::isfinite(door) && !case_.steel.inert)
      timer(drawn ? careful : door, drawn, door, hot);
    soak_limits();
    std::string text = f.log ? "follows its log" : hot ? "blade goes in hot" : "blade goes in cold";
    if (!hot) {
      int told = 0;
      for (const surroundings::ProgrammeStep& step : f.programme)
        if (told++ < 4)
          text += "; to " + temperature_text(step.target_degC) +
                  (step.rate_K_s > 0 ? " at " + difference_text(step.rate_K_s * 3600) + " per hour" : "") +
                  ", hold " + minutes_up(step.hold_s);
    }
    small(text);
    const treatment::Wrap& w = case_.wrap;
    if (w.layers > 0)
      small(formatted("foil: %d layer%s of ", w.layers, w.layers > 1 ? "s" : "") +
            length_text(w.thickness_m) +
            (case_.quenched() ? w.on_in_oil ? "; stays on in the oil" : "; off before the oil" : ""));
    else
      small("no foil");
    height_mm_ += 4;
    out_ += "<p><span class=\"tick\"></span> second thermocouple read beside the blade</p>\n";
    safety({"timer", "soak", "furnace", "foil"});
    out_ += "</section>\n";
  }

  /// Which timer the figures of this sheet are for, large, and the recommended one beside it where the case
  /// sets another: a sheet that says one and means another is followed wrongly.
  void timer(double recommended, bool drawn, double middle, bool hot) {
    constexpr double same_s = 30;
    const double used = over_stations(answers_.stations, "timer_used");
    const bool own = std::isfinite(used) && std::abs(used - recommended) > same_s;
    big(minutes_up(own ? used : recommended),
        own ? case_.furnace().timer_s ? "timer, as the case sets it" : "timer, started as the door closes"
            : "timer, started as the door closes");
    const std::string display =
        drawn
            ? minutes_up(std::max(0.0, recommended - over_stations(answers_.stations, "display_ready", true)))
            : told_of(answers_.stations, "timer_from_recovery", true);
    const std::string from_display =
        display + (hot ? " once the display is back" : " once the display is there");
    const std::string why = drawn ? "nine in ten, middle " + minutes_up(middle)
                                  : "for the soak of " + minutes_up(case_.wishes.soak_s);
    if (own)
      small((answers_.soak.verdict != Verdict::pass && used < recommended ? "too short, set "
                                                                          : "recommended: ") +
            minutes_up(recommended) + ", or " + from_display + " (" + why + "); figures here are for " +
            minutes_up(used));
    else
      small("or " + from_display + "; " + why);
  }

  /// What is too long for grain and retained austenite.
  void soak_limits() {
    if (case_.steel.inert)
      return;
    double first = std::numeric_limits<double>::infinity(), last = 0;
    for (const StationAnswer& s : answers_.stations)
      for (const answers::ZoneAnswer& z : s.zones) {
        if (!std::isfinite(z.reaches_temperature_s))
          return;
        first = std::min(first, z.reaches_temperature_s);
        last = std::max(last, z.reaches_temperature_s);
      }
    const steel::SoakWindow window =
        steel::soak_window(case_.steel, case_.blade.start_state,
                           case_.furnace().setpoint_degC + case_.furnace().reading_offset_K);
    if (!window.sensible() || !std::isfinite(window.earliest_s))
      return;
    // when it is long enough is told by the timer: an earliest would be read as a permission
    if (std::isfinite(window.latest_s) && first + window.latest_s > last + window.earliest_s)
      small("overdone after " + answers::told(answers::Show::minutes_down, first + window.latest_s) +
            " from the door");
  }

  void bath() {
    const treatment::Bath& b = case_.bath();
    card("2 Quench");
    if (case_.carried()) {
      const answers::ZoneAnswer* spare =
          answers::least_zone(answers_.stations, &answers::ZoneAnswer::transfer_to_spare_s);
      const double careful = over_stations(answers_.stations, "transfer_careful"),
                   own = case_.transfer().time_s;
      const bool hardens = answers_.quench.verdict == Verdict::pass;
      big(seconds_set(own),
          spare == nullptr ? std::string("furnace to bath")
          : !hardens
              ? "furnace to bath, quicker if you can"
              : "furnace to bath, at most " +
                    half_seconds_down(own + (std::isfinite(careful) ? careful : spare->transfer_to_spare_s)));
      if (spare != nullptr && std::isfinite(careful))
        small((hardens ? "nine blades in ten still harden; middle " : "half of them harden up to ") +
              half_seconds_down(own + spare->transfer_to_spare_s));
    }
    if (case_.quenched()) {
      big(both(b.temperature_degC), b.plates ? "plates" : "bath");
      std::string text = b.coolant.name;
      if (b.volume_m3 > 0)
        text += ", " + volume_text(b.volume_m3);
      const std::string rise = told_of(answers_.stations, "bath_rise", true);
      if (b.volume_m3 > 0 && rise != "-")
        text += "; one blade warms it by " + rise;
      small(text);
      const std::string limit = told_of(answers_.stations, "bath_limit");
      const answers::BathLimit row = answers::row_limit(b, case_.thresholds.flash_margin_K);
      if (limit != "-")
        small((b.temperature_degC > row.degC + 0.5 ? "this is hotter than the limit of "
                                                   : "no further blade above ") +
              limit + ": there " + row.by + (b.coolant.flash_degC ? "; lid at hand" : ""));
      big(time_in_bath(case_, answers_),
          b.plates            ? "between the plates, pressed flat"
          : b.immersion_m > 0 ? "edge down, " + length_text(b.immersion_m) + " deep and no deeper"
                              : "in the bath, moved edge to spine");
      const std::string surface = told_of(answers_.stations, "surface_at_lift");
      const bool drawn = std::isfinite(over_stations(answers_.stations, "lift_careful", true));
      const std::string flash = told_of(answers_.stations, drawn ? "lift_careful" : "lift_below_flash", true);
      text.clear();
      if (surface != "-")
        text = "out of it at " + surface;
      if (b.coolant.flash_degC && flash != "-")
        text += "; never before " + flash;
      if (!text.empty())
        small(text);
      if (const auto& then = case_.second_bath())
        mid((then->move_s > 0 ? "then within " + seconds_set(then->move_s) + " into "
                              : std::string("then at once into ")) +
            then->coolant.name + " at " + temperature_text(then->temperature_degC) + " for " +
            seconds_set(then->time_s));
    }
    safety({"transfer", "oil", "lift"});
    out_ += "</section>\n";
  }

  void before_temper() {
    card("3 Before the temper");
    const std::string hardness = hardness_text(answers_.stations, "as_quenched");
    if (hardness != "-")
      big(plain_units(hardness), "as quenched");
    if (case_.cooled())
      mid("cool to " + temperature_text(case_.lowest_degC()) + ", temper within the hour");
    else
      mid("temper within the hour");
    const answers::SurfaceAnswer& s = answers_.stations[shown_].surface;
    if (!s.file_as_quenched.empty())
      small("file: " + s.file_as_quenched);
    if (std::isfinite(s.rockwell_from_m))
      small("read hardness from " + length_text(s.rockwell_from_m) + " to " + length_text(s.rockwell_to_m) +
            " off the spine");
    else if (std::isfinite(s.rockwell_thickness_m))
      small("too thin or sloped to read Rockwell C: use the flat of the tang");
    if (std::isfinite(s.grind_per_side_m))
      small((s.grind_per_side_m < 10e-6 ? std::string("grind: no skin to remove")
                                        : formatted("grind off %.2f mm (%.4f in) per side",
                                                    s.grind_per_side_m * 1e3, s.grind_per_side_m / 0.0254)) +
            "; never let the edge colour");
    if (extras_.risks != nullptr && extras_.risks->bow.verdict != Verdict::not_asked &&
        extras_.risks->bow.verdict != Verdict::pass)
      out_ += "<p class=\"safe\">" + plain_units(extras_.risks->straightening_caution) + "</p>\n";
    safety({"as quenched", "cold"});
    out_ += "</section>\n";
  }

  void temper() {
    const treatment::Oven& t = case_.oven();
    out_ += "<section class=\"across\">\n<div>\n<h2>4 Temper</h2>\n";
    big(formatted("%d \u00d7 ", case_.tempers()) + hours_text(t.time_s) + " at " + both(t.oven_degC));
    const std::string hardness = key_hardness(case_, answers_);
    if (!hardness.empty())
      mid("expect " + hardness);
    if (const Shade shade =
            main_shade(case_, runs_.at(shown_), answers_.stations[shown_], WholeSection(runs_[shown_].grid));
        shade.hardness && differs(shade)) {
      std::string zones; // the map may find no room
      for (const int zone : {treatment::zone_edge, treatment::zone_middle, treatment::zone_spine})
        zones += (zones.empty() ? "" : ", ") +
                 std::string(treatment::zone_name(static_cast<treatment::Zone>(zone))) + " " +
                 shade.at_zone[static_cast<std::size_t>(zone)];
      small(zones);
    }
    const std::string& colour = answers_.stations[shown_].surface.temper_colour;
    if (!colour.empty())
      small("clean steel turns " + colour + ": a hint, not a control");
    out_ += "</div>\n<div>\n";
    if (shown_ < runs_.size())
      if (const auto forecast =
              answers::TemperForecast::of(case_, runs_[shown_], answers_.stations[shown_])) {
        out_ += std::string("<table class=\"sense\"><tr><th scope=\"col\">") +
                (forecast->zone().name == "edge" ? "edge" : "") + "</th>";
        constexpr std::array<double, 5> steps_K = {-15, -25 / 1.8, 0, 25 / 1.8, 15};
        const std::array<const char*, 5> heads = {"\u221215 \u00b0C", "\u221225 \u00b0F", "oven as set",
                                                  "+25 \u00b0F", "+15 \u00b0C"};
        for (const char* name : heads)
          out_ += std::string("<th scope=\"col\">") + name + "</th>";
        out_ += "</tr><tr><th scope=\"row\">HRC</th>";
        for (const double step : steps_K)
          out_ += std::string(step == 0 ? "<td class=\"set\">" : "<td>") +
                  (step == 0 ? hrc_text(forecast->hrc(t.oven_degC))
                             : formatted("%.1f", forecast->hrc(t.oven_degC + step))) +
                  "</td>";
        out_ += "</tr></table>\n";
      }
    safety({"temper", "tempered", "hardness"});
    out_ += "</div>\n</section>\n";
  }

  void curves() {
    const Run& run = runs_.at(shown_);
    const StationAnswer& answer = answers_.stations[shown_];
    out_ += "<div>";
    if (has_transformation(case_, run) || has_cooling(run)) {
      Svg svg(Palette::page);
      const Box plot{48, 32, 400, 180};
      if (has_transformation(case_, run))
        draw_transformation(svg, case_, run, plot, "");
      else
        draw_cooling(svg, case_, run, answer, plot, "");
      out_ += svg.element(500, 260, "Cooling curves", "Cooling of edge, middle and spine.", "cooling");
    } else if (has_heating(run)) {
      Svg svg(Palette::page);
      draw_heating(svg, run, answer, {48, 32, 400, 180}, "");
      out_ += svg.element(500, 260, "Heating curves", "Heating of edge, middle and spine.", "heating");
    }
    out_ += "</div>\n";
  }

  /// The map where zones come out differently; where they do not, the figure in the cards is all there is.
  /// The page draws it only where it finds room to be read (sheet.css).
  void map() {
    const Run& run = runs_.at(shown_);
    const StationAnswer& answer = answers_.stations[shown_];
    const WholeSection whole(run.grid);
    const Shade shade = main_shade(case_, run, answer, whole);
    if (!differs(shade))
      return;
    out_ += "<div class=\"map\">";
    MapLayout layout = column_layout();
    layout.ink = Ink::grey;
    Svg svg(Palette::page);
    svg.words(12, 14, shade.title, {14, "start", Tone::ink, true});
    const double bottom = draw_section_map(svg, case_, run, whole, shade, layout, 18);
    out_ += svg.element(500, bottom + 4, shade.title,
                        "The section in grey by its hardness, the edge magnified.", "map") +
            "</div>\n";
  }

  void remedies() {
    if (case_.steel.inert)
      return;
    out_ += "<table class=\"wrong\">\n";
    for (const Remedy& remedy : sheet_remedies())
      out_ += std::string("<tr><th scope=\"row\">") + remedy.seen + "</th><td>" + remedy.cause + "</td><td>" +
              remedy.next + "</td></tr>\n";
    out_ += "</table>\n";
  }

  void readings() {
    const std::array<std::array<const char*, 6>, 2> cells = {
        {{"furnace display", "second thermocouple", "blade out after", "seconds to the bath", "bath before",
          "bath after"},
         {"HRC as quenched", "HRC after 1st temper", "HRC after the last", "bow, mm", "remarks",
          "change next time"}}};
    out_ += "<table class=\"readings\">\n";
    for (const auto& row : cells) {
      out_ += "<tr>";
      for (const char* name : row)
        out_ += std::string("<td>") + name + "</td>";
      out_ += "</tr>\n";
    }
    out_ += "</table>\n";
  }

  void foot() {
    std::string text;
    for (const answers::Caution& caution : answers_.cautions)
      if (caution.beside == "all")
        text += caution.text + " ";
    std::string rest = "Verdicts " + judged_in_shop(case_, answers_.draws) + ". ";
    for (const std::string& warning : answers_.warnings)
      rest += "Warning: " + warning + ". ";
    if (!case_.steel.inert)
      rest += formatted("Start of transformation good to a factor of %.2g",
                        case_.steel.transformation.factor_uncertainty) +
              formatted(", hardness to %.2g HRC. ", case_.steel.temper.uncertainty_HRC);
    rest += formatted("%zu assumptions and every source: see the report and the JSON beside this sheet. ",
                      answers_.assumptions.size()) +
            origin_.program + " " + origin_.version + ", commit " + origin_.commit + ", " + origin_.created +
            ", case " + origin_.case_file + " (SHA-256 " + origin_.case_sha256.substr(0, 12) + ").";
    out_ +=
        "<footer class=\"foot\"><p><b>" + plain_units(text) + "</b>" + plain_units(rest) + "</p></footer>\n";
  }

  const Case& case_;
  const std::vector<Run>& runs_;
  const Answers& answers_;
  const Origin& origin_;
  const Extras& extras_;
  std::size_t shown_ = 0;
  std::string out_;
  double height_mm_ = 0; ///< of what stands in out_, roughly; counted in the cards only
};

} // namespace

std::string sheet_html(const Case& c, const std::vector<Run>& runs, const Answers& a, const Origin& origin,
                       const Extras& extras) {
  return Sheet(c, runs, a, origin, extras).html();
}

} // namespace tq::output
