// The semi-discrete heat balance of one section: body, foil layers on its four faces, and what surrounds
// them. State vector: [specific enthalpy of body nodes J/kg | of foil nodes J/kg | clocks, clock by clock |
// heat out J/m]. Because the unknown is enthalpy and the heat out is integrated by the same stages, the
// energy balance of a run closes to round-off. The approximate Jacobian is a product of line operators along
// and across the section; long steps are solved with the whole matrix.
#pragma once

#include "conduction/band_matrix.hpp"
#include "conduction/material.hpp"
#include "conduction/mesh.hpp"
#include "conduction/rosenbrock_w.hpp"
#include "conduction/solver_choice.hpp"
#include "conduction/uniform_table.hpp"

#include <array>
#include <functional>
#include <limits>
#include <memory>
#include <vector>

namespace tq::conduction {

inline constexpr int faces = 4; ///< flank A (top), flank B (bottom), spine face, edge face

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

/// One layer on the faces of the body, next to the steel or to the layer before: foil, clay, a slice of a
/// plate pressed on.
struct CoverLayer {
  double mass_kg_m2 = 0;
  double c0 = 500, c1 = 0; ///< c = c0 + c1 T [J/kgK]
  double along_W_K = 0;    ///< conductivity times thickness: heat along the layer
  double exchange = 0;     ///< emissivity factor to what lies inside it
  std::array<std::shared_ptr<const UniformTable>, faces>
      conductance; ///< to what lies inside it, over mean T [W/m2K]
  /// Per face and node: thickness over the one meant by `mass_kg_m2` and `along_W_K` (empty = 1 everywhere);
  /// where it is 0 this layer and all outside it are missing.
  std::array<std::vector<double>, faces> thickness;
  /// Per face and node: factor on `conductance` (empty = 1).
  std::array<std::vector<double>, faces> factor;
  double start_degC = std::numeric_limits<double>::quiet_NaN(); ///< NaN: as make_state() is told
};
/// All layers, from the steel outwards.
using Cover = std::vector<CoverLayer>;

/// Foil round the body, all layers alike; layer 0 lies next to the steel.
struct FoilCover {
  int layers = 0;
  double mass_kg_m2 = 0;   ///< one layer
  double c0 = 500, c1 = 0; ///< c = c0 + c1 T [J/kgK]
  std::array<std::shared_ptr<const UniformTable>, faces>
      gap_conductance;        ///< gas + contact over mean T [W/m2K]
  double along_W_K = 0;       ///< conductivity times thickness of one layer: heat along the foil
  double exchange_steel = 0;  ///< emissivity factor steel - foil
  double exchange_layers = 0; ///< emissivity factor foil - foil
};
Cover cover_of(const FoilCover& foil);

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
  std::size_t foil_nodes() const { return foil_; }
  Eigen::Index state_size() const;
  std::size_t clock_offset() const { return body_ + foil_; }
  std::size_t heat_out_index() const { return body_ + foil_ + clock_count_; }

  /// Changes what covers the faces: sizes change, so make a new state with make_state(). Throws
  /// std::invalid_argument when a list per node has another length than the face.
  void set_cover(const Cover& cover);
  void set_foil(const FoilCover& foil) { set_cover(cover_of(foil)); }
  void set_surround(const Surround& surround);
  /// Nodes along a face; 0 on the centre plane of a half section.
  std::size_t face_nodes(int face) const { return side_[static_cast<std::size_t>(face)].length.size(); }
  const Surround& surround() const { return surround_; }
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
  void set_linear_solver(LinearSolver which);
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
  const std::vector<double>& foil_temperature() const { return Tf_; }
  /// Evaluates temperatures at x without fluxes.
  void refresh(const State& x);
  double environment(double t, const State& x) const;
  /// Heat given to a second neighbour of its own temperature [W/m] of the section solved, from the last
  /// evaluation.
  double second_heat_rate(double t) const;
  /// Hottest point of the outermost surface [degC], from the last evaluation.
  double outer_surface_max() const;
  /// Mean temperature of the cover's layers from `first` outwards, by heat capacity [degC]; from the last
  /// evaluation.
  double cover_mean_degC(std::size_t first) const;
  /// Total enthalpy of body and foil plus heat out [J/m]: constant over a run without change of layout.
  double energy(const State& x) const;
  const std::vector<double>& mass() const { return mass_; } ///< body nodes [kg/m]
  const Mesh& mesh() const { return mesh_; }
  Material& material() { return material_; }

