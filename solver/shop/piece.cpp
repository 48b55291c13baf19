#include "shop/piece.hpp"

#include "units/math.hpp"

#include <algorithm>

namespace tq::shop {

using treatment::Bath;
using treatment::Case;

namespace {

void scale_heat_transfer(Case& c, double factor) {
  c.for_each_bath([factor](Bath& b) {
    b.fixed_htc_W_m2K *= factor;
    for (double& h : b.coolant.htc_W_m2K.y)
      h *= factor;
  });
}

/// Where `more_turns` changes from no to yes between two logarithms; nothing when it does not.
template <class Holds>
std::optional<double> edge_between(double low, double high, const Holds& more_turns) {
  if (more_turns(low) || !more_turns(high))
    return {};
  constexpr int halvings = 12; // of a span of 6 at most: to a seventh of a percent
  for (int k = 0; k < halvings; ++k) {
    const double middle = 0.5 * (low + high);
    (more_turns(middle) ? high : low) = middle;
  }
  return 0.5 * (low + high);
}

constexpr double half = 0.5;

} // namespace

Case piece_case(const Case& blade, double thickness_m) {
  constexpr double narrowest_m = 25e-3, widths = 4; // the middle knows nothing of the rims
  constexpr int along = 8;
  Case c = blade;
  const double width = std::max(narrowest_m, widths * thickness_m), y = 0.5 * thickness_m;
  c.blade.stations = {{"piece", section::make_profile({{0, width}, {y, y}, {-y, -y}, {}})}};
  c.coat.reset();
  if (const auto temper = c.hardening().temper)
    c.steps.resize(*temper);
  c.output_times_s = {1e12}; // no fields, so no steps that land on them
  c.probes.clear();
  c.solver.along = std::min(c.solver.along, along);
  return c;
}

PieceEnd piece_end(const treatment::Run& run) {
  const treatment::NodeState& s = run.after_cool;
  PieceEnd end;
  for (std::size_t n = 0; n < s.pearlite.size(); ++n) {
    end.turned = std::max(end.turned, s.pearlite[n] + s.bainite[n]);
    end.clock = std::max({end.clock, s.scheil_pearlite[n], s.scheil_bainite[n]});
  }
  return end;
}

std::optional<double> clock_of_half(const Case& blade, double thickness_m) {
  const Case piece = piece_case(blade, thickness_m);
  const auto end_at = [&](double slower) {
    Case c = piece;
    scale_heat_transfer(c, math::exp(-slower));
    return piece_end(treatment::run_station(c, 0));
  };
  const double most = math::log(16.0);
  const auto at = edge_between(-most, most, [&](double slower) { return end_at(slower).turned >= half; });
  if (!at)
    return {};
  return end_at(*at).clock;
}

std::optional<double> thickness_of_half(const Case& blade) {
  const auto at = edge_between(math::log(thinnest_piece_m), math::log(thickest_piece_m), [&](double log_m) {
    return piece_end(treatment::run_station(piece_case(blade, math::exp(log_m)), 0)).turned >= half;
  });
  if (!at)
    return {};
  return math::exp(*at);
}

const treatment::Run& Pieces::run(const Case& blade, double thickness_m) {
  const auto known = runs_.find(thickness_m);
  if (known != runs_.end())
    return known->second;
  return runs_.emplace(thickness_m, treatment::run_station(piece_case(blade, thickness_m), 0)).first->second;
}

} // namespace tq::shop
