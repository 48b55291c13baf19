// The quenched tapered bar of cases/tapered_bar_quench.toml as a plain problem in temperature, for solvers
// other than our own, and the same problem for ours. Both use the same mesh, conductivity, heat capacity and
// table h(T).
#pragma once

#include "conduction/heat_operator.hpp"
#include "section/grid.hpp"

#include <array>
#include <vector>

namespace tq::test {

struct TaperedBar {
  static constexpr double density = 7800, k0 = 24, k1 = 0.004, c0 = 480, c1 = 0.25; // W/mK, J/kgK, T in degC
  static constexpr double start_degC = 800, bath_degC = 60;
  static constexpr std::array<double, 10> times_s{0.25, 0.5, 1, 2, 3, 5, 8, 12, 20, 30};
  section::Grid grid;
  conduction::Mesh mesh;
  conduction::UniformTable htc;

  TaperedBar(int along, int across, bool half);
  std::size_t nodes() const { return grid.nodes(); }
  /// The seven points of the reference at one time: edge centre and corner, 5 mm and 15 mm from the edge, the
  /// flank there, spine centre and corner. `T` in node order.
  std::array<double, 7> points(const std::vector<double>& T) const;
};

/// Processor time of this thread [s]: what other work on the machine takes does not count.
double thread_seconds();

using PointsAtTimes = std::vector<std::array<double, 7>>;
/// Greatest difference of the 70 values [K].
double greatest_difference(const PointsAtTimes& a, const PointsAtTimes& b);

/// Our heat balance of the bar.
struct OurBar {
  conduction::InertMaterial material;
  conduction::HeatOperator op;

  explicit OurBar(const TaperedBar& bar);
  /// State at the temperatures `T` in node order.
  conduction::State state(const std::vector<double>& T) const;
};

struct OurRun {
  PointsAtTimes points;
  double seconds = 0; ///< from the mesh to the last value
  long steps = 0, rejected = 0;
};
/// Our stepper at `tolerance` K per step, landing on the output times.
OurRun run_ours(const TaperedBar& bar, double tolerance_K);

} // namespace tq::test
