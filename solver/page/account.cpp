#include "page/account.hpp"

#include "answers/ledger.hpp"
#include "output/band_words.hpp"
#include "output/drawings.hpp"
#include "output/field_movie.hpp"
#include "output/figures.hpp"
#include "output/finding.hpp"
#include "output/html.hpp"
#include "output/key_figures.hpp"
#include "output/risk_words.hpp"
#include "output/section_map.hpp"
#include "output/terminal.hpp"
#include "output/text.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

namespace tq::page {
namespace {

using Json = nlohmann::ordered_json;
using namespace output;
using answers::StationAnswer;
using treatment::Run;

Json judgement(const char* name, const answers::Judgement& j, const std::string& reason, bool drawn) {
  return {{"name", name},
          {"verdict", verdict_key(j.verdict)},
          {"word", upper_case(answers::verdict_name(j.verdict))},
          {"passing", j.passing >= 0 ? Json(j.passing) : Json(nullptr)},
          {"drawn", drawn},
          {"reason", with_units(reason)}};
}

std::string entries_html(const std::vector<Entry>& list) {
  std::string out = "<dl class=\"entries\">\n";
  for (std::size_t k = 0; k < list.size();) {
    out += "<dt>" + xml_escaped(list[k].label) + "</dt>\n<dd>";
    const std::size_t first = k;
    for (; k < list.size() && (k == first || list[k].label.empty()); ++k) {
      out += "<p>" + with_units(list[k].text) + "</p>";
      for (const std::string& caution : list[k].cautions)
        out += "<p class=\"caution\">" + with_units(caution) + "</p>";
    }
    out += "</dd>\n";
  }
  return out + "</dl>\n";
}

std::string table_html(const ZoneTable& zones, const std::string& name) {
  std::string out =
      "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"Figures of the zones, " +
      xml_escaped(name) + "\">\n<table>\n<thead><tr><th scope=\"col\">zone</th>";
  for (const std::string& head : zones.heads)
    out += "<th scope=\"col\">" + xml_escaped(head) + "</th>";
  out += "</tr></thead>\n<tbody>\n";
  for (const std::vector<std::string>& row : zones.rows) {
    out += "<tr><th scope=\"row\">" + with_units(row[0]) + "</th>";
    for (std::size_t c = 1; c < row.size(); ++c)
      out += "<td>" + with_units(row[c]) + "</td>";
    out += "</tr>\n";
  }
  return out + "</tbody>\n</table>\n</div>\n";
}

Json texts(const std::vector<std::string>& list) {
  Json out = Json::array();
  for (const std::string& text : list)
    out.push_back(with_units(text));
  return out;
}

Json drawn(const std::string& key, const Drawing& drawing, const std::string& caption,
           const std::string& id) {
  return {{"key", key},
          {"title", drawing.title},
          {"caption", with_units(caption)},
          {"svg", drawing.svg.element(drawing.width, drawing.height, drawing.title,
                                      plain_units(drawing.description), id)}};
}

template <class Draw>
Json chart(const std::string& key, const std::string& title, const std::string& description,
           const std::string& caption, const std::string& id, const Draw& draw) {
  Drawing drawing{Svg(Palette::page), 500, 348, title, description};
  draw(drawing.svg, Box{48, 28, 400, 268});
  return drawn(key, drawing, caption, id);
}

Json section(const treatment::Case& c, const Run& run, const WholeSection& whole, const Shade& shade,
             const StationAnswer& answer, const std::string& id) {
  Drawing drawing{Svg(Palette::page), 500, 0, shade.title, ""};
  drawing.height = draw_section_map(drawing.svg, c, run, whole, shade, column_layout(), 0) + 6;
  drawing.description = "Cross-section in true proportions, spine left, edge right and magnified.";
  for (std::size_t z = 0; z < shade.at_zone.size(); ++z)
    if (!shade.at_zone[z].empty() && z != treatment::zone_thickest)
      drawing.description += std::string(" ") + treatment::zone_name(static_cast<treatment::Zone>(z)) + ": " +
                             shade.at_zone[z] + ".";
  const bool banded = shade.hardness && std::isfinite(answer.hrc_band);
  return drawn(shade.key, drawing, banded ? "Every hardness " + band_text(answer.hrc_band) + " HRC." : "",
               id);
}

} // namespace

Json first_json(const Account& a) {
  Json out = {{"title", a.answers.title}, {"judged", answers::judged_text(a.answers.draws)}};
  out["before"] = Json::array();
  for (const answers::Caution& caution : a.answers.cautions)
    if (caution.beside == "all")
      out["before"].push_back(with_units(caution.text));
  out["verdicts"] = Json::array();
  for (const Named& named : named_verdicts(a.answers))
    if (named.judgement->verdict != answers::Verdict::not_asked)
      out["verdicts"].push_back(judgement(named.name, *named.judgement, named.judgement->reason, true));
  for (const NamedRisk& risk : named_risks(a.risks))
    if (risk.judgement->verdict != answers::Verdict::not_asked)
      out["verdicts"].push_back(judgement(risk.name, *risk.judgement, risk.brief, false));
  out["settings"] = Json::array();
  for (const KeyFigure& figure : key_settings(a.contents, a.answers))
    out["settings"].push_back({{"name", figure.name}, {"value", with_units(figure.value)}});
  out["hardness"] = with_units(key_hardness(a.contents, a.answers));
  out["fears"] = texts(key_fears(a.contents, a.answers));
  return out;
}

std::string settings_html(const Account& a) {
  return entries_html(account_of(a.contents, a.runs, a.answers).settings);
}

Json words_json(const Account& a) {
  const output::Account account = account_of(a.contents, a.runs, a.answers);
  Json out = {{"settings", entries_html(account.settings)},
              {"cautions", texts(account.cautions)},
              {"warnings", texts(account.warnings)},
              {"assumptions", texts(account.assumptions)}};
  out["stations"] = Json::array();
  for (std::size_t k = 0; k < a.runs.size() && k < account.tables.size(); ++k)
    out["stations"].push_back(
        {{"name", a.runs[k].station},
         {"table", table_html(account.tables[k], a.runs[k].station)},
         {"notes", account.tables[k].notes.empty() ? std::string() : entries_html(account.tables[k].notes)}});
  if (a.risks != nullptr)
    out["risks"] = entries_html(risk_entries(a.contents, *a.risks));
  if (a.bands != nullptr) {
    const BandWords words = band_words(a.contents, *a.bands);
    std::string sure = "<p>" + with_units(words.heading) + "</p>\n";
    for (const std::string& note : words.notes)
      sure += "<p>" + with_units(note) + "</p>\n";
    sure += entries_html(words.verdicts);
    for (const BandWords::Station& station : words.stations)
      sure += (words.stations.size() > 1 ? "<h3>" + xml_escaped(station.name) + "</h3>\n" : std::string()) +
              entries_html(station.figures);
    out["sure"] = sure;
  }
  return out;
}

Json drawings_json(const Account& a) {
  Json out = Json::array();
  for (std::size_t k = 0; k < a.runs.size(); ++k) {
    const Run& run = a.runs[k];
    const StationAnswer& answer = a.answers.stations[k];
    const treatment::Case& c = a.contents;
    const std::string id = formatted("s%zu-", k + 1);
    Json list = Json::array();
    const WholeSection whole(run.grid);
    for (const Shade& shade : section_shades(c, run, answer, whole))
      list.push_back(section(c, run, whole, shade, answer, id + shade.key));
    if (has_cooling(run))
      list.push_back(
          chart("cooling",
                treatment::span_of(run, treatment::Part::bath) != nullptr ? "In the quench" : "On cooling",
                "Temperature of edge, middle and spine from leaving the furnace.",
                c.steel.inert ? "" : "Ms: martensite starts.", id + "cooling",
                [&](Svg& svg, const Box& plot) { draw_cooling(svg, c, run, answer, plot, ""); }));
    if (has_transformation(c, run))
      list.push_back(chart(
          "diagram", "Cooling over the transformation diagram",
          "Cooling curves of edge, middle and spine, and where steady cooling would bring the first 1 % of "
          "pearlite and bainite.",
          formatted("Lines: first 1 %% on steady cooling, computed for this soak; shaded: a factor %.2g "
                    "either way. "
                    "A curve that stays left of them hardens. Ms: martensite starts.",
                    c.steel.transformation.factor_uncertainty),
          id + "diagram", [&](Svg& svg, const Box& plot) { draw_transformation(svg, c, run, plot, ""); }));
    if (has_heating(run))
      list.push_back(
          chart("heating", "In the furnace", "Temperature of edge, middle, spine and furnace over the soak.",
                "Bars at the foot: when edge, middle and spine are at temperature.", id + "heating",
                [&](Svg& svg, const Box& plot) { draw_heating(svg, run, answer, plot, ""); }));
    if (!has_heating(run) && !has_cooling(run) && !run.time_s.empty())
      list.push_back(chart("whole", "Through the treatment",
                           "Temperature of edge, middle and spine through all stages.", "", id + "whole",
                           [&](Svg& svg, const Box& plot) { draw_whole(svg, run, plot, ""); }));
    if (const auto drawing = draw_temper_curve(c, run, answer))
      list.push_back(
          drawn("temper-curve", *drawing, "Shaded: the band of the steel's table.", id + "temper-curve"));
    if (const auto drawing = draw_colour_strip(c, answer))
      list.push_back(
          drawn("colour", *drawing,
                "A hint, not a control: light, polish, oil and alloy shift it by some 20 K, and how it "
                "goes with time is uncertain. Go by the oven.",
                id + "colour"));
    if (const auto drawing = draw_bath(c, run))
      list.push_back(drawn("bath", *drawing, "", id + "bath"));
    if (a.risks != nullptr && k < a.risks->stations.size())
      if (const auto drawing = draw_bow(c, a.risks->stations[k]))
        list.push_back(drawn("bow", *drawing, "", id + "bow"));
    out.push_back({{"name", run.station}, {"drawings", std::move(list)}});
  }
  return out;
}

Json moments_json(const Run& run) {
  Json out = Json::array();
  for (const treatment::Frame* frame : whole_frames(run)) {
    std::string said = moment_name(run, *frame);
    for (const int zone : {treatment::zone_edge, treatment::zone_middle, treatment::zone_spine}) {
      const auto column = static_cast<std::size_t>(run.zone_column.at(static_cast<std::size_t>(zone)));
      const int row = run.grid.half ? 0 : (run.grid.ny - 1) / 2;
      said +=
          (zone == treatment::zone_edge ? ": " : ", ") +
          std::string(treatment::zone_name(static_cast<treatment::Zone>(zone))) + " " +
          temperature_text(frame->state.temperature[static_cast<std::size_t>(row * run.grid.nx) + column]);
    }
    out.push_back({{"time", frame->time_s}, {"said", with_units(said)}});
  }
  return out;
}

std::string moment_svg(const treatment::Case& c, const Run& run, std::size_t moment) {
  const auto all = whole_frames(run);
  if (moment >= all.size())
    return "";
  const WholeSection whole(run.grid);
  Shade shade;
  shade.key = "temperature";
  shade.title = "Temperature";
  shade.unit = "\u00b0C";
  shade.temperature = true;
  shade.value = whole.expand(all[moment]->state.temperature);
  const auto [least, most] = std::minmax_element(shade.value.begin(), shade.value.end());
  shade.low = 10 * std::floor(*least / 10);
  shade.high = std::max(10 * std::ceil(*most / 10), shade.low + 20);
  shade.tick = shade.high - shade.low;
  Svg svg(Palette::page);
  MapLayout layout = column_layout();
  layout.header = 8;
  const double bottom = draw_section_map(svg, c, run, whole, shade, layout, 0);
  return svg.element(500, bottom + 6, "Temperature of the section",
                     "The section coloured by temperature at one moment.", "moment");
}

Json finding_page_json(const answers::Finding& f) {
  Json out = {{"question", f.question},
              {"asked", with_units(f.asked)},
              {"found", f.found},
              {"because", with_units(f.because)}};
  const auto settings = [](const std::vector<answers::Setting>& list) {
    Json all = Json::array();
    for (const answers::Setting& s : list)
      all.push_back({{"name", s.name},
                     {"text", with_units(setting_text(s))},
                     {"key", s.case_key},
                     {"value", s.case_key.empty() || s.dimension == "count" ? "" : setting_text(s)}});
    return all;
  };
  out["settings"] = settings(f.settings);
  out["figures"] = settings(f.figures);
  out["steps"] = texts(f.steps);
  out["notes"] = texts(f.notes);
  out["cautions"] = Json::array();
  for (const answers::Caution& caution : f.cautions)
    out["cautions"].push_back(with_units(caution.text));
  return out;
}

} // namespace tq::page