 private:
  /// Body nodes along one face of the section, and the face length of each [m]; no nodes on a centre plane.
  struct Side {
    std::size_t first = 0, stride = 1;
    std::vector<double> length, spacing; ///< of each node; from each node to the next [m]
    std::size_t body(std::size_t n) const { return first + n * stride; }
  };
  double extra_at(int f, std::size_t n) const;
  void evaluate_nodes(const State& x, double* clock_rates);
  double boundary_fluxes(double t, double env, double* rates);
  void linearise_boundaries(double t, double env);
  /// Share of a node's surface that sees the second neighbour now.
  double second_share(int f, std::size_t n, double t) const;
  /// A bare face with nothing but a table of h over T, the usual one in a bath.
  bool only_convects(int f, double emissivity) const {
    return cover_.empty() && !has_second(f) && surround_.face[f].htc && !(emissivity > 0) &&
           surround_.extra_K.empty();
  }
  bool has_second(int f) const {
    return !(surround_.second.share[f].empty() && surround_.second.until_s[f].empty());
  }
  void factorise_foil_rows();
  /// Solves the lines along the foil of one face.
  void solve_foil_rows(int f, double* uf);
  /// Eliminates the foil of one face into the right-hand side of its body nodes (times scale, if any) ...
  void fold_foil(int f, const double* uf, const double* scale, double* rhs_of_body);
  /// ... and finds it again once scale * z of the body is known; returns the heat given to the surroundings
  /// per g.
  double unfold_foil(int f, double* uf, const double* scale, const double* scaled_z);

  Mesh mesh_;
  Material& material_;
  std::size_t body_, foil_ = 0, clock_count_ = 0;
  std::vector<double> mass_, inverse_mass_;
  Cover cover_;
  Surround surround_;
  double heat_out_at_start_ = 0;
  std::array<std::size_t, faces> foil_offset_{};
  double tolerance_K_ = 0.1;

  std::vector<double> T_, k_, Tf_, c_, cf_, clock_heat_, error_weight_;
  std::array<Side, faces> side_;
  std::vector<double> buffer_, face_work_, scratch_rates_;
  std::vector<double> half_along_, half_across_, quarter_diagonal_; // of the mesh, for means of conductivity
  std::vector<double> kx_, ky_; // conductances of faces at the linearisation [W/mK per m]
  // per face: coupling conductance of gap l [layers][count], outer slope [count] [W/mK per m]
  std::array<std::vector<double>, faces> gap_slope_, outer_slope_, outer_used_, foil_add_;
  // line factors, stored like the nodes
  std::vector<double> inv_y_, mult_y_, inv_x_, mult_x_, mc_, work_, along_work_, from_first_, into_last_;
  kernels::FlankRows flanks_{};
  std::array<std::vector<double>, faces> foil_inv_, foil_mult_, foil_rhs_;
  // along the layers: conductance between neighbours (W/K per m), line factors, all [layers][count]
  std::array<std::vector<double>, faces> foil_along_, row_inv_, row_mult_;
  std::array<std::vector<int>, faces> depth_;          // layers present at a node
  std::array<std::vector<double>, faces> gap_factor_;  // [layers][count]
  std::vector<double> foil_mass_, foil_inverse_areal_; // per layer node: kg/m, m2/kg
  std::vector<double> foil_c0_, foil_c1_;              // per layer node
  double gamma_dt_ = 0;
  LinearSolver solver_ = LinearSolver::by_step;
  SolverChoice choice_;
  bool slow_ = false;
  bool whole_ = false;                ///< the present step is solved by the band matrix
  std::size_t thickest_ = 0;          ///< a node in the middle of the thickest place
  double thickest_m2_ = 0;            ///< thickness squared over pi squared there
  double across_s_ = 0;               ///< time in which heat crosses the thickest place, at the linearisation
  std::unique_ptr<BandMatrix> band_;  ///< made when first needed
  std::vector<std::size_t> band_row_; ///< row of each node of body and cover, ordered across first
  std::vector<double> band_work_;
  /// Layers that there are anywhere on a face.
  std::size_t layers_on(int f) const;
  void lay_out_band();
  /// gamma dt from which a step is solved by the whole matrix, in units of across_s_.
  double long_step() const;
  /// Share of the row next to the last that goes to it when the first has had its own.
  double last_share_left() const;
  void factorise_band();
  void solve_band(State& b);
};

} // namespace tq::conduction
