#include "units/math.hpp"

#include <bit>
#include <cmath>
#include <cstdint>
#include <gtest/gtest.h>
#include <limits>
#include <random>

namespace m = tq::math;

namespace {

/// How far `value` is from `exact`, in units in the last place of the double nearest to `exact`.
double units_off(double value, long double exact) {
  const auto rounded = static_cast<double>(exact);
  if (value == rounded)
    return 0;
  const double unit = std::nextafter(std::abs(rounded), HUGE_VAL) - std::abs(rounded);
  return static_cast<double>(std::abs(static_cast<long double>(value) - exact)) / unit;
}

/// The farthest that `own` is off from `exact` over many arguments between `from` and `to`, drawn evenly, or
/// evenly in their logarithm where both are positive.
template <class Own, class Exact>
double farthest(double from, double to, const Own& own, const Exact& exact, int count = 200000) {
  std::mt19937_64 bits(7);
  double most = 0;
  for (int i = 0; i < count; ++i) {
    const double u = static_cast<double>(bits() >> 11) * 0x1p-53;
    const double x = from > 0 ? from * std::pow(to / from, u) : from + (to - from) * u;
    most = std::max(most, units_off(own(x), exact(static_cast<long double>(x))));
  }
  return most;
}

#define TQ_FARTHEST(name, from, to)                                                                          \
  farthest(                                                                                                  \
      from, to, [](double x) { return m::name(x); }, [](long double x) { return std::name(x); })

} // namespace

// Reference: the C library's functions in extended precision (64 bits of mantissa on x86), some 2000 times
// finer.
static_assert(std::numeric_limits<long double>::digits >= 64, "no finer reference on this machine");

TEST(Math, PowersAndLogarithmsAreWithinOneUnit) {
  EXPECT_LT(TQ_FARTHEST(exp, -708.0, 709.7), 1);
  EXPECT_LT(TQ_FARTHEST(exp, -1.0, 1.0), 1);
  EXPECT_LT(TQ_FARTHEST(exp2, -1021.0, 1023.0), 1);
  EXPECT_LT(TQ_FARTHEST(log, 1e-307, 1e308), 1);
  EXPECT_LT(TQ_FARTHEST(log, 0.5, 2.0), 1);
  EXPECT_LT(TQ_FARTHEST(log, 0.999, 1.001), 1);
  EXPECT_LT(TQ_FARTHEST(log2, 1e-307, 1e308), 1);
  EXPECT_LT(TQ_FARTHEST(log10, 1e-307, 1e308), 1);
  EXPECT_LT(TQ_FARTHEST(log10, 0.9, 1.1), 1);
  for (const double y : {0.5, 1.7, -2.3, 1.0 / 3, 17.0, -0.01})
    EXPECT_LT(farthest(
                  1e-15, 1e15, [&](double x) { return m::pow(x, y); },
                  [&](long double x) { return std::pow(x, static_cast<long double>(y)); }),
              1)
        << y;
  EXPECT_LT(farthest(
                -200.0, 200.0, [](double x) { return m::pow(10, x); },
                [](long double x) { return std::pow(10.0L, x); }),
            1);
}

TEST(Math, TheRestIsWithinSixUnits) {
  EXPECT_LT(TQ_FARTHEST(expm1, -2.0, 2.0), 2);
  EXPECT_LT(TQ_FARTHEST(expm1, 1e-18, 300.0), 2);
  EXPECT_LT(TQ_FARTHEST(expm1, -40.0, 0.0), 2);
  EXPECT_LT(TQ_FARTHEST(log1p, -0.9999, 4.0), 2);
  EXPECT_LT(TQ_FARTHEST(log1p, 1e-18, 1e6), 2);
  EXPECT_LT(TQ_FARTHEST(cbrt, 1e-300, 1e300), 2);
  EXPECT_LT(TQ_FARTHEST(cbrt, -8.0, 8.0), 2);
  EXPECT_LT(TQ_FARTHEST(sin, -3.0, 3.0), 2);
  EXPECT_LT(TQ_FARTHEST(cos, -1.5, 1.5), 2);
  EXPECT_LT(TQ_FARTHEST(tanh, -3.0, 3.0), 4);
  EXPECT_LT(TQ_FARTHEST(tan, -1.5, 1.5), 4);
  EXPECT_LT(TQ_FARTHEST(atan, -50.0, 50.0), 6);
  for (const double x : {-3.0, -0.2, 0.7})
    EXPECT_LT(farthest(
                  -4.0, 4.0, [&](double y) { return m::atan2(y, x); },
                  [&](long double y) { return std::atan2(y, static_cast<long double>(x)); }),
              6);
  EXPECT_LT(farthest(
                1e-9, 1e9, [](double x) { return m::hypot(x, 3.0); },
                [](long double x) { return std::hypot(x, 3.0L); }),
            2);
}

