#include "output/key_figures.hpp"

#include "answers/decision.hpp"
#include "answers/figures.hpp"
#include "output/risk_words.hpp"
#include "output/text.hpp"

#include <cmath>
#include <limits>

namespace tq::output {

using answers::Answers;
using answers::StationAnswer;
using answers::Verdict;
using answers::ZoneAnswer;
using treatment::Case;
using treatment::Part;

namespace {

constexpr double thin_rate_margin = 2; ///< published start curves are good to a factor of about two
constexpr double thin_spare_s = 2;     ///< of transfer; a fumble with the tongs takes as long

/// What the way to the bath may take more: in nine draws in ten where draws were made.
double spare_of(const Answers& a, const ZoneAnswer& zone) {
  const double careful = over_stations(a.stations, "transfer_careful");
  return std::isfinite(careful) ? careful : zone.transfer_to_spare_s;
}

} // namespace

std::string time_in_bath(const Case& c, const Answers& a) {
  return c.bath().out_at_degC ? told_of(a.stations, "in_bath") : seconds_set(c.bath().time_s);
}

std::string hardness_text(const std::vector<StationAnswer>& stations, const char* when) {
  const std::string name = std::string("hardness_") + when;
  double least = over_stations(stations, name + "_least"), most = over_stations(stations, name + "_most");
  // a zone of which no hardness is asked, or that is to stay soft, is not the hardness of the blade
  double hard_least = std::numeric_limits<double>::quiet_NaN(), hard_most = hard_least;
  bool all_hard = true;
  for (const StationAnswer& s : stations)
    for (const ZoneAnswer& z : s.zones) {
      const double hrc = name == "hardness_as_quenched" ? z.as_quenched_HRC : z.tempered_HRC;
      all_hard = all_hard && z.wanted == treatment::Wanted::hard;
      if (z.wanted == treatment::Wanted::hard) {
        hard_least = std::fmin(hard_least, hrc);
        hard_most = std::fmax(hard_most, hrc);
      }
    }
  if (!all_hard && std::isfinite(hard_least)) {
    least = hard_least;
    most = hard_most;
  }
  return hrc_range_text(least, most,
                        over_stations(stations, name == "hardness_as_quenched" ? "hardness_as_quenched_band"
                                                                               : "hardness_band"));
}

std::vector<Named> named_verdicts(const Answers& a) {
  return {{"soak", &a.soak}, {"quench", &a.quench}, {"hardness", &a.hardness}};
}

std::vector<NamedRisk> named_risks(const answers::Risks* risks) {
  if (risks == nullptr)
    return {};
  return {{"bow", &risks->bow, brief_bow(*risks)},
          {"crack", &risks->crack.crack, brief_crack(*risks)},
          {"oil", &risks->oil, risks->oil.reason.brief()},
          {"edge", &risks->edge, risks->edge.reason.brief()}};
}

std::vector<KeyFigure> key_settings(const Case& c, const Answers& a) {
  std::vector<KeyFigure> out;
  if (c.heated()) {
    out.push_back({"furnace", temperature_text(c.furnace().setpoint_degC)});
    const std::string door = told_of(a.stations, "timer_from_door", true),
                      careful = told_of(a.stations, "timer_careful", true);
    if (door != "-" && !c.steel.inert)
      out.push_back({"timer", (careful != "-" ? careful : door) + " from the door"});
    else if (const std::string used = told_of(a.stations, "timer_used"); used != "-")
      out.push_back({"blade out", "after " + used});
  }
  if (c.carried())
    out.push_back({"transfer", seconds_set(c.transfer().time_s)});
  if (c.quenched()) {
    out.push_back({c.bath().coolant.kind == records::CoolantKind::oil ? "oil" : "bath",
                   temperature_text(c.bath().temperature_degC)});
    out.push_back({"lift out", "after " + time_in_bath(c, a)});
    if (const treatment::Bath* then = c.second_bath())
      out.push_back({then->coolant.kind == records::CoolantKind::oil ? "then oil" : "then bath",
                     temperature_text(then->temperature_degC) + ", " + seconds_set(then->time_s)});
  }
  if (c.tempered())
    out.push_back({"temper", formatted("%d x %s at ", c.tempers(), hours_text(c.oven().time_s).c_str()) +
                                 temperature_text(c.oven().oven_degC)});
  return out;
}

std::string key_hardness(const Case& c, const Answers& a) {
  if (c.steel.inert)
    return "";
  const bool tempered = c.tempered();
  std::string text = tempered ? hardness_text(a.stations, "tempered") : "-";
  if (text == "-")
    text = hardness_text(a.stations, "as_quenched");
  return text == "-" ? "" : text;
}

std::vector<std::string> key_fears(const Case& c, const Answers& a, std::size_t most) {
  std::vector<std::string> out = a.warnings;
  if (c.quenched() && !c.steel.inert) {
    const ZoneAnswer* slow = answers::least_zone(a.stations, &ZoneAnswer::rate_margin);
    if (slow != nullptr && slow->rate_margin < thin_rate_margin && a.quench.verdict == Verdict::pass)
      out.push_back("the " + slow->name + " only " + cools_text(slow->rate_margin) +
                    "; the steel's start curve is good to a factor of about two");
    if (const ZoneAnswer* late = answers::least_zone(a.stations, &ZoneAnswer::transfer_to_spare_s))
      out.push_back(spare_of(a, *late) < thin_spare_s
                        ? "hardly a second to spare on the way to the bath (" + late->name + ")"
                        : "more than " + half_seconds_down(spare_of(a, *late)) +
                              " longer on the way to the bath: then the " + late->name + " no longer passes");
  }
  if (out.size() > most)
    out.resize(most);
  return out;
}

} // namespace tq::output
