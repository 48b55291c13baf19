// Hardness of constituents and mixtures, and the ASTM E140 conversion.
#pragma once

#include "records/steel_record.hpp"

namespace tq::steel {

/// Mass shares of a node's constituents; they sum to 1. `bainite` and `pearlite` formed on cooling,
/// `tempered_austenite` is what a temper made of retained austenite.
struct Constituents {
  double martensite = 0, retained_austenite = 0, bainite = 0, pearlite = 0, ferrite = 0, cementite = 0;
  double tempered_austenite = 0;
  double bainite_HV = 0, pearlite_HV = 0; ///< as they formed; 0: the record's
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
/// What a share f of martensite (with all else that is not pearlite or bainite) counts between the hardness
/// of pearlite and bainite (0) and its own (1), both in HRC: f - 1.7 f^5 (1 - f). A little pearlite or
/// bainite costs more than its share, because where it forms the martensite too formed slowly and has
/// tempered itself. Fitted here to the curves for 50, 80 and 90 % martensite of 0.60 to 0.70 %C of ASTM A255
/// and Hodge & Orehoski 1946, Trans. AIME 167, 627 (from memory).
double martensite_weight(double share);
/// Hardness [HV] of a mixture: by mass shares on HV, but for pearlite and bainite from cooling, which count
/// on HRC by martensite_weight(). Bainite is no harder than the martensite beside it: tempered so far, it has
/// softened too.
double mixture_hv(const Constituents& shares, double martensite_HV, const records::ConstituentHardness& h);

} // namespace tq::steel
