#include "conduction/material.hpp"

#include <algorithm>
#include <cmath>

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
  if (T.size() == 2 && conductivity_.x.size() == 2) {
    const auto& x = conductivity_.x;
    const double k1 = (conductivity_.y[1] - conductivity_.y[0]) / (x[1] - x[0]);
    linear_ = kernels::LinearMaterial{
        T[0], T[1], c[0], (c[1] - c[0]) / (T[1] - T[0]), conductivity_.y[0] - k1 * x[0], k1, x[0], x[1]};
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
  if (linear_) {
    kernels::temperature_linear(nodes, *linear_, u, T, k);
    return;
  }
  std::size_t hint = 0;
  for (std::size_t n = 0; n < nodes; ++n) {
    const Piece& p = piece_at_enthalpy(u[n], hint);
    const double dh = u[n] - p.h0;
    T[n] = p.from + 2 * dh / (p.c0 + std::sqrt(std::max(p.c0 * p.c0 + 2 * p.slope * dh, 0.0)));
    k[n] = conductivity_(T[n]);
  }
}

void InertMaterial::capacity(const double*, const double*, const double* T, std::size_t nodes, double* c,
                             double*) {
  if (linear_) {
    const double low = linear_->low, high = linear_->high, c0 = linear_->c0, slope = linear_->slope;
    for (std::size_t n = 0; n < nodes; ++n)
      c[n] = c0 + slope * (std::min(std::max(T[n], low), high) - low);
    return;
  }
  for (std::size_t n = 0; n < nodes; ++n) {
    const Piece& p = piece_at_temperature(T[n]);
    c[n] = p.c0 + p.slope * (T[n] - p.from);
  }
}

} // namespace tq::conduction
