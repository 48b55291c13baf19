// The semi-discrete heat balance of one section: body, foil layers on its four faces, and what surrounds
// them. State vector: [specific enthalpy of body nodes J/kg | of foil nodes J/kg | heat out J/m | clocks,
// clock by clock]. Because the unknown is enthalpy and the heat out is integrated by the same stages, the
// energy balance of a run closes to round-off. The approximate Jacobian is a product of line operators along
// and across the section; long steps are solved with the whole matrix.
#pragma once

#include "conduction/envelope.hpp"
#include "conduction/material.hpp"
#include "conduction/rosenbrock_w.hpp"
#include "conduction/solver_choice.hpp"
#include "conduction/whole_matrix.hpp"

#include <vector>

namespace tq::conduction {

/// How (I - gamma dt J) is solved: `lines` by a product of line operators along and across the section
/// without the cross terms, `band` by the whole band matrix with them and with the covers, `by_step` by lines
/// in short steps and by band in long ones. The product damps what is fast along and across at once by
/// next to nothing once gamma dt exceeds both times; in thin edges with cross terms it may even grow, unseen
/// by the error estimate. In a quench steps are too short for that, in a soak they are not.
enum class LinearSolver { by_step, lines, band };

class HeatOperator {
 public:
  HeatOperator(const Mesh& mesh, double density_kg_m3, Material& material);

  /// Layout of the state.
  std::size_t body_nodes() const { return body_; }
  std::size_t foil_nodes() const { return envelope_.nodes(); }
  Eigen::Index state_size() const;
  std::size_t heat_out_index() const { return body_ + envelope_.nodes(); }
  std::size_t clock_offset() const { return heat_out_index() + 1; }
  std::size_t clock_count() const { return clock_count_; } ///< of all nodes
  /// The stepper moves so many entries of the state, the first ones; clocks behind them stay as they are.
  std::size_t moving_size() const { return clock_offset() + moving_clocks(); }

  /// Changes what covers the faces: sizes change, so make a new state with make_state(). Throws
  /// std::invalid_argument when a list per node has another length than the face.
  void set_cover(const Cover& cover) {
    envelope_.set_cover(cover);
    whole_matrix_.reset();
  }
  const Envelope& envelope() const { return envelope_; }
  void set_foil(const FoilCover& foil) { set_cover(cover_of(foil)); }
  void set_surround(const Surround& surround) { envelope_.set_surround(surround); }
  /// Nodes along a face; 0 on the centre plane of a half section.
  std::size_t face_nodes(int face) const { return envelope_.side(face).length.size(); }
  const Surround& surround() const { return envelope_.surround(); }
  /// Marks the heat out at which the bath still had its starting temperature.
  void start_bath(double heat_out_J_m) { heat_out_at_start_ = heat_out_J_m; }
  /// State for the present layout: body enthalpies and clocks from `body_and_clocks` parts, foil at
  /// `foil_degC`.
  State make_state(const double* body_enthalpy, const double* clocks, double foil_degC,
                   double heat_out) const;

  /// Right-hand side (Odeint system): dxdt = f(x, t).
  void operator()(const State& x, State& dxdt, double t);
  void linearise(const State& x, double t);
  void factorise(double gamma_dt);
  void solve(State& b);
  /// Largest error over the nodes in units of the tolerance.
  double error_norm(const State& error, const State& x);
  void set_linear_solver(LinearSolver which) { solver_ = which; }
  void set_tolerance(double kelvin) { tolerance_K_ = kelvin; }
  /// Forgets what earlier steps have shown about the linear solvers, so that what follows depends on the
  /// state alone. In a slow stage (soak, air, temper) steps are long and few: more of them go to the whole
  /// matrix.
  void begin_stage(bool slow) {
    slow_ = slow;
    choice_ = {};
  }

  /// Temperatures [degC] of the last evaluation (operator() or refresh()).
  const std::vector<double>& temperature() const { return T_; }
  const std::vector<double>& foil_temperature() const { return envelope_.temperature(); }
  /// Temperatures [degC] from which the next evaluation begins its search: for one that is not to depend, in
  /// the last bit, on what was evaluated before.
  void guess(const std::vector<double>& degC) { T_ = degC; }
  /// Evaluates temperatures at x without fluxes.
  void refresh(const State& x);
  /// What refresh() has just found at x still stands when the right-hand side is next asked there: the
  /// material has since only taken over what it had said (Material::evaluate would say the same again).
  void keep_evaluation(const State& x) {
    kept_ = x;
    keeps_ = true;
  }
  /// The material has changed meanwhile.
  void forget_evaluation() { keeps_ = false; }
  double environment(double t, const State& x) const;
  /// Heat given to a second neighbour of its own temperature [W/m] of the section solved, from the last
  /// evaluation.
  double second_heat_rate(double t) const { return envelope_.second_heat_rate(t, T_.data()); }
  /// Hottest point of the outermost surface [degC], from the last evaluation.
  double outer_surface_max() const { return envelope_.outer_surface_max(T_.data()); }
  /// Mean temperature of the cover's layers from `first` outwards, by heat capacity [degC]; from the last
  /// evaluation.
  double cover_mean_degC(std::size_t first) const { return envelope_.mean_degC(first); }
  /// Total enthalpy of body and foil plus heat out [J/m]: constant over a run without change of layout.
  double energy(const State& x) const;
  const std::vector<double>& mass() const { return mass_; } ///< body nodes [kg/m]
  const Mesh& mesh() const { return mesh_; }
  Material& material() { return material_; }

 private:
  std::size_t moving_clocks() const { return static_cast<std::size_t>(material_.moving_clocks()) * body_; }
  void evaluate_nodes(const State& x, double* clock_rates);
  /// gamma dt from which a step is solved by the whole matrix, in units of across_s_.
  double long_step() const;
  WholeMatrix::Body body() const;

  Mesh mesh_;
  Material& material_;
  std::size_t body_, clock_count_ = 0;
  std::vector<double> mass_, inverse_mass_;
  Envelope envelope_;
  double heat_out_at_start_ = 0;
  double tolerance_K_ = 0.1;

  std::vector<double> T_, k_, c_, clock_heat_, error_weight_;
  std::vector<double> buffer_, scratch_rates_;
  State kept_; ///< of keep_evaluation(), while `keeps_`
  bool keeps_ = false;
  std::vector<double> half_along_, half_across_, quarter_diagonal_; // of the mesh, for means of conductivity
  std::vector<double> kx_, ky_; // conductances of faces at the linearisation [W/mK per m]
  // line factors, stored like the nodes
  std::vector<double> inv_y_, mult_y_, inv_x_, mult_x_, mc_, work_, along_work_, from_first_, into_last_;
  kernels::FlankRows flanks_{};
  double gamma_dt_ = 0;
  LinearSolver solver_ = LinearSolver::by_step;
  SolverChoice choice_;
  bool slow_ = false;
  bool whole_ = false;       ///< the present step is solved by the whole matrix
  std::size_t thickest_ = 0; ///< a node in the middle of the thickest place
  double thickest_m2_ = 0;   ///< thickness squared over pi squared there
  double across_s_ = 0;      ///< time in which heat crosses the thickest place, at the linearisation
  WholeMatrix whole_matrix_;
};

} // namespace tq::conduction
