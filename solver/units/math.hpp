// Elementary functions that give the same bits on every processor, with every compiler and in a browser. They
// are made of sums, products, quotients and square roots alone, which IEEE 754 rounds in one way only; a C
// library rounds exp or log in a way of its own (one and the same library differently with and without fused
// multiply-add), and a last digit decides now and then whether a step of the solver is taken or refused.
// Within the solver, use these in place of those in <cmath>.
//
// What each is off by at most is held by tests/unit/units/math_test.cpp: one unit in the last place for exp,
// log, log2, log10, exp2 and pow (a little more for results beyond 1e+-200), two for expm1, log1p, cbrt,
// hypot, sin and cos, four for tanh and tan, six for atan and atan2.
#pragma once

namespace tq::math {

double exp(double x);
double exp2(double x);
double expm1(double x);
/// NaN below 0, minus infinity at 0.
double log(double x);
double log2(double x);
double log10(double x);
/// NaN below -1, minus infinity at -1.
double log1p(double x);
/// As std::pow, but for a base of -infinity or -0: the sign is then that of a base just below zero.
double pow(double base, double exponent);
double cbrt(double x);
/// Of sizes between 1e-150 and 1e150: no care is taken of squares that overflow.
double hypot(double x, double y);
double hypot(double x, double y, double z);
double tanh(double x);
/// Angles in rad, below 1e6 in size.
double sin(double angle);
double cos(double angle);
double tan(double angle);
double atan(double x);
/// In (-pi, pi]; both signs of zero count as plus.
double atan2(double y, double x);

} // namespace tq::math
