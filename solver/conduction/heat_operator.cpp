#include "conduction/heat_operator.hpp"

#include "units/temperature.hpp"

#include <algorithm>
#include <cmath>

namespace tq::conduction {

namespace {
constexpr int flank_a = 0, flank_b = 1, spine = 2, edge = 3;

double fourth(double T_degC) {
  const double K = kelvin(T_degC);
  return (K * K) * (K * K);
}
} // namespace

HeatOperator::HeatOperator(const Mesh& mesh, double density_kg_m3, Material& material)
    : mesh_(mesh), material_(material), body_(mesh.area.size()) {
  mass_.resize(body_);
  inverse_mass_.resize(body_);
  for (std::size_t n = 0; n < body_; ++n) {
    mass_[n] = density_kg_m3 * mesh_.area[n];
    inverse_mass_[n] = 1.0 / mass_[n];
  }
  clock_count_ = static_cast<std::size_t>(material_.clocks()) * body_;
  T_.assign(body_, 20);
  for (auto* v : {&k_, &r_, &c_, &kx_, &ky_, &inv_y_, &mult_y_, &inv_x_, &mult_x_, &mc_, &mc_t_, &mass_t_,
                  &kx_t_, &work_t_, &work_})
    v->assign(body_, 0);
  clock_heat_.assign(clock_count_, 0);
  const auto row = static_cast<std::size_t>(std::max(mesh_.nx, mesh_.ny)) + 2;
  for (auto* v : {&row_a_, &row_b_})
    v->assign(row, 0);
  for (int j = 0; j < mesh_.ny; ++j)
    for (int i = 0; i < mesh_.nx; ++i)
      mass_t_[static_cast<std::size_t>(i * mesh_.ny + j)] = mass_[static_cast<std::size_t>(j * mesh_.nx + i)];
  set_foil({});
}

std::size_t HeatOperator::face_count(int f) const {
  if (f == flank_b && mesh_.half)
    return 0;
  return static_cast<std::size_t>(f == flank_a || f == flank_b ? mesh_.nx : mesh_.ny);
}

std::size_t HeatOperator::body_of_face(int f, std::size_t n) const {
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  switch (f) {
  case flank_a:
    return (ny - 1) * nx + n;
  case flank_b:
    return n;
  case spine:
    return n * nx;
  default:
    return n * nx + nx - 1;
  }
}

double HeatOperator::face_length(int f, std::size_t n) const {
  switch (f) {
  case flank_a:
    return mesh_.top_length[n];
  case flank_b:
    return mesh_.bottom_length[n];
  case spine:
    return mesh_.spine_length[n];
  default:
    return mesh_.edge_length[n];
  }
}

double HeatOperator::extra_at(int f, std::size_t n) const {
  if (surround_.extra_K.empty())
    return 0;
  if (f == spine)
    return surround_.extra_K.front();
  if (f == edge)
    return surround_.extra_K.back();
  return surround_.extra_K[n];
}

Eigen::Index HeatOperator::state_size() const {
  return static_cast<Eigen::Index>(body_ + foil_ + clock_count_ + 1);
}

void HeatOperator::set_foil(const FoilCover& cover) {
  cover_ = cover;
  foil_ = 0;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = face_count(f), layers = static_cast<std::size_t>(cover_.layers);
    foil_offset_[f] = foil_;
    foil_ += count * layers;
    gap_slope_[f].assign(count * layers, 0);
    outer_slope_[f].assign(count, 0);
    outer_used_[f].assign(count, 0);
    foil_add_[f].assign(count, 0);
    foil_inv_[f].assign(count * layers, 0);
    foil_mult_[f].assign(count * layers, 0);
    foil_rhs_[f].assign(count * layers, 0);
  }
  Tf_.assign(foil_, 20);
  rf_.assign(foil_, 0);
  cf_.assign(foil_, cover_.c0);
}

void HeatOperator::set_surround(const Surround& surround) { surround_ = surround; }

State HeatOperator::make_state(const double* body_enthalpy, const double* clocks, double foil_degC,
                               double heat_out) const {
  State x(state_size());
  std::copy(body_enthalpy, body_enthalpy + body_, x.data());
  std::fill(x.data() + body_, x.data() + body_ + foil_, foil_enthalpy(foil_degC));
  if (clock_count_ > 0)
    std::copy(clocks, clocks + clock_count_, x.data() + clock_offset());
  x[static_cast<Eigen::Index>(heat_out_index())] = heat_out;
  return x;
}

