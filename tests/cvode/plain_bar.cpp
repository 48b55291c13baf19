#include "plain_bar.hpp"

#include "conduction/for_every_processor.hpp"

#include <algorithm>

namespace tq::test {

namespace {

struct Coefficients {
  const double *along, *across, *diagonal, *inverse_mass;
};
struct Fluxes {
  double *k, *along, *across, *rising, *falling;
};

/// Everything but the surface. All loops run over all rows, whether column or not: the coefficients of faces
/// that are not there are zero.
TQ_FOR_EVERY_PROCESSOR(void, conduct,
                       (std::size_t n, std::size_t step, const Coefficients& c, const Fluxes& f,
                        const double* __restrict T, double* __restrict rate),
                       (n, step, c, f, T, rate)) {
  double* __restrict k = f.k;
  double* __restrict x = f.along;
  double* __restrict y = f.across;
  double* __restrict up = f.rising;
  double* __restrict down = f.falling;
  const double* __restrict cx = c.along;
  const double* __restrict cy = c.across;
  const double* __restrict cd = c.diagonal;
  const double* __restrict im = c.inverse_mass;
  for (std::size_t r = 0; r < n; ++r)
    k[r] = TaperedBar::k0 + TaperedBar::k1 * T[r];
  for (std::size_t r = 0; r + step < n; ++r)
    x[r] = cx[r] * 0.5 * (k[r] + k[r + step]) * (T[r + step] - T[r]);
  for (std::size_t r = 0; r + 1 < n; ++r)
    y[r] = cy[r] * 0.5 * (k[r] + k[r + 1]) * (T[r + 1] - T[r]);
  for (std::size_t r = 0; r + step + 1 < n; ++r) {
    const double s = cd[r] * 0.25 * ((k[r] + k[r + 1]) + (k[r + step] + k[r + step + 1]));
    up[r] = s * (T[r + step + 1] - T[r]);
    down[r] = s * (T[r + 1] - T[r + step]);
  }
  const double* x_before = x - step;
  const double* y_before = y - 1;
  const double* up_before = up - step - 1;
  const double* down_along = down - step;
  const double* down_across = down - 1;
  for (std::size_t r = 0; r < n; ++r)
    rate[r] = ((x[r] - x_before[r]) + (y[r] - y_before[r]) - (up[r] - up_before[r]) +
               (down_along[r] - down_across[r])) *
              im[r] / (TaperedBar::c0 + TaperedBar::c1 * T[r]);
}

} // namespace

PlainBar::PlainBar(const TaperedBar& bar)
    : along_nodes_(static_cast<std::size_t>(bar.grid.nx)),
      across_nodes_(static_cast<std::size_t>(bar.grid.ny)), htc_(bar.htc) {
  const std::size_t n = bar.nodes(), nx = along_nodes_, ny = across_nodes_;
  for (auto* v : {&along_, &across_, &diagonal_, &inverse_mass_, &k_})
    v->assign(n, 0);
  for (auto* v : {&flux_along_, &flux_across_, &rising_, &falling_})
    v->assign(n + corner_step(), 0);
  from_grid_order(bar.mesh.along, along_.data());
  from_grid_order(bar.mesh.across, across_.data());
  from_grid_order(bar.mesh.diagonal, diagonal_.data());
  from_grid_order(bar.mesh.area, inverse_mass_.data());
  for (double& m : inverse_mass_)
    m = 1 / (TaperedBar::density * m);
  for (std::size_t i = 0; i < nx; ++i)
    for (std::size_t j = 0; j < ny; ++j) {
      double length = 0;
      if (j + 1 == ny)
        length += bar.mesh.top_length[i];
      if (j == 0)
        length += bar.mesh.bottom_length[i]; // zero on the centre plane of a half section
      if (i == 0)
        length += bar.mesh.spine_length[j];
      if (i + 1 == nx)
        length += bar.mesh.edge_length[j];
      if (length > 0)
        surface_.push_back({i * ny + j, length});
    }
  for (std::size_t i = 0; i < nx; ++i) {
    flanks_.push_back({i * ny + ny - 1, i * ny + ny - 2, bar.mesh.top_storage.heat});
    if (!bar.grid.half)
      flanks_.push_back({i * ny, i * ny + 1, bar.mesh.bottom_storage.heat});
  }
}

void PlainBar::to_grid_order(const double* rows, std::vector<double>& nodes) const {
  for (std::size_t i = 0; i < along_nodes_; ++i)
    for (std::size_t j = 0; j < across_nodes_; ++j)
      nodes[j * along_nodes_ + i] = rows[i * across_nodes_ + j];
}

void PlainBar::from_grid_order(const std::vector<double>& nodes, double* rows) const {
  for (std::size_t i = 0; i < along_nodes_; ++i)
    for (std::size_t j = 0; j < across_nodes_; ++j)
      rows[i * across_nodes_ + j] = nodes[j * along_nodes_ + i];
}

void PlainBar::rates(const double* T, double* rate) {
  const std::size_t pad = corner_step();
  conduct(nodes(), across_nodes_, {along_.data(), across_.data(), diagonal_.data(), inverse_mass_.data()},
          {k_.data(), flux_along_.data() + pad, flux_across_.data() + pad, rising_.data() + pad,
           falling_.data() + pad},
          T, rate);
  const double *y = flux_across_.data() + pad, *up = rising_.data() + pad, *down = falling_.data() + pad;
  for (const Flank& f : flanks_) {
    const std::size_t r = f.next;
    const double handed = f.share * ((y[r] - y[r - 1]) - (up[r] - up[r - corner_step()]) +
                                     (down[r - across_nodes_] - down[r - 1]));
    rate[r] += handed * inverse_mass_[r] / capacity(T[r]);
    rate[f.outer] -= handed * inverse_mass_[f.outer] / capacity(T[f.outer]);
  }
  for (const Surface& s : surface_) {
    const double t = T[s.row];
    rate[s.row] -=
        s.length * htc_.value(t) * (t - TaperedBar::bath_degC) * inverse_mass_[s.row] / capacity(t);
  }
}

} // namespace tq::test
