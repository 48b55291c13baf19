#include "answers/search.hpp"

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
