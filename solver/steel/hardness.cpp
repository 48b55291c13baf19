#include "steel/hardness.hpp"

#include "units/math.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace tq::steel {

namespace {

// ASTM E140 Table 1: HV of 20, 21, ... 68 HRC.
constexpr double hrc_first = 20.0, hrc_last = 68.0;
constexpr std::array<double, 49> hv_of_hrc = {238, 243, 248, 254, 260, 266, 272, 279, 286, 294, 302, 310, 318,
                                              327, 336, 345, 354, 363, 372, 382, 392, 402, 412, 423, 434, 446,
                                              458, 471, 484, 498, 513, 528, 544, 560, 577, 595, 613, 633, 653,
                                              674, 697, 720, 746, 772, 800, 832, 865, 900, 940};
constexpr std::size_t segments = hv_of_hrc.size() - 1;

} // namespace

double hv_from_hrc(double hrc) {
  const double along = hrc - hrc_first;
  const auto i = static_cast<std::size_t>(std::clamp(along, 0.0, static_cast<double>(segments - 1)));
  return hv_of_hrc[i] + (along - static_cast<double>(i)) * (hv_of_hrc[i + 1] - hv_of_hrc[i]);
}

double hrc_from_hv(double hv) {
  const auto above = std::upper_bound(hv_of_hrc.begin() + 1, hv_of_hrc.end() - 1, hv);
  const auto i = static_cast<std::size_t>(above - hv_of_hrc.begin()) - 1;
  return hrc_first + static_cast<double>(i) + (hv - hv_of_hrc[i]) / (hv_of_hrc[i + 1] - hv_of_hrc[i]);
}

bool valid_hrc(double hrc) { return hrc >= hrc_first && hrc <= hrc_last; }

double martensite_hv(double carbon_wt) {
  constexpr double level_from = 0.918; // where the cubic is greatest
  const double c = std::clamp(carbon_wt, 0.0, level_from);
  return 326.0 + c * (352.0 + c * (1384.0 - 1144.0 * c));
}

double martensite_hv(const records::SteelRecord& steel, double carbon_wt) {
  return martensite_hv(carbon_wt) + steel.hardness.martensite_offset_HV;
}

double as_quenched_band_HRC(double retained_austenite, double ferrite, double turned) {
  // 650 HV between martensite and austenite or ferrite, 30 HV to a point of HRC
  constexpr double formulas_HRC = 1.1, per_share_HRC = 650.0 / 30.0, product_HRC = 4.0, mixture_HRC = 1.5;
  const auto mixed = [](double share) { return 4.0 * share * (1.0 - share); };
  const double soft = per_share_HRC * math::hypot(0.4 * retained_austenite, 0.2 * mixed(ferrite));
  return math::hypot(formulas_HRC, soft, math::hypot(product_HRC * turned, mixture_HRC * mixed(turned)));
}

double martensite_weight(double share) {
  const double squared = share * share;
  return share - 1.7 * squared * squared * share * (1.0 - share);
}

double mixture_hv(const Constituents& shares, double martensite_HV, const records::ConstituentHardness& h) {
  const double bainite_HV = shares.bainite_HV > 0.0 ? shares.bainite_HV : h.bainite_HV;
  const double pearlite_HV = shares.pearlite_HV > 0.0 ? shares.pearlite_HV : h.pearlite_HV;
  const double rest = shares.martensite * martensite_HV +
                      shares.retained_austenite * h.retained_austenite_HV +
                      shares.tempered_austenite * std::min(h.bainite_HV, martensite_HV) +
                      shares.ferrite * h.ferrite_HV + shares.cementite * h.cementite_HV;
  const double product = shares.bainite + shares.pearlite;
  if (product <= 0.0)
    return rest;
  const double product_HV =
      (shares.bainite * std::min(bainite_HV, martensite_HV) + shares.pearlite * pearlite_HV) / product;
  const double share = 1.0 - product;
  if (share <= 1e-9)
    return rest + product * product_HV;
  const double rest_HV = rest / share;
  if (rest_HV <= product_HV) // martensite tempered to the hardness of pearlite: nothing to count apart
    return rest + product * product_HV;
  const double soft = hrc_from_hv(product_HV), hard = hrc_from_hv(rest_HV);
  return hv_from_hrc(soft + (hard - soft) * martensite_weight(share));
}

} // namespace tq::steel
