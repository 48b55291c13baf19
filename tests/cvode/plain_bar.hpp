// The tapered bar as a plain problem dT/dt = f(T) in temperature, written apart from the solver's own kernels
// so that it checks them, and to be quick, so that comparing speeds is fair. Nodes across the thickness are
// neighbours: row = i * across + j, and the Jacobian is a band of half width across + 2: the corners of a
// cell, and one more where a flank takes a share of what reaches the row beside it.
#pragma once

#include "tapered_bar.hpp"

#include <cstddef>
#include <vector>

namespace tq::test {

class PlainBar {
 public:
  explicit PlainBar(const TaperedBar& bar);
  std::size_t nodes() const { return inverse_mass_.size(); }
  std::size_t half_band() const { return across_nodes_ + 2; }
  /// dT/dt [K/s] of every node.
  void rates(const double* T, double* rate);
  /// Calls add(row, column, value) for the terms of d(rate of row)/dT of column; terms of one place add up.
  template <class Add>
  void jacobian(const double* T, Add&& add);
  /// From rows of this problem to nodes in grid order.
  void to_grid_order(const double* rows, std::vector<double>& nodes) const;
  void from_grid_order(const std::vector<double>& nodes, double* rows) const;

 private:
  static double conductivity(double T) { return TaperedBar::k0 + TaperedBar::k1 * T; }
  static double capacity(double T) { return TaperedBar::c0 + TaperedBar::c1 * T; }

  std::size_t along_nodes_, across_nodes_;
  conduction::UniformTable htc_;
  /// Conductance over conductivity of the faces (row, row + across nodes) and (row, row + 1), and half the
  /// slope of the cell between; zero where there is no such face or cell.
  std::vector<double> along_, across_, diagonal_, inverse_mass_;
  struct Surface {
    std::size_t row;
    double length; ///< all outer faces of the node [m]
  };
  std::vector<Surface> surface_;
  /// Rows at the flanks that hand a share of the net heat from across of the row beside them to it.
  struct Flank {
    std::size_t outer, next;
    double share;
  };
  std::vector<Flank> flanks_;
  std::size_t corner_step() const { return across_nodes_ + 1; }
  // conductivity and fluxes; the latter with corner_step() zeros before row 0
  std::vector<double> k_, flux_along_, flux_across_, rising_, falling_, rate_;
};

template <class Add>
void PlainBar::jacobian(const double* T, Add&& add) {
  rate_.resize(nodes());
  rates(T, rate_.data());
  const auto put = [&](std::size_t row, std::size_t column, double per_mass) {
    add(row, column, per_mass * inverse_mass_[row] / capacity(T[row]));
  };
  const double k1 = TaperedBar::k1;
  // Heat from across: with the share that the row at the flank hands over.
  const std::size_t step = across_nodes_;
  std::vector<const Flank*> flank_of(nodes(), nullptr), other_flank_of(nodes(), nullptr);
  for (const Flank& f : flanks_)
    (flank_of[f.next] ? other_flank_of : flank_of)[f.next] = &f;
  const auto put_across = [&](std::size_t row, std::size_t column, double per_mass) {
    put(row, column, per_mass);
    for (const Flank* f : {flank_of[row], other_flank_of[row]})
      if (f) {
        put(row, column, f->share * per_mass);
        put(f->outer, column, -f->share * per_mass);
      }
  };
  // g (k_p + k_q)/2 (T_q - T_p) goes to p
  const auto face = [&](std::size_t p, std::size_t q, double g, const auto& into) {
    const double mean = 0.5 * (k_[p] + k_[q]), turn = 0.5 * k1 * (T[q] - T[p]);
    into(p, p, g * (turn - mean));
    into(p, q, g * (turn + mean));
    into(q, p, -g * (turn - mean));
    into(q, q, -g * (turn + mean));
  };
  for (std::size_t r = 0; r < nodes(); ++r) {
    if (along_[r] != 0)
      face(r, r + step, along_[r], put);
    if (across_[r] != 0)
      face(r, r + 1, across_[r], put_across);
    if (diagonal_[r] != 0) {
      const std::size_t corner[4] = {r, r + step, r + 1, r + step + 1};
      double mean = 0;
      for (std::size_t q : corner)
        mean += 0.25 * k_[q];
      const auto cross = [&](std::size_t p, std::size_t q, double s) { // s mean (T_q - T_p) leaves p for q
        for (std::size_t o : corner) {
          const double turn = 0.25 * k1 * (T[q] - T[p]) * s;
          put_across(p, o, -turn);
          put_across(q, o, turn);
        }
        put_across(p, q, -s * mean);
        put_across(p, p, s * mean);
        put_across(q, q, s * mean);
        put_across(q, p, -s * mean);
      };
      cross(corner[0], corner[3], diagonal_[r]);
      cross(corner[1], corner[2], -diagonal_[r]);
    }
  }
  for (const Surface& s : surface_) {
    const double t = T[s.row];
    put(s.row, s.row, -s.length * (htc_.value(t) + htc_.slope(t) * (t - TaperedBar::bath_degC)));
  }
  for (std::size_t r = 0; r < nodes(); ++r)
    add(r, r, -TaperedBar::c1 / capacity(T[r]) * rate_[r]);
}

} // namespace tq::test
