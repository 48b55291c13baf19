#include "output/key_figures.hpp"

#include "output/risk_words.hpp"
#include "output/text.hpp"

#include <cmath>
#include <limits>

namespace tq::output {

using answers::Answers;
using answers::StationAnswer;
using answers::Verdict;
using treatment::Case;
using treatment::Stage;

namespace {

constexpr double thin_rate_margin = 2; ///< published start curves are good to a factor of about two
constexpr double thin_spare_s = 2;     ///< of transfer; a fumble with the tongs takes as long

} // namespace

double worst(const std::vector<StationAnswer>& stations, double StationAnswer::*figure) {
  double most = std::numeric_limits<double>::quiet_NaN();
  for (const StationAnswer& s : stations) {
    if (!std::isfinite(s.*figure))
      return std::numeric_limits<double>::quiet_NaN();
    if (!(most >= s.*figure))
      most = s.*figure;
  }
  return most;
}

double least(const std::vector<StationAnswer>& stations, double StationAnswer::*figure) {
  double value = std::numeric_limits<double>::quiet_NaN();
  for (const StationAnswer& s : stations)
    if (std::isfinite(s.*figure) && !(value <= s.*figure))
      value = s.*figure;
  return value;
}

double greatest(const std::vector<StationAnswer>& stations, double StationAnswer::*figure) {
  double value = std::numeric_limits<double>::quiet_NaN();
  for (const StationAnswer& s : stations)
    if (std::isfinite(s.*figure) && !(value >= s.*figure))
      value = s.*figure;
  return value;
}

std::vector<Named> named_verdicts(const Answers& a) {
  return {{"soak", &a.soak}, {"quench", &a.quench}, {"hardness", &a.hardness}};
}

std::vector<NamedRisk> named_risks(const answers::Risks* risks) {
  if (risks == nullptr)
    return {};
  return {{"bow", &risks->bow, brief_bow(*risks)}, {"crack", &risks->crack.crack, brief_crack(*risks)}};
}

std::vector<KeyFigure> key_settings(const Case& c, const Answers& a) {
  std::vector<KeyFigure> out;
  if (c.has(Stage::furnace)) {
    out.push_back({"furnace", temperature_text(c.furnace.setpoint_degC)});
    const double door = worst(a.stations, &StationAnswer::timer_from_door_s);
    if (std::isfinite(door) && !c.steel.inert)
      out.push_back({"timer", minutes_up(door) + " from the door"});
    else if (const double used = greatest(a.stations, &StationAnswer::timer_used_s); std::isfinite(used))
      out.push_back({"blade out", "after " + minutes_up(used)});
  }
  if (c.has(Stage::transfer))
    out.push_back({"transfer", formatted("%.1f s", c.transfer.time_s)});
  if (c.has(Stage::bath)) {
    out.push_back({c.bath.coolant.kind == records::CoolantKind::oil ? "oil" : "bath",
                   temperature_text(c.bath.temperature_degC)});
    out.push_back(
        {"lift out",
         "after " + half_seconds_up(c.bath.out_at_degC ? greatest(a.stations, &StationAnswer::in_bath_s)
                                                       : c.bath.time_s)});
  }
  if (c.has(Stage::temper) && c.temper.count > 0)
    out.push_back({"temper", formatted("%d x %s at ", c.temper.count, hours_text(c.temper.time_s).c_str()) +
                                 temperature_text(c.temper.oven_degC)});
  return out;
}

std::string key_hardness(const Case& c, const Answers& a) {
  if (c.steel.inert)
    return "";
  const double band = greatest(a.stations, &StationAnswer::hrc_band);
  const bool tempered = c.has(Stage::temper) && c.temper.count > 0;
  double low = least(a.stations, &StationAnswer::hrc_tempered_least);
  if (tempered && std::isfinite(low))
    return hrc_range_text(low, greatest(a.stations, &StationAnswer::hrc_tempered_most), band);
  low = least(a.stations, &StationAnswer::hrc_as_quenched_least);
  return std::isfinite(low) ? hrc_range_text(low, greatest(a.stations, &StationAnswer::hrc_as_quenched_most),
                                             greatest(a.stations, &StationAnswer::hrc_as_quenched_band))
                            : "";
}

std::vector<std::string> key_fears(const Case& c, const Answers& a, std::size_t most) {
  std::vector<std::string> out = a.warnings;
  if (c.has(Stage::bath) && !c.steel.inert) {
    double margin = std::numeric_limits<double>::infinity(), spare = margin;
    std::string slow, late;
    for (const StationAnswer& s : a.stations)
      for (const answers::ZoneAnswer& z : s.zones) {
        if (z.rate_margin < margin) {
          margin = z.rate_margin;
          slow = z.name;
        }
        if (z.transfer_to_spare_s < spare) {
          spare = z.transfer_to_spare_s;
          late = z.name;
        }
      }
    if (margin < thin_rate_margin && a.quench.verdict == Verdict::pass)
      out.push_back(
          formatted("the %s cools only %.1f times as fast as it needs; the steel's start curve is good "
                    "to a factor of about two",
                    slow.c_str(), margin));
    if (std::isfinite(spare))
      out.push_back(
          spare < thin_spare_s
              ? "hardly a second to spare on the way to the bath (" + late + ")"
              : formatted("more than %s longer on the way to the bath: then the %s no longer passes",
                          half_seconds_down(spare).c_str(), late.c_str()));
  }
  if (out.size() > most)
    out.resize(most);
  return out;
}

} // namespace tq::output
