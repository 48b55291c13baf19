// What the body is made of, as the heat balance sees it: temperature from enthalpy, conductivity, and the
// rates of progress variables ("clocks") that change the enthalpy curve of a node while it transforms.
#pragma once

#include "conduction/kernels.hpp"
#include "records/table.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace tq::conduction {

/// Interface between the heat balance and a material. Enthalpy u is specific [J/kg]; T in degC; k in W/mK;
/// clock arrays are [clock][node]. All calls are for all nodes at once, nodes in grid order (i fastest).
class Material {
 public:
  virtual ~Material() = default;
  /// Number of clocks per node (0 for an inert material).
  virtual int clocks() const = 0;
  /// So many of them, the first ones, move at present; the others are left alone.
  virtual int moving_clocks() const { return clocks(); }
  /// T, k and the clock rates [1/s] of every node. T holds a first guess on entry.
  virtual void evaluate(const double* u, const double* clock, std::size_t nodes, double* T, double* k,
                        double* rate) = 0;
  /// Effective capacity dh/dT [J/kgK] at the state of the last evaluate(), martensite forming included; and
  /// the temperature [K] by which one unit of each clock would heat a node (for the error norm),
  /// [clock][node].
  virtual void capacity(const double* u, const double* clock, const double* T, std::size_t nodes, double* c,
                        double* clock_heat_K) = 0;
};

/// No transformation: tabulated k(T) and c(T), linear between points, ends held.
class InertMaterial final : public Material {
 public:
  /// `specific_heat` [J/kgK] and `conductivity` [W/mK] over T [degC].
  InertMaterial(const records::Table& conductivity, const records::Table& specific_heat);
  int clocks() const override { return 0; }
  void evaluate(const double* u, const double* clock, std::size_t nodes, double* T, double* k,
                double* rate) override;
  void capacity(const double* u, const double* clock, const double* T, std::size_t nodes, double* c,
                double* clock_heat_K) override;
  /// Specific enthalpy [J/kg] at T (0 at the first table point).
  double enthalpy(double T) const;

 private:
  /// One linear piece of c(T): c = c0 + slope (T - from), enthalpy h0 at `from`.
  struct Piece {
    double from, h0, c0, slope;
  };
  const Piece& piece_at_enthalpy(double u, std::size_t& hint) const;
  const Piece& piece_at_temperature(double T) const;
  records::Table conductivity_;
  std::vector<Piece> pieces_;
  std::optional<kernels::LinearMaterial> linear_; ///< set when both tables have two points
};

} // namespace tq::conduction
