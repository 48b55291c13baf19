#include "conduction/whole_matrix.hpp"

#include "conduction/sum_of_products.hpp"

#include <algorithm>

namespace tq::conduction {

using namespace side;

void WholeMatrix::lay_out(const Body& body, const Envelope& layers) {
  const std::size_t nodes = body.mesh.area.size();
  // column by column with its layers on both flanks; those of spine and edge are columns of their own
  const auto nx = static_cast<std::size_t>(body.mesh.nx), ny = static_cast<std::size_t>(body.mesh.ny);
  const std::size_t under = layers.layers_on(flank_b), stride = under + ny + layers.layers_on(flank_a);
  const std::size_t first = layers.layers_on(spine) * ny, behind = first + nx * stride;
  row_.assign(nodes + layers.nodes_, 0);
  for (std::size_t i = 0; i < nx; ++i)
    for (std::size_t j = 0; j < ny; ++j)
      row_[j * nx + i] = first + i * stride + under + j;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = layers.sides_[f].length.size(), deep = layers.layers_on(f);
    for (std::size_t l = 0; l < deep; ++l)
      for (std::size_t n = 0; n < count; ++n) {
        std::size_t& row = row_[nodes + layers.offset_[f] + l * count + n];
        if (f == spine)
          row = (deep - 1 - l) * ny + n;
        else if (f == edge)
          row = behind + l * ny + n;
        else
          row = first + n * stride + (f == flank_b ? under - 1 - l : under + ny + l);
      }
  }
  const std::size_t rows = behind + layers.layers_on(edge) * ny;
  const std::size_t width = ny > 1 ? stride + 1 : stride; // diagonals of cells reach further
  matrix_ = std::make_unique<BandMatrix>(rows, width);
  work_.assign(rows + width, 0);
}

bool WholeMatrix::is_row(const Body& body, const Envelope& layers) {
  return body.mesh.ny == 1 && layers.nodes_ == 0;
}

void WholeMatrix::factorise_row(const Body& body, const Envelope& layers, double g) {
  const std::size_t nodes = body.mesh.area.size();
  for (auto* v : {&pivot_, &inverse_, &off_, &link_, &outer_})
    v->resize(nodes);
  for (std::size_t n = 0; n < nodes; ++n) {
    pivot_[n] = body.heat_capacity[n];
    off_[n] = n + 1 < nodes ? g * body.along[n] : 0.0;
  }
  for (std::size_t n = 0; n + 1 < nodes; ++n) {
    pivot_[n] += off_[n];
    pivot_[n + 1] += off_[n];
  }
  std::fill(outer_.begin(), outer_.end(), 0.0);
  for (int f = 0; f < faces; ++f)
    for (std::size_t n = 0; n < layers.sides_[f].length.size(); ++n)
      outer_[layers.sides_[f].body(n)] += layers.outer_used_[f][n];
  for (std::size_t n = 0; n < nodes; ++n)
    pivot_[n] += g * outer_[n];
  // from both ends to the middle: two chains of dependent figures side by side
  const std::size_t middle = nodes / 2, behind = nodes - 1 - middle; // behind <= middle
  const auto eliminate = [&](std::size_t n, std::size_t towards, double between) {
    inverse_[n] = 1 / pivot_[n];
    link_[n] = between * inverse_[n];
    pivot_[towards] -= link_[n] * between;
  };
  for (std::size_t i = 0; i < middle; ++i) {
    eliminate(i, i + 1, off_[i]);
    if (i < behind)
      eliminate(nodes - 1 - i, nodes - 2 - i, off_[nodes - 2 - i]);
  }
  inverse_[middle] = 1 / pivot_[middle];
}

double WholeMatrix::solve_row(const Body& body, double* u) {
  const std::size_t nodes = body.mesh.area.size(), middle = nodes / 2, behind = nodes - 1 - middle;
  work_.resize(std::max(work_.size(), nodes));
  double* z = work_.data();
  const double *inverse = inverse_.data(), *link = link_.data();
  for (std::size_t n = 0; n < nodes; ++n)
    z[n] = body.mass[n] * u[n];
  for (std::size_t i = 0; i < behind; ++i) {
    const std::size_t k = nodes - 1 - i;
    z[i + 1] += link[i] * z[i];
    z[k - 1] += link[k] * z[k];
  }
  if (behind < middle)
    z[middle] += link[middle - 1] * z[middle - 1];
  z[middle] *= inverse[middle];
  for (std::size_t i = 1; i <= middle; ++i) {
    const std::size_t n = middle - i, k = middle + i;
    z[n] = z[n] * inverse[n] + link[n] * z[n + 1];
    if (i <= behind)
      z[k] = z[k] * inverse[k] + link[k] * z[k - 1];
  }
  for (std::size_t n = 0; n < nodes; ++n)
    u[n] = body.c[n] * z[n];
  return sum_of_products(nodes, outer_.data(), z);
}

