#include "conduction/material.hpp"

#include <cmath>
#include <limits>

namespace tq::conduction {

InertMaterial::InertMaterial(const records::Table& conductivity, const records::Table& specific_heat)
    : conductivity_(conductivity) {
  const auto& T = specific_heat.x;
  const auto& c = specific_heat.y;
  // below the first point: constant c, enthalpy counted from there
  pieces_.push_back({T.front(), 0.0, c.front(), 0.0});
  double h = 0;
  for (std::size_t i = 0; i + 1 < T.size(); ++i) {
    const double dT = T[i + 1] - T[i];
    pieces_.push_back({T[i], h, c[i], (c[i + 1] - c[i]) / dT});
    h += 0.5 * (c[i] + c[i + 1]) * dT;
  }
  pieces_.push_back({T.back(), h, c.back(), 0.0});
  if (conductivity_.x.size() == 2) {
    k_linear_ = true;
    k1_ = (conductivity_.y[1] - conductivity_.y[0]) / (conductivity_.x[1] - conductivity_.x[0]);
    k0_ = conductivity_.y[0] - k1_ * conductivity_.x[0];
  }
}

const InertMaterial::Piece& InertMaterial::piece_at_enthalpy(double u, std::size_t& hint) const {
  // piece 0 serves u < 0, piece n-1 everything above the last point
  while (hint + 1 < pieces_.size() && u >= pieces_[hint + 1].h0)
    ++hint;
  while (hint > 0 && u < pieces_[hint].h0)
    --hint;
  return pieces_[hint];
}

const InertMaterial::Piece& InertMaterial::piece_at_temperature(double T) const {
  std::size_t p = pieces_.size() - 1;
  while (p > 0 && T < pieces_[p].from)
    --p;
  return pieces_[p];
}

double InertMaterial::enthalpy(double T) const {
  const Piece& p = piece_at_temperature(T);
  const double dT = T - p.from;
  return p.h0 + dT * (p.c0 + 0.5 * p.slope * dT);
}

void InertMaterial::evaluate(const double* u, const double*, std::size_t nodes, double* T, double* k,
                             double*) {
  if (pieces_.size() <= 3) { // constant ends around one linear piece
    const Piece& p = pieces_[pieces_.size() == 3 ? 1 : 0];
    const double low = pieces_[0].from;
    const double h_top = pieces_.back().h0, T_top = pieces_.back().from, c_top = pieces_.back().c0;
    const double c_low = pieces_[0].c0;
    for (std::size_t n = 0; n < nodes; ++n) {
      const double inside = u[n] < 0 ? 0 : (u[n] > h_top ? h_top : u[n]);
      const double root = std::sqrt(p.c0 * p.c0 + 2 * p.slope * inside);
      const double over = u[n] > h_top ? (u[n] - h_top) / c_top : 0;
      const double under = u[n] < 0 ? u[n] / c_low : 0;
      T[n] = pieces_.size() == 3 ? low + 2 * inside / (p.c0 + root) + over + under : T_top + u[n] / c_top;
    }
  } else {
    std::size_t hint = 0;
    for (std::size_t n = 0; n < nodes; ++n) {
      const Piece& p = piece_at_enthalpy(u[n], hint);
      const double dh = u[n] - p.h0;
      T[n] = p.from + 2 * dh / (p.c0 + std::sqrt(std::max(p.c0 * p.c0 + 2 * p.slope * dh, 0.0)));
    }
  }
  if (k_linear_) {
    const double T0 = conductivity_.x.front(), T1 = conductivity_.x.back();
    for (std::size_t n = 0; n < nodes; ++n) {
      const double inside = T[n] < T0 ? T0 : (T[n] > T1 ? T1 : T[n]);
      k[n] = k0_ + k1_ * inside;
    }
  } else {
    for (std::size_t n = 0; n < nodes; ++n)
      k[n] = conductivity_(T[n]);
  }
}

void InertMaterial::capacity(const double*, const double*, const double* T, std::size_t nodes, double* c,
                             double*) {
  for (std::size_t n = 0; n < nodes; ++n) {
    const Piece& p = piece_at_temperature(T[n]);
    c[n] = p.c0 + p.slope * (T[n] - p.from);
  }
}

} // namespace tq::conduction
