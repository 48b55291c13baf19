// Searching a setting on the rungs on which it can be set: whole minutes, half seconds, five degrees.
#pragma once

#include <cmath>
#include <cstddef>
#include <functional>
#include <optional>
#include <vector>

namespace tq::answers {

/// The values offset + k step, k whole.
struct Ladder {
  double step = 1, offset = 0;
  double value(long k) const { return offset + static_cast<double>(k) * step; }
  /// Highest rung not above `v`; a hair above counts as on it.
  long at_most(double v) const { return static_cast<long>(std::floor((v - offset) / step + 1e-9)); }
  /// Lowest rung not below `v`.
  long at_least(double v) const { return static_cast<long>(std::ceil((v - offset) / step - 1e-9)); }
};

inline constexpr Ladder whole_minutes{60, 0}, half_seconds{0.5, 0}, five_degC{5, 0};
/// Multiples of 5 degF, in degC.
inline constexpr Ladder five_degF{25.0 / 9.0, -160.0 / 9.0};
inline constexpr Ladder half_litres{0.5e-3, 0}, twentieth_mm{0.05e-3, 0}, five_um{5e-6, 0};

/// Of a share that may be `limit` at most: over some powers of ten it runs nearly straight.
double log_margin(double limit, double share);

/// Which of several rungs do what is wanted; they may be judged at the same time.
using GoodOfMany = std::function<std::vector<char>(const std::vector<long>&)>;

/// Last rung of [from, to] that is good, when good holds from `from` up to somewhere; nothing when `from` is
/// not. `rough` (cheap, may err by some rungs) is cut into `at_once` + 1 parts until one rung is left;
/// `exact` confirms: the rung returned is good and the next one is not, or is beyond `to`. Which rungs are
/// judged depends on nothing but the answers and `at_once`.
std::optional<long> last_good(long from, long to, const GoodOfMany& rough, const GoodOfMany& exact,
                              std::size_t at_once);
/// The same where a good `guess` within [from, to] is at hand instead of a rough model.
std::optional<long> last_good_from(long guess, long from, long to, const GoodOfMany& exact,
                                   std::size_t at_once);
/// First good rung, when good holds from somewhere up to `to`; nothing when `to` is not.
std::optional<long> first_good(long from, long to, const GoodOfMany& rough, const GoodOfMany& exact,
                               std::size_t at_once);
std::optional<long> first_good_from(long guess, long from, long to, const GoodOfMany& exact,
                                    std::size_t at_once);

} // namespace tq::answers
