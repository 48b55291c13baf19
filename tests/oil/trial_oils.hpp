// Baths of which the truth is known, for trials of the recovery: drawn from outside the family that the
// recovery itself assumes.
#pragma once

#include "surroundings/probe.hpp"

#include <cstdint>
#include <random>
#include <string>

namespace tq::test {

/// Random numbers that are the same everywhere.
class Random {
 public:
  explicit Random(std::uint64_t seed) : bits_(seed) {}
  double uniform(double from = 0, double to = 1) {
    return from + (to - from) * (static_cast<double>(bits_() >> 11) + 0.5) * 0x1p-53;
  }
  double normal() {
    double sum = 0; // of twelve uniform numbers: variance 1
    for (int n = 0; n < 12; ++n)
      sum += uniform();
    return sum - 6;
  }

 private:
  std::mt19937_64 bits_;
};

struct TrialOil {
  std::string name;
  surroundings::SurfaceHtc htc_W_m2K;
};

/// Turn and turn about: a published or class curve (R, F, M, S, V, A, B) with every corner moved (8 K sd
/// along the temperature besides a common shift of 12 K, 12 % in h besides a common 10 %), straight in ln h
/// between corners with sharp edges; and a curve of another form altogether, a skewed bell on top of a film
/// and a convection that pass into each other, its parameters uniform over the published ranges.
TrialOil draw_oil(Random& random, std::size_t number);

} // namespace tq::test
