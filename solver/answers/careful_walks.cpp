#include "answers/careful_walks.hpp"

#include "answers/bath_limit.hpp"
#include "answers/find_parts.hpp"
#include "answers/section_change.hpp"
#include "answers/timer.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tq::answers {

using questioning::let_timer_follow;
using treatment::Case;

namespace {

using questioning::coldest_degC;
using questioning::longest_bath_s;
using questioning::most_oil_m3;

bool soaks(const Drawn& d) { return d.bands.soak.verdict == Verdict::pass; }
bool hardens(const Drawn& d) { return d.bands.quench.verdict == Verdict::pass; }

/// `test` of the band of a figure of each station that has it.
template <class Test>
bool each_station(const Bands& b, const char* key, const Test& test) {
  return std::all_of(b.stations.begin(), b.stations.end(), [&](const StationBands& s) {
    const Band* band = s.find(key);
    return band == nullptr || test(*band);
  });
}

template <class Test>
bool each_zone(const Bands& b, const char* key, const Test& test) {
  for (const StationBands& s : b.stations)
    for (const ZoneBands& z : s.zones)
      if (const Band* band = z.find(key); band != nullptr && !test(*band))
        return false;
  return true;
}

/// Grain and retained austenite as find_soak.cpp limits them.
bool not_overdone(const Drawn& d) {
  return each_station(d.bands, "grain_number",
                      [](const Band& b) { return b.nine_from >= questioning::coarsest_grain_number; }) &&
         each_zone(d.bands, "retained_austenite",
                   [](const Band& b) { return b.nine_to <= questioning::most_retained_austenite; });
}

/// Hardens, or, where the setting has no part in it, in no fewer draws than at the safest setting.
bool hardens_as_at(const Drawn& d, double at_bound) {
  constexpr double seam = 0.03; // of the share of draws: a blade in thirty
  return hardens(d) || d.bands.quench.passing >= at_bound - seam;
}

void in_bath_for(Case& c, double s) {
  c.bath().time_s = s;
  c.bath().out_at_degC.reset();
}

/// In nine draws in ten the thickest zone has not come to the start of its martensite on lifting.
bool still_soft(const Drawn& d) {
  for (const StationBands& s : d.bands.stations) {
    const Band *hottest = s.find("centre_at_lift"),
               *start = s.zones[treatment::zone_thickest].find("martensite_start");
    if (hottest == nullptr || start == nullptr)
      return false;
    std::size_t known = 0, soft = 0;
    for (std::size_t m = 0; m < hottest->members.size(); ++m)
      if (!std::isnan(hottest->members[m]) && !std::isnan(start->members[m])) {
        ++known;
        soft += hottest->members[m] >= start->members[m] ? 1 : 0;
      }
    if (static_cast<double>(soft) < passing_for_pass * static_cast<double>(known))
      return false;
  }
  return true;
}

std::vector<Walk> of_furnace(const Finding& f, const Case& asked, const FindOptions& options) {
  if (f.question == "out") {
    const auto out_after = [](Case& c, double v) { set_timer_from_door(c, v); };
    return {{0, 60, questioning::longest_timer_s, out_after, soaks}, {1, -60, 60, out_after, not_overdone}};
  }
  const double step = (options.fahrenheit ? five_degF : five_degC).step;
  const double wish = options.wish.value_or(0);
  const bool own_timer = asked.furnace().timer_s.has_value();
  const auto set = [own_timer](Case& c, double v) {
    c.furnace().setpoint_degC = v;
    if (!own_timer)
      let_timer_follow(c);
  };
  const auto hot_enough = [wish](const Drawn& d) {
    return soaks(d) && each_station(d.bands, "hardness_as_quenched_least",
                                    [&](const Band& b) { return wish <= 0 || b.nine_from >= wish; });
  };
  return {{1, step, f.settings[2].value, set, hot_enough},
          {2, -step, f.settings[1].value, set, not_overdone}};
}

/// The bath ends at `limit` at most and all that are to be hard are so.
auto cold_enough(double limit_degC) {
  return [limit_degC](const Drawn& d) {
    return each_station(d.bands, "bath_end", [&](const Band& b) { return b.nine_to <= limit_degC; });
  };
}

std::vector<Walk> of_oil(const Finding& f, const Case& asked, const FindOptions& options) {
  const double margin = asked.thresholds.flash_margin_K;
  if (f.question == "oil-volume") {
    const auto set = [with = f.with_setting.bath().blades](Case& c, double v) {
      c.bath().blades = with;
      c.bath().volume_m3 = v;
    };
    Walk w{0, half_litres.step, most_oil_m3, set, [](const Drawn&) { return true; }};
    if (options.wish) { // another rise than that of every row
      const treatment::Bath& bath = asked.bath();
      w.holds = cold_enough(std::min(bath.temperature_degC + *options.wish, bath_limit(bath, margin).degC));
    } else {
      w.begins = [](const Drawn& d) {
        double most = 0;
        for (const StationAnswer& s : judged_by(d.stated, d.bands).stations)
          most = std::fmax(most, s.volume_careful_m3);
        return half_litres.value(half_litres.at_least(most));
      };
    }
    w.holds_beside = hardens_as_at;
    return {w};
  }
  const double step = (options.fahrenheit ? five_degF : five_degC).step;
  treatment::Bath fresh = asked.bath();
  fresh.temperature_degC = questioning::coldest_water_degC;
  const double limit = fresh.coolant.kind == records::CoolantKind::oil ? bath_limit(fresh, margin).degC
                                                                       : questioning::hottest_water_degC;
  const auto set = [](Case& c, double v) { c.bath().temperature_degC = v; };
  const auto holds = [cold = cold_enough(limit)](const Drawn& d) { return cold(d) && hardens(d); };
  return {{1, step, f.settings[2].value, set, holds}, {2, -step, f.settings[1].value, set, holds}};
}

std::vector<Walk> of_lifting(const Finding& f, const Case& asked) {
  const double below = questioning::lift_below(asked);
  if (f.question == "lift") {
    Walk w{0, 0.5, longest_bath_s, in_bath_for, [below](const Drawn& d) {
             return each_station(d.bands, "surface_at_lift",
                                 [&](const Band& b) { return b.nine_to <= below; });
           }};
    w.holds_beside = hardens_as_at;
    return {w};
  }
  Walk earliest{0, 0.5, longest_bath_s, in_bath_for, [](const Drawn&) { return true; }};
  earliest.holds_beside = hardens_as_at;
  Walk latest{1, -0.5, 0.5, in_bath_for, still_soft};
  latest.members = true;
  return {earliest, latest};
}

std::vector<Walk> of_section(const Finding& f, const Case& asked) {
  if (f.question == "spine")
    return {{0, -0.05e-3, least_thickest(asked.blade),
             [](Case& c, double v) {
               set_thickest(c.blade, v);
               let_timer_follow(c);
             },
             hardens}};
  const auto edge_holds = [](const Drawn& d) {
    constexpr double seam_m = 5e-6; // as edge_verdict()
    for (std::size_t k = 0; k < d.bands.stations.size(); ++k) {
      const StationBands& s = d.bands.stations[k];
      const section::Profile& p = d.c.blade.stations[k].profile;
      const Band* least = s.find("least_edge");
      if (s.zones[treatment::zone_edge].hardens.verdict > Verdict::pass &&
          s.zones[treatment::zone_edge].hardens.verdict != Verdict::not_asked)
        return false;
      if (least != nullptr && least->nine_to > p.thickness_at(p.width()) + seam_m)
        return false;
    }
    return true;
  };
  return {{0, 0.05e-3, most_edge(asked.blade), [](Case& c, double v) { set_edge(c.blade, v); }, edge_holds}};
}

std::vector<Walk> of_cold(const Finding& f, const FindOptions& options) {
  const double step = (options.fahrenheit ? five_degF : five_degC).step;
  double at_room = 0;
  for (const Setting& s : f.figures)
    if (s.key == "retained_austenite_at_20_degC")
      at_room = s.value;
  const auto holds = [wish = options.wish, at_room](const Drawn& d) {
    double stated = 0;
    for (const StationAnswer& s : d.stated.stations)
      for (const ZoneAnswer& z : s.zones)
        stated = std::max(stated, z.retained_austenite);
    // a draw keeps by so much more than at 20 degC as the case does, in proportion (Koistinen-Marburger)
    const double more = wish ? 1 : 1 - at_room / stated;
    const double allowed = wish.value_or(questioning::more_austenite);
    return each_zone(d.bands, "retained_austenite",
                     [&](const Band& b) { return b.nine_to * more <= allowed; });
  };
  return {{0, -step, coldest_degC, [](Case& c, double v) { c.cool_to(v); }, holds}};
}

} // namespace

std::vector<Walk> walks_of(const Finding& f, const Case& asked, const FindOptions& options) {
  const std::string& q = f.question;
  if (q == "out" || q == "setpoint")
    return of_furnace(f, asked, options);
  if (q == "transfer")
    return {{0, -0.5, 0, [](Case& c, double v) { c.transfer().time_s = v; }, hardens}};
  if (q == "oil-volume" || q == "oil-temperature")
    return of_oil(f, asked, options);
  if (q == "foil-gap")
    return {{0, -5e-6, 0,
             [with = f.with_setting](Case& c, double v) {
               c = with; // foil on in the bath, and long enough in it
               c.wrap.gap_m.fill(v);
               let_timer_follow(c);
             },
             hardens}};
  if (q == "lift" || q == "interrupt")
    return of_lifting(f, asked);
  if (q == "spine" || q == "edge")
    return of_section(f, asked);
  if (q == "cool-to")
    return of_cold(f, options);
  return {};
}

} // namespace tq::answers
