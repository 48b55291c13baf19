#include "answers/search.hpp"

#include <algorithm>
#include <map>

namespace tq::answers {

namespace {

/// Remembers what was asked, since rungs near the answer are asked more than once.
Good remembered(const Good& good) {
  return [good, known = std::map<long, bool>()](long k) mutable {
    const auto found = known.find(k);
    return found != known.end() ? found->second : known.emplace(k, good(k)).first->second;
  };
}

/// Last good rung between a good one and a bad one above it.
long bisect(long low, long high, const Good& good) {
  while (high - low > 1) {
    const long middle = low + (high - low) / 2;
    (good(middle) ? low : high) = middle;
  }
  return low;
}

} // namespace

double log_margin(double limit, double share) {
  constexpr double least_share = 1e-5; // of which nothing is known any more
  return std::log(limit / std::max(share, least_share));
}

std::optional<long> last_with_margin(long from, long to, const Margin& margin) {
  if (to < from)
    return std::nullopt;
  double at_low = margin(from);
  if (!(at_low >= 0))
    return std::nullopt;
  if (to == from)
    return from;
  double at_high = margin(to);
  if (at_high >= 0)
    return to;
  long low = from, high = to;
  int same_side = 0; // how often one end has stayed, with a sign for which
  while (high - low > 1) {
    const double span = static_cast<double>(high - low), share = at_low / (at_low - at_high);
    const bool slow = std::abs(same_side) > 2 || !std::isfinite(share);
    const long next =
        std::clamp(low + static_cast<long>(slow ? span / 2 : std::floor(share * span)), low + 1, high - 1);
    const double value = margin(next);
    if (value >= 0) {
      low = next;
      at_low = value;
      same_side = std::max(same_side, 0) + 1;
      if (same_side > 1)
        at_high /= 2;
    } else {
      high = next;
      at_high = std::isnan(value) ? -1 : value;
      same_side = std::min(same_side, 0) - 1;
      if (same_side < -1)
        at_low /= 2;
    }
    if (slow)
      same_side = 0;
  }
  return low;
}

std::optional<long> last_good(long from, long to, const Good& rough, const Good& exact) {
  if (to < from)
    return std::nullopt;
  const Good cheap = remembered(rough), sure = remembered(exact);
  const long guess = !cheap(from) ? from : cheap(to) ? to : bisect(from, to, cheap);
  // from the guess outwards in growing strides until the exact model brackets the end of what is good
  if (sure(guess)) {
    long low = guess;
    for (long stride = 1; low < to; stride *= 2) {
      const long next = std::min(to, low + stride);
      if (!sure(next))
        return bisect(low, next, sure);
      low = next;
    }
    return to;
  }
  long high = guess;
  for (long stride = 1; high > from; stride *= 2) {
    const long next = std::max(from, high - stride);
    if (sure(next))
      return bisect(next, high, sure);
    high = next;
  }
  return std::nullopt;
}

std::optional<long> first_good(long from, long to, const Good& rough, const Good& exact) {
  const auto found = last_good(
      -to, -from, [&](long k) { return rough(-k); }, [&](long k) { return exact(-k); });
  if (!found)
    return std::nullopt;
  return -*found;
}

} // namespace tq::answers
