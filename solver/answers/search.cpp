#include "answers/search.hpp"

#include "units/math.hpp"

#include <algorithm>
#include <map>

namespace tq::answers {

namespace {

/// Remembers what was asked, since rungs near the answer are asked more than once.
class Remembered {
 public:
  explicit Remembered(const GoodOfMany& good) : good_(good) {}
  /// Judges those that were not yet.
  void ask(const std::vector<long>& rungs) {
    std::vector<long> unknown;
    for (const long k : rungs)
      if (known_.count(k) == 0 && std::find(unknown.begin(), unknown.end(), k) == unknown.end())
        unknown.push_back(k);
    if (unknown.empty())
      return;
    const std::vector<char> answers = good_(unknown);
    for (std::size_t i = 0; i < unknown.size(); ++i)
      known_[unknown[i]] = answers[i] != 0;
  }
  bool operator()(long k) {
    ask({k});
    return known_.at(k);
  }

 private:
  const GoodOfMany& good_;
  std::map<long, bool> known_;
};

/// Last good rung between a good one and a bad one above it.
long cut(long low, long high, Remembered& good, std::size_t at_once) {
  while (high - low > 1) {
    std::vector<long> between;
    const long parts = static_cast<long>(at_once) + 1, span = high - low;
    for (long i = 1; i < parts; ++i)
      if (const long k = low + (span * i + parts / 2) / parts; k > low && k < high)
        between.push_back(k);
    if (between.empty())
      between.push_back(low + 1);
    good.ask(between);
    for (const long k : between) {
      if (!good(k)) {
        high = k;
        break;
      }
      low = k;
    }
  }
  return low;
}

/// From the guess outwards in growing strides until the end of what is good lies between two rungs.
std::optional<long> confirmed(long guess, long from, long to, Remembered& good, std::size_t at_once) {
  const bool both = at_once > 1 && guess < to;
  good.ask(both ? std::vector<long>{guess, guess + 1} : std::vector<long>{guess});
  const bool up = good(guess);
  const long end = up ? to : from;
  long last = guess, stride = 1;
  if (up && both) {
    if (!good(guess + 1))
      return guess;
    last = guess + 1;
    stride = 2;
  }
  while (last != end) {
    std::vector<long> next;
    for (long at = last; next.size() < at_once && at != end; stride *= 2)
      next.push_back(at = up ? std::min(to, at + stride) : std::max(from, at - stride));
    good.ask(next);
    for (const long k : next) {
      if (good(k) != up)
        return up ? cut(last, k, good, at_once) : cut(k, last, good, at_once);
      last = k;
    }
  }
  return up ? std::optional<long>(to) : std::nullopt;
}

/// The same rungs counted downwards.
GoodOfMany mirrored(const GoodOfMany& good) {
  return [&good](std::vector<long> rungs) {
    for (long& k : rungs)
      k = -k;
    return good(rungs);
  };
}

std::optional<long> mirrored(std::optional<long> found) {
  if (found)
    *found = -*found;
  return found;
}

} // namespace

double log_margin(double limit, double share) {
  constexpr double least_share = 1e-5; // of which nothing is known any more
  return math::log(limit / std::max(share, least_share));
}

std::optional<long> last_good_from(long guess, long from, long to, const GoodOfMany& exact,
                                   std::size_t at_once) {
  if (to < from)
    return std::nullopt;
  Remembered sure(exact);
  return confirmed(std::clamp(guess, from, to), from, to, sure, at_once);
}

std::optional<long> last_good(long from, long to, const GoodOfMany& rough, const GoodOfMany& exact,
                              std::size_t at_once) {
  if (to < from)
    return std::nullopt;
  Remembered cheap(rough);
  if (at_once > 1)
    cheap.ask({from, to});
  const long guess = !cheap(from) ? from : cheap(to) ? to : cut(from, to, cheap, at_once);
  return last_good_from(guess, from, to, exact, at_once);
}

std::optional<long> first_good_from(long guess, long from, long to, const GoodOfMany& exact,
                                    std::size_t at_once) {
  return mirrored(last_good_from(-guess, -to, -from, mirrored(exact), at_once));
}

std::optional<long> first_good(long from, long to, const GoodOfMany& rough, const GoodOfMany& exact,
                               std::size_t at_once) {
  return mirrored(last_good(-to, -from, mirrored(rough), mirrored(exact), at_once));
}

} // namespace tq::answers
