// A section seen from its other flank.
#pragma once

#include "section/profile.hpp"

namespace tq::test {

/// The same section upside down: flank A and B change places.
inline section::Profile turned_over(section::Profile profile) {
  profile.top.swap(profile.bottom);
  for (auto* flank : {&profile.top, &profile.bottom})
    for (double& y : *flank)
      y = -y;
  return profile;
}

} // namespace tq::test