double HeatOperator::environment(double t, const State& x) const {
  double env = surround_.temperature(t);
  if (surround_.bath_capacity_J_mK > 0) {
    const double given = x[static_cast<Eigen::Index>(heat_out_index())] - heat_out_at_start_;
    env += (mesh_.half ? 2.0 : 1.0) * given / surround_.bath_capacity_J_mK;
  }
  return env;
}

void HeatOperator::evaluate_nodes(const State& x, double* clock_rates) {
  material_.evaluate(x.data(), x.data() + clock_offset(), body_, T_.data(), k_.data(), clock_rates);
  const double c0 = cover_.c0, c1 = cover_.c1;
  const double* uf = x.data() + body_;
  for (std::size_t n = 0; n < foil_; ++n)
    Tf_[n] = 2 * uf[n] / (c0 + std::sqrt(std::max(c0 * c0 + 2 * c1 * uf[n], 1.0)));
}

void HeatOperator::refresh(const State& x) {
  scratch_rates_.resize(clock_count_);
  evaluate_nodes(x, scratch_rates_.data());
}

double HeatOperator::boundary_fluxes(double env) {
  double out = 0;
  const int layers = cover_.layers;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = face_count(f);
    if (count == 0)
      continue;
    const FaceExchange& face = surround_.face[f];
    const bool radiates = face.emissivity > 0;
    for (std::size_t n = 0; n < count; ++n) {
      const std::size_t b = body_of_face(f, n);
      const double length = face_length(f, n);
      double T_inner = T_[b];
      double* inner = &r_[b];
      for (int l = 0; l < layers; ++l) {
        const std::size_t fn = foil_offset_[f] + static_cast<std::size_t>(l) * count + n;
        const double T_outer = Tf_[fn];
        const double g = cover_.gap_conductance[f]->value(0.5 * (T_inner + T_outer));
        const double exchange = l == 0 ? cover_.exchange_steel : cover_.exchange_layers;
        const double q = length * (g * (T_inner - T_outer) +
                                   exchange * stefan_boltzmann_W_m2K4 * (fourth(T_inner) - fourth(T_outer)));
        *inner -= q;
        rf_[fn] += q;
        inner = &rf_[fn];
        T_inner = T_outer;
      }
      const double T_env = env + extra_at(f, n);
      const double h = face.htc ? face.htc->value(T_inner) : face.htc_constant_W_m2K;
      double q = h * (T_inner - T_env);
      if (radiates)
        q += face.emissivity * stefan_boltzmann_W_m2K4 * (fourth(T_inner) - fourth(T_env));
      q *= length;
      *inner -= q;
      out += q;
    }
  }
  return out;
}

void HeatOperator::operator()(const State& x, State& dxdt, double t) {
  dxdt.resize(x.size());
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  evaluate_nodes(x, dxdt.data() + clock_offset());
  const double* __restrict T = T_.data();
  const double* __restrict k = k_.data();
  double* __restrict r = r_.data();
  double* __restrict a = row_a_.data() + 1;
  double* __restrict b = row_b_.data() + 1;
  a[-1] = b[-1] = 0;
  // along the width
  for (std::size_t j = 0; j < ny; ++j) {
    const std::size_t o = j * nx;
    const double* __restrict g = mesh_.along.data() + o;
    for (std::size_t i = 0; i + 1 < nx; ++i)
      a[i] = g[i] * 0.5 * (k[o + i] + k[o + i + 1]) * (T[o + i + 1] - T[o + i]);
    a[nx - 1] = 0;
    for (std::size_t i = 0; i < nx; ++i)
      r[o + i] = a[i] - a[i - 1];
  }
  // across the thickness
  for (std::size_t j = 0; j + 1 < ny; ++j) {
    const std::size_t o = j * nx, p = o + nx;
    const double* __restrict g = mesh_.across.data() + o;
    for (std::size_t i = 0; i < nx; ++i) {
      const double q = g[i] * 0.5 * (k[o + i] + k[p + i]) * (T[p + i] - T[o + i]);
      r[o + i] += q;
      r[p + i] -= q;
    }
  }
  // the two diagonals of each skewed cell
  if (mesh_.skewed) {
    for (std::size_t j = 0; j + 1 < ny; ++j) {
      const std::size_t o = j * nx, p = o + nx;
      const double* __restrict s = mesh_.diagonal.data() + o;
      for (std::size_t i = 0; i + 1 < nx; ++i) {
        const double c = s[i] * 0.25 * (k[o + i] + k[o + i + 1] + k[p + i] + k[p + i + 1]);
        a[i] = c * (T[p + i + 1] - T[o + i]);
        b[i] = c * (T[p + i] - T[o + i + 1]);
      }
      a[nx - 1] = b[nx - 1] = 0;
      for (std::size_t i = 0; i < nx; ++i) {
        r[o + i] -= a[i] - b[i - 1];
        r[p + i] -= b[i] - a[i - 1];
      }
    }
  }
  std::fill(rf_.begin(), rf_.end(), 0.0);
  const double out = boundary_fluxes(environment(t, x));
  double* __restrict d = dxdt.data();
  const double* __restrict im = inverse_mass_.data();
  for (std::size_t n = 0; n < body_; ++n)
    d[n] = r[n] * im[n];
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = face_count(f);
    for (int l = 0; l < cover_.layers; ++l)
      for (std::size_t n = 0; n < count; ++n) {
        const std::size_t fn = foil_offset_[f] + static_cast<std::size_t>(l) * count + n;
        d[body_ + fn] = rf_[fn] / (cover_.mass_kg_m2 * face_length(f, n));
      }
  }
  d[heat_out_index()] = out;
}

