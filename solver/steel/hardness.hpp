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

/// Hardness of fresh martensite [HV] with `carbon_wt` in solution: 326 + 352 C + 1384 C^2 - 1144 C^3, level
/// from 0.918 %C on. Fitted here (scripts/fit_martensite) together with the share of martensite that Ms and
/// rate give: to the hardness as quenched on the data sheets of the shipped steels, with less weight to 0.56,
/// 0.74 and 0.89 %C in water (Hollomon & Jaffe 1945, Trans. AIME 162, 223: 63, 66.5 and 67 HRC), which lie 1
/// HRC above it, and, at 0.1 to 0.6 %C, to the ASTM A255 curve of full martensite (from memory), which it
/// follows to 1.5 HRC. The fall of measured hardness above 0.9 %C comes from retained austenite, which is
/// counted apart.
double martensite_hv(double carbon_wt);
/// The same with the record's offset.
double martensite_hv(const records::SteelRecord& steel, double carbon_wt);
/// Half width [HRC] of the band about the hardness as quenched that holds nine in ten: 1.1 HRC, which is what
/// eleven data sheets and three series in water miss the formulas by (1.0 at most; tests/unit/steel), the
/// retained austenite known to two fifths of itself either way (its measured share in 52100 and O1, and Ms 35
/// to 55 K in doubt), and ferrite left over, whose share is known to a fifth of what is not austenite times
/// what is. Pearlite and bainite (`turned`, their share) are known to 4 HRC, 70 HV of bainite at 53 HRC and
/// 40 HV of pearlite at 39 HRC (the records and what diagrams differ by, from memory), mixtures to
/// another 1.5 HRC, as far as the curves that martensite_weight() was fitted to.
double as_quenched_band_HRC(double retained_austenite, double ferrite, double turned = 0);
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
