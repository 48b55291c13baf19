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

/// First-order rate of austenite formation [1/s]: 0 at and below Ac1, 1/growth_time at Ac1 + growth_above_K,
/// with h = growth_halving_K: (2^((T - Ac1)/h) - 1) / ((2^(growth_above_K/h) - 1) growth_time), so that it
/// starts without a jump and soon doubles every h.
double austenite_rate(const records::SteelRecord& steel, double T);
/// First-order rate of the approach of carbon in solution to saturation [1/s], Arrhenius about the record's
/// point.
double dissolution_rate(const records::SteelRecord& steel, records::StartState start, double T);

/// Martensite start [degC] for matrix carbon. van Bohemen 2012, Mater. Sci. Technol. 28, 487-495, plus the
/// record's offset.
double martensite_start(const records::SteelRecord& steel, double carbon_wt);
double ms_van_bohemen(const records::Composition& wt, double carbon_wt);
double ms_payson_savage(const records::Composition& wt, double carbon_wt);
/// Share of the austenite turned to martensite at T: 1 - exp(-alpha (Ms - T)). Koistinen & Marburger 1959.
double martensite_share(double ms_degC, double T, double alpha_per_K);

} // namespace tq::steel
