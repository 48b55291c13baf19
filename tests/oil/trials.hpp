// Trials of the recovery of h on baths of which the truth is known.
#pragma once

#include "surroundings/probe_inverse.hpp"

#include <cstddef>
#include <cstdint>
#include <string>

namespace tq::test {

/// What one trial gave, over surface temperatures of 300 to 700 degC in steps of 20 K.
struct TrialOutcome {
  std::string oil;
  double rms_error = 0;       ///< of ln h, so relative
  double share_inside = 0;    ///< of the points, inside the stated band
  double mean_half_width = 0; ///< of the band, in ln h
  bool figures_back = true;   ///< sheet: within their print rounding
};

/// How the measurement was made.
struct TrialSetting {
  double rate_Hz = 10, noise_K = 0.5, lag_s = 0.2;
  /// False: conductivity and specific heat are those of the record and are known to be; the lag is what the
  /// record says, but not known to be. True: all three are drawn from their spread, and the
  /// figures of a sheet carry the scatter between tests of one operator, as in life.
  bool probe_departs = false;
  double tests = 3; ///< sheet: how many tests its figures are means of, and are said to be
};

/// A measured curve: h recovered from it.
TrialOutcome trace_trial(surroundings::DoubtedProbe probe, std::size_t number, const TrialSetting& how);
/// Six printed figures (0.1 K/s, 1 K, 0.1 K/s, 0.1 s): h recovered from them.
TrialOutcome sheet_trial(surroundings::DoubtedProbe probe, std::size_t number, const TrialSetting& how);

/// The standard probe of materials/probes.
surroundings::DoubtedProbe standard_probe();
/// A record of materials/probes in a body of your own, or in its own when that has no thickness.
surroundings::DoubtedProbe shipped_probe(const std::string& key, const records::ProbeBody& body);

} // namespace tq::test
