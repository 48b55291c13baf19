// The inner loops of the solver, as plain functions on arrays so that they vectorise. Each is compiled for
// every width of vectors and the processor's own is chosen at run time (for_every_processor.hpp); the results
// are the same to the last bit.
#pragma once

#include "conduction/uniform_table.hpp"

#include <array>
#include <cstddef>

namespace tq::conduction::kernels {

/// Net heat into each node by conduction, times 1/mass: du = (sum of face fluxes) / m. Arrays are nx*ny, i
/// fastest; `diagonal` may be null. The first and last row hand these shares of their neighbour's net heat
/// from across to it (FlankStorage::heat). `along` and `across` are half of the mesh's, `diagonal` a quarter,
/// as they meet sums of two and four conductivities. `buffer` holds at least 3 nx numbers.
void conduct(std::size_t nx, std::size_t ny, const double* T, const double* k, const double* along,
             const double* across, const double* diagonal, const double* inverse_mass, double share_first,
             double share_last, double* buffer, double* du);

/// Conductances of the faces: kx = along * sum of two k, ky likewise; `along` and `across` as for conduct().
void face_conductances(std::size_t nx, std::size_t ny, const double* k, const double* along,
                       const double* across, double* kx, double* ky);

/// The rows across next to the flanks: their shares at which first and last row store (FlankStorage::area),
/// and, written by factorise_across, the multipliers by which elimination there differs from substitution.
struct FlankRows {
  double area_first, area_last;
  double *from_first, *into_last; ///< nx each
};

/// Symmetric tridiagonal systems (mc + g K) along every grid line of one direction, factorised: `inverse` the
/// inverse pivots, `multiplier` g k / pivot. Boundary terms are given for the first and last node of each
/// line (g not yet applied; null = none).
void factorise_across(std::size_t nx, std::size_t ny, double g, const double* mc, const double* ky,
                      const double* first, const double* last, const FlankRows& flanks, double* inverse,
                      double* multiplier);
void factorise_along(std::size_t nx, std::size_t ny, double g, const double* mc, const double* kx,
                     const double* first, const double* last, double* inverse, double* multiplier);
/// Numbers in `inverse` and `multiplier` along the lines, which are kept as solve_along wants them; `scratch`
/// holds 8 nx numbers.
std::size_t along_size(std::size_t nx, std::size_t ny);
/// Solves them: along the lines out = after * S^-1 (before * in), `in` may be `out`; across them out = after
/// * S^-1 of the heat (mass times enthalpy) in `work`.
void solve_along(std::size_t nx, std::size_t ny, const double* inverse, const double* multiplier,
                 const double* before, const double* after, const double* in, double* out, double* scratch);
void solve_across(std::size_t nx, std::size_t ny, const double* inverse, const double* multiplier,
                  const FlankRows& flanks, double* work, const double* after, double* out);

/// Nodes of one face: node n lies at n * stride in the arrays of the body.
struct FaceNodes {
  std::size_t count, stride;
};
/// Bare face with h over its own temperature: rate -= h(T) (T - env) length inverse_mass; `flux` holds count
/// numbers. `length` is of the face, the other arrays of the body from the face's first node on. Returns the
/// heat that leaves [W/m].
double convect(FaceNodes face, const UniformTable& htc, double env, const double* T, const double* length,
               const double* inverse_mass, double* flux, double* rate);
/// slope = length d(h(T) (T - env))/dT, arrays as for convect().
void convection_slopes(FaceNodes face, const UniformTable& htc, double env, const double* T,
                       const double* length, double* slope);
/// Sum of a[n] z / scale over a face, z and scale of the body.
double sum_over_face(FaceNodes face, const double* a, const double* z, const double* scale);

/// z = a * x, elementwise.
void multiply(std::size_t n, const double* a, const double* x, double* z);
/// largest |e| * w over n entries (NaN counts as infinite).
double largest_weighted(std::size_t n, const double* e, const double* w);

/// Enthalpy to temperature and conductivity for c and k linear in T between `low` and `high` (constant
/// outside): c = c0 + slope (T - low), k = k0 + k1 T.
struct LinearMaterial {
  double low, high, c0, slope, k0, k1, k_low, k_high;
};
void temperature_linear(std::size_t n, const LinearMaterial& m, const double* u, double* T, double* k);

/// out = base + sum c_j u_j (base may be null, count up to 4).
void combine(std::size_t n, const double* base, double base_factor, const std::array<const double*, 4>& u,
             const std::array<double, 4>& c, int count, double* out);

} // namespace tq::conduction::kernels
