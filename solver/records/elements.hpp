// The elements of a steel's composition by their symbols, as records write them.
#pragma once

#include "records/steel_record.hpp"

#include <array>

namespace tq::records {

struct Element {
  const char* symbol;
  double Composition::*share; ///< wt%
};

/// Carbon first; iron is the rest.
inline constexpr std::array<Element, 11> elements = {{{"C", &Composition::C},
                                                      {"Mn", &Composition::Mn},
                                                      {"Si", &Composition::Si},
                                                      {"Cr", &Composition::Cr},
                                                      {"Ni", &Composition::Ni},
                                                      {"Mo", &Composition::Mo},
                                                      {"W", &Composition::W},
                                                      {"V", &Composition::V},
                                                      {"Cu", &Composition::Cu},
                                                      {"P", &Composition::P},
                                                      {"S", &Composition::S}}};

} // namespace tq::records