void HeatOperator::linearise_boundaries(double env) {
  const int layers = cover_.layers;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = face_count(f);
    const FaceExchange& face = surround_.face[f];
    for (std::size_t n = 0; n < count; ++n) {
      const double length = face_length(f, n);
      double T_inner = T_[body_of_face(f, n)];
      for (int l = 0; l < layers; ++l) {
        const std::size_t at = static_cast<std::size_t>(l) * count + n;
        const double T_outer = Tf_[foil_offset_[f] + at];
        const double mean = 0.5 * (T_inner + T_outer), K = kelvin(mean);
        const double exchange = l == 0 ? cover_.exchange_steel : cover_.exchange_layers;
        gap_slope_[f][at] = length * (cover_.gap_conductance[f]->value(mean) +
                                      4 * exchange * stefan_boltzmann_W_m2K4 * K * K * K);
        T_inner = T_outer;
      }
      const double T_env = env + extra_at(f, n), K = kelvin(T_inner);
      double slope = face.htc ? face.htc->value(T_inner) + face.htc->slope(T_inner) * (T_inner - T_env)
                              : face.htc_constant_W_m2K;
      slope += 4 * face.emissivity * stefan_boltzmann_W_m2K4 * K * K * K;
      outer_slope_[f][n] = length * slope;
    }
  }
}

void HeatOperator::linearise(const State& x, double t) {
  // the temperatures in T_ and Tf_ are those of the right-hand side at (x, t)
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  material_.capacity(x.data(), x.data() + clock_offset(), T_.data(), body_, c_.data(), clock_heat_.data());
  for (std::size_t n = 0; n < foil_; ++n)
    cf_[n] = cover_.c0 + cover_.c1 * Tf_[n];
  for (std::size_t j = 0; j < ny; ++j)
    for (std::size_t i = 0; i < nx; ++i) {
      const std::size_t n = j * nx + i;
      kx_[n] = i + 1 < nx ? mesh_.along[n] * 0.5 * (k_[n] + k_[n + 1]) : 0;
      ky_[n] = j + 1 < ny ? mesh_.across[n] * 0.5 * (k_[n] + k_[n + nx]) : 0;
      mc_[n] = mass_[n] * c_[n];
    }
  for (std::size_t j = 0; j < ny; ++j)
    for (std::size_t i = 0; i < nx; ++i) {
      mc_t_[i * ny + j] = mc_[j * nx + i];
      kx_t_[i * ny + j] = kx_[j * nx + i];
    }
  linearise_boundaries(environment(t, x));
}

