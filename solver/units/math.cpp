#include "units/math.hpp"

#include <array>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <limits>

namespace tq::math {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

// Constants as the sum of two numbers. Of the first pair the first has 32 bits, so that its product with the
// exponent of a double is exact.
constexpr double ln2_short = 0x1.62e42fee00000p-1, ln2_rest = 0x1.a39ef35793c76p-33;
constexpr double ln2_high = 0x1.62e42fefa39efp-1, ln2_low = 0x1.abc9e3b39803fp-56;
constexpr double log2_e_high = 0x1.71547652b82fep+0, log2_e_low = 0x1.777d0ffda0d24p-56;
constexpr double log10_e_high = 0x1.bcb7b1526e50ep-2, log10_e_low = 0x1.95355baaafad3p-57;
constexpr double half_pi_1 = 0x1.921fb54400000p+0, half_pi_2 = 0x1.0b4611a600000p-34,
                 half_pi_3 = 0x1.3198a2e037073p-69;
constexpr double pi = 0x1.921fb54442d18p+1;

// std::bit_cast is missing in one of the compilers' libraries.
std::uint64_t bits_of(double x) {
  std::uint64_t bits = 0;
  std::memcpy(&bits, &x, sizeof bits);
  return bits;
}
double number_of(std::uint64_t bits) {
  double x = 0;
  std::memcpy(&x, &bits, sizeof x);
  return x;
}

/// A number as the sum of two.
struct Sum {
  double high, low;
};

/// a + b without error where |a| >= |b| or a = 0 (Dekker 1971).
constexpr Sum sum(double a, double b) {
  const double s = a + b;
  return {s, b - (s - a)};
}

/// a b without error (Dekker 1971, with Veltkamp's splitting), for factors below 2^990.
constexpr Sum product(double a, double b) {
  constexpr double split = 134217729.0; // 2^27 + 1
  const double at = split * a, bt = split * b;
  const double ah = at - (at - a), bh = bt - (bt - b);
  const double al = a - ah, bl = b - bh, p = a * b;
  return {p, ((ah * bh - p) + ah * bl + al * bh) + al * bl};
}

constexpr Sum product(Sum a, Sum b) {
  const Sum p = product(a.high, b.high);
  return sum(p.high, p.low + (a.high * b.low + a.low * b.high));
}

constexpr Sum quotient(double a, Sum b) {
  const double q = a / b.high;
  const Sum back = product(q, b.high);
  return sum(q, (((a - back.high) - back.low) - q * b.low) / b.high);
}

/// x 2^k, where the outcome may be subnormal or infinite.
double scaled(double x, int k) {
  const auto power = [](int n) { return number_of(static_cast<std::uint64_t>(1023 + n) << 52); };
  if (k > -1000 && k < 1000)
    return x * power(k);
  const int half = k / 2;
  return x * power(half) * power(k - half);
}

/// The whole number nearest to x, |x| < 2^51.
double nearest(double x) {
  constexpr double shift = 0x1.8p52;
  return (x + shift) - shift;
}

/// exp(t) - 1 - t for |t| <= ln(2)/2 by its series, of which the first term left out is below 2^-56 of the
/// sum.
double tail_of_exp(double t) {
  constexpr auto over = [](int n) {
    double f = 1;
    for (int k = 2; k <= n; ++k)
      f *= k;
    return 1 / f;
  };
  const double q = t * t, r = q * q;
  const double a = over(2) + t * over(3), b = over(4) + t * over(5), c = over(6) + t * over(7),
               d = over(8) + t * over(9), e = over(10) + t * over(11), f = over(12) + t * over(13);
  return q * ((a + q * b) + r * ((c + q * d) + r * (e + q * f)));
}

/// 2^(i/32) to twice the digits of a double, by the series of exp.
constexpr int parts_of_two = 32;
constexpr std::array<Sum, parts_of_two> make_powers_of_two() {
  std::array<Sum, parts_of_two> out{};
  for (int i = 0; i < parts_of_two; ++i) {
    const double share = static_cast<double>(i) / parts_of_two;
    const Sum t = product({share, 0}, {ln2_high, ln2_low});
    Sum all{1, 0};
    for (int n = 30; n >= 1; --n) { // 1 + t/n (1 + t/(n+1) (...))
      const Sum next = product(product(all, t), quotient(1, {static_cast<double>(n), 0}));
      const Sum with_one = sum(1, next.high);
      all = sum(with_one.high, with_one.low + next.low);
    }
    out[static_cast<std::size_t>(i)] = all;
  }
  return out;
}
constexpr std::array<Sum, parts_of_two> powers_of_two = make_powers_of_two();

/// e^(x + low) = (first + rest) 2^k; the rest is below 0.022 of the first.
struct Exponential {
  double first, rest;
  int k;