TEST(Math, LongAnglesKeepTheirPlaceWithinTheTurn) {
  // an error of 1e-10 of a turn after 1e5 rad would be 1e5 units
  for (const double x : {1e5, -7.3e4, 999.9})
    EXPECT_NEAR(m::sin(x), static_cast<double>(std::sin(static_cast<long double>(x))), 1e-14) << x;
}

TEST(Math, WholePowersComeOutWhole) {
  for (int n = -22; n <= 22; ++n) {
    EXPECT_EQ(m::log10(std::strtod(("1e" + std::to_string(n)).c_str(), nullptr)), n);
    EXPECT_EQ(m::log2(std::ldexp(1.0, n)), n);
    EXPECT_EQ(m::exp2(n), std::ldexp(1.0, n));
  }
  for (int n = 0; n <= 22; ++n)
    EXPECT_EQ(m::pow(10, n), std::strtod(("1e" + std::to_string(n)).c_str(), nullptr));
  EXPECT_EQ(m::pow(-3, 3), -27);
  EXPECT_EQ(m::pow(-2, 4), 16);
  EXPECT_EQ(m::cbrt(-27), -3);
  EXPECT_EQ(m::exp(0), 1);
  EXPECT_EQ(m::log(1), 0);
}

// Annex F of the C standard (ISO/IEC 9899:2011).
TEST(Math, EndsOfTheRangeAreThoseOfTheStandard) {
  constexpr double inf = std::numeric_limits<double>::infinity(),
                   nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(m::exp(710), inf);
  EXPECT_EQ(m::exp(-746), 0);
  EXPECT_EQ(m::exp(-inf), 0);
  EXPECT_EQ(m::exp(inf), inf);
  EXPECT_GT(m::exp(-740), 0); // subnormal
  EXPECT_EQ(m::exp2(2000), inf);
  EXPECT_EQ(m::exp2(-2000), 0);
  EXPECT_EQ(m::expm1(-100), -1);
  EXPECT_EQ(m::expm1(inf), inf);
  EXPECT_EQ(m::log(0), -inf);
  EXPECT_EQ(m::log(inf), inf);
  EXPECT_TRUE(std::isnan(m::log(-1)));
  EXPECT_NEAR(m::log(5e-324), -744.4400719213812, 1e-12);
  EXPECT_EQ(m::log1p(-1), -inf);
  EXPECT_TRUE(std::isnan(m::log1p(-2)));
  EXPECT_EQ(m::log1p(1e-300), 1e-300);
  EXPECT_EQ(m::pow(0, 2), 0);
  EXPECT_EQ(m::pow(0, -2), inf);
  EXPECT_EQ(m::pow(inf, 0.5), inf);
  EXPECT_EQ(m::pow(0.5, 1e300), 0);
  EXPECT_EQ(m::pow(2, 1e4), inf);
  EXPECT_EQ(m::pow(nan, 0), 1);
  EXPECT_TRUE(std::isnan(m::pow(-2, 0.5)));
  for (const auto f : {m::exp, m::exp2, m::expm1, m::log, m::log2, m::log10, m::log1p, m::cbrt, m::tanh,
                       m::sin, m::cos, m::tan, m::atan})
    EXPECT_TRUE(std::isnan(f(nan)));
  EXPECT_EQ(m::atan2(0, 0), 0);
  EXPECT_NEAR(m::atan2(0, -1), 3.141592653589793, 1e-15);
}

TEST(Math, BitsAreTheSameEverywhere) {
  // Over 50 000 arguments, folded by FNV-1a; the module of the page is held to the same number
  // (tests/page/module.test.mjs compares whole answers). Another number here on another machine is a fault.
  std::uint64_t hash = 1469598103934665603ULL;
  const auto fold = [&](double v) { hash = (hash ^ std::bit_cast<std::uint64_t>(v)) * 1099511628211ULL; };
  for (int i = 1; i <= 50000; ++i) {
    const double x = 0.0004 * i;
    for (const double v :
         {m::exp(x), m::exp(-x), m::exp2(x), m::expm1(-x), m::log(x), m::log2(x), m::log10(x), m::log1p(x),
          m::pow(x, 1.7), m::pow(10, -x), m::cbrt(x), m::hypot(x, 1), m::tanh(x), m::sin(x), m::cos(x),
          m::tan(x), m::atan(x), m::atan2(x, 0.3)})
      fold(v);
  }
  EXPECT_EQ(hash, 4919612732782056113ULL);
}
