// Published formulas beside those the model is built on: they tell how far apart published answers stand, and
// what a steel outside the model's range would get. Composition in wt%, temperatures in degC.
#pragma once

#include "records/steel_record.hpp"

namespace tq::steel {

/// Ms, linear. Andrews 1965, JISI 203, 721-727; the silicon term is of Kung & Rayment 1982, Metall. Trans. A
/// 13, 328 (page from memory). Made for up to 0.6 %C: 60-90 K too low above.
double ms_andrews(const records::Composition& wt, double carbon_wt, bool with_silicon = true);
/// Coefficient of the martensite curve [1/K] that belongs to the Ms of van Bohemen 2012, Mater. Sci. Technol.
/// 28, 487-495.
double martensite_rate_van_bohemen(const records::Composition& wt, double carbon_wt);
/// Carbon [wt%] of austenite in equilibrium with ferrite in Fe-C at T (A3 line), 727-910 degC. Fit to the
/// line computed from Gustafson 1985, Scand. J. Metall. 14, 259 (parameters partly from memory), within
/// 0.0013 %C.
double carbon_on_a3(double T);
/// Temperature [degC] above which no ferrite is left in Fe-C with this carbon (727 at and beyond the
/// eutectoid).
double a3_temperature(double carbon_wt);

/// I(X), integral from 0 to X of dX / (X^(2(1-X)/3) (1-X)^(2X/3)), 0 <= X <= 1. Kirkaldy & Venugopalan 1984,
/// in Phase Transformations in Ferrous Alloys, AIME, 125-148.
double kirkaldy_progress(double X);
/// Time [s] to the pearlite share X at T below ae1, of the same (its second activation energy from memory).
double kirkaldy_pearlite_time(const records::Composition& wt, double grain_number, double ae1_degC, double T,
                              double X);

/// Hardness of martensite [HV] with the cooling rate at 700 degC [K/s]. Maynier, Dollet & Bastien 1978, in
/// Hardenability Concepts with Applications to Steel, AIME (pages not checked). For 0.1-0.5 %C only.
double martensite_hv_maynier(const records::Composition& wt, double rate_K_s);

} // namespace tq::steel
