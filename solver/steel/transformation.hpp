// Critical temperatures, carbon in solution and martensite; what austenite turns to on cooling is in
// decomposition.hpp.
// All temperatures in degC, composition in wt%, times in s.
#pragma once

#include "records/steel_record.hpp"

namespace tq::steel {

/// Ac1 [degC] on slow heating. Andrews 1965, JISI 203, 721-727.
double ac1_andrews(const records::Composition& wt);
/// Equilibrium eutectoid temperature Ae1 [degC]. Grange 1961 (Cr raises it).
double ae1_grange(const records::Composition& wt);
/// Ac1 used for a steel: the record's own value, or Andrews.
double ac1(const records::SteelRecord& steel);

/// Carbon [wt%] of austenite in equilibrium with cementite in Fe-C at T (A_cm line), 727-1000 degC.
double carbon_on_acm(double T);
/// Eutectoid carbon [wt%] with its alloy shift.
double eutectoid_carbon(const records::Composition& wt);
/// Greatest carbon in solution at T [wt%]: min(C0, C_E + C_cm(T') - 0.7615), T' = T - (Ae1 - 727);
/// never below the smaller of C0 and C_E.
double saturation_carbon(const records::SteelRecord& steel, double T);
/// Carbon [wt%] with which austenite is born: the smaller of the steel's carbon and C_E.
double born_carbon(const records::SteelRecord& steel);
/// Weight fraction of undissolved cementite when the austenite holds `carbon_wt` (lever rule).
double undissolved_cementite(const records::SteelRecord& steel, double carbon_wt);

/// Temperature [degC] at which the last ferrite goes on slow heating: the record's own value, or the greater
/// of Ac1 + 15 K + 20 K per wt% Cr (the three-phase field of ferrite, austenite and carbide; through W1
/// 720-740, 52100 750-795 and 5160 up to 766 degC, all from memory) and, below the eutectoid carbon, the A3
/// line of Fe-C moved with Ae1 and the eutectoid carbon of the steel.
double ac1_end(const records::SteelRecord& steel);
/// Temperature [degC] above which the austenite holds all carbon (A_cm of the composition); Ae1 for steel
/// with no more than the eutectoid carbon.
double acm_temperature(const records::SteelRecord& steel);
/// Share of the matrix that is austenite in the end when held at T: 0 up to Ac1, 1 from ac1_end() on, between
/// them 1 - (1 - s)^2 with s the way from one to the other (the shape is an assumption, no source). The rest
/// is ferrite with its carbide.
double austenite_equilibrium(const records::SteelRecord& steel, double T);
/// Share of the matrix that became austenite after `soak_s` at T: formation goes on towards
/// austenite_equilibrium() at austenite_rate().
double austenite_after(const records::SteelRecord& steel, double T, double soak_s);

/// First-order rate of austenite formation [1/s]: 0 at and below Ac1, 1/growth_time at Ac1 + growth_above_K,
/// with h = growth_halving_K: (2^((T - Ac1)/h) - 1) / ((2^(growth_above_K/h) - 1) growth_time), so that it
/// starts without a jump and soon doubles every h.
double austenite_rate(const records::SteelRecord& steel, double T);
/// First-order rate of the approach of carbon in solution to saturation [1/s], Arrhenius about the record's
/// point.
double dissolution_rate(const records::SteelRecord& steel, records::StartState start, double T);

/// Martensite start [degC] for matrix carbon: ms_high_carbon() of the record's matrix, plus its offset.
double martensite_start(const records::SteelRecord& steel, double carbon_wt);
/// Ms [degC] = 569.8 - 584.3 (1 - exp(-0.96 C)) - 41.0 Mn - 17.9 Si - 5.9 Cr - 22.1 Ni - 20.5 Mo
/// + 74.9 (C - 0.8) Cr, C in solution, in the last term held between 0.6 and 1.2. The form is that of van
/// Bohemen 2012 with a term of carbon and chromium as Andrews 1965 has one; the coefficients are fitted here
/// (scripts/fit_martensite), drawn towards his and the last towards nought, to 57 measured starts of steels
/// with 0.6-1.2 %C (open compilation of martensite starts, 2022). The compilation does not say how they were
/// austenitised: each row counts with the carbon that 30 min at 860 degC dissolve, with all of it (two fifths
/// of its weight each) and with that of the usual soak. The last term has not Andrews' sign: it stands for
/// carbide that kept carbon and chromium of the measured steels. Rms 23.6 K with 30 min at 860 degC, 24.9 K
/// with all carbon; steels left out 25.1 and 26.8 K, where steels alike differ by 27 K among themselves.
double ms_high_carbon(const records::Composition& wt, double carbon_wt);
/// Half width [K] of the band about ms_high_carbon() that holds nine in ten: 1.84 times the root of the sum
/// of squares of 20.9 K, 10.3 K per wt% of alloy (Mn + Cr + Ni + Mo + W above 0.6) and 157 K per wt% of
/// carbon left in carbide. Fitted here by maximum likelihood to the same 57 rows, each left out of the fit
/// that predicts it, the factor so that nine in ten lie inside: 93 % of them with 30 min at 860 degC, 88 %
/// with all carbon dissolved, 93 % with the usual soak.
double martensite_start_band(const records::Composition& bulk, double carbon_wt);
double ms_payson_savage(const records::Composition& wt, double carbon_wt);
/// Koistinen-Marburger coefficient [1/K] for matrix carbon: the record's, which holds at the carbon of its
/// matrix, times the cube of the carbon dependence of martensite_rate_van_bohemen(). The power is the whole
/// one that is nearest to the retained austenite of 52100, 8, 15, 18 % after 25 min at 816, 843, 871 degC
/// (public text quoting an MIT thesis): 8.2, 13.2, 19.4 %, rms 1.3 %; 1.8 with the second power, 2.5 with the
/// fourth. With the rate left free too it is 1.3 with the second and the third.
double martensite_rate(const records::SteelRecord& steel, double carbon_wt);
/// Share of the austenite turned to martensite at T: 1 - exp(-alpha (Ms - T)). Koistinen & Marburger 1959.
double martensite_share(double ms_degC, double T, double alpha_per_K);

} // namespace tq::steel
