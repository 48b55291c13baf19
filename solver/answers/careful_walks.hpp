// How each question's settings are moved to the safe side, and what must hold there in nine draws in ten.
#pragma once

#include "answers/bands.hpp"
#include "answers/find.hpp"

#include <functional>
#include <vector>

namespace tq::answers {

/// A case with a setting tried, as stated and by its draws.
struct Drawn {
  const treatment::Case& c;
  const Answers& stated;
  const Bands& bands;
};

/// One setting of a finding and its way to the safe side.
struct Walk {
  std::size_t setting = 0;    ///< index into Finding::settings
  double step = 0, bound = 0; ///< towards the safe side and how far at most, SI
  std::function<void(treatment::Case&, double)> set;
  std::function<bool(const Drawn&)> holds;
  bool members = false; ///< `holds` looks at single members (BandSettings::keep_members)
  /// Where the walk begins, of the case with the setting as found by its draws: what `harden` tells as the
  /// careful end. Nothing: at the setting found.
  std::function<double(const Drawn&)> begins{};
  /// What does not depend on the setting may forbid it everywhere: then `holds` is asked beside the share of
  /// draws that harden at the bound.
  std::function<bool(const Drawn&, double hardening_at_bound)> holds_beside{};
};

/// The walks of a finding, in the order in which they are to be made; empty when none is needed. `asked` and
/// `options` as given to find().
std::vector<Walk> walks_of(const Finding& f, const treatment::Case& asked, const FindOptions& options);

} // namespace tq::answers
