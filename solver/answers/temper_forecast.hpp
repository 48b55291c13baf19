// Hardness that another oven temperature would leave, all else as computed: at the thickest place, or at the
// edge when the back did not harden and so hardly heeds the oven.
#pragma once

#include "answers/answers.hpp"
#include "steel/hardness.hpp"
#include "steel/temper.hpp"

#include <optional>
#include <vector>

namespace tq::answers {

class TemperForecast {
 public:
  /// Nothing when the case does not temper or the hardness is not known.
  static std::optional<TemperForecast> of(const treatment::Case& c, const treatment::Run& run,
                                          const StationAnswer& answer);
  /// HRC after the cycles of the case at this oven temperature; at the set one it is the computed figure.
  double hrc(double oven_degC) const { return formula(oven_degC) + correction_; }
  double band() const { return band_; }             ///< plus or minus [HRC]
  const ZoneAnswer& zone() const { return *zone_; } ///< the place it speaks of, in `answer`

 private:
  TemperForecast(const records::TemperCurve& table, const ZoneAnswer& zone)
      : zone_(&zone), response_(table) {}
  double formula(double oven_degC) const;

  const ZoneAnswer* zone_;
  steel::TemperResponse response_;
  steel::Constituents shares_;
  records::ConstituentHardness hardness_;
  double martensite_HV_ = 0, hold_s_ = 0, constant_h_ = 0, late_K_ = 0, correction_ = 0, band_ = 0;
};

/// What ovens up to 80 K colder and hotter than the case's would leave, in steps of 5 degC; empty without a
/// temper.
std::vector<OvenChange> other_ovens(const treatment::Case& c, const treatment::Run& run,
                                    const StationAnswer& answer);

} // namespace tq::answers