  double value() const { return scaled(first + rest, k); }
};
Exponential exponential(double x, double low) {
  const double steps = nearest(x * (parts_of_two * log2_e_high));
  const double high = x - steps * (ln2_short / parts_of_two);
  const double t = high + (low - steps * (ln2_rest / parts_of_two)); // at most ln(2)/64
  const double q = t * t;
  // the first term left out is t^7/5040, below 2^-58
  const double p = t + q * ((0.5 + t * (1.0 / 6)) + q * ((1.0 / 24 + t * (1.0 / 120)) + q * (1.0 / 720)));
  const auto n = static_cast<int>(steps);
  const Sum& of_part = powers_of_two[static_cast<std::size_t>(n & (parts_of_two - 1))];
  return {of_part.high, of_part.low + of_part.high * p, (n - (n & (parts_of_two - 1))) / parts_of_two};
}

double exp_of(double x, double low) {
  if (std::isnan(x))
    return x;
  if (x > 709.79)
    return infinity;
  if (x < -745.2)
    return 0;
  return exponential(x, low).value();
}

/// x = m 2^k with m between the roots of 1/2 and 2; for positive, finite x.
struct Mantissa {
  double m;
  int k;
};
Mantissa mantissa(double x) {
  int k = 0;
  if (x < std::numeric_limits<double>::min()) {
    x *= 0x1p54;
    k = -54;
  }
  // counted from the bits of the root of 1/2
  constexpr std::uint64_t root = 0x3fe6a09e667f3bcdULL;
  const std::uint64_t bits = bits_of(x);
  const auto steps = static_cast<std::int64_t>(bits - root) >> 52;
  return {number_of(bits - (static_cast<std::uint64_t>(steps) << 52)), k + static_cast<int>(steps)};
}

/// artanh(s)/s - 1 from z = s^2 for |s| <= 0.1716 by its series.
double tail_of_artanh(double z) {
  const double y = z * z, w = y * y;
  const double a = 1.0 / 3 + z * (1.0 / 5), b = 1.0 / 7 + z * (1.0 / 9), c = 1.0 / 11 + z * (1.0 / 13),
               d = 1.0 / 15 + z * (1.0 / 17), e = 1.0 / 19 + z * (1.0 / 21);
  return z * ((a + y * b) + w * ((c + y * d) + w * e));
}

/// Whether x has an ordinary logarithm; if not, `out` is what to tell.
bool has_log(double x, double& out) {
  if (x > 0 && x < infinity)
    return true;
  out = x == 0 ? -infinity : x > 0 ? x : nan;
  return false;
}

/// ln x to some 65 bits, for positive, finite x: 2 artanh((m - 1)/(m + 1)) + k ln 2.
Sum log_of(double x) {
  const auto [m, k] = mantissa(x);
  const double f = m - 1;
  const Sum d = m < 1 ? sum(1, m) : sum(m, 1);
  const double s = f / d.high;
  const Sum back = product(s, d.high);
  const double s_low = (((f - back.high) - back.low) - s * d.low) / d.high;
  const Sum with_k = sum(k * ln2_short, 2 * s);
  return sum(with_k.high, with_k.low + (2 * (s_low + s * tail_of_artanh(s * s)) + k * ln2_rest));
}

bool whole(double y) { return y == std::floor(y); }
bool odd(double y) { return whole(y) && std::abs(y) < 0x1p53 && !whole(y / 2); }

/// A quarter turn's number and the rest of the angle.
struct Reduced {
  double rest;
  int quarter;
};
Reduced reduced(double angle) {
  const double k = nearest(angle * (2 / pi));
  const double rest = ((angle - k * half_pi_1) - k * half_pi_2) - k * half_pi_3;
  return {rest, static_cast<int>(static_cast<std::int64_t>(k) & 3)};
}

/// Series of sine and cosine, summed from the smallest term, for |t| <= pi/4.
double sin_of(double t) {
  const double q = t * t;
  double s = 0;
  for (int n = 18; n >= 2; n -= 2)
    s = -q * (1 + s) / (n * (n + 1));
  return t + t * s;
}
double cos_of(double t) {
  const double q = t * t;
  double s = 0;
  for (int n = 17; n >= 3; n -= 2)
    s = -q * (1 + s) / (n * (n + 1));
  return 1 + (-q / 2 + -q / 2 * s);
}

} // namespace

double exp(double x) { return exp_of(x, 0); }

double exp2(double x) {
  if (!(std::abs(x) < 1100))
    return x > 0 ? infinity : x < 0 ? 0 : x;
  const double k = nearest(x);
  const Sum t = product({x - k, 0}, {ln2_high, ln2_low});
  Exponential e = exponential(t.high, t.low);
  e.k += static_cast<int>(k);
  return e.value();
}

