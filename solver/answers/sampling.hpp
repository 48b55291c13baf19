// Distributions, and points that fill the unit cube evenly.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace tq::answers {

/// Inverse of the standard normal distribution, 0 < u < 1.
double normal_quantile(double u);
/// Share of a standard normal distribution below z.
double normal_share_below(double z);
/// Half of the band that holds 90 % of a standard normal distribution.
inline constexpr double normal_half_90 = 1.6448536269514722;

/// One-dimensional distribution, given by its quantiles.
class Distribution {
 public:
  /// All mass at 0.
  Distribution() = default;
  /// 90 % within `half` of `middle`.
  static Distribution normal(double middle, double half);
  /// 90 % between middle / factor and middle * factor.
  static Distribution lognormal(double middle, double factor);
  static Distribution uniform(double from, double to);
  static Distribution triangular(double from, double mode, double to);
  /// `weights` need not sum to 1.
  static Distribution discrete(std::vector<double> values, std::vector<double> weights);

  /// The value below which the share u of the mass lies, 0 < u < 1.
  double quantile(double u) const;
  double middle() const { return quantile(0.5); }
  /// The same as seen from its own value at the score `middle`, of which the score is known to lie within the
  /// standard deviation `sd` (scores are standard normal before anything is known). Of a lognormal one the
  /// factor to that value, of any other the difference from it. With `moved` false as seen from score 0.
  Distribution narrowed(double middle, double sd, bool moved = true) const;
  /// Its value at a score.
  double at_score(double z) const;

 private:
  enum class Shape { normal, lognormal, uniform, triangular };
  Shape shape_ = Shape::uniform;
  double a_ = 0, b_ = 0, c_ = 0;
  bool narrowed_ = false;
  double score_ = 0, score_sd_ = 1, from_ = 0; ///< narrowed: see narrowed()
};

/// The value below which a further draw lies with probability q: the k-th of n sorted values has k / (n + 1)
/// of the mass below it on average, whatever the distribution (Weibull 1939; Makkonen 2006, J. Appl.
/// Meteorol. Climatol. 45, 334-340). Between neighbours by the straight line.
double quantile(const std::vector<double>& sorted, double q);

inline constexpr std::size_t most_dimensions = 64;

/// n points of the `dimensions`-dimensional unit cube, [point * dimensions + dimension], each strictly
/// inside: a Sobol sequence (directions of Joe & Kuo 2008, SIAM J. Sci. Comput. 30, 2635-2654, as in
/// Boost.Random) with the nested uniform scrambling of Owen 1995, hashed after Burley 2020, J. Comput. Graph.
/// Tech. 9(4). The same seed gives the same points everywhere. At most `most_dimensions`.
std::vector<double> sobol_points(std::size_t n, std::size_t dimensions, std::uint64_t seed);
/// The same, each dimension put into another order so that no two of them go together: at 128 points some
/// pairs of some 30 dimensions are correlated by 0.4, which makes the bands of what depends on both too wide
/// or too narrow. By ranks of normal scores, twice (Iman & Conover 1982, Commun. Stat. Simul. Comput. 11,
/// 311-334); what each dimension holds stays. With fewer than two points per dimension sobol_points() itself.
std::vector<double> sample_points(std::size_t n, std::size_t dimensions, std::uint64_t seed);

} // namespace tq::answers
