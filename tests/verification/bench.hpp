// A section with its heat balance and stepper, and the table of errors the verification prints.
#pragma once

#include "conduction/heat_operator.hpp"
#include "section/grid.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <memory>
#include <string>
#include <vector>

namespace tq::verification {

inline records::Table constant(double value) { return {{20.0}, {value}, records::Interpolation::linear}; }
inline records::Table linear(double from, double value_from, double to, double value_to) {
  return {{from, to}, {value_from, value_to}, records::Interpolation::linear};
}

/// A plate of even thickness; its flanks are A (top) and B (bottom), its ends the spine and edge faces.
section::Profile plate(double width, double thickness);
section::Profile taper(double width, double spine, double edge);

enum Face : int { flank_a = 0, flank_b = 1, spine_face = 2, edge_face = 3 };

/// One section in one surround, cooled or heated from a uniform temperature; as a fin it has one row of
/// nodes.
class Bench {
 public:
  enum class Solved { section, as_fin };
  Bench(const section::Profile& profile, const section::GridOptions& options,
        const records::Table& conductivity, const records::Table& specific_heat, double density, double T0,
        Solved solved = Solved::section);
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;

  /// A fin: its spine is held `excess_K` above the surroundings, the flanks give off by `h`, the edge is
  /// insulated.
  void as_steady_fin(double h, double excess_K);

  conduction::Surround surround; ///< set before the first run_to(); all faces insulated at first
  conduction::FoilCover foil;    ///< likewise
  double tolerance_K = 1e-3;
  double first_step_s = 1e-5;
  double max_step_s = 0;
  bool slow = false; ///< as a soak or a temper is stepped

  void everywhere(double h, double T_env);                        ///< constant h on all faces
  void set_start(const std::function<double(double, double)>& T); ///< other than uniform, over (x, y)
  /// Steps up to t exactly.
  void run_to(double t);
  /// One step, to t at most; false once t was reached before.
  bool step_towards(double t);

  const section::Grid& grid() const { return grid_; }
  const conduction::HeatOperator& balance() const { return operator_; }
  int nx() const { return grid_.nx; }
  int ny() const { return operator_.mesh().ny; }
  /// Row of nodes on the centre line (the first when only half is solved), and on flank A.
  int centre() const { return grid_.half ? 0 : (ny() - 1) / 2; }
  int surface() const { return ny() - 1; }
  double node(int i, int j) const;
  /// Temperature on row j at distance x from the spine, cubic between the columns.
  double along(double x, int j) const;
  double foil_node(int face, int n) const; ///< first layer
  double mean() const;
  double heat_out() const; ///< [J/m] of what is solved (the half when half)
  double environment() const;
  /// |energy now - energy at the start| over the heat that passed.
  double energy_residual() const;
  long steps() const { return stepper_->steps(); }

 private:
  void start();
  section::Grid grid_;
  conduction::InertMaterial material_;
  conduction::HeatOperator operator_;
  std::vector<double> enthalpy_;
  double T0_;
  std::unique_ptr<conduction::DenseRosenbrockW> stepper_;
  double energy_start_ = 0;
};

/// Collects one line of the printed table; asserts that the error stays within what is allowed.
class Comparison {
 public:
  Comparison(std::string what, std::string unit, double allowed, std::string source);
  ~Comparison();
  Comparison(const Comparison&) = delete;
  Comparison& operator=(const Comparison&) = delete;
  void add(double computed, double exact);

 private:
  std::string what_, unit_, source_;
  double allowed_, worst_ = 0;
  int points_ = 0;
};

/// Adds a line for an observed order of convergence and asserts the band 1.8 to 2.2.
void report_order(const std::string& what, const std::vector<double>& errors, double from = 1.8,
                  double to = 2.2);

} // namespace tq::verification