double expm1(double x) {
  if (std::abs(x) < 0.5 * ln2_high)
    return x + tail_of_exp(x);
  if (!(x < 60))
    return exp(x);
  if (x < -60)
    return -1;
  const Exponential e = exponential(x, 0);
  const double power = scaled(1, e.k);
  return (power * e.first - 1) + power * e.rest;
}

double log(double x) {
  double out = 0;
  if (!has_log(x, out))
    return out;
  const auto [m, k] = mantissa(x);
  // 2 artanh(s) = f - (f^2/2 - s (f^2/2 + 2 (artanh(s)/s - 1))), which loses less than 2 artanh(s) itself
  const double f = m - 1, half = 0.5 * f * f, s = f / (2 + f), tail = 2 * tail_of_artanh(s * s);
  return k * ln2_short + (f - (half - (s * (half + tail) + k * ln2_rest)));
}

double log2(double x) {
  double out = 0;
  return has_log(x, out) ? product(log_of(x), {log2_e_high, log2_e_low}).high : out;
}

double log10(double x) {
  double out = 0;
  return has_log(x, out) ? product(log_of(x), {log10_e_high, log10_e_low}).high : out;
}

double log1p(double x) {
  const double u = 1 + x;
  if (u == 1 || !(u < infinity) || u <= 0)
    return u == 1 ? x : log(u);
  return log(u) + (x - (u - 1)) / u;
}

double pow(double base, double exponent) {
  if (exponent == 0 || base == 1)
    return 1;
  if (std::isnan(base) || std::isnan(exponent))
    return nan;
  const double size = std::abs(base);
  if (base < 0 && !whole(exponent))
    return nan;
  const double sign = base < 0 && odd(exponent) ? -1 : 1;
  if (std::abs(exponent) > 0x1p63 || size == 0 || size == infinity) {
    if (size == 1)
      return sign;
    return sign * ((size > 1) == (exponent > 0) ? infinity : 0);
  }
  const Sum l = log_of(size);
  const Sum p = product(exponent, l.high);
  return sign * exp_of(p.high, p.low + exponent * l.low);
}

double cbrt(double x) {
  const double size = std::abs(x);
  if (!(size > 0) || size == infinity)
    return x;
  double a = pow(size, 1.0 / 3);
  // one step of Newton's, in which the cube is taken without error
  const Sum cube = product(product(a, a), {a, 0});
  a -= ((cube.high - size) + cube.low) / (3 * a * a);
  return x < 0 ? -a : a;
}

double hypot(double x, double y) { return std::sqrt(x * x + y * y); }
double hypot(double x, double y, double z) { return std::sqrt(x * x + y * y + z * z); }

double tanh(double x) {
  const double size = std::abs(x);
  if (std::isnan(x))
    return x;
  const double e = size < 20 ? expm1(2 * size) : 0, out = size < 20 ? e / (e + 2) : 1;
  return x < 0 ? -out : out;
}

double sin(double angle) {
  if (!(std::abs(angle) < 1e6))
    return nan;
  const auto [t, quarter] = reduced(angle);
  const double out = quarter % 2 == 0 ? sin_of(t) : cos_of(t);
  return quarter < 2 ? out : -out;
}

double cos(double angle) {
  if (!(std::abs(angle) < 1e6))
    return nan;
  const auto [t, quarter] = reduced(angle);
  const double out = quarter % 2 == 0 ? cos_of(t) : sin_of(t);
  return quarter == 0 || quarter == 3 ? out : -out;
}

double tan(double angle) { return sin(angle) / cos(angle); }

double atan(double x) {
  const double size = std::abs(x);
  if (std::isnan(x))
    return x;
  if (size > 1) {
    const double rest = 0.5 * pi - atan(1 / size);
    return x < 0 ? -rest : rest;
  }
  // halved twice, then its series; the angle is below 0.2
  double z = size;
  for (int k = 0; k < 2; ++k)
    z = z / (1 + std::sqrt(1 + z * z));
  const double q = z * z;
  double s = 0;
  for (int n = 25; n >= 3; n -= 2)
    s = -q * (1.0 / n + s);
  const double out = 4 * (z + z * s);
  return x < 0 ? -out : out;
}

double atan2(double y, double x) {
  if (x == 0 && y == 0)
    return 0;
  if (std::abs(y) > std::abs(x)) // as seen from the other axis
    return (y > 0 ? 0.5 : -0.5) * pi - atan(x / y);
  return x > 0 ? atan(y / x) : atan(y / x) + (y < 0 ? -pi : pi);
}

} // namespace tq::math
