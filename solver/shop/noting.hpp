// What can be written down of a blade after its firing and of a tempered coupon, in the order in which it is
// learnt: the questions of `thinquench note` and of the page.
#pragma once

#include "shop/journal.hpp"

#include <string>
#include <vector>

namespace tq::shop {

struct Asked {
  /// minutes: a time of which a bare number counts minutes; places: hardness with the places it was read at.
  enum class Kind { words, time, minutes, temperature, length, feel, places, log, hardness, count };
  const char* key;    ///< in the journal
  const char* option; ///< of `thinquench note`
  const char* asks;
  const char* why; ///< how it is answered, or what it is good for
  Kind kind;
};
const std::vector<Asked>& asked_of_a_blade();
const std::vector<Asked>& asked_of_a_coupon();

/// Puts what was typed into the entry; nothing typed leaves it as it is. Throws std::invalid_argument that
/// says what is wrong. Of "tempered" each call is one more temper.
void note_down(Firing& firing, const Asked& asked, const std::string& typed);
void note_down(Coupon& coupon, const Asked& asked, const std::string& typed);

} // namespace tq::shop
