#include "page/account.hpp"

#include "answers/case_path.hpp"
#include "answers/decision.hpp"
#include "answers/what_if.hpp"
#include "output/band_words.hpp"
#include "output/field_movie.hpp"
#include "output/figures.hpp"
#include "output/finding.hpp"
#include "output/html.hpp"
#include "output/judged.hpp"
#include "output/key_figures.hpp"
#include "output/pieces.hpp"
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
using treatment::Run;

Json judgement(const char* name, const answers::Judgement& j, const std::string& reason, bool drawn) {
  return {{"name", name},
          {"verdict", verdict_key(j.verdict)},
          {"word", upper_case(answers::verdict_name(j.verdict))},
          {"passing", j.passing >= 0 ? Json(j.passing) : Json(nullptr)},
          {"drawn", drawn},
          {"reason", with_units(reason)}};
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
          {"svg", element_of(drawing, id + key)}};
}

} // namespace

Json first_json(const Account& a) {
  Json out = {{"title", a.answers.title}, {"judged", judged_in_shop(a.contents, a.answers.draws)}};
  if (const auto& learnt = a.contents.uncertainty.learnt)
    out["rests"] = learnt->from;
  out["before"] = Json::array();
  for (const answers::Caution& caution : a.answers.cautions)
    if (caution.beside == "all")
      out["before"].push_back(with_units(caution.text));
  if (a.risks != nullptr) {
    const answers::Decision d = answers::decide(a.answers, a.risks);
    out["decision"] = {{"word", answers::go_word(d.go)},
                       {"verdict", d.go == answers::Go::do_not      ? "fail"
                                   : d.go == answers::Go::with_care ? "marginal"
                                   : d.go == answers::Go::go        ? "pass"
                                                                    : "not_asked"},
                       {"because", with_units(d.because)},
                       {"changes", texts(d.changes)}};
  }
  out["verdicts"] = Json::array();
  for (const Named& named : named_verdicts(a.answers))
    if (named.judgement->verdict != answers::Verdict::not_asked)
      out["verdicts"].push_back(
          judgement(named.name, *named.judgement, named.judgement->reason.text(), true));
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
         {"table", zone_table_html(account.tables[k], a.runs[k].station)},
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
    const std::string id = formatted("s%zu-", k + 1);
    Json list = Json::array();
    for (const Captioned& one : section_drawings(a.contents, run, a.answers.stations[k]))
      list.push_back(drawn(one.key, one.drawing, one.caption, id));
    for (const Captioned& one : curve_drawings(a.contents, run, a.answers.stations[k]))
      list.push_back(drawn(one.key, one.drawing, one.caption, id));
    if (a.risks != nullptr && k < a.risks->stations.size())
      if (const auto drawing = draw_bow(a.contents, a.risks->stations[k]))
        list.push_back(drawn("bow", *drawing, "", id));
    out.push_back({{"name", run.station},
                   {"alike", with_units(alike_everywhere(a.contents, run, a.answers.stations[k]))},
                   {"drawings", std::move(list)}});
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

Json what_if_page_json(const treatment::Case& c) {
  Json out = {{"drawings", Json::array()}};
  const WhatIfDrawings parted = draw_what_ifs(c, answers::what_if(c));
  for (const auto& [key, drawing] : parted.changing)
    out["drawings"].push_back(drawn(key, drawing, "", "w-"));
  out["same"] = with_units(parted.same);
  return out;
}

Json finding_page_json(const answers::Finding& f) {
  Json out = {{"question", f.question},
              {"asked", with_units(f.asked)},
              {"found", f.found},
              {"because", with_units(f.because)}};
  const auto settings = [&](const std::vector<answers::Setting>& list) {
    Json all = Json::array();
    for (const answers::Setting& s : list)
      all.push_back({{"name", s.name},
                     {"text", with_units(setting_text(s))},
                     {"key", answers::case_path(f.with_setting, s.case_key)},
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
