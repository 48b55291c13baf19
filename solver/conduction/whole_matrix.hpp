// I - gamma dt J as a whole: band matrix of body and layers with the cross terms of a crooked grid.
#pragma once

#include "conduction/band_matrix.hpp"
#include "conduction/envelope.hpp"
#include "conduction/kernels.hpp"

#include <memory>
#include <vector>

namespace tq::conduction {

class WholeMatrix {
 public:
  /// The body at the linearisation; arrays of its nodes.
  struct Body {
    const Mesh& mesh;
    const double *mass, *c, *heat_capacity, *conductivity; ///< kg/m, J/kgK, J/mK, W/mK
    const double *along, *across;                          ///< conductances of faces [W/mK per m]
    const double* quarter_diagonal;                        ///< a quarter of the mesh's cross terms
    const kernels::FlankRows& flanks;
  };

  /// Forgets the layout, when the layers have changed.
  void reset() { matrix_.reset(); }
  void factorise(const Body& body, const Envelope& layers, double g);
  /// Solves for the enthalpies of body and layers in place; returns the heat given to the surroundings per g.
  double solve(const Body& body, const Envelope& layers, double* u);

 private:
  void lay_out(const Body& body, const Envelope& layers);
  /// Of one row of nodes, a bare fin: the matrix has a diagonal and its neighbours.
  static bool is_row(const Body& body, const Envelope& layers);
  void factorise_row(const Body& body, const Envelope& layers, double g);
  double solve_row(const Body& body, double* u);
  /// Share of the row next to the last that goes to it when the first has had its own.
  static double last_share_left(const Body& body);

  std::unique_ptr<BandMatrix> matrix_; ///< made when first needed
  std::vector<std::size_t> row_;       ///< of each node of body and layers, ordered across first
  std::vector<double> work_;
  /// Of one row of nodes; `link_` is `off_` over the pivot, `outer_` what each gives to the surroundings.
  std::vector<double> pivot_, inverse_, off_, link_, outer_;
};

} // namespace tq::conduction
