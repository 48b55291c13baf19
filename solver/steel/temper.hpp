// Tempering by the Hollomon-Jaffe parameter, cumulative over any temperature history.
#pragma once

#include "records/steel_record.hpp"
#include "steel/hardness.hpp"

#include <vector>

namespace tq::steel {

/// Hollomon-Jaffe parameter P = T_K (C + log10 t_h) of one hold. Hollomon & Jaffe 1945, Trans. AIME 162, 223.
double hollomon_jaffe(double T_degC, double time_s, double constant_h);
/// Temperature [degC] that gives `parameter` in `time_s`.
double equivalent_temperature(double parameter, double time_s, double constant_h);
/// Parameter after a further `dt_s` at T_degC, starting from `parameter` (0 = nothing yet). Equivalent-time
/// method.
double add_tempering(double parameter, double T_degC, double dt_s, double constant_h);

/// Factor on the hardness (HV) of the martensite share left after tempering to `parameter`: 1 when nothing
/// happened, the curve's HV over its as-quenched HV further on (ASTM E140 conversion of the published table).
/// Monotone cubic in the parameter through the table. Below the table it rises to 1 at the parameter of 100
/// degC for the table's hold (first stage of tempering); beyond the table it follows what the record has
/// there from the composition model, and along the last segment where that ends, not under the hardness of
/// spheroidite. A curve without points never softens.
class TemperResponse {
 public:
  explicit TemperResponse(const records::TemperCurve& curve);
  /// The factor on the martensite alone. A published table is the hardness of the whole steel: it softens
  /// less from some 200 degC on, because its retained austenite turns to something harder meanwhile. Here
  /// that part is taken off, so that a steel with the shares of the reference treatment
  /// (reference_shares()) meets the table at its hold, and one with more austenite, or less, departs from
  /// it as its shares say. The table is met as printed, in HRC: what the formula of fresh martensite
  /// misses of the hardness as quenched is not carried on into the temper, where hardness was measured;
  /// only where the table is harder than the steel is computed as quenched nothing softens yet. What
  /// austenite turns to has the hardness of the record's bainite, and no more than the tempered
  /// martensite beside it.
  static TemperResponse of_martensite(const records::SteelRecord& steel);
  double factor(double parameter) const;
  /// True when the parameter lies inside the published table (what lies beyond it, the model's, is outside).
  bool inside(double parameter) const;

 private:
  void smooth();

  std::vector<double> parameter_, factor_, slope_;
  double first_ = 0, last_ = 0; ///< parameters of the first and last published point
  double softest_ = 0;          ///< least factor
};

/// Rate [1/s] of the clock by which austenite left by the quench turns to ferrite and carbide on tempering
/// (second stage); austenite_left() says what a clock leaves. Anchored to 52100: 232 degC removes the
/// austenite, lower does not (data sheet), taken as 95 % gone after one hour (assumption). The activation
/// energy of 200 kJ/mol and the exponent 2 of the clock are fitted here to bearing practice: most is still
/// there after 2-4 h at 200-210 degC, none after tempering at 230-240 degC (from memory). Then 2 h at 205
/// degC take 6 %, 4 h 21 %. Cheng, Brakman, Korevaar & Mittemeijer 1988, Metall. Trans. A 19, 2415-2426, have
/// 130 kJ/mol for quenched Fe-C (from memory), which no exponent reconciles with both. Silicon above some 0.5
/// % puts this stage off and is not covered.
double austenite_decomposition_rate(double T_degC);
/// Share of the austenite left when the clock (the integral of the rate over time) shows `decay`:
/// exp(-decay^2), Johnson-Mehl-Avrami with exponent 2.
double austenite_left(double decay);

/// Plus or minus [HRC] of a curve at a parameter: the table's inside it, what the record says beyond. Below a
/// table that begins above 100 degC it grows by 1 HRC per 50 K (assumption, no source), to three times its
/// own.
double temper_band_HRC(const records::TemperCurve& curve, double parameter);

/// A point of a temperature history; straight between points, times not descending.
struct HistoryPoint {
  double time_s = 0, T_degC = 0;
};

/// What tempering has done so far.
struct Tempered {
  double parameter = 0;       ///< Hollomon-Jaffe, 0 = nothing yet
  double decay = 0;           ///< clock of austenite_left()
  double austenite_left = 1;  ///< share of the austenite after the quench that is still there
  double highest_degC = -273; ///< highest temperature met
};

/// Adds a temperature history: a temper with its ramps, several cycles, or a grinding flash of seconds (the
/// same sums; under some 10 s the parameter is beyond anything measured). Above Ac1 it would harden afresh,
/// which is not computed: see `highest_degC`.
Tempered temper_over(const std::vector<HistoryPoint>& history, double constant_h,
                     const Tempered& before = {});

/// Hardness [HV] of a steel that the quench left with `quenched` shares and `carbon_wt` in its austenite,
/// after tempering. Martensite softens, austenite becomes what has the hardness of the record's bainite and
/// no more than the tempered martensite beside it: only that can make a temper harden.
double tempered_hv(const records::SteelRecord& steel, const TemperResponse& response,
                   const Constituents& quenched, double carbon_wt, const Tempered& tempered);

/// State after each of `cycles` equal holds, ramps left out. What a second cycle does in this model: it adds
/// its time to the parameter, and it decomposes what austenite the first one left; the product of the first
/// cycle is tempered by it. Austenite is not assumed to turn to martensite on cooling between cycles, as it
/// does in high-alloy steels: here it does not change its carbon while tempering below 250 degC.
std::vector<Tempered> temper_cycles(double T_degC, double hold_s, int cycles, double constant_h);

} // namespace tq::steel
