#include "answers/bow.hpp"

#include "answers/coarse_case.hpp"
#include "steel/fibre_beam.hpp"
#include "steel/strain.hpp"
#include "treatment/simulation.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

namespace tq::answers {

namespace {

using records::StrainRecord;
using steel::FibreStep;
using treatment::Case;
using treatment::Simulation;

/// The bow needs more intervals than the other quick answers: a one-sided O1 slicer of 240 mm bows by 1.82 mm
/// on 32 x 4 intervals, 1.80 on 32 x 6, 1.78 on 60 x 8 and on 120 x 16.
constexpr int bow_along = 32, bow_across = 6;
/// Free strain of a place moves by no more than this in one step of the bar.
constexpr double longest_strain = 2e-4;
constexpr int most_parts = 200;

/// State of all nodes at one time.
struct Moment {
  std::vector<double> temperature, austenite, martensite, bainite, pearlite, carbon;
};

struct History {
  section::Grid grid;
  std::vector<Moment> moments;
};

Case case_for_bow(const Case& c) {
  Case out = coarse_case(c);
  out.solver.along = std::min(c.solver.along, bow_along);
  out.solver.across = std::min(c.solver.across, bow_across);
  out.output_times_s = {1e12};
  out.probes.clear();
  return out;
}

/// From the blade leaving the furnace to the end of the quench and of the cooling behind it.
History history_of(const Case& c, std::size_t station) {
  Simulation sim(c, station);
  History out;
  out.grid = sim.grid();
  const Simulation::Observer keep = [&](const Simulation& s) {
    const steel::TransformingMaterial& m = *s.material();
    out.moments.push_back(
        {s.temperature(), m.austenite(), m.martensite(), m.bainite(), m.pearlite(), m.carbon()});
    return true;
  };
  const treatment::Hardening h = c.hardening();
  for (std::size_t k = 0; k < h.after(treatment::Part::cool); ++k)
    sim.run(k, k < h.after(treatment::Part::furnace) ? Simulation::Observer() : keep);
  return out;
}

/// Fibres of the whole section: on each grid line across, two in every interval at Gauss's points, so that
/// areas and their second moments are exact on few intervals. A half section stands for both.
struct Fibres {
  struct Source {
    std::size_t below, above; ///< nodes between which the fibre lies
    double weight;            ///< of the one above
  };
  std::vector<double> x, y, area;
  std::vector<Source> source;

  explicit Fibres(const section::Grid& g) {
    for (int i = 0; i < g.nx; ++i) {
      const auto k = static_cast<std::size_t>(i);
      const double before = i > 0 ? g.x[k] - g.x[k - 1] : 0, after = i + 1 < g.nx ? g.x[k + 1] - g.x[k] : 0;
      const double width = 0.5 * (before + after);
      for (int j = 0; j + 1 < g.ny; ++j)
        for (const double side : {-1.0, 1.0}) {
          const double low = g.y(i, j), high = g.y(i, j + 1), weight = 0.5 + side * 0.5 / std::sqrt(3.0);
          const Source from{static_cast<std::size_t>(j * g.nx + i),
                            static_cast<std::size_t>((j + 1) * g.nx + i), weight};
          const double at = low + weight * (high - low), piece = 0.5 * width * (high - low);
          add(g.x[k], at, piece, from);
          if (g.half)
            add(g.x[k], -at, piece, from);
        }
    }
  }

