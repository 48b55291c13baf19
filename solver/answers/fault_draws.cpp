#include "answers/fault_draws.hpp"

#include "answers/coarse_case.hpp"
#include "answers/sampling.hpp"
#include "answers/surface.hpp"
#include "records/document.hpp"
#include "steel/reading.hpp"
#include "steel/skin.hpp"
#include "treatment/run.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <memory>

namespace tq::answers {

using records::InputError;
using treatment::Case;
using treatment::Part;
using treatment::zone_count;

namespace {

constexpr double farthest_score = 7;  ///< beyond it a share rounds to 0 or 1
constexpr std::size_t pair_share = 4; ///< of the members, one in so many is drawn with a pair of faults

BladeHardness hardness_of(const StationAnswer& s) {
  BladeHardness h;
  h.sound = true;
  constexpr double missed = 0.05, soaked = 0.98; // pearlite and bainite; austenite (assumption)
  for (std::size_t z = 0; z < zone_count; ++z) {
    const ZoneAnswer& zone = s.zones[z];
    h.missed = h.missed || (zone.wanted == treatment::Wanted::hard && zone.transformed > missed &&
                            !(zone.austenite < soaked));
    h.quenched[z] = s.zones[z].as_quenched_HRC;
    h.tempered[z] = s.zones[z].tempered_HRC;
  }
  return h;
}

/// Whether the skin that the case itself would have is deep enough for a file to feel.
bool skin_felt(const Case& c) {
  if (!c.heated())
    return false;
  const steel::Skin skin = steel::skin_over(skin_history(c, treatment::run_station(c, 0)), skin_settings(c));
  return skin.soft_m >= steel::file_depth_m;
}

std::vector<Fault> faults_of(const Case& c, const Case& coarse, const records::FaultRecord& record) {
  std::vector<Fault> out;
  for (const records::FaultEntry& entry : record.faults) {
    const FaultKind& kind = fault_kind(entry.key);
    if (!kind.matters(c))
      continue;
    const bool felt = entry.odds_where_felt > entry.odds && skin_felt(coarse);
    out.push_back({entry, kind.stays, kind.on_reading, felt ? entry.odds_where_felt : entry.odds});
  }
  return out;
}

/// None, each, and each pair of the faults that act on the blade.
std::vector<Stratum> strata_of(const std::vector<Fault>& faults) {
  std::vector<Stratum> out(1);
  const auto add = [&](std::vector<std::size_t> some) {
    Stratum s;
    for (const std::size_t f : some)
      s.odds *= faults[f].odds;
    s.faults = std::move(some);
    out.push_back(std::move(s));
  };
  for (std::size_t f = 0; f < faults.size(); ++f)
    if (!faults[f].on_reading)
      add({f});
  for (std::size_t f = 0; f < faults.size(); ++f)
    for (std::size_t g = f + 1; g < faults.size(); ++g)
      if (!faults[f].on_reading && !faults[g].on_reading &&
          !exclude_each_other(faults[f].entry.key, faults[g].entry.key))
        add({f, g});
  for (Stratum& s : out) {
    std::vector<std::size_t> staying;
    std::copy_if(s.faults.begin(), s.faults.end(), std::back_inserter(staying),
                 [&](std::size_t f) { return faults[f].stays; });
    s.next = static_cast<std::size_t>(
        std::find_if(out.begin(), out.end(), [&](const Stratum& o) { return o.faults == staying; }) -
        out.begin());
  }
  return out;
}

/// Whether a tester may stand at this distance from the spine.
bool tester_holds(const Case& c, const BladeHardness& middle, std::size_t z, double x_m) {
  const auto places =
      steel::rockwell_places(c.blade.stations.front().profile,
                             std::isfinite(middle.tempered[z]) ? middle.tempered[z] : middle.quenched[z]);
  return places.valid.exists() && x_m >= places.valid.from_m && x_m <= places.valid.to_m;
}

/// Hardness per kelvin of the oven.
double oven_slope(const Experiment& coarse) {
  constexpr double step_K = 10;
  std::array<double, 2> hrc{};
  for (const std::size_t k : {0U, 1U}) {
    const auto off = coarse.twin();
    off->change(Part::temper, [&](Case& t) {
      t.for_each_oven([&](treatment::Oven& o) { o.oven_degC += k == 0 ? -step_K : step_K; });
    });
    hrc[k] = off->outcome().tempered_least_HRC();
  }
  return (hrc[1] - hrc[0]) / (2 * step_K);
}

/// One member: its inputs, then blades with faults, each from the first part on that a fault changes.
class MemberBlades {
 public:
  MemberBlades(FaultSample& sample, std::size_t member, const double* points)
      : sample_(sample), member_(member) {
    const std::size_t d = sample.inputs.size();
    std::vector<double> changes(d);
    for (std::size_t i = 0; i < d; ++i) {
      sample.scores[member * d + i] = normal_quantile(points[i]);
      // the doubts of the two hardness formulas are counted in closed form in explain()
      changes[i] = sample.inputs[i].key == "temper_curve" ? sample.inputs[i].distribution.middle()
                                                          : sample.inputs[i].distribution.quantile(points[i]);
    }
    sizes_.assign(points + d, points + d + sample.faults.size());
    base_ =
        std::make_unique<Experiment>(coarse_case(perturbed(sample.stated, sample.inputs, changes.data())));
  }