void HeatOperator::factorise(double gamma_dt) {
  gamma_dt_ = gamma_dt;
  const double g = gamma_dt;
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  const int layers = cover_.layers;
  // what each face adds to the diagonal of its body node, foil layers eliminated from outside in
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = face_count(f);
    for (std::size_t n = 0; n < count; ++n) {
      const double length = face_length(f, n);
      // a falling h(T) makes the slope negative; keep the diagonal positive
      const double capacity =
          layers > 0 ? cover_.mass_kg_m2 * length *
                           cf_[foil_offset_[f] + static_cast<std::size_t>(layers - 1) * count + n]
                     : mc_[body_of_face(f, n)];
      const double outer = std::max(outer_slope_[f][n], -0.5 * capacity / g);
      outer_used_[f][n] = outer;
      double add = outer;
      for (int l = layers - 1; l >= 0; --l) {
        const std::size_t at = static_cast<std::size_t>(l) * count + n;
        const double couple = gap_slope_[f][at];
        const double diag = cover_.mass_kg_m2 * length * cf_[foil_offset_[f] + at] + g * (couple + add);
        foil_inv_[f][at] = 1.0 / diag;
        foil_mult_[f][at] = g * couple / diag;
        add = couple * (1.0 - foil_mult_[f][at]);
      }
      foil_add_[f][n] = add;
    }
  }
  // y lines
  for (std::size_t j = 0; j < ny; ++j) {
    const std::size_t o = j * nx;
    for (std::size_t i = 0; i < nx; ++i) {
      double d = mc_[o + i] + g * ky_[o + i];
      if (j > 0)
        d += g * ky_[o - nx + i] * (1.0 - mult_y_[o - nx + i]);
      inv_y_[o + i] = d; // boundary terms follow, then inverted
    }
    if (j == 0 && !mesh_.half)
      for (std::size_t i = 0; i < nx; ++i)
        inv_y_[o + i] += g * foil_add_[flank_b][i];
    if (j + 1 == ny)
      for (std::size_t i = 0; i < nx; ++i)
        inv_y_[o + i] += g * foil_add_[flank_a][i];
    for (std::size_t i = 0; i < nx; ++i) {
      inv_y_[o + i] = 1.0 / inv_y_[o + i];
      mult_y_[o + i] = g * ky_[o + i] * inv_y_[o + i];
    }
  }
  // x lines, transposed
  for (std::size_t i = 0; i < nx; ++i) {
    const std::size_t o = i * ny;
    for (std::size_t j = 0; j < ny; ++j) {
      double d = mc_t_[o + j] + g * kx_t_[o + j];
      if (i > 0)
        d += g * kx_t_[o - ny + j] * (1.0 - mult_x_[o - ny + j]);
      inv_x_[o + j] = d;
    }
    if (i == 0)
      for (std::size_t j = 0; j < ny; ++j)
        inv_x_[o + j] += g * foil_add_[spine][j];
    if (i + 1 == nx)
      for (std::size_t j = 0; j < ny; ++j)
        inv_x_[o + j] += g * foil_add_[edge][j];
    for (std::size_t j = 0; j < ny; ++j) {
      inv_x_[o + j] = 1.0 / inv_x_[o + j];
      mult_x_[o + j] = g * kx_t_[o + j] * inv_x_[o + j];
    }
  }
}

void HeatOperator::solve(State& b) {
  const double g = gamma_dt_;
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  double* __restrict u = b.data();
  double* uf = b.data() + body_;
  double heat = 0;
  // x lines
  double* __restrict w = work_t_.data();
  for (std::size_t j = 0; j < ny; ++j)
    for (std::size_t i = 0; i < nx; ++i)
      w[i * ny + j] = mass_t_[i * ny + j] * u[j * nx + i];
  fold_foil(spine, uf, w);
  fold_foil(edge, uf, w + (nx - 1) * ny);
  for (std::size_t i = 1; i < nx; ++i) {
    const std::size_t o = i * ny, p = o - ny;
    for (std::size_t j = 0; j < ny; ++j)
      w[o + j] += mult_x_[p + j] * w[p + j];
  }
  for (std::size_t j = 0; j < ny; ++j)
    w[(nx - 1) * ny + j] *= inv_x_[(nx - 1) * ny + j];
  for (std::size_t i = nx - 1; i-- > 0;) {
    const std::size_t o = i * ny, p = o + ny;
    for (std::size_t j = 0; j < ny; ++j)
      w[o + j] = inv_x_[o + j] * w[o + j] + mult_x_[o + j] * w[p + j];
  }
  heat += unfold_foil(spine, uf, w);
  heat += unfold_foil(edge, uf, w + (nx - 1) * ny);
  // y lines
  double* __restrict z = work_.data();
  for (std::size_t j = 0; j < ny; ++j)
    for (std::size_t i = 0; i < nx; ++i)
      z[j * nx + i] = mc_[j * nx + i] * w[i * ny + j];
  fold_foil(flank_a, uf, z + (ny - 1) * nx);
  fold_foil(flank_b, uf, z);
  for (std::size_t j = 1; j < ny; ++j) {
    const std::size_t o = j * nx, p = o - nx;
    for (std::size_t i = 0; i < nx; ++i)
      z[o + i] += mult_y_[p + i] * z[p + i];
  }
  for (std::size_t i = 0; i < nx; ++i)
    z[(ny - 1) * nx + i] *= inv_y_[(ny - 1) * nx + i];
  for (std::size_t j = ny - 1; j-- > 0;) {
    const std::size_t o = j * nx, p = o + nx;
    for (std::size_t i = 0; i < nx; ++i)
      z[o + i] = inv_y_[o + i] * z[o + i] + mult_y_[o + i] * z[p + i];
  }
  heat += unfold_foil(flank_a, uf, z + (ny - 1) * nx);
  heat += unfold_foil(flank_b, uf, z);
  for (std::size_t n = 0; n < body_; ++n)
    u[n] = c_[n] * z[n];
  b[static_cast<Eigen::Index>(heat_out_index())] += g * heat;
}

