// Coefficients of the Rosenbrock-W method used here, and their transformed form.
#pragma once

#include <array>

namespace tq::conduction {

/// A four-stage Rosenbrock-W method: (I - gamma dt J) k_i = dt f(y + sum alpha_ij k_j) + dt J sum gamma_ij
/// k_j. The order holds for any matrix J, so an approximate Jacobian costs no accuracy.
struct RosenbrockTableau {
  static constexpr int stages = 4;
  using Square = std::array<std::array<double, stages>, stages>;
  double gamma;
  Square alpha;                             ///< strictly lower
  Square gammas;                            ///< lower, gamma on the diagonal
  std::array<double, stages> b, b_embedded; ///< order 3 and order 2
};

/// ROS34PW2: order 3(2), stiffly accurate, R(inf) = 0. Rang & Angermann 2005, BIT Numer. Math. 45, 761-787.
inline constexpr RosenbrockTableau ros34pw2{
    4.3586652150845900e-01,
    {{{0, 0, 0, 0},
      {8.7173304301691801e-01, 0, 0, 0},
      {8.4457060015369423e-01, -1.1299064236484185e-01, 0, 0},
      {0, 0, 1, 0}}},
    {{{4.3586652150845900e-01, 0, 0, 0},
      {-8.7173304301691801e-01, 4.3586652150845900e-01, 0, 0},
      {-9.0338057013044082e-01, 5.4180672388095326e-02, 4.3586652150845900e-01, 0},
      {2.4212380706095346e-01, -1.2232505839045147, 5.4526025533510214e-01, 4.3586652150845900e-01}}},
    {2.4212380706095346e-01, -1.2232505839045147, 1.5452602553351021, 4.3586652150845900e-01},
    {3.7810903145819369e-01, -9.6042292212423178e-02, 0.5, 2.1793326075422950e-01}};

/// The same method in the variables u_i = sum gamma_ij k_j, which needs no product with J:
/// (I - gamma dt J) u_i = gamma dt f(y + sum a_ij u_j) + gamma sum c_ij u_j, y1 = y + sum m_i u_i, error =
/// sum e_i u_i. Hairer & Wanner 1996, Solving Ordinary Differential Equations II, section IV.7.
struct TransformedTableau {
  static constexpr int stages = RosenbrockTableau::stages;
  double gamma;
  RosenbrockTableau::Square a{}, c{};
  std::array<double, stages> m{}, e{}, alpha_sum{};
};

constexpr TransformedTableau transform(const RosenbrockTableau& t) {
  constexpr int s = RosenbrockTableau::stages;
  TransformedTableau out{t.gamma, {}, {}, {}, {}, {}};
  RosenbrockTableau::Square inverse{}; // of the lower triangular matrix `gammas`
  for (int j = 0; j < s; ++j) {
    inverse[j][j] = 1.0 / t.gammas[j][j];
    for (int i = j + 1; i < s; ++i) {
      double sum = 0;
      for (int l = j; l < i; ++l)
        sum += t.gammas[i][l] * inverse[l][j];
      inverse[i][j] = -sum / t.gammas[i][i];
    }
  }
  for (int i = 0; i < s; ++i) {
    for (int j = 0; j < s; ++j) {
      for (int l = 0; l < s; ++l)
        out.a[i][j] += t.alpha[i][l] * inverse[l][j];
      out.c[i][j] = (i == j ? 1.0 / t.gamma : 0.0) - inverse[i][j];
      out.m[j] += t.b[i] * inverse[i][j];
      out.e[j] += (t.b[i] - t.b_embedded[i]) * inverse[i][j];
      out.alpha_sum[i] += t.alpha[i][j];
    }
  }
  return out;
}

} // namespace tq::conduction
