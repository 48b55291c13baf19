// What the journal of a shop taught, in words: inputs and answers before and after.
#pragma once

#include "answers/bands.hpp"

#include <string>
#include <vector>

namespace tq::output {

struct LearntWords {
  struct Row {
    std::string name, before, after;
  };
  std::string heading;      ///< "from 5 blades of this shop ..."
  std::vector<Row> inputs;  ///< that narrowed by a tenth or more, most first
  std::vector<Row> figures; ///< of the first station that narrowed, as bands of nine in ten
};
/// `c`: the case as the shop knows it. Nothing learnt: no heading.
LearntWords learnt_words(const treatment::Case& c, const answers::Bands& before, const answers::Bands& after);

} // namespace tq::output