void HeatOperator::fold_foil(int f, const double* uf, double* body_rhs) {
  const std::size_t count = face_count(f);
  for (int l = cover_.layers - 1; l >= 0; --l)
    for (std::size_t n = 0; n < count; ++n) {
      const std::size_t at = static_cast<std::size_t>(l) * count + n;
      double rhs = cover_.mass_kg_m2 * face_length(f, n) * uf[foil_offset_[f] + at];
      if (l + 1 < cover_.layers)
        rhs += foil_mult_[f][at + count] * foil_rhs_[f][at + count];
      foil_rhs_[f][at] = rhs;
      if (l == 0)
        body_rhs[n] += foil_mult_[f][at] * rhs;
    }
}

double HeatOperator::unfold_foil(int f, double* uf, const double* body_z) {
  const std::size_t count = face_count(f);
  double heat = 0;
  for (std::size_t n = 0; n < count; ++n) {
    double z = body_z[n];
    for (int l = 0; l < cover_.layers; ++l) {
      const std::size_t at = static_cast<std::size_t>(l) * count + n;
      z = foil_inv_[f][at] * foil_rhs_[f][at] + foil_mult_[f][at] * z;
      uf[foil_offset_[f] + at] = cf_[foil_offset_[f] + at] * z;
    }
    heat += outer_used_[f][n] * z;
  }
  return heat;
}

double HeatOperator::error_norm(const State& error, const State&) const {
  double worst = 0;
  const double* e = error.data();
  for (std::size_t n = 0; n < body_; ++n)
    worst = std::max(worst, std::abs(e[n]) / c_[n]);
  for (std::size_t n = 0; n < clock_count_; ++n)
    worst = std::max(worst, std::abs(e[clock_offset() + n]) * clock_heat_[n]);
  // the foil only matters through what it passes on
  constexpr double foil_weight = 0.3;
  for (std::size_t n = 0; n < foil_; ++n)
    worst = std::max(worst, foil_weight * std::abs(e[body_ + n]) / cf_[n]);
  if (!std::isfinite(e[heat_out_index()]))
    return e[heat_out_index()];
  double sum = 0; // NaN is lost in max
  for (std::size_t n = 0; n < body_ + foil_ + clock_count_; ++n)
    sum += e[n];
  return std::isfinite(sum) ? worst / tolerance_K_ : sum;
}

double HeatOperator::outer_surface_max() const {
  double most = -1e300;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = face_count(f);
    for (std::size_t n = 0; n < count; ++n)
      most =
          std::max(most, cover_.layers > 0
                             ? Tf_[foil_offset_[f] + static_cast<std::size_t>(cover_.layers - 1) * count + n]
                             : T_[body_of_face(f, n)]);
  }
  return most;
}

double HeatOperator::energy(const State& x) const {
  double sum = x[static_cast<Eigen::Index>(heat_out_index())];
  for (std::size_t n = 0; n < body_; ++n)
    sum += mass_[n] * x[static_cast<Eigen::Index>(n)];
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = face_count(f);
    for (int l = 0; l < cover_.layers; ++l)
      for (std::size_t n = 0; n < count; ++n)
        sum +=
            cover_.mass_kg_m2 * face_length(f, n) *
            x[static_cast<Eigen::Index>(body_ + foil_offset_[f] + static_cast<std::size_t>(l) * count + n)];
  }
  return sum;
}

} // namespace tq::conduction
