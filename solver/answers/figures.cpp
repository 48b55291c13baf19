#include "answers/figures.hpp"

#include "answers/quick_answer.hpp"
#include "answers/when.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string>

namespace tq::answers {
namespace {

using treatment::Case;
using S = StationAnswer;
using Z = ZoneAnswer;

constexpr double inf = Spread::inf;
constexpr Spread none{};
constexpr Spread any{true};
constexpr Spread above_0{true, Nature::difference, 0};
constexpr Spread share{true, Nature::difference, 0, 1};
constexpr Spread small_share{true, Nature::ratio, 0, 1};
constexpr Spread ratio{true, Nature::ratio, 0};
constexpr Spread moment{true, Nature::difference, 0, inf, true};
constexpr Spread quench_moment{true, Nature::ratio, 0, inf, true};

template <auto Member>
double of(const Z& z) {
  return z.*Member;
}
template <auto Member>
double of_station(const S& s) {
  return s.*Member;
}
template <auto Member>
double of_surface(const S& s) {
  return s.surface.*Member;
}

Figure zone(Meaning meaning, double (*value)(const Z&), Show show = Show::hidden, const char* label = "",
            Spread spread = none, bool (*asked)(const Case&) = nullptr) {
  return {meaning, value, nullptr, false, show, label, spread, Worst::least, nullptr, asked};
}
Figure station(Meaning meaning, double (*value)(const S&), Show show = Show::hidden,
               Worst worst = Worst::least, Spread spread = none, const char* label = "",
               double (*drawn)(const S&) = nullptr) {
  return {meaning, nullptr, value, false, show, label, spread, worst, drawn, nullptr};
}
Figure surface(Meaning meaning, double (*value)(const S&), Show show = Show::hidden,
               Worst worst = Worst::least, Spread spread = none, const char* label = "") {
  return {meaning, nullptr, value, true, show, label, spread, worst, nullptr, nullptr};
}

bool soaked(const Case& c) { return heated(c) && transforms(c); }
bool hardened(const Case& c) { return quenched(c) && transforms(c); }
bool straightened(const Case& c) { return hardened(c) && (c.bath().out_at_degC || c.second_bath()); }

/// Of the zone that comes last, not rounded to minutes.
double timer_of_worst_zone(const S& s) {
  double latest = 0;
  for (const Z& z : s.zones)
    latest = std::isfinite(z.timer_from_door_s) ? std::max(latest, z.timer_from_door_s)
                                                : std::numeric_limits<double>::quiet_NaN();
  return latest;
}

/// Least of the zones that have the figure and are not to stay soft.
double least_of_zones(const S& s, double Z::*figure) {
  double value = std::numeric_limits<double>::quiet_NaN();
  for (const Z& z : s.zones)
    if (z.wanted != treatment::Wanted::soft)
      value = std::fmin(value, z.*figure);
  return value;
}

std::vector<Figure> all_figures() {
  constexpr Scale on_scale = Scale::on_scale, difference = Scale::difference;
  const auto greatest = Worst::greatest, least = Worst::least;
  return {
      // zones
      zone({"x", "m", "distance of the zone from the spine face"}, of<&Z::x_m>, Show::place,
           "from the spine"),
      zone({"thickness", "m", "thickness of the section at the zone"}, of<&Z::thickness_m>, Show::length,
           "thickness"),
      zone({"reaches_temperature", "s", "reaches the hardening temperature, from closing the door"},
           of<&Z::reaches_temperature_s>, Show::minutes_or_never, "reaches temperature after", moment,
           heated),
      zone({"soak", "s", "time at temperature before the blade came out, least within the zone's reach"},
           of<&Z::soak_s>, Show::minutes, "soak, time at temperature", above_0),
      zone({"soak_place", "m", "distance of the place that soaks least from the spine face"},
           of<&Z::soak_x_m>),
      zone({"timer_from_door", "s", "timer for the asked soak, from closing the door"},
           of<&Z::timer_from_door_s>, Show::minutes_up, "timer for the asked soak, from the door", moment,
           soaked),
      zone({"timer_from_recovery", "s", "timer for the asked soak, from the recovery of the display"},
           of<&Z::timer_from_recovery_s>),
      zone({"austenite", "1", "share of austenite at the end of the soak"}, of<&Z::austenite>, Show::share,
           "austenite at the end of the soak", share),
      zone({"carbon_in_solution", "percent", "carbon in solution in the austenite, by mass"},
           of<&Z::carbon_in_solution>, Show::weight_percent, "carbon in solution, by weight", above_0),
      zone({"undissolved_carbide", "1", "carbide left undissolved, by mass"}, of<&Z::undissolved_carbide>,
           Show::share, "carbide left undissolved", share),
      zone({"into_bath", "degC", "temperature on entering the bath", on_scale}, of<&Z::into_bath_degC>,
           Show::temperature, "into the bath", any),
      zone({"time_800_to_500", "s", "time from 800 to 500 degC on cooling"}, of<&Z::t800_500_s>,
           Show::seconds, "800 to 500 degC (1472 to 932 degF) in", ratio, quenched),
      zone({"time_700_to_500", "s", "time from 700 to 500 degC on cooling"}, of<&Z::t700_500_s>,
           Show::seconds, "700 to 500 degC (1292 to 932 degF) in", ratio, quenched),
      zone({"transformed", "1", "pearlite and bainite, worst place of the zone"}, of<&Z::transformed>,
           Show::share, "gone to pearlite and bainite", small_share, hardened),
      zone({"worst_place", "m", "distance of that place from the spine face"}, of<&Z::worst_x_m>),
      zone({"pearlite", "1", "share of pearlite"}, of<&Z::pearlite>, Show::hidden, "", small_share),
      zone({"bainite", "1", "share of bainite"}, of<&Z::bainite>, Show::hidden, "", small_share),
      zone({"rate_margin", "1", "1 / Scheil sum of the 1 % start over transfer and quench"},
           of<&Z::rate_margin>, Show::times, "cooling, times the rate it needs", ratio, hardened),
      zone({"transfer_to_spare", "s", "further seconds of transfer before the zone no longer passes"},
           of<&Z::transfer_to_spare_s>, Show::half_seconds_down, "transfer could take longer by", none,
           hardened),
      zone({"straighten", "s", "from lifting out of the last bath until martensite starts"},
           of<&Z::straighten_s>, Show::half_seconds_down, "lifted, still soft for", none, straightened),
      zone({"martensite_start", "degC", "martensite start temperature", on_scale}, of<&Z::ms_degC>,
           Show::temperature, "martensite starts", any),
      zone({"martensite", "1", "share of martensite before tempering"}, of<&Z::martensite>, Show::hidden, "",
           share),
      zone({"retained_austenite", "1", "share of retained austenite before tempering"},
           of<&Z::retained_austenite>, Show::share, "retained austenite", share),
      zone({"retained_austenite_tempered", "1", "share of retained austenite after all tempers"},
           of<&Z::retained_austenite_tempered>, Show::share, "left of it after tempering"),
      zone({"hardness_as_quenched", "1", "Rockwell C hardness as quenched"}, of<&Z::as_quenched_HRC>,
           Show::rockwell, "HRC as quenched", any),
      zone({"hardness_tempered", "1", "Rockwell C hardness after tempering"}, of<&Z::tempered_HRC>,
           Show::rockwell, "HRC after tempering", any),
      // stations
      station(
          {"timer_from_door", "s", "timer for the asked soak in the worst zone, whole minutes from the door"},
          of_station<&S::timer_from_door_s>, Show::minutes_up, greatest, moment,
          "timer, from closing the door", timer_of_worst_zone),
      station({"timer_from_recovery", "s", "the same from the recovery of the display"},
              of_station<&S::timer_from_recovery_s>, Show::minutes_up, greatest, none,
              "timer, from the display's recovery"),
      station({"timer_used", "s", "when the blade came out in this run, from the door"},
              of_station<&S::timer_used_s>, Show::minutes_up, greatest, none, "blade out after"),
      station(
          {"timer_careful", "s",
           "timer for the asked soak in nine draws in ten, whole minutes from the door; none without draws"},
          of_station<&S::timer_careful_s>, Show::minutes_up, greatest, none),
      station(
          {"transfer_careful", "s", "further seconds of transfer in nine draws in ten; none without draws"},
          of_station<&S::transfer_careful_s>, Show::half_seconds_down, least, none),
      station({"lift_careful", "s",
               "seconds in the bath until the surface is below the flash point in nine draws in ten; none "
               "without "
               "draws"},
              of_station<&S::lift_careful_s>, Show::half_seconds_up, greatest),
      station({"bath_volume_careful", "m3",
               "smallest bath that stays below the limit to the end of the row in nine draws in ten; none "
               "without draws"},
              of_station<&S::volume_careful_m3>, Show::at_least_volume, greatest),
      station(
          {"wished_hardness_least", "1", "least Rockwell C hardness wished of it; none without a wish"},
          [](const S& s) { return s.wish.stated() ? s.wish.from : SurfaceAnswer::none; }, Show::hidden,
          least),
      station(
          {"wished_hardness_most", "1", "greatest Rockwell C hardness wished of it; none without a wish"},
          [](const S& s) { return s.wish.stated() ? s.wish.to : SurfaceAnswer::none; }, Show::hidden,
          greatest),
      station({"display_ready", "s", "when the display has recovered, from the door"},
              of_station<&S::display_ready_s>),
      station(
          {"transfer_to_spare", "s", "further seconds of transfer before the first zone no longer passes"},
          least_transfer_to_spare, Show::half_seconds_down, least, above_0, "transfer to spare"),
      station(
          {"rate_margin", "1",
           "1 / Scheil sum of the 1 % start over transfer and quench, least of the zones"},
          [](const S& s) { return least_of_zones(s, &Z::rate_margin); }, Show::times, least, none,
          "cooling, times the rate it needs"),
      station(
          {"lift_below_smoke", "s", "seconds in the bath until the surface is below the smoke temperature"},
          of_station<&S::lift_below_smoke_s>, Show::half_seconds_up, greatest, quench_moment),
      station({"lift_below_flash", "s", "seconds in the bath until the surface is below the flash point"},
              of_station<&S::lift_below_flash_s>, Show::half_seconds_up, greatest, quench_moment,
              "out of the oil not before"),
      station({"surface_at_lift", "degC", "hottest surface on lifting out of the bath", on_scale},
              of_station<&S::surface_at_lift_degC>, Show::temperature, greatest, any),
      station({"centre_at_lift", "degC", "hottest point inside on lifting out of the bath", on_scale},
              of_station<&S::centre_at_lift_degC>, Show::temperature, greatest, any),
      station({"hottest_place_at_lift", "m", "distance of that point from the spine face"},
              of_station<&S::hottest_at_lift_x_m>),
      station({"in_bath", "s", "time in the first bath"}, of_station<&S::in_bath_s>, Show::half_seconds_up,
              greatest),
      station({"flash_margin", "K", "flash point minus the bath at the end of the quench", difference},
              of_station<&S::flash_margin_K>, Show::difference, least),
      station({"bath_start", "degC", "temperature of the bath when this blade comes", on_scale},
              of_station<&S::bath_start_degC>, Show::temperature, greatest),
      station({"bath_rise", "K", "rise of the bath's temperature by one blade", difference},
              of_station<&S::bath_rise_K>, Show::difference, greatest, any),
      station({"bath_end", "degC", "temperature of the bath at the end", on_scale},
              of_station<&S::bath_end_degC>, Show::temperature, greatest, any, "bath ends at"),
      station(
          {"bath_limit", "degC", "temperature that the bath should not pass along a row of blades", on_scale},
          of_station<&S::bath_limit_degC>, Show::at_most_degC, least, none, "no further blade above"),
      station(
          {"blades_in_a_row", "1", "blades that the bath takes one after another before it passes the limit"},
          of_station<&S::blades_in_a_row>, Show::count, least),
      station({"least_interval", "s", "shortest interval at which it takes any number of blades"},
              of_station<&S::least_interval_s>, Show::pause_up, greatest),
      station({"least_bath_volume", "m3", "smallest bath that stays below the limit to the end of the row"},
              of_station<&S::least_volume_m3>, Show::at_least_volume, greatest, ratio, "bath, at least"),
      station({"mass", "kg", "mass of a blade of this section and the stated length"},
              of_station<&S::mass_kg>, Show::grams, greatest),
      station({"hardness_as_quenched_least", "1", "least Rockwell C hardness as quenched"},
              of_station<&S::hrc_as_quenched_least>, Show::rockwell, least, any, "HRC as quenched, least"),
      station({"hardness_as_quenched_most", "1", "greatest Rockwell C hardness as quenched"},
              of_station<&S::hrc_as_quenched_most>, Show::rockwell, greatest, any, "HRC as quenched, most"),
      station({"hardness_tempered_least", "1", "least Rockwell C hardness after tempering"},
              of_station<&S::hrc_tempered_least>, Show::rockwell, least, any, "HRC after tempering, least"),
      station({"hardness_tempered_most", "1", "greatest Rockwell C hardness after tempering"},
              of_station<&S::hrc_tempered_most>, Show::rockwell, greatest, any, "HRC after tempering, most"),
      station({"hardness_band", "1", "band of the hardness after tempering, plus or minus, in Rockwell C"},
              of_station<&S::hrc_band>, Show::hidden, greatest),
      station({"hardness_as_quenched_band", "1",
               "band of the hardness as quenched, plus or minus, in Rockwell C"},
              of_station<&S::hrc_as_quenched_band>, Show::hidden, greatest),
      station({"cold_gain", "1", "austenite that cooling below the air turned in the thickest zone"},
              of_station<&S::cold_gain>, Show::share, greatest, none, "austenite turned by cold"),
      // skin, tester, grinder
      surface({"soft_depth", "m", "depth down to half of the carbon at the edge, below the scale"},
              of_surface<&SurfaceAnswer::soft_depth_m>, Show::length, greatest, above_0),
      surface({"affected_depth", "m", "depth down to 90 % of the carbon at the edge, below the scale"},
              of_surface<&SurfaceAnswer::affected_depth_m>, Show::length, greatest),
      surface({"scale", "m", "thickness of the scale"}, of_surface<&SurfaceAnswer::scale_m>, Show::length,
              greatest),
      surface({"scale_loss", "m", "steel lost to the scale, per side"},
              of_surface<&SurfaceAnswer::scale_loss_m>, Show::length, greatest, above_0),
      surface({"grind_per_side", "m", "to be ground off each side after hardening"},
              of_surface<&SurfaceAnswer::grind_per_side_m>, Show::length, greatest, above_0,
              "to grind off per side"),
      surface({"least_edge", "m", "least edge thickness to leave before hardening"},
              of_surface<&SurfaceAnswer::least_edge_m>, Show::at_least_length, greatest, above_0,
              "edge before hardening, at least"),
      surface({"grain_number", "1", "ASTM grain number of the coarsest zone at the end of the soak"},
              of_surface<&SurfaceAnswer::grain_number>, Show::grain, least, any, "grain, ASTM number"),
      surface({"soak_earliest", "s", "shortest sensible soak at the true temperature of the furnace"},
              of_surface<&SurfaceAnswer::soak_earliest_s>, Show::minutes_up, greatest),
      surface(
          {"soak_latest", "s", "longest sensible soak there, infinite when nothing is overdone within 6 h"},
          of_surface<&SurfaceAnswer::soak_latest_s>, Show::minutes_down, least),
      surface({"rockwell_thickness", "m", "least thickness for a valid Rockwell C reading"},
              of_surface<&SurfaceAnswer::rockwell_thickness_m>, Show::length, greatest),
      surface({"rockwell_from", "m", "nearest place to the spine at which that reading holds"},
              of_surface<&SurfaceAnswer::rockwell_from_m>, Show::length, greatest),
      surface({"rockwell_to", "m", "farthest place from the spine at which that reading holds"},
              of_surface<&SurfaceAnswer::rockwell_to_m>, Show::length, least),
      surface(
          {"flash_limit", "degC", "a second of grinding heat at this temperature takes off 1 HRC", on_scale},
          of_surface<&SurfaceAnswer::flash_limit_degC>, Show::at_most_degC, least),
  };
}

const Figure& found(std::string_view name, bool of_zone) {
  for (const Figure& f : figures())
    if ((f.of_zone != nullptr) == of_zone && name == f.meaning.name)
      return f;
  throw std::out_of_range(std::string(name) + " is no figure");
}

} // namespace

const std::vector<Figure>& figures() {
  static const std::vector<Figure> all = all_figures();
  return all;
}

const Figure& figure_of_zone(std::string_view name) { return found(name, true); }
const Figure& figure_of_station(std::string_view name) { return found(name, false); }

double over_stations(const std::vector<StationAnswer>& stations, std::string_view name, bool never) {
  const Figure& f = figure_of_station(name);
  double worst = std::numeric_limits<double>::quiet_NaN();
  for (const StationAnswer& s : stations) {
    const double value = f.of_station(s);
    if (never && !std::isfinite(value))
      return std::numeric_limits<double>::quiet_NaN();
    if (std::isfinite(value))
      worst = f.worst == Worst::greatest ? std::fmax(worst, value) : std::fmin(worst, value);
  }
  return worst;
}

std::string told_of(const std::vector<StationAnswer>& stations, std::string_view name, bool never) {
  return told(figure_of_station(name).show, over_stations(stations, name, never));
}

const ZoneAnswer* least_zone(const std::vector<StationAnswer>& stations, double ZoneAnswer::*figure) {
  const ZoneAnswer* least = nullptr;
  for (const StationAnswer& s : stations)
    for (const ZoneAnswer& z : s.zones)
      if (z.wanted == treatment::Wanted::hard && std::isfinite(z.*figure) &&
          (least == nullptr || z.*figure < least->*figure))
        least = &z;
  return least;
}

} // namespace tq::answers
