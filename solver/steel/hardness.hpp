// Hardness of constituents and mixtures, and the ASTM E140 conversion.
#pragma once

#include "records/steel_record.hpp"

namespace tq::steel {

/// Mass shares of a node's constituents; they sum to 1.
struct Constituents {
  double martensite = 0, retained_austenite = 0, bainite = 0, pearlite = 0, ferrite = 0, cementite = 0;
};

/// Vickers from Rockwell C, ASTM E140 Table 1, linear between rows (20-68 HRC; straight on outside, see
/// valid_HRC).
double hv_from_hrc(double hrc);
/// Rockwell C from Vickers, ASTM E140 Table 1, linear between rows; straight on outside 238-940 HV.
double hrc_from_hv(double hv);
/// True inside the table's 20-68 HRC.
bool valid_hrc(double hrc);

/// Hardness of fresh martensite [HV] with `carbon_wt` in solution.
double martensite_hv(double carbon_wt);
/// Mixture by mass shares on HV.
double mixture_hv(const Constituents& shares, double martensite_HV, const records::ConstituentHardness& h);

} // namespace tq::steel
