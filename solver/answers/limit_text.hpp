// Limits as people read them: in both units nothing printed lies beyond the limit.
#pragma once

#include <string>

namespace tq::answers {

/// "65 degC (149 degF)"; `up` for a limit from below. "-" when there is none, as below.
std::string degC_limit_text(double degC, bool up);
/// The same, degF first.
std::string degF_limit_text(double degC, bool up);
/// "1.85 mm (0.072 in)"; below 0.1 mm "30 um (0.0011 in)"
std::string length_limit_text(double m, bool up);
/// "8 L (2.2 US gal)"
std::string volume_limit_text(double m3, bool up);

} // namespace tq::answers
