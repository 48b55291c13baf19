#include "answers/safety.hpp"

#include "answers/bath_limit.hpp"
#include "answers/figures.hpp"
#include "answers/telling.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers {

using treatment::Case;

namespace {

constexpr double seam_K = 0.5;

/// Keeps the worst of several findings.
void take(Judgement& j, Verdict verdict, const std::string& reason, const std::string& cure) {
  if (j.verdict != Verdict::not_asked && verdict <= j.verdict)
    return;
  j.verdict = verdict;
  j.reason = reason;
  j.cure = cure;
}

} // namespace

Judgement oil_verdict(const Case& c, const Answers& a) {
  Judgement out;
  const double margin = c.thresholds.flash_margin_K;
  for (std::size_t k = 0; k < c.steps.size(); ++k) {
    const auto* bath = c.steps[k].as<treatment::Bath>();
    if (bath == nullptr || bath->plates || bath->coolant.kind != records::CoolantKind::oil)
      continue;
    const bool first = c.hardening().bath == k;
    const std::string name = first ? std::string() : c.steps[k].name + ": ";
    const BathLimit limit = bath_limit(*bath, margin);
    if (!std::isfinite(limit.degC))
      continue;
    const double starts = bath->temperature_degC,
                 ends = first ? std::fmax(starts, over_stations(a.stations, "bath_end")) : starts;
    const std::string most = told(Show::at_most_degC, limit.degC);
    if (bath->coolant.flash_degC && ends > *bath->coolant.flash_degC - margin + seam_K) {
      take(out, Verdict::fail,
           name + "the oil is at " + temperature_text(ends) + ", its flash point is " +
               temperature_text(*bath->coolant.flash_degC) + ": it may catch fire",
           "oil below " + most);
      continue;
    }
    if (starts > limit.degC + seam_K)
      take(out, Verdict::marginal,
           name + "the oil is at " + temperature_text(starts) + ", hotter than its limit of " + most +
               ": there " + limit.by,
           "oil below " + most);
    else if (ends > limit.degC + seam_K)
      take(out, Verdict::marginal,
           name + "the blade takes the oil to " + temperature_text(ends) + ", past its limit of " + most +
               ": there " + limit.by,
           "more oil, or cooler oil before the blade");
    if (first && c.cooled() && bath->coolant.flash_degC &&
        over_stations(a.stations, "surface_at_lift") > *bath->coolant.flash_degC)
      take(out, Verdict::marginal,
           name + "lifted while its surface is at " + told_of(a.stations, "surface_at_lift") +
               ", above the flash point: expect flame",
           "lid and extinguisher in hand, or longer in the oil");
    take(out, Verdict::pass, name + "ends at " + temperature_text(ends) + ", its limit is " + most, "");
  }
  return out;
}

Judgement edge_verdict(const Case& c, const Answers& a) {
  Judgement out;
  if (c.steel.inert || !c.quenched())
    return out;
  for (std::size_t k = 0; k < std::min(a.stations.size(), c.blade.stations.size()); ++k) {
    const SurfaceAnswer& surface = a.stations[k].surface;
    if (!std::isfinite(surface.least_edge_m))
      continue;
    const section::Profile& p = c.blade.stations[k].profile;
    const double edge = p.thickness_at(p.width());
    const std::string least = told(Show::at_least_length, surface.least_edge_m),
                      at = c.blade.stations.size() > 1 ? a.stations[k].name + ": " : "";
    constexpr double seam_m = 5e-6;
    if (2 * surface.grind_per_side_m >= edge)
      take(out, Verdict::fail,
           at + "the edge of " + length_text(edge) + " is skin through and through: " +
               length_text(surface.grind_per_side_m) + " per side carry too little carbon",
           "an edge of " + least + " before hardening, or foil");
    else if (edge < surface.least_edge_m - seam_m)
      take(out, Verdict::marginal,
           at + "the edge of " + length_text(edge) + " is thinner than the " + least +
               " to leave before hardening: " +
               (surface.edge_governed_by == "skin" ? "the decarburised skin needs it"
                                                   : "it cools too soon and buckles"),
           "an edge of " + least + " before hardening");
    else
      take(out, Verdict::pass, at + length_text(edge) + ", at least " + least + " is needed", "");
  }
  return out;
}

} // namespace tq::answers
