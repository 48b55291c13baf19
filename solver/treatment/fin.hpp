// The section as a fin: one temperature for each column of the grid, for stages in which the steel is nearly
// as warm on its flanks as in its middle.
#pragma once

#include "conduction/heat_operator.hpp"
#include "steel/transforming_material.hpp"

#include <optional>
#include <vector>

namespace tq::treatment {

/// A blade in a tempering oven takes up heat through its flanks far slower than it spreads it across: its
/// Biot number h (thickness/2) / k is some thousandths. Then the flank is warmer than its column's mean by q
/// (thickness/2) / (3 k), the middle colder by half of that (the parabola of a slab that warms steadily;
/// Carslaw & Jaeger 1959, 3.8), and the balances of a column's nodes may be summed up: an eighth of the work.
/// The summed balance takes up heat as if the flank were as warm as the mean, so the mean is ahead by a third
/// of the Biot number of what the oven is warmer, times e^-1 at most. Beside the temperature each node keeps
/// what it has of its own: its shares and its temper. In a furnace, where a packet warms slowly too, the
/// nodes of a column form austenite and dissolve carbide together. At the end of a cooling, in air, the nodes
/// form martensite on curves of their own at the temperature of their column.
class Fin {
 public:
  Fin(const conduction::HeatOperator& section, double density_kg_m3,
      const steel::TransformingMaterial& steel);
  Fin(const Fin&) = delete; // its operator knows its material by its place
  Fin& operator=(const Fin&) = delete;

  /// Greatest difference [K] of a flank from its column's mean, as the heat that passes it at `t` causes it
  /// (see above) and, of the section, as it is. `op` is the section, of `steel`, or this fin's, evaluated at
  /// `x`. Nothing where no fin will do: with clay or plates on the faces, a second neighbour, bare flanks
  /// that see different things, nodes of a column that do not hold the same in a soak.
  std::optional<double> across_K(const conduction::HeatOperator& op, const steel::TransformingMaterial& steel,
                                 const conduction::State& x, double t) const;

  conduction::HeatOperator& op() { return op_; }
  const conduction::HeatOperator& op() const { return op_; }
  /// The fin's state for that of the section, whose nodes have the tempering parameters `tempering`: the same
  /// heat.
  conduction::State gather(const conduction::HeatOperator& section, const conduction::State& x,
                           const steel::TransformingMaterial& steel, const std::vector<double>& tempering);
  /// After a step of `dt` to `x`: takes over what it did to the fin's shares, and tempers it [Hollomon-Jaffe
  /// constant for hours] where it does. The nodes stay behind until settle().
  void commit(const conduction::State& x, double dt);
  void temper(double dt, double constant_h);
  /// In a cooling the clocks of the nodes rest; those that they had ([2][nodes]).
  const std::vector<double>& clocks() const { return clocks_; }
  /// Does to the nodes what was done to their columns since gather(): to the last bit the same however often
  /// it is asked.
  void settle(steel::TransformingMaterial& steel, std::vector<double>& tempering) const;
  /// The section's state for that of the fin, whose nodes are settled: the same heat, all nodes of a column
  /// equally warm.
  conduction::State spread(const conduction::HeatOperator& section, const conduction::State& x,
                           steel::TransformingMaterial& steel) const;
  /// Temperatures of the section's nodes.
  void temperatures(std::vector<double>& nodes) const;

 private:
  void take_tempering(const std::vector<double>& tempering);

  std::size_t columns_;
  std::vector<double> half_thickness_; ///< area of each column over the length of its flanks [m]
  std::vector<double> before_, mean_;  ///< temperatures of the columns: before the step and in it [degC]
  steel::TransformingMaterial::Turning columns_from_, nodes_from_; ///< as gathered
  /// Tempering parameters: where those of a column lie close together, its least ones and its greatest ones
  /// (both by column), and the place of each node between them, since they stay in order; else those of the
  /// nodes.
  std::vector<double> tempering_, place_;
  std::vector<double> clocks_; ///< of the nodes in a cooling
  bool in_order_ = false;
  std::vector<double> warm_before_, warm_; ///< temperatures of what is tempered [degC]
  steel::TransformingMaterial steel_;      ///< mean of each column
  conduction::HeatOperator op_;
};

} // namespace tq::treatment
