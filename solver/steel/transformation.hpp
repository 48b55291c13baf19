// Critical temperatures, carbon in solution, decomposition of austenite and martensite.
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
/// Bainite start [degC]. Li et al. 1998, Metall. Mater. Trans. B 29, 661-672.
double bainite_start_li(const records::Composition& wt, double carbon_wt);

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

/// S(X) of Li 1998: integral from 0 to X of dX / (X^(0.4(1-X)) (1-X)^(0.4X)), 0 <= X <= 1.
double li_progress(double X);
/// Inverse of li_progress: fraction reached at progress sigma (clamped to [0, 1]).
double li_fraction(double sigma);
/// dX/dsigma at progress sigma, i.e. X^(0.4(1-X)) (1-X)^(0.4X) (0 at both ends).
double li_fraction_slope(double sigma);
/// Progress at 1 % transformed: S(0.01), the start line of the diagram.
inline constexpr double li_progress_start = 0.10434;

/// Rates of the two decomposition clocks of one steel at a reference carbon. The transformed fraction follows
/// from the clock alone (isokinetic, so Scheil additivity is exact): d sigma/dt = rate(T), X =
/// li_fraction(sigma); sigma / li_progress_start is the Scheil sum of the 1 % start.
class Decomposition {
 public:
  explicit Decomposition(const records::SteelRecord& steel, double reference_carbon_wt);
  /// [1/s]; active between Ms and Ae1 (pearlite) or Bs (bainite), 0 outside.
  double pearlite_rate(double T) const;
  double bainite_rate(double T) const;
  /// Factors for another carbon in solution: exp(-4.12 dC) and exp(-10.18 dC) (Li 1998).
  double pearlite_carbon_factor(double carbon_wt) const;
  double bainite_carbon_factor(double carbon_wt) const;
  double ae1() const { return ae1_; }
  double bs() const { return bs_; }
  double ms() const { return ms_; }

 private:
  double carbon_, ae1_, bs_, ms_, pearlite_scale_, bainite_scale_;
};

} // namespace tq::steel
