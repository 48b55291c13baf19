// What surrounds the four faces of the body, and the heat that a surface exchanges with it.
#pragma once

#include "conduction/mesh.hpp"
#include "conduction/uniform_table.hpp"
#include "units/temperature.hpp"

#include <algorithm>
#include <array>
#include <functional>
#include <memory>
#include <vector>

namespace tq::conduction {

/// Exchange of the outermost surface of one face with its surroundings at temperature T_env:
/// q = h(T) (T - T_env) + emissivity sigma (T_K^4 - T_env,K^4) [W/m2].
struct FaceExchange {
  std::shared_ptr<const UniformTable> htc; ///< h over surface temperature [W/m2K over degC]; none = constant
  double htc_constant_W_m2K = 0;           ///< used when there is no table
  double emissivity = 0;                   ///< effective; 0 = no radiation
};

/// A second neighbour that takes part of a surface from the first one: air above the bath, a support in the
/// furnace, vapour before the liquid wets.
struct SecondExchange {
  std::array<FaceExchange, faces> face;
  /// Its temperature [degC] over time [s]; none = that of the first neighbour, also of a bath that warms.
  std::function<double(double)> temperature;
  /// Per face and node along it: share of the surface that sees the second neighbour, 0 to 1 (empty = 0).
  std::array<std::vector<double>, faces> share;
  /// Per face and node: time until which all of the surface sees it, whatever `share` says (empty = never).
  std::array<std::vector<double>, faces> until_s;
  double fade_s = 0; ///< the change at `until_s` takes this long, so that steps can follow it
};

/// What surrounds the body during one stage.
struct Surround {
  std::function<double(double)> temperature; ///< T_env [degC] over time [s]
  double bath_capacity_J_mK = 0;             ///< > 0: T_env rises by the heat given to it, per metre of blade
  std::array<FaceExchange, faces> face;
  std::vector<double> extra_K; ///< per column: T_env is this much higher there (empty = nowhere)
  SecondExchange second;
  /// Per face: factor over time [s] on the emissivity of `face` (not of `second`); none = 1.
  std::array<std::function<double(double)>, faces> emissivity_factor;
};

inline bool has_second(const Surround& s, int f) {
  return !(s.second.share[f].empty() && s.second.until_s[f].empty());
}

/// Share of a node's surface that sees the second neighbour at `t`.
inline double second_share(const Surround& s, int f, std::size_t n, double t) {
  const SecondExchange& second = s.second;
  double share = second.share[f].empty() ? 0.0 : second.share[f][n];
  if (!second.until_s[f].empty()) {
    const double past = t - second.until_s[f][n];
    const double covered = past <= 0 ? 1.0 : past < second.fade_s ? 1.0 - past / second.fade_s : 0.0;
    share = std::max(share, covered);
  }
  return share;
}

/// How much higher T_env is at a node of a face [K].
inline double extra_at(const Surround& s, int f, std::size_t n) {
  if (s.extra_K.empty())
    return 0;
  if (f == side::spine)
    return s.extra_K.front();
  if (f == side::edge)
    return s.extra_K.back();
  return s.extra_K[n];
}

inline double fourth(double T_degC) {
  const double K = kelvin(T_degC);
  return (K * K) * (K * K);
}

/// Heat [W/m2] that a surface at T gives away.
inline double flux(const FaceExchange& face, double emissivity, double T, double T_env, double env_fourth) {
  const double h = face.htc ? face.htc->value(T) : face.htc_constant_W_m2K;
  double q = h * (T - T_env);
  if (emissivity > 0)
    q += emissivity * stefan_boltzmann_W_m2K4 * (fourth(T) - env_fourth);
  return q;
}
/// Its slope over T [W/m2K].
inline double flux_slope(const FaceExchange& face, double emissivity, double T, double T_env) {
  const double K = kelvin(T);
  return (face.htc ? face.htc->value(T) + face.htc->slope(T) * (T - T_env) : face.htc_constant_W_m2K) +
         4 * emissivity * stefan_boltzmann_W_m2K4 * K * K * K;
}

} // namespace tq::conduction
