#include "answers/foreseen_transfer.hpp"

#include "answers/search.hpp"
#include "answers/wanted.hpp"
#include "steel/decomposition.hpp"
#include "steel/reference_carbon.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <memory>

namespace tq::answers {

using treatment::Simulation;

namespace {

constexpr double failed_by_far = -2; ///< a margin: seven times the share allowed

/// Of two points the value at x on their straight line.
double on_line(double x0, double y0, double x1, double y1, double x) {
  return x1 > x0 ? y0 + (y1 - y0) * (x - x0) / (x1 - x0) : y0;
}

} // namespace

ForeseenTransfer::ForeseenTransfer(const treatment::Case& c, Simulation& sim, const Simulation::Snapshot& hot,
                                   const treatment::NodeState& quenched, double most_s)
    : limit_(c.thresholds.transformed_pass), most_s_(most_s) {
  for (std::size_t z = 0; z < treatment::zone_count; ++z)
    asked_[z] = wanted_of(c, sim.station(), z) == treatment::Wanted::hard;
  const std::unique_ptr<const steel::DecompositionLaw> law =
      steel::decomposition_law(c.steel, steel::reference_carbon(c.steel));
  const std::size_t carry = *c.hardening().carry, nodes = quenched.temperature.size();
  const auto reaches = zone_reaches(c.wanted_zones(sim.station()), sim.grid(), sim.zone_columns());
  sim.restore(hot);
  const std::vector<double> austenite = sim.material()->austenite();
  const double own_s = c.transfer().time_s;
  sim.run(carry, {}, own_s);
  std::vector<double> pearlite(nodes), bainite(nodes); // clocks of the quench without those of the way
  for (std::size_t n = 0; n < nodes; ++n) {
    pearlite[n] = quenched.scheil_pearlite[n] - sim.scheil_pearlite(n);
    bainite[n] = quenched.scheil_bainite[n] - sim.scheil_bainite(n);
  }
  const double begun = sim.time();
  const auto look = [&](const Simulation& s) {
    ZoneFigures margins{};
    bool goes_on = false;
    for (std::size_t z = 0; z < treatment::zone_count; ++z) {
      double worst = 0;
      reaches[z].each_node(s.grid(), [&](std::size_t n, int) {
        using steel::Product;
        const double p = law->fraction(Product::pearlite, pearlite[n] + s.scheil_pearlite(n)),
                     b = law->fraction(Product::bainite, bainite[n] + s.scheil_bainite(n));
        worst = std::max(worst, austenite[n] * (1 - (1 - p) * (1 - b)));
      });
      margins[z] = log_margin(limit_, worst);
      goes_on = goes_on || (asked_[z] && margins[z] > failed_by_far);
    }
    if (seconds_.empty() || s.time() - begun > seconds_.back()) {
      seconds_.push_back(s.time() - begun);
      foreseen_.push_back(margins);
    }
    return goes_on;
  };
  if (look(sim) && most_s > 0)
    sim.run(carry, look, most_s);
}

void ForeseenTransfer::learn(double seconds, const ZoneFigures& shares) {
  const auto after = static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(
      std::upper_bound(seconds_.begin(), seconds_.end(), seconds) - seconds_.begin(), 1,
      std::max<std::ptrdiff_t>(std::ssize(seconds_) - 1, 1)));
  ZoneFigures& more = more_[seconds];
  for (std::size_t z = 0; z < treatment::zone_count; ++z) {
    const double there = seconds_.size() < 2 ? foreseen_.front()[z]
                                             : on_line(seconds_[after - 1], foreseen_[after - 1][z],
                                                       seconds_[after], foreseen_[after][z], seconds);
    more[z] = log_margin(limit_, shares[z]) - there;
  }
}

double ForeseenTransfer::difference(std::size_t zone, double seconds) const {
  if (more_.empty())
    return 0;
  const auto after = more_.upper_bound(seconds);
  if (after == more_.begin())
    return after->second[zone];
  const auto before = std::prev(after);
  return after == more_.end()
             ? before->second[zone]
             : on_line(before->first, before->second[zone], after->first, after->second[zone], seconds);
}

double ForeseenTransfer::seconds_to_spare(std::size_t zone) const {
  double before = foreseen_.front()[zone] + difference(zone, 0);
  if (before < 0)
    return 0;
  double slope = 0;
  for (std::size_t i = 1; i < seconds_.size(); ++i) {
    const double now = foreseen_[i][zone] + difference(zone, seconds_[i]);
    slope = (now - before) / (seconds_[i] - seconds_[i - 1]);
    if (now < 0)
      return seconds_[i - 1] - before / slope;
    before = now;
  }
  // beyond what was looked at it goes on as it went last
  return slope < 0 ? std::min(seconds_.back() - before / slope, most_s_) : most_s_;
}

double ForeseenTransfer::seconds_to_spare() const {
  double least = most_s_;
  for (std::size_t z = 0; z < treatment::zone_count; ++z)
    if (asked_[z])
      least = std::min(least, seconds_to_spare(z));
  return least;
}

} // namespace tq::answers
