#include "answers/limit_text.hpp"

#include "units/text.hpp"

#include <cmath>

namespace tq::answers {

using units::formatted;

namespace {

/// In steps of `step`; a hair beside one counts as on it.
double to_side(double x, double step, bool up) {
  constexpr double seam = 1e-6;
  return step * (up ? std::ceil(x / step - seam) : std::floor(x / step + seam)) + 0.0; // no "-0"
}

} // namespace

std::string degC_limit_text(double degC, bool up) {
  return std::isfinite(degC)
             ? formatted("%.0f degC (%.0f degF)", to_side(degC, 1, up), to_side(degC * 1.8 + 32, 1, up))
             : "-";
}

std::string degF_limit_text(double degC, bool up) {
  return std::isfinite(degC)
             ? formatted("%.0f degF (%.0f degC)", to_side(degC * 1.8 + 32, 1, up), to_side(degC, 1, up))
             : "-";
}

std::string length_limit_text(double m, bool up) {
  if (!std::isfinite(m))
    return "-";
  const double inches = m / 0.0254;
  return m < 99.5e-6 ? formatted("%.0f um (%.4f in)", to_side(m * 1e6, 1, up), to_side(inches, 1e-4, up))
                     : formatted("%.2f mm (%.3f in)", to_side(m * 1e3, 0.01, up), to_side(inches, 1e-3, up));
}

std::string volume_limit_text(double m3, bool up) {
  return std::isfinite(m3) ? formatted("%.4g L (%.4g US gal)", to_side(m3 * 1e3, 0.1, up),
                                       to_side(m3 / 3.785411784e-3, 0.1, up))
                           : "-";
}

} // namespace tq::answers
