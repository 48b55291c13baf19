// What lies on the four faces of the body (foil, clay, slices of a plate) and exchanges heat with what
// surrounds it: temperatures and fluxes of the layers, their part of the line operators.
#pragma once

#include "conduction/surround.hpp"

#include <limits>

namespace tq::conduction {

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

class Envelope {
 public:
  explicit Envelope(const Mesh& mesh)
      : sides_(sides_of(mesh)), work_(static_cast<std::size_t>(std::max(mesh.nx, mesh.ny)), 0.0) {
    set_cover({});
  }

  /// Throws std::invalid_argument when a list per node has another length than the face.
  void set_cover(const Cover& cover);
  void set_surround(const Surround& surround) { surround_ = surround; }
  const Surround& surround() const { return surround_; }
  const Side& side(int f) const { return sides_[static_cast<std::size_t>(f)]; }
  std::size_t nodes() const { return nodes_; } ///< of all layers
  bool bare() const { return cover_.empty(); }
  const Cover& cover() const { return cover_; }
  /// Whether the layers are the same all over every face.
  bool even() const;
  /// Heat [W/m2] that the body gives to the first layer at node `n` of a face, from the last evaluation;
  /// there must be one.
  double flux_inside(int f, std::size_t n, const double* T_body) const;

  /// Enthalpies of the layers at their start, `otherwise_degC` where a layer has none of its own.
  void start(double otherwise_degC, double* u) const;
  /// Temperatures of the layers from their enthalpies.
  void evaluate(const double* u);
  const std::vector<double>& temperature() const { return T_; }
  /// Fluxes between body, layers and surroundings into the rates of body and layers; returns the heat given
  /// away [W/m].
  double fluxes(double t, double env, const double* T_body, const double* inverse_mass, double* body_rate,
                double* rate);
  void linearise(double t, double env, const double* T_body);
  /// What each face adds to the diagonal of its body nodes, layers eliminated from outside in unless the
  /// whole matrix solves them. `heat_capacity` of the body nodes [J/mK].
  void eliminate(double g, const double* heat_capacity, bool whole);
  const double* on_body(int f) const { return add_[static_cast<std::size_t>(f)].data(); }
  void factorise_rows(double g);
  /// State of these layers for those of `finer`, whose end faces have more nodes: the same heat; and back.
  void gather(const Envelope& finer, const double* u_finer, double* u) const;
  void spread(const Envelope& finer, const double* u, double* u_finer) const;
  /// Solves the lines along the layers of one face.
  void solve_rows(int f, double* u);
  /// Eliminates the layers of one face into the right-hand side of its body nodes (times scale, if any) ...
  void fold(int f, const double* u, const double* scale, double* rhs_of_body);
  /// ... and finds them again once scale * z of the body is known; returns the heat given to the surroundings
  /// per g.
  double unfold(int f, double* u, const double* scale, const double* scaled_z);

  double second_heat_rate(double t, const double* T_body) const;
  double outer_surface_max(const double* T_body) const;
  double mean_degC(std::size_t first) const;
  /// `so_far` and the enthalpy of the layers [J/m].
  double energy(const double* u, double so_far) const;
  /// The greater of `so_far` and the layers' weighted errors [K]; what is no number counts as infinite.
  double largest_error(const double* error, double so_far) const;

 private:
  friend class WholeMatrix; // puts the layers into its rows

  /// Calls what(own node, node of `finer`, its part of the own node's heat) for each pair of layer nodes.
  template <class What>
  void for_each_part(const Envelope& finer, const What& what) const;

  /// Heat [W/m2] through the gap inside layer `l`, at `at` in the arrays of its face.
  double through_gap(int f, std::size_t l, std::size_t at, double T_inner, double T_outer) const {
    const double g = gap_factor_[f][at] * cover_[l].conductance[f]->value(0.5 * (T_inner + T_outer));
    return g * (T_inner - T_outer) +
           cover_[l].exchange * stefan_boltzmann_W_m2K4 * (fourth(T_inner) - fourth(T_outer));
  }

  /// A bare face with nothing but a table of h over T, the usual one in a bath.
  bool only_convects(int f, double emissivity) const {
    return cover_.empty() && !has_second(surround_, f) && surround_.face[f].htc && !(emissivity > 0) &&
           surround_.extra_K.empty();
  }
  /// Layers that there are anywhere on a face.
  std::size_t layers_on(int f) const;

  Sides sides_;
  Cover cover_;
  Surround surround_;
  std::size_t nodes_ = 0;
  std::array<std::size_t, faces> offset_{};
  std::vector<double> T_, c_;
  std::vector<double> mass_, inverse_areal_, c0_, c1_; // per layer node: kg/m, m2/kg; c = c0 + c1 T
  std::vector<double> work_;
  // per face: coupling conductance of gap l [layers][count], outer slope [count] [W/mK per m]
  std::array<std::vector<double>, faces> gap_slope_, outer_slope_, outer_used_, add_;
  std::array<std::vector<double>, faces> inv_, mult_, rhs_;
  // along the layers: conductance between neighbours (W/K per m), line factors, all [layers][count]
  std::array<std::vector<double>, faces> along_, row_inv_, row_mult_;
  std::array<std::vector<int>, faces> depth_;         // layers present at a node
  std::array<std::vector<double>, faces> gap_factor_; // [layers][count]
};

} // namespace tq::conduction
