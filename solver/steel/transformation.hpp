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
/// Ms [degC] = 565.6 - 575.2 (1 - exp(-0.96 C)) - 42.8 Mn - 18.5 Si - 4.7 Cr - 22 Ni - 21.7 Mo, C in
/// solution. The form is that of van Bohemen 2012; the coefficients are fitted here (scripts/fit_martensite),
/// drawn towards his, to 57 measured starts of steels with 0.6-1.2 %C (open compilation of martensite starts,
/// 2022). The compilation does not say how they were austenitised: each row counts with the carbon that 30
/// min at 860 degC dissolve (half its weight), with all of it, and with that of the usual soak (a quarter
/// each). Rms 23.7 K with 30 min at 860 degC; steels left out one by one 25 K.
double ms_high_carbon(const records::Composition& wt, double carbon_wt);
/// Half width [K] of the band about ms_high_carbon() that holds nine in ten: 1.645 times the root of the sum
/// of squares of 20.8 K, 11.4 K per wt% of alloy (Mn + Cr + Ni + Mo + W above 0.6) and 150 K per wt% of
/// carbon left in carbide. Fitted here by maximum likelihood to the same 57 rows, each left out of the fit
/// that predicts it: 91 % of them lie inside with 30 min at 860 degC, 86 % with all carbon dissolved, 89 %
/// with the usual soak.
double martensite_start_band(const records::Composition& bulk, double carbon_wt);
double ms_van_bohemen(const records::Composition& wt, double carbon_wt);
double ms_payson_savage(const records::Composition& wt, double carbon_wt);
/// Koistinen-Marburger coefficient [1/K] for matrix carbon: the record's, which holds at the carbon of its
/// matrix, times the square of the carbon dependence of martensite_rate_van_bohemen(). The power is the whole
/// one that is nearest to the retained austenite of 52100, 8, 15, 18 % after 25 min at 816, 843, 871 degC
/// (public text quoting an MIT thesis): 8.0, 12.4, 18.0 %, rms 1.5 %; 2.6 with the first power, 1.9 with the
/// third. With the rate left free too it is 1.2, 1.4 and 1.8 %.
double martensite_rate(const records::SteelRecord& steel, double carbon_wt);
/// Share of the austenite turned to martensite at T: 1 - exp(-alpha (Ms - T)). Koistinen & Marburger 1959.
double martensite_share(double ms_degC, double T, double alpha_per_K);

} // namespace tq::steel