  void draw(std::size_t stratum) {
    BladeHardness& to = sample_.draws[stratum][member_];
    if (to.sound)
      return;
    try {
      to = on_fine_grid(hardness_of(trial(sample_.strata[stratum].faults).outcome().stations.front()),
                        sample_);
      for (double& hrc : to.quenched)
        hrc += sample_.fresh_middle_HRC;
    } catch (const treatment::SolverError&) {
      to.sound = false;
    }
  }

 private:
  /// The oven's fault is laid on what the quench of the others left.
  Experiment& trial(const std::vector<std::size_t>& faults) {
    if (faults.empty())
      return *base_;
    std::unique_ptr<Experiment>& kept = trials_[faults];
    if (kept)
      return *kept;
    std::vector<std::size_t> earlier, last;
    for (const std::size_t f : faults)
      (kind(f).from == Part::temper ? last : earlier).push_back(f);
    const std::vector<std::size_t>& now = last.empty() ? earlier : last;
    kept = (last.empty() ? *base_ : trial(earlier)).twin();
    Part from = Part::temper;
    for (const std::size_t f : now)
      from = std::min(from, kind(f).from);
    kept->change(from, [&](Case& c) {
      for (const std::size_t f : now)
        kind(f).apply(c, sample_.faults[f].entry.at(sizes_[f]));
    });
    return *kept;
  }
  const FaultKind& kind(std::size_t f) const { return fault_kind(sample_.faults[f].entry.key); }