 private:
  void add(double at_x, double at_y, double piece, Source from) {
    x.push_back(at_x);
    y.push_back(at_y);
    area.push_back(piece);
    source.push_back(from);
  }
};

/// What of a node the bar needs.
struct NodeStrain {
  double free = 0, modulus = 0, yield = 0, transformed = 0;
};

std::vector<NodeStrain> strains_of(const StrainRecord& r, const Moment& m, const std::vector<double>& first) {
  std::vector<NodeStrain> out(m.temperature.size());
  for (std::size_t n = 0; n < out.size(); ++n) {
    const steel::StrainShares shares{m.austenite[n],
                                     m.martensite[n],
                                     m.bainite[n],
                                     m.pearlite[n],
                                     1 - m.austenite[n] - m.martensite[n] - m.bainite[n] - m.pearlite[n],
                                     m.carbon[n]};
    const double T = m.temperature[n];
    out[n] = {steel::free_strain(r, shares, T), steel::youngs_modulus(r, shares, T),
              steel::yield_stress(r, shares, T),
              first[n] > 0 ? std::clamp(1 - m.austenite[n] / first[n], 0.0, 1.0) : 0.0};
  }
  return out;
}

/// Curvatures at the end of the history.
steel::SectionStrain bent(const StrainRecord& r, const History& h, const Fibres& fibres) {
  steel::FibreBeam beam(fibres.x, fibres.y, fibres.area);
  std::vector<FibreStep> steps(fibres.source.size());
  const std::vector<double>& first = h.moments.front().austenite;
  std::vector<NodeStrain> before = strains_of(r, h.moments.front(), first);
  const auto fill = [&](const std::vector<NodeStrain>& from, const std::vector<NodeStrain>& to, double a,
                        double b) {
    // Strain left by transforming under stress goes with z (2 - z) of the share z done (Leblond, Desalos).
    const auto left = [](double z) { return z * (2 - z); };
    for (std::size_t f = 0; f < steps.size(); ++f) {
      const Fibres::Source& s = fibres.source[f];
      const auto between = [w = s.weight](double u, double v) { return u + w * (v - u); };
      const auto at = [&](double NodeStrain::*what, double share) {
        const double u = between(from[s.below].*what, from[s.above].*what),
                     v = between(to[s.below].*what, to[s.above].*what);
        return u + share * (v - u);
      };
      const double done =
          std::max(0.0, left(at(&NodeStrain::transformed, b)) - left(at(&NodeStrain::transformed, a)));
      steps[f] = {at(&NodeStrain::free, b), at(&NodeStrain::modulus, b), at(&NodeStrain::yield, b),
                  r.plasticity_per_Pa * between(first[s.below], first[s.above]) * done};
    }
  };
  fill(before, before, 0, 0);
  beam.start(steps);
  for (std::size_t k = 1; k < h.moments.size(); ++k) {
    std::vector<NodeStrain> now = strains_of(r, h.moments[k], first);
    double most = 0;
    for (std::size_t n = 0; n < now.size(); ++n)
      most = std::max(most, std::abs(now[n].free - before[n].free));
    const int parts = std::clamp(static_cast<int>(std::ceil(most / longest_strain)), 1, most_parts);
    for (int p = 0; p < parts; ++p) {
      fill(before, now, static_cast<double>(p) / parts, static_cast<double>(p + 1) / parts);
      beam.step(steps);
    }
    before = std::move(now);
  }
  return beam.strain();
}

steel::SectionStrain bent_or_given_up(const StrainRecord& r, const History& h, const Fibres& fibres) {
  try {
    return bent(r, h, fibres);
  } catch (const steel::BeamError& e) {
    throw treatment::SolverError(e.what());
  }
}

void scale(records::Table& table, double factor) {
  for (double& y : table.y)
    y *= factor;
}

struct Variation {
  const char* name;
  std::function<void(StrainRecord&)> apply;
};

std::vector<Variation> variations() {
  return {
      {"thermal expansion of austenite",
       [](StrainRecord& r) { r.expansion_austenite_per_K *= 1 + r.spread.expansion; }},
      {"growth of martensite",
       [](StrainRecord& r) {
         for (double* v : {&r.volume_at_no_carbon, &r.volume_martensite_per_carbon,
                           &r.volume_bainite_per_carbon, &r.volume_pearlite_per_carbon})
           *v *= 1 + r.spread.volume;
       }},
      {"yielding of austenite",
       [](StrainRecord& r) { scale(r.yield_austenite_Pa, 1 + r.spread.yield_austenite); }},
      {"yielding of what it turns to",
       [](StrainRecord& r) {
         for (records::Table* t : {&r.yield_martensite_Pa, &r.yield_bainite_Pa, &r.yield_pearlite_Pa})
           scale(*t, 1 + r.spread.yield_product);
       }},
      {"transformation plasticity", [](StrainRecord& r) { r.plasticity_per_Pa *= 1 + r.spread.plasticity; }}};
}

std::string mm(double m) { return units::formatted(m < 9.95e-3 ? "%.1f mm" : "%.0f mm", m * 1e3); }

/// One flank cooled by so much less and wetted later: a blade goes in a little flat, and the oil flows past
/// one flank. Oil below its usual window is thick and does it worse. Assumptions, no source.
void make_uneven(treatment::Bath& b, double less) {
  constexpr double later_s = 0.1, thick = 3, most = 0.6;
  const records::CoolantRecord& oil = b.coolant;
  const bool cold = oil.kind == records::CoolantKind::oil && b.fixed_htc_W_m2K <= 0 &&
                    oil.recommended_to_degC > oil.recommended_from_degC &&
                    b.temperature_degC < oil.recommended_from_degC;
  const double times = cold ? thick : 1;
  b.flank_cooling *= 1 - std::min(most, times * less);
  b.flank_delay_s += times * later_s;
}

bool gaps_differ(const Case& c) {
  const treatment::Wrap& w = c.wrap;
  return w.layers > 0 && (w.gap_m[treatment::flank_a] != w.gap_m[treatment::flank_b] ||
                          w.contact_patches[treatment::flank_a] != w.contact_patches[treatment::flank_b]);
}

bool uneven(const treatment::Bath& b) { return b.flank_delay_s != 0 || b.flank_cooling != 1; }

std::string cause_of(const Case& c, std::size_t station) {
  std::string out;
  const auto add = [&](const char* text) { out += (out.empty() ? "" : "; ") + std::string(text); };
  if (!c.blade.stations[station].profile.symmetric())
    add("the section is not alike on both flanks");
  if (uneven(c.bath()) || (c.second_bath() && uneven(*c.second_bath())))
    add("one flank is cooled before or faster than the other");
  if (gaps_differ(c))
    add("foil lies closer on one flank");
  return out;
}

} // namespace

std::string no_bow_because(const Case& c) {
  if (c.steel.inert)
    return "the steel does not transform";
  if (!c.quenched())
    return "the case has no quench";
  if (!c.heated() && !c.start.austenitised)
    return "the blade does not start as austenite";
  if (c.bath().plates || (c.second_bath() && c.second_bath()->plates))
    return "plates hold the blade flat while it hardens";
  return "";
}

BowPart bow_part(const Case& given, std::size_t station, int part) {
  Case c = case_for_bow(given);
  BowPart out;
  if (part == 1) {
    make_uneven(c.bath(), c.strains.spread.flank_cooling);
    if (c.second_bath())
      make_uneven(*c.second_bath(), c.strains.spread.flank_cooling);
  }
  const History history = history_of(c, station);
  const Fibres fibres(history.grid);
  const steel::SectionStrain stated = bent_or_given_up(c.strains, history, fibres);
  out.across_per_m = stated.per_y;
  out.edgewise_per_m = stated.per_x;
  if (part == 1)
    return out;
  for (const Variation& v : variations()) {
    StrainRecord changed = c.strains;
    v.apply(changed);
    out.changes.push_back(
        {v.name, history.grid.half ? 0.0 : bent_or_given_up(changed, history, fibres).per_y - stated.per_y});
  }
  return out;
}

BowAnswer join_bow(const Case& c, std::size_t station, const BowPart& stated, const BowPart& other) {
  BowAnswer out;
  out.name = c.blade.stations[station].name;
  const double length = c.blade.length_m, height = length * length / 8; // of a flat arc, per curvature
  out.parts = stated.changes;
  out.parts.push_back({"one flank cooled unevenly", other.across_per_m - stated.across_per_m});
  double square = 0;
  for (BowAnswer::Part& p : out.parts) {
    p.change_m *= height;
    square += p.change_m * p.change_m;
  }
  std::stable_sort(out.parts.begin(), out.parts.end(),
                   [](const auto& a, const auto& b) { return std::abs(a.change_m) > std::abs(b.change_m); });
  const double bow = stated.across_per_m * height, doubt = std::sqrt(square);
  out.bow_m = std::abs(bow);
  out.low_m = std::max(0.0, out.bow_m - doubt);
  out.high_m = out.bow_m + doubt;
  out.convex_on_a = bow >= 0;
  out.side_certain = out.bow_m > doubt;
  out.edge_bow_m = stated.edgewise_per_m * height;

  const treatment::Thresholds& v = c.thresholds;
  out.bow.verdict = out.bow_m > v.bow_marginal_m ? Verdict::fail
                    : out.high_m > v.bow_pass_m  ? Verdict::marginal
                                                 : Verdict::pass;
  out.cause = cause_of(c, station);
  if (out.cause.empty())
    out.cause = "both flanks alike, only uneven cooling bows it";
  constexpr double unseen_m = 0.05e-3;
  const std::string size = out.high_m < unseen_m
                               ? "under 0.1 mm"
                               : mm(out.bow_m) + " (" + mm(out.low_m) + " to " + mm(out.high_m) + ")";
  const std::string side = out.high_m < unseen_m ? ""
                           : !out.side_certain   ? ", to either side"
                           : out.convex_on_a     ? ", flank A outside"
                                                 : ", flank B outside";
  out.bow.reason = size + " over " + mm(length) + side + ": " + out.cause;
  if (out.bow.verdict != Verdict::pass)
    out.advice = c.blade.stations[station].profile.symmetric()
                     ? "in point or edge first, edge to spine, never flat; straighten in the window before "
                       "martensite, or with shims of 1.5 to 2 times the bow in the second temper"
                     : "grind the bevel after hardening; else straighten in the window before martensite, or "
                       "with shims of 1.5 to 2 times the bow in the second temper";
  out.bow.cure = out.advice;
  return out;
}

} // namespace tq::answers