void WholeMatrix::factorise(const Body& body, const Envelope& layers, double g) {
  const std::size_t nodes = body.mesh.area.size();
  if (is_row(body, layers)) {
    factorise_row(body, layers, g);
    return;
  }
  if (!matrix_)
    lay_out(body, layers);
  const auto nx = static_cast<std::size_t>(body.mesh.nx), ny = static_cast<std::size_t>(body.mesh.ny);
  BandMatrix& a = *matrix_;
  a.clear();
  const auto couple = [&](std::size_t p, std::size_t q, double conductance) {
    a.add(p, p, g * conductance);
    a.add(q, q, g * conductance);
    a.add(p, q, -g * conductance);
    a.add(q, p, -g * conductance);
  };
  const auto face = [&](int f) {
    const std::size_t count = layers.sides_[f].length.size(), deep = layers.layers_on(f);
    for (std::size_t n = 0; n < count; ++n) {
      std::size_t row = row_[layers.sides_[f].body(n)];
      for (std::size_t l = 0; l < deep; ++l) {
        const std::size_t at = l * count + n, node = layers.offset_[f] + at, outer = row_[nodes + node];
        a.add(outer, outer, layers.mass_[node] * layers.c_[node]);
        if (n + 1 < count)
          couple(outer, row_[nodes + node + 1], layers.along_[f][at]);
        if (static_cast<int>(l) < layers.depth_[f][n]) {
          couple(row, outer, layers.gap_slope_[f][at]);
          row = outer;
        }
      }
      a.add(row, row, g * layers.outer_used_[f][n]);
    }
  };
  for (std::size_t n = 0; n < nodes; ++n) {
    const std::size_t row = row_[n];
    a.add(row, row, body.heat_capacity[n]);
    if (n % nx + 1 < nx)
      couple(row, row_[n + 1], body.along[n]);
  }
  face(spine);
  face(edge);
  // storage at the flanks: of what is along a row, before what comes from across
  for (std::size_t i = 0; i < nx && ny > 1; ++i) {
    if (!body.mesh.half)
      a.hand_over(row_[nx + i], row_[i], body.flanks.area_first);
    a.hand_over(row_[(ny - 2) * nx + i], row_[(ny - 1) * nx + i], last_share_left(body));
  }
  for (std::size_t n = 0; n + nx < nodes; ++n) {
    const std::size_t row = row_[n], next = row_[n + nx];
    couple(row, next, body.across[n]);
    if (n % nx + 1 < nx && body.mesh.skewed) {
      const double c = body.quarter_diagonal[n] * (body.conductivity[n] + body.conductivity[n + 1] +
                                                   body.conductivity[n + nx] + body.conductivity[n + nx + 1]);
      couple(row, row_[n + nx + 1], -c);
      couple(next, row_[n + 1], c);
    }
  }
  face(flank_a);
  face(flank_b);
  a.factorise();
}

double WholeMatrix::last_share_left(const Body& body) {
  return body.mesh.ny == 3 && !body.mesh.half ? body.flanks.area_last / (1.0 - body.flanks.area_first)
                                              : body.flanks.area_last;
}

double WholeMatrix::solve(const Body& body, const Envelope& layers, double* u) {
  if (is_row(body, layers))
    return solve_row(body, u);
  const std::size_t nodes = body.mesh.area.size();
  const auto nx = static_cast<std::size_t>(body.mesh.nx), ny = static_cast<std::size_t>(body.mesh.ny);
  double* uf = u + nodes;
  double* z = work_.data();
  const auto hand_over = [&](std::size_t from, std::size_t to, double share) {
    for (std::size_t i = 0; i < nx; ++i) {
      const double moved = share * z[row_[from * nx + i]];
      z[row_[from * nx + i]] -= moved;
      z[row_[to * nx + i]] += moved;
    }
  };
  const auto each_layer_node = [&](auto&& work) {
    for (int f = 0; f < faces; ++f) {
      const std::size_t from = layers.offset_[f],
                        to = from + layers.layers_on(f) * layers.sides_[f].length.size();
      for (std::size_t n = from; n < to; ++n)
        work(n, z[row_[nodes + n]]);
    }
  };
  for (std::size_t n = 0; n < nodes; ++n)
    z[row_[n]] = body.mass[n] * u[n];
  each_layer_node([&](std::size_t n, double& at) { at = layers.mass_[n] * uf[n]; });
  if (ny > 1) {
    if (!body.mesh.half)
      hand_over(1, 0, body.flanks.area_first);
    hand_over(ny - 2, ny - 1, last_share_left(body));
  }
  std::fill(work_.begin() + static_cast<std::ptrdiff_t>(matrix_->size()), work_.end(),
            0.0); // after a NaN
  matrix_->solve(z);
  for (std::size_t n = 0; n < nodes; ++n)
    u[n] = body.c[n] * z[row_[n]];
  each_layer_node([&](std::size_t n, double at) { uf[n] = layers.c_[n] * at; });
  double heat = 0;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = layers.sides_[f].length.size();
    for (std::size_t n = 0; n < count; ++n) {
      const auto depth = static_cast<std::size_t>(layers.depth_[f][n]);
      const std::size_t outer =
          depth > 0 ? nodes + layers.offset_[f] + (depth - 1) * count + n : layers.sides_[f].body(n);
      heat += layers.outer_used_[f][n] * z[row_[outer]];
    }
  }
  return heat;
}

} // namespace tq::conduction