  FaultSample& sample_;
  std::size_t member_;
  std::vector<double> sizes_; ///< of each fault, along its range
  std::unique_ptr<Experiment> base_;
  std::map<std::vector<std::size_t>, std::unique_ptr<Experiment>> trials_;
};

/// Spread of a score among the wide draws.
double wide_sd(const UncertainInput& input) {
  constexpr double wide = 1.8; // twice as many beyond two standard deviations lose half of the nearer ones
  return input.key == "steel_pearlite" || input.key == "steel_bainite" || input.key == "oil_h" ? wide : 1;
}

/// Points of the unit cube of inputs and faults, the inputs going together as the shop has learnt; says of
/// each member how likely a wide draw it is.
std::vector<double> points_of(FaultSample& s) {
  const std::size_t d = s.inputs.size(), dimensions = d + s.faults.size();
  std::vector<double> points = sobol_points(s.members, dimensions, s.seed), of_inputs;
  s.by_wide.assign(s.members, 1);
  for (std::size_t m = 0; m < s.members; ++m) {
    for (std::size_t i = 0; i < d; ++i) {
      const double sd = wide_sd(s.inputs[i]);
      double& u = points[m * dimensions + i];
      if (sd == 1)
        continue;
      double z = normal_quantile(u);
      if (FaultSample::is_wide(m))
        u = normal_share_below(z = std::clamp(sd * z, -farthest_score, farthest_score));
      s.by_wide[m] *= math::exp(0.5 * z * z * (1 - 1 / (sd * sd))) / sd;
    }
    of_inputs.insert(of_inputs.end(), points.begin() + static_cast<std::ptrdiff_t>(m * dimensions),
                     points.begin() + static_cast<std::ptrdiff_t>(m * dimensions + d));
  }
  of_inputs = linked_points(s.stated, s.inputs, std::move(of_inputs));
  for (std::size_t m = 0; m < s.members; ++m)
    std::copy_n(of_inputs.begin() + static_cast<std::ptrdiff_t>(m * d), d,
                points.begin() + static_cast<std::ptrdiff_t>(m * dimensions));
  return points;
}

/// New members, the k-th with the strata of `jobs[k]`.
void draw_members(FaultSample& s, const std::vector<std::vector<std::size_t>>& jobs, Executor& executor,
                  const ShareDone& go_on) {
  const std::size_t first = s.members, dimensions = s.inputs.size() + s.faults.size();
  s.members += jobs.size();
  s.scores.resize(s.members * s.inputs.size());
  for (auto& of_stratum : s.draws)
    of_stratum.resize(s.members);
  const std::vector<double> points = points_of(s);
  const auto work = [&](std::size_t k) {
    const std::size_t m = first + k;
    MemberBlades blades(s, m, points.data() + m * dimensions);
    for (const std::size_t stratum : jobs[k]) {
      blades.draw(s.strata[stratum].next);
      blades.draw(stratum);
    }
  };
  executor.for_each_index(jobs.size(), work, [&](std::size_t done) {
    return !go_on || go_on(static_cast<double>(done) / static_cast<double>(jobs.size()));
  });
}

} // namespace

std::size_t FaultSample::fault_index(const std::string& key) const {
  return static_cast<std::size_t>(
      std::find_if(faults.begin(), faults.end(), [&](const Fault& f) { return f.entry.key == key; }) -
      faults.begin());
}

std::vector<double> FaultSample::weights_of_draws(std::size_t stratum) const {
  std::vector<double> out(members);
  std::array<double, 2> drawn{};
  for (std::size_t m = 0; m < members; ++m)
    drawn[is_wide(m) ? 1 : 0] += draws[stratum][m].sound ? 1 : 0;
  for (std::size_t m = 0; m < members; ++m)
    out[m] = draws[stratum][m].sound ? 1 / (drawn[0] + drawn[1] * by_wide[m]) : 0;
  return out;
}

BladeHardness coarse_hardness(const Case& c) {
  Experiment trial(coarse_case(c));
  return hardness_of(trial.outcome().stations.front());
}

BladeHardness on_fine_grid(const BladeHardness& draw, const FaultSample& sample) {
  constexpr double inf = std::numeric_limits<double>::infinity();
  BladeHardness out = draw;
  for (std::size_t z = 0; z < zone_count; ++z) {
    out.quenched[z] = corrected(draw.quenched[z], sample.middle.quenched[z], sample.rough.quenched[z],
                                Nature::difference, -inf, inf);
    out.tempered[z] = corrected(draw.tempered[z], sample.middle.tempered[z], sample.rough.tempered[z],
                                Nature::difference, -inf, inf);
    const double turned = std::max(0.0, draw.tempered[z] - draw.quenched[z]);
    out.tempered[z] = std::min(out.tempered[z], out.quenched[z] + turned);
  }
  return out;
}

FaultSample draw_faults(const Case& given, std::size_t station, const records::FaultRecord& record,
                        Executor& executor, int members, std::uint64_t seed, const ShareDone& go_on) {
  if (given.steel.inert)
    throw InputError("explain: the case's steel does not transform, so no reading says anything of it");
  if (!given.quenched())
    throw InputError("explain: the case has no bath stage, so it has no hardness to explain");
  FaultSample out;
  Case& c = out.stated = Experiment(given).settings(); // with its timer
  const std::vector<treatment::Station> all = c.blade.stations;
  c.blade.stations = {all.at(station)};
  out.station = station;
  out.record = record;
  out.seed = seed;
  out.inputs = uncertain_inputs(c);
  out.faults = faults_of(c, coarse_case(c), record);
  out.strata = strata_of(out.faults);
  out.draws.resize(out.strata.size());
  for (const UncertainInput& input : out.inputs) {
    const double sd =
        0.5 * (input.distribution.quantile(0.95) - input.distribution.quantile(0.05)) / normal_half_90;
    if (input.key == "fresh_hardness") {
      out.fresh_sd_HRC = sd;
      out.fresh_middle_HRC = input.distribution.middle();
    }
    if (input.key == "temper_curve")
      out.curve_sd_HRC = sd;
  }
  Experiment fine(c), coarse(coarse_case(c));
  out.middle = hardness_of(fine.outcome().stations.front());
  out.rough = hardness_of(coarse.outcome().stations.front());
  for (std::size_t z = 0; z < zone_count; ++z)
    out.tester_valid[z] = tester_holds(c, out.middle, z, fine.outcome().stations.front().zones[z].x_m);
  if (c.tempered())
    out.oven_slope_HRC_per_K = oven_slope(coarse);

  std::vector<std::vector<std::size_t>> jobs(static_cast<std::size_t>(members));
  for (std::size_t m = 0; m < jobs.size(); ++m)
    for (std::size_t s = 0; s < out.strata.size(); ++s)
      if (out.strata[s].faults.size() < 2 || s % pair_share == m % pair_share)
        jobs[m].push_back(s);
  draw_members(out, jobs, executor, go_on);
  return out;
}

void draw_more(FaultSample& sample, const std::vector<std::size_t>& wanted, Executor& executor,
               const ShareDone& go_on) {
  std::vector<std::vector<std::size_t>> jobs(*std::max_element(wanted.begin(), wanted.end()));
  for (std::size_t k = 0; k < jobs.size(); ++k)
    for (std::size_t s = 0; s < wanted.size(); ++s)
      if (wanted[s] > k)
        jobs[k].push_back(s);
  draw_members(sample, jobs, executor, go_on);
}

} // namespace tq::answers
