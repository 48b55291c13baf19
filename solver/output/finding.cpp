#include "output/finding.hpp"

#include "answers/case_path.hpp"
#include "answers/ledger.hpp"
#include "answers/limit_text.hpp"
#include "answers/local_codes.hpp"
#include "output/band_words.hpp"
#include "output/figures.hpp"
#include "output/json.hpp"
#include "output/judged.hpp"
#include "output/text.hpp"
#include "steel/hardness.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <ostream>

namespace tq::output {
namespace {

using answers::Outcome;
using answers::Setting;
using answers::Verdict;
using Json = nlohmann::ordered_json;

constexpr std::size_t column = 48;

void print_row(std::ostream& out, const std::string& left, const std::string& right,
               std::size_t at = column) {
  std::string label = "  " + left;
  if (columns(label) + 1 > at) {
    out << label << "\n";
    label.clear();
  }
  for (const std::string& line : folded(right, page_width - at)) {
    out << padded(label, at) << line << "\n";
    label.clear();
  }
}

void print_list(std::ostream& out, const std::vector<std::string>& lines, const char* mark) {
  for (const std::string& text : lines) {
    std::string start = std::string("  ") + mark + " ";
    for (const std::string& line : folded(text, page_width - start.size())) {
      out << start << line << "\n";
      start = std::string(start.size(), ' ');
    }
  }
}

/// Name and unit of a figure in JSON.
std::string json_unit(const Setting& s) {
  if (s.dimension == "time")
    return "s";
  if (s.dimension == "temperature")
    return "degC";
  if (s.dimension == "temperature_difference")
    return "K";
  if (s.dimension == "length")
    return "m";
  if (s.dimension == "volume")
    return "m3";
  return s.dimension == "hardness_HRC" ? "HRC" : "1";
}

Json settings_json(const treatment::Case& c, const std::vector<Setting>& settings) {
  Json out = Json::array();
  for (const Setting& s : settings) {
    Json one = {{"name", s.key},
                {"words", s.name},
                {"value", number(s.value)},
                {"unit", json_unit(s)},
                {"text", setting_text(s)}};
    if (const std::string path = answers::case_path(c, s.case_key); !path.empty())
      one["case_key"] = path;
    out.push_back(std::move(one));
  }
  return out;
}

Json outcome_json(const treatment::Case& c, const Outcome& o) {
  Json stations = Json::array();
  for (std::size_t i = 0; i < o.stations.size(); ++i) {
    const auto& s = o.stations[i];
    Json zones = Json::object();
    for (std::size_t z = 0; z < s.zones.size(); ++z) {
      const auto& zone = s.zones[z];
      zones[treatment::zone_name(static_cast<treatment::Zone>(z))] = {
          {"thickness", number(zone.thickness_m)},
          {"reaches_temperature", number(zone.reaches_temperature_s)},
          {"soak", number(zone.soak_s)},
          {"austenite", number(zone.austenite)},
          {"carbon_in_solution", number(zone.carbon_in_solution)},
          {"into_bath", number(zone.into_bath_degC)},
          {"at_lift", number(zone.at_lift_degC)},
          {"transformed", number(zone.transformed)},
          {"rate_margin", number(zone.rate_margin)},
          {"martensite", number(zone.martensite)},
          {"retained_austenite", number(zone.retained_austenite)},
          {"as_quenched_HRC", number(zone.as_quenched_HRC)},
          {"tempered_HRC", number(zone.tempered_HRC)}};
    }
    stations.push_back({{"name", c.blade.stations[i].name},
                        {"blade_out", number(s.timer_used_s)},
                        {"bath_end", number(s.bath_end_degC)},
                        {"surface_at_lift", number(s.surface_at_lift_degC)},
                        {"zones", zones}});
  }
  return stations;
}

void print_outcome(std::ostream& out, const answers::Finding& f) {
  const treatment::Case& c = f.with_setting;
  const Outcome& o = f.outcome;
  out << "\nIT LEADS TO (" << judged_in_shop(c, 0) << ")\n"
      << "! " << answers::local_codes << "\n";
  const auto verdict = [](Verdict v) { return std::string(answers::verdict_name(v)); };
  constexpr std::size_t at = 24; // name and verdict, then why
  if (f.soak != Verdict::not_asked)
    print_row(out, padded("SOAK", 11) + verdict(f.soak),
              minutes_text(o.soak_s()) + formatted(" at temperature, %.2f %%C in solution", o.carbon_wt()),
              at);
  if (f.quench != Verdict::not_asked)
    print_row(out, padded("QUENCH", 11) + verdict(f.quench),
              o.limiting_name(c) + " limits: " + percent_text(o.transformed()) + " turned, " +
                  cools_text(o.rate_margin()) + "; " +
                  hrc_pair(o.as_quenched_least_HRC(), o.as_quenched_most_HRC()) + " HRC as quenched, " +
                  percent_text(o.retained_austenite()) + " austenite left",
              at);
  if (std::isfinite(o.tempered_least_HRC()))
    print_row(out, padded("HARDNESS", 11) + (f.hardness == Verdict::not_asked ? "" : verdict(f.hardness)),
              hrc_range_text(o.tempered_least_HRC(), o.tempered_most_HRC(), c.steel.temper.uncertainty_HRC),
              at);
}

} // namespace

namespace {

/// A limit in both units, each rounded to its safe side.
std::string limit_text(const Setting& s) {
  const bool up = s.side == answers::Side::up;
  if (s.dimension == "length")
    return answers::length_limit_text(s.value, up);
  if (s.dimension == "volume")
    return answers::volume_limit_text(s.value, up);
  return s.unit == "degF" ? answers::degF_limit_text(s.value, up) : answers::degC_limit_text(s.value, up);
}

} // namespace

std::string setting_text(const Setting& s) {
  if (std::isnan(s.value))
    return "-";
  if (s.dimension == "time") {
    if (s.unit == "s")
      return seconds_set(s.value);
    const double minutes = s.value / 60;
    return std::abs(minutes - std::round(minutes)) < 1e-6 ? formatted("%.0f min", minutes)
                                                          : formatted("%.1f min", minutes);
  }
  if (s.side != answers::Side::nearest &&
      (s.dimension == "temperature" || s.dimension == "length" || s.dimension == "volume"))
    return limit_text(s);
  if (s.dimension == "temperature")
    return s.unit == "degF" ? formatted("%.0f degF (%.0f degC)", s.value * 1.8 + 32, s.value)
                            : temperature_text(s.value);
  if (s.dimension == "temperature_difference")
    return difference_text(s.value);
  if (s.dimension == "length")
    return length_text(s.value);
  if (s.dimension == "volume")
    return volume_text(s.value);
  if (s.dimension == "hardness_HRC")
    return hrc_text(s.value) + " HRC";
  if (s.dimension == "percent")
    return percent_text(s.value);
  return formatted("%.3g", s.value);
}

void print_finding(std::ostream& out, const answers::Finding& f, const answers::Bands* bands) {
  for (const std::string& line : folded(f.asked, page_width))
    out << line << "\n";
  if (!f.found) {
    out << "\n";
    std::string start = "NO SETTING DOES IT: ";
    for (const std::string& line : folded(f.because, page_width - start.size())) {
      out << start << line << "\n";
      start = std::string(start.size(), ' ');
    }
  } else {
    out << (f.by_draws == answers::Held::only_as_stated ? "\nSET (holds as stated only)\n"
            : f.by_draws == answers::Held::as_good_as_any
                ? "\nSET (as good as any; how many land is told below)\n"
                : "\nSET\n");
    for (const Setting& s : f.settings)
      print_row(out, s.name, setting_text(s));
    if (!f.steps.empty())
      out << "\nIN ORDER\n";
    print_list(out, f.steps, "-");
  }
  if (!f.figures.empty()) {
    out << "\nFOUND ON THE WAY\n";
    for (const Setting& s : f.figures)
      print_row(out, s.name, setting_text(s), 60);
  }
  if (f.found && (f.soak != Verdict::not_asked || f.quench != Verdict::not_asked))
    print_outcome(out, f);
  if (bands) {
    out << "\nAT THAT SETTING (" << judged_in_shop(f.with_setting, bands->members) << ")\n";
    for (const Entry& e : band_words(f.with_setting, *bands).verdicts)
      print_row(out, e.label, e.text, 24);
    print_bands(out, f.with_setting, *bands);
  }
  if (!f.notes.empty()) {
    out << "\nNOTE\n";
    print_list(out, f.notes, "-");
  }
  if (!f.cautions.empty()) {
    out << "\nCAUTION\n";
    std::vector<std::string> lines;
    for (const answers::Caution& caution : f.cautions)
      lines.push_back(caution.text);
    print_list(out, lines, "!");
  }
  if (!f.with_setting.defaults.empty()) {
    out << "\nNOT SAID, SO ASSUMED\n";
    print_list(out, f.with_setting.defaults, "-");
  }
}

std::string finding_json(const answers::Finding& f, const answers::Bands* bands) {
  Json cautions = Json::array();
  for (const answers::Caution& caution : f.cautions)
    cautions.push_back({{"beside", caution.beside}, {"text", caution.text}});
  Json out = {{"schema", "thinquench-find"},
              {"schema_version", 1},
              {"judged_by_draws", 0},
              {"question", f.question},
              {"asked", f.asked},
              {"found", f.found},
              {"because", f.because},
              {"holds_by_draws", f.by_draws == answers::Held::not_asked
                                     ? Json(nullptr)
                                     : Json(f.by_draws == answers::Held::holds)},
              {"settings", settings_json(f.with_setting, f.settings)},
              {"figures", settings_json(f.with_setting, f.figures)},
              {"steps", f.steps},
              {"soak", verdict_key(f.soak)},
              {"quench", verdict_key(f.quench)},
              {"hardness", verdict_key(f.hardness)},
              {"stations", f.found ? outcome_json(f.with_setting, f.outcome) : Json::array()},
              {"notes", f.notes},
              {"cautions", cautions},
              {"assumed", f.with_setting.defaults}};
  if (bands)
    out["bands"] = bands_json(*bands);
  return json_text(out);
}

void print_questions(std::ostream& out) {
  for (const answers::Question& q : answers::questions()) {
    out << q.key << "\n";
    print_row(out, "asks", q.asks, 12);
    if (!q.wish.empty())
      print_row(out, "--wish", q.wish, 12);
    if (!q.safe_side.empty())
      print_row(out, "rounded", q.safe_side, 12);
  }
}

std::string questions_json() {
  Json list = Json::array();
  for (const answers::Question& q : answers::questions())
    list.push_back({{"question", q.key}, {"asks", q.asks}, {"wish", q.wish}, {"rounded", q.safe_side}});
  return json_text({{"schema", "thinquench-questions"}, {"schema_version", 1}, {"questions", list}});
}

void print_what_if(std::ostream& out, const treatment::Case& c,
                   const std::vector<answers::WhatIfStrip>& strips) {
  out << (c.title.empty() ? "What if" : c.title) << " (" << judged_in_shop(c, 0) << ")\n"
      << "! " << answers::local_codes << "\n";
  const auto cell = [](const std::string& text, std::size_t width) { return padded(text, width, true); };
  for (const auto& strip : strips) {
    out << "\n" << strip.question << "\n";
    out << padded("", 31) << cell("soak", 9) << cell("quench", 9) << cell("margin", 11) << cell("carbon", 8)
        << cell("austenite", 10) << cell("HRC", 12) << "\n";
    for (const auto& p : strip.points) {
      out << (p.as_set ? "> " : "  ") << padded(p.label, 29);
      if (!p.possible) {
        out << " " << p.why_not << "\n";
        continue;
      }
      const bool tempered = std::isfinite(p.tempered_least_HRC);
      std::string hrc = tempered ? hrc_pair(p.tempered_least_HRC, p.tempered_most_HRC)
                                 : hrc_pair(p.as_quenched_least_HRC, p.as_quenched_most_HRC);
      out << cell(p.soak == Verdict::not_asked ? "-" : answers::verdict_name(p.soak), 9)
          << cell(p.quench == Verdict::not_asked ? "-" : answers::verdict_name(p.quench), 9)
          << cell(times_text(p.rate_margin), 11)
          << cell(std::isnan(p.carbon_wt) ? "-" : formatted("%.2f %%", p.carbon_wt), 8)
          << cell(percent_text(p.retained_austenite), 10) << cell(hrc, 12)
          << (p.hardness == Verdict::not_asked ? "" : std::string(" ") + answers::verdict_name(p.hardness))
          << "\n";
    }
  }
  out << "\n";
  for (const std::string& line :
       folded("margin: cooling, times the rate it needs; carbon: in solution; austenite: left after the "
              "quench; HRC: after tempering where there is a temper, with the verdict on the hardness behind "
              "it. " +
                  formatted("Tempering tables differ: +/- %.2g HRC.", c.steel.temper.uncertainty_HRC),
              page_width))
    out << line << "\n";
}

std::string what_if_json(const treatment::Case& c, const std::vector<answers::WhatIfStrip>& strips) {
  Json list = Json::array();
  for (const auto& strip : strips) {
    Json points = Json::array();
    for (const auto& p : strip.points)
      points.push_back({{"label", p.label},
                        {"change", number(p.change)},
                        {"as_set", p.as_set},
                        {"possible", p.possible},
                        {"why_not", p.why_not},
                        {"soak", verdict_key(p.soak)},
                        {"quench", verdict_key(p.quench)},
                        {"hardness", verdict_key(p.hardness)},
                        {"limiting_zone", p.limiting_zone},
                        {"rate_margin", number(p.rate_margin)},
                        {"transformed", number(p.transformed)},
                        {"carbon_in_solution", number(p.carbon_wt)},
                        {"retained_austenite", number(p.retained_austenite)},
                        {"as_quenched_least_HRC", number(p.as_quenched_least_HRC)},
                        {"as_quenched_most_HRC", number(p.as_quenched_most_HRC)},
                        {"tempered_least_HRC", number(p.tempered_least_HRC)},
                        {"tempered_most_HRC", number(p.tempered_most_HRC)}});
    list.push_back({{"key", strip.key},
                    {"question", strip.question},
                    {"case_key", answers::case_path(c, strip.case_key)},
                    {"change_in", strip.change_in},
                    {"points", points}});
  }
  return json_text({{"schema", "thinquench-what-if"},
                    {"schema_version", 1},
                    {"judged_by_draws", 0},
                    {"caution", answers::local_codes},
                    {"title", c.title},
                    {"strips", list},
                    {"assumed", c.defaults}});
}

void print_comparison(std::ostream& out, const treatment::Case& c, const answers::Comparison& k) {
  out << (c.title.empty() ? "Comparison" : c.title) << ": " << c.steel.key << " (" << judged_in_shop(c, 0)
      << ")\n! " << answers::local_codes << "\n";
  if (c.quenched() && c.second_bath())
    out << "! Each bath cools it to the end here; the case lifts it after " << seconds_set(c.bath().time_s)
        << ".\n";
  out << "\n";
  const auto cell = [](const std::string& text, std::size_t width) { return padded(text, width, true); };
  out << padded("bath", 18) << cell("at degC", 9) << cell("transfer", 10) << cell("spine", 9)
      << cell("verdict", 10) << cell("margin", 11) << cell("HRC", 8) << "  limited by\n";
  for (const auto& row : k.rows) {
    out << padded(row.coolant, 18) << cell(formatted("%.0f", row.bath_degC), 9)
        << cell(seconds_set(row.transfer_s), 10) << cell(formatted("%.2f mm", row.spine_m * 1e3), 9);
    if (!row.not_possible.empty()) {
      out << "   " << row.not_possible << "\n";
      continue;
    }
    out << cell(answers::verdict_name(row.verdict), 10) << cell(times_text(row.rate_margin), 11)
        << cell(hrc_text(row.as_quenched_least_HRC), 8) << "  "
        << (row.because.empty() ? row.limiting_zone + ", " + percent_text(row.transformed) + " turned"
                                : row.because)
        << "\n";
  }
  out << "\n"
      << padded("bath", 18) << cell("at degC", 9) << cell("thickest spine", 26)
      << cell("longest transfer", 20) << "\n";
  for (const auto& limit : k.limits) {
    out << padded(limit.coolant, 18) << cell(formatted("%.0f", limit.bath_degC), 9)
        << cell(limit.thickest_spine_m
                    ? (limit.thickest_is_bound ? "over " : "") + length_text(*limit.thickest_spine_m)
                    : std::string("none"),
                26)
        << cell(limit.longest_transfer_s
                    ? (limit.longest_is_bound ? "over " : "") + seconds_set(*limit.longest_transfer_s)
                    : std::string("none"),
                20)
        << "\n";
  }
  out << "\nverdict: the worst of quench, crack and oil. margin: cooling, times the rate it needs; below\n"
         "2 a pass is not a safe one. HRC: least as quenched. Oils of a class differ by 30 to 50 % in\n"
         "their heat transfer.\n";
  print_list(out,
             {"Keep oil 28 K (50 degF) below its flash point; a lid and a class B extinguisher within reach; "
              "never water on burning oil."},
             "!");
  if (!c.defaults.empty()) {
    out << "\nNOT SAID, SO ASSUMED\n";
    print_list(out, c.defaults, "-");
  }
}

std::string comparison_json(const treatment::Case& c, const answers::Comparison& k) {
  Json rows = Json::array(), limits = Json::array();
  for (const auto& row : k.rows)
    rows.push_back({{"coolant", row.coolant},
                    {"bath_degC", number(row.bath_degC)},
                    {"transfer_s", number(row.transfer_s)},
                    {"spine_m", number(row.spine_m)},
                    {"not_possible", row.not_possible},
                    {"quench", verdict_key(row.quench)},
                    {"crack", verdict_key(row.crack)},
                    {"oil", verdict_key(row.oil)},
                    {"verdict", verdict_key(row.verdict)},
                    {"because", row.because},
                    {"limiting_zone", row.limiting_zone},
                    {"rate_margin", number(row.rate_margin)},
                    {"transformed", number(row.transformed)},
                    {"as_quenched_least_HRC", number(row.as_quenched_least_HRC)},
                    {"bath_end_degC", number(row.bath_end_degC)}});
  for (const auto& limit : k.limits)
    limits.push_back(
        {{"coolant", limit.coolant},
         {"bath_degC", number(limit.bath_degC)},
         {"thickest_spine_m", limit.thickest_spine_m ? number(*limit.thickest_spine_m) : Json(nullptr)},
         {"thickest_is_bound", limit.thickest_is_bound},
         {"longest_transfer_s", limit.longest_transfer_s ? number(*limit.longest_transfer_s) : Json(nullptr)},
         {"longest_is_bound", limit.longest_is_bound}});
  return json_text({{"schema", "thinquench-comparison"},
                    {"schema_version", 1},
                    {"judged_by_draws", 0},
                    {"caution", answers::local_codes},
                    {"title", c.title},
                    {"steel", c.steel.key},
                    {"rows", rows},
                    {"limits", limits},
                    {"assumed", c.defaults}});
}

} // namespace tq::output
