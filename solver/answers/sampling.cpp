#include "answers/sampling.hpp"

#include "units/math.hpp"

#include <Eigen/Cholesky>
#include <boost/math/special_functions/erf.hpp>
#include <boost/random/sobol.hpp>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>

namespace tq::answers {
namespace {

/// Spreads the bits of a number over the whole word (splitmix64; Steele, Lea & Flood 2014, OOPSLA).
std::uint64_t mixed(std::uint64_t x) {
  x += 0x9e3779b97f4a7c15ULL;
  x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9ULL;
  x = (x ^ (x >> 27)) * 0x94d049bb133111ebULL;
  return x ^ (x >> 31);
}

std::uint32_t reversed(std::uint32_t x) {
  x = ((x >> 1) & 0x55555555U) | ((x & 0x55555555U) << 1);
  x = ((x >> 2) & 0x33333333U) | ((x & 0x33333333U) << 2);
  x = ((x >> 4) & 0x0f0f0f0fU) | ((x & 0x0f0f0f0fU) << 4);
  x = ((x >> 8) & 0x00ff00ffU) | ((x & 0x00ff00ffU) << 8);
  return (x >> 16) | (x << 16);
}

/// Permutes so that each bit depends on the lower ones only (Laine & Karras 2011, constants of Burley 2020).
std::uint32_t laine_karras(std::uint32_t x, std::uint32_t seed) {
  x += seed;
  x ^= x * 0x6c50b47cU;
  x ^= x * 0xb82f1e52U;
  x ^= x * 0xc7afe638U;
  x ^= x * 0x8d22f6e6U;
  return x;
}

std::uint32_t owen_scrambled(std::uint32_t x, std::uint32_t seed) {
  return reversed(laine_karras(reversed(x), seed));
}

} // namespace

double normal_quantile(double u) { return -std::sqrt(2.0) * boost::math::erfc_inv(2.0 * u); }

Distribution Distribution::normal(double middle, double half) {
  Distribution d;
  d.shape_ = Shape::normal;
  d.a_ = middle;
  d.b_ = half / normal_half_90;
  return d;
}

Distribution Distribution::lognormal(double middle, double factor) {
  Distribution d;
  d.shape_ = Shape::lognormal;
  d.a_ = math::log(middle);
  d.b_ = math::log(factor) / normal_half_90;
  return d;
}

Distribution Distribution::uniform(double from, double to) {
  Distribution d;
  d.a_ = from;
  d.b_ = to;
  return d;
}

Distribution Distribution::triangular(double from, double mode, double to) {
  Distribution d;
  d.shape_ = Shape::triangular;
  d.a_ = from;
  d.b_ = mode;
  d.c_ = to;
  return d;
}

double normal_share_below(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }

double Distribution::at_score(double z) const {
  // where the share itself rounds to 0 or 1 the quantile would be infinite
  constexpr double farthest = 8;
  return quantile(normal_share_below(std::clamp(z, -farthest, farthest)));
}

Distribution Distribution::narrowed(double middle, double sd, bool moved) const {
  Distribution d = *this;
  d.from_ = at_score(moved ? middle : 0);
  d.score_ = middle;
  d.score_sd_ = sd;
  d.narrowed_ = true;
  return d;
}

double quantile(const std::vector<double>& sorted, double q) {
  const double at =
      std::clamp(q * static_cast<double>(sorted.size() + 1) - 1, 0.0, static_cast<double>(sorted.size() - 1));
  const auto low = static_cast<std::size_t>(at);
  const std::size_t high = std::min(low + 1, sorted.size() - 1);
  if (sorted[low] == sorted[high])
    return sorted[low];
  return std::isfinite(sorted[high])
             ? sorted[low] + (at - static_cast<double>(low)) * (sorted[high] - sorted[low])
             : sorted[high];
}

double Distribution::quantile(double u) const {
  if (narrowed_) {
    Distribution whole = *this;
    whole.narrowed_ = false;
    const double value = whole.at_score(score_ + score_sd_ * normal_quantile(u));
    return shape_ == Shape::lognormal ? value / from_ : value - from_;
  }
  switch (shape_) {
  case Shape::normal:
    return a_ + b_ * normal_quantile(u);
  case Shape::lognormal:
    return math::exp(a_ + b_ * normal_quantile(u));
  case Shape::uniform:
    return a_ + u * (b_ - a_);
  case Shape::triangular: {
    const double whole = c_ - a_;
    if (!(whole > 0))
      return b_;
    return u * whole < b_ - a_ ? a_ + std::sqrt(u * whole * (b_ - a_))
                               : c_ - std::sqrt((1.0 - u) * whole * (c_ - b_));
  }
  }
  return a_;
}

std::vector<double> sobol_points(std::size_t n, std::size_t dimensions, std::uint64_t seed) {
  if (dimensions > most_dimensions)
    throw std::logic_error("more dimensions than the sample is made for");
  std::vector<double> points(n * dimensions);
  if (points.empty())
    return points;
  // Boost leaves out the first point, the origin, and with it the balance of a power of two; it stands here.
  boost::random::sobol_engine<std::uint32_t, 32> sequence(dimensions);
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t d = 0; d < dimensions; ++d) {
      const std::uint32_t raw = i == 0 ? 0U : sequence();
      const auto key = static_cast<std::uint32_t>(mixed(mixed(seed) ^ (d + 1)) >> 32);
      points[i * dimensions + d] = (owen_scrambled(raw, key) + 0.5) * 0x1p-32;
    }
  return points;
}

std::vector<double> sample_points(std::size_t n, std::size_t dimensions, std::uint64_t seed) {
  std::vector<double> points = sobol_points(n, dimensions, seed);
  if (n < 2 * dimensions)
    return points;
  const auto rows = static_cast<Eigen::Index>(n), columns = static_cast<Eigen::Index>(dimensions);
  constexpr int passes = 2;
  for (int pass = 0; pass < passes; ++pass) {
    Eigen::MatrixXd scores(rows, columns);
    for (Eigen::Index i = 0; i < rows; ++i)
      for (Eigen::Index d = 0; d < columns; ++d)
        scores(i, d) = normal_quantile(points[static_cast<std::size_t>(i * columns + d)]);
    const Eigen::LLT<Eigen::MatrixXd> factor(scores.transpose() * scores);
    if (factor.info() != Eigen::Success)
      return points;
    // columns that are orthogonal to one another; the first stays as it is, each takes the part of those
    // before away
    const Eigen::MatrixXd wanted = factor.matrixL().solve(scores.transpose()).transpose();
    std::vector<std::size_t> order(n);
    std::vector<double> values(n);
    for (std::size_t d = 0; d < dimensions; ++d) {
      for (std::size_t i = 0; i < n; ++i)
        values[i] = points[i * dimensions + d];
      std::sort(values.begin(), values.end());
      std::iota(order.begin(), order.end(), std::size_t{0});
      const auto column = wanted.col(static_cast<Eigen::Index>(d));
      std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return column(static_cast<Eigen::Index>(a)) < column(static_cast<Eigen::Index>(b));
      });
      for (std::size_t rank = 0; rank < n; ++rank)
        points[order[rank] * dimensions + d] = values[rank];
    }
  }
  return points;
}

} // namespace tq::answers
