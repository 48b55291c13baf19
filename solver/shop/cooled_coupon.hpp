// A coupon of which a thermocouple has noted how it cooled: what its steel makes of that curve. Neither the
// bath nor the coupon's thickness plays a part, so that its hardness speaks of the steel alone.
#pragma once

#include "records/log_record.hpp"
#include "treatment/case.hpp"
#include "treatment/run.hpp"

namespace tq::shop {

/// Austenite as it leaves the furnace.
struct Austenite {
  double carbon_wt = 0;    ///< in solution
  double grain_number = 0; ///< ASTM
};
/// At the thickest place of a computed blade.
Austenite austenite_of(const treatment::Run& run);
/// What the furnace's setting gives when it is soaked, with the grain of the record.
Austenite usual_austenite(const treatment::Case& c);

struct CooledCoupon {
  /// Logarithm of -ln(share that did not turn to pearlite or bainite); it goes on where that share is as good
  /// as all. Minus infinity where the log does not cross the range in which they form.
  double softness = 0;
  double hard_HRC = 0, soft_HRC = 0; ///< all martensite; all of what forms on this curve
};
/// By the clocks of the decomposition law (steel/decomposition.hpp) along the log's last fall from above.
CooledCoupon cooled_coupon(const records::LogRecord& log, const records::SteelRecord& steel,
                           const Austenite& austenite);

double softness_of(double turned); ///< 0 < turned < 1
/// Share that turned in a coupon of this hardness, within 1e-3 to 0.999 (steel::martensite_weight).
double turned_at(const CooledCoupon& coupon, double hrc);

/// Cooling at a rate that falls with the distance from 30 degC, as in a bath without stages, in which half of
/// the steel of the case turns, and the time [s] from 700 to 500 degC on it.
struct HalfSoftCooling {
  records::LogRecord log;
  double t700_500_s = 0;
};
HalfSoftCooling half_soft_cooling(const treatment::Case& c);

} // namespace tq::shop
