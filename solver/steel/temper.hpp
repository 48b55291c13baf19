// Tempering by the Hollomon-Jaffe parameter, cumulative over any temperature history.
#pragma once

#include "records/steel_record.hpp"

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
/// degC for the table's hold (first stage of tempering); beyond the table it goes on along the last segment,
/// not under the hardness of spheroidite. A curve without points never softens.
class TemperResponse {
 public:
  explicit TemperResponse(const records::TemperCurve& curve);
  double factor(double parameter) const;
  /// True when the parameter lies inside the published table.
  bool inside(double parameter) const;

 private:
  std::vector<double> parameter_, factor_, slope_;
  double first_ = 0, last_ = 0; ///< parameters of the first and last published point
  double softest_ = 0;          ///< least factor
};

} // namespace tq::steel
