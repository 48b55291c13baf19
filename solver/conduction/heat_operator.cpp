#include "conduction/heat_operator.hpp"

#include "conduction/kernels.hpp"
#include "units/temperature.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

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
  for (auto* v : {&k_, &c_, &error_weight_, &kx_, &ky_, &inv_y_, &mult_y_, &inv_x_, &mult_x_, &mc_, &work_})
    v->assign(body_, 0);
  clock_heat_.assign(clock_count_, 0);
  buffer_.assign(6 * (static_cast<std::size_t>(mesh_.nx) + 8), 0);
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  side_[flank_a] = {(ny - 1) * nx, 1, mesh_.top_length};
  side_[flank_b] = {0, 1, mesh_.half ? std::vector<double>{} : mesh_.bottom_length};
  side_[spine] = {0, nx, mesh_.spine_length};
  side_[edge] = {nx - 1, nx, mesh_.edge_length};
  set_foil({});
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
    const std::size_t count = side_[f].length.size(), layers = static_cast<std::size_t>(cover_.layers);
    foil_offset_[f] = foil_;
    foil_ += count * layers;
    gap_slope_[f].assign(count * layers, 0);
    outer_slope_[f].assign(count, 0);
    outer_used_[f].assign(count, 0);
    foil_add_[f].assign(count, 0);
    foil_inv_[f].assign(count * layers, 0);
    foil_mult_[f].assign(count * layers, 0);
    foil_rhs_[f].assign(count * layers, 0);
    row_inv_[f].assign(count * layers, 0);
    row_mult_[f].assign(count * layers, 0);
    // face lengths are half the distances to the two neighbours
    foil_along_[f].assign(count, 0);
    double distance = 0;
    for (std::size_t n = 0; n + 1 < count; ++n) {
      distance = n == 0 ? 2 * side_[f].length[0] : 2 * side_[f].length[n] - distance;
      foil_along_[f][n] = cover_.along_W_K / distance;
    }
  }
  Tf_.assign(foil_, 20);
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

double HeatOperator::boundary_fluxes(double env, double* d) {
  double out = 0;
  const int layers = cover_.layers;
  double* foil_rate = d + body_;
  std::fill(foil_rate, foil_rate + foil_, 0.0);
  for (int f = 0; f < faces; ++f) {
    const Side& side = side_[f];
    const std::size_t count = side.length.size();
    const FaceExchange& face = surround_.face[f];
    const bool radiates = face.emissivity > 0;
    const double env_fourth = fourth(env);
    for (std::size_t n = 0; n < count; ++n) {
      const std::size_t b = side.body(n);
      double T_inner = T_[b];
      double* inner = &d[b];
      double per_mass = inverse_mass_[b] * side.length[n];
      const double per_foil_mass = layers > 0 ? 1 / cover_.mass_kg_m2 : 0; // lengths cancel
      for (int l = 0; l < layers; ++l) {
        const std::size_t fn = foil_offset_[f] + static_cast<std::size_t>(l) * count + n;
        const double T_outer = Tf_[fn];
        const double g = cover_.gap_conductance[f]->value(0.5 * (T_inner + T_outer));
        const double exchange = l == 0 ? cover_.exchange_steel : cover_.exchange_layers;
        const double q = g * (T_inner - T_outer) +
                         exchange * stefan_boltzmann_W_m2K4 * (fourth(T_inner) - fourth(T_outer));
        *inner -= q * per_mass;
        foil_rate[fn] += q * per_foil_mass;
        inner = &foil_rate[fn];
        per_mass = per_foil_mass;
        T_inner = T_outer;
      }
      const double extra = extra_at(f, n), T_env = env + extra;
      const double h = face.htc ? face.htc->value(T_inner) : face.htc_constant_W_m2K;
      double q = h * (T_inner - T_env);
      if (radiates)
        q += face.emissivity * stefan_boltzmann_W_m2K4 *
             (fourth(T_inner) - (extra == 0 ? env_fourth : fourth(T_env)));
      *inner -= q * per_mass;
      out += q * side.length[n];
    }
  }
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size();
    for (int l = 0; l < layers; ++l) {
      const double* T = Tf_.data() + foil_offset_[f] + static_cast<std::size_t>(l) * count;
      double* rate = foil_rate + foil_offset_[f] + static_cast<std::size_t>(l) * count;
      for (std::size_t n = 0; n + 1 < count; ++n) {
        const double q = foil_along_[f][n] * (T[n + 1] - T[n]) / cover_.mass_kg_m2;
        rate[n] += q / side_[f].length[n];
        rate[n + 1] -= q / side_[f].length[n + 1];
      }
    }
  }
  return out;
}

void HeatOperator::operator()(const State& x, State& dxdt, double t) {
  dxdt.resize(x.size());
  double* d = dxdt.data();
  evaluate_nodes(x, d + clock_offset());
  kernels::conduct(static_cast<std::size_t>(mesh_.nx), static_cast<std::size_t>(mesh_.ny), T_.data(),
                   k_.data(), mesh_.along.data(), mesh_.across.data(),
                   mesh_.skewed ? mesh_.diagonal.data() : nullptr, inverse_mass_.data(), buffer_.data(), d);
  d[heat_out_index()] = boundary_fluxes(environment(t, x), d);
}

void HeatOperator::linearise_boundaries(double env) {
  const int layers = cover_.layers;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size();
    const FaceExchange& face = surround_.face[f];
    for (std::size_t n = 0; n < count; ++n) {
      const double length = side_[f].length[n];
      double T_inner = T_[side_[f].body(n)];
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
  material_.capacity(x.data(), x.data() + clock_offset(), T_.data(), body_, c_.data(), clock_heat_.data());
  for (std::size_t n = 0; n < foil_; ++n)
    cf_[n] = cover_.c0 + cover_.c1 * Tf_[n];
  kernels::face_conductances(static_cast<std::size_t>(mesh_.nx), static_cast<std::size_t>(mesh_.ny),
                             k_.data(), mesh_.along.data(), mesh_.across.data(), kx_.data(), ky_.data());
  kernels::multiply(body_, mass_.data(), c_.data(), mc_.data());
  for (std::size_t n = 0; n < body_; ++n)
    error_weight_[n] = 1.0 / c_[n];
  linearise_boundaries(environment(t, x));
}

void HeatOperator::factorise(double gamma_dt) {
  gamma_dt_ = gamma_dt;
  const double g = gamma_dt;
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  const int layers = cover_.layers;
  // what each face adds to the diagonal of its body node, foil layers eliminated from outside in
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size();
    for (std::size_t n = 0; n < count; ++n) {
      const double length = side_[f].length[n];
      // a falling h(T) makes the slope negative; keep the diagonal positive
      const double capacity =
          layers > 0 ? cover_.mass_kg_m2 * length *
                           cf_[foil_offset_[f] + static_cast<std::size_t>(layers - 1) * count + n]
                     : mc_[side_[f].body(n)];
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
  factorise_foil_rows();
  if (band_) {
    factorise_band();
    return;
  }
  kernels::factorise_across(nx, ny, g, mc_.data(), ky_.data(),
                            mesh_.half ? nullptr : foil_add_[flank_b].data(), foil_add_[flank_a].data(),
                            inv_y_.data(), mult_y_.data());
  kernels::factorise_along(nx, ny, g, mc_.data(), kx_.data(), foil_add_[spine].data(), foil_add_[edge].data(),
                           inv_x_.data(), mult_x_.data());
}

void HeatOperator::solve(State& b) {
  if (band_) {
    solve_band(b);
    return;
  }
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  double* u = b.data();
  double* uf = u + body_;
  double* z = work_.data();
  double heat = 0;
  for (int f : {spine, edge}) // right-hand sides as enthalpy
    fold_foil(f, uf, inverse_mass_.data(), u);
  kernels::solve_along(nx, ny, inv_x_.data(), mult_x_.data(), mass_.data(), mc_.data(), u, z);
  for (int f : {spine, edge})
    heat += unfold_foil(f, uf, mc_.data(), z);
  for (int f : {flank_a, flank_b})
    solve_foil_rows(f, uf);
  for (int f : {flank_a, flank_b}) // right-hand sides times mass
    fold_foil(f, uf, nullptr, z);
  kernels::solve_across(nx, ny, inv_y_.data(), mult_y_.data(), z, c_.data(), u);
  for (int f : {flank_a, flank_b})
    heat += unfold_foil(f, uf, c_.data(), u);
  for (int f : {spine, edge})
    solve_foil_rows(f, uf);
  b[static_cast<Eigen::Index>(heat_out_index())] += gamma_dt_ * heat;
}

void HeatOperator::factorise_foil_rows() {
  // Foil tied closely to thin steel must be damped along the same lines as the steel is, or the product of
  // line operators turns unstable once the foil holds more than about a quarter of the steel's heat.
  const double g = gamma_dt_;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size();
    for (int l = 0; l < cover_.layers; ++l) {
      double before = 0, mult = 0;
      for (std::size_t n = 0; n < count; ++n) {
        const std::size_t at = static_cast<std::size_t>(l) * count + n;
        const double couple = g * foil_along_[f][n];
        const double d =
            cover_.mass_kg_m2 * side_[f].length[n] * cf_[foil_offset_[f] + at] + couple + before * (1 - mult);
        row_inv_[f][at] = 1 / d;
        mult = couple / d;
        row_mult_[f][at] = mult;
        before = couple;
      }
    }
  }
}

void HeatOperator::solve_foil_rows(int f, double* uf) {
  const std::size_t count = side_[f].length.size();
  for (int l = 0; l < cover_.layers; ++l) {
    double* u = uf + foil_offset_[f] + static_cast<std::size_t>(l) * count;
    const double* c = cf_.data() + foil_offset_[f] + static_cast<std::size_t>(l) * count;
    const double* inverse = row_inv_[f].data() + static_cast<std::size_t>(l) * count;
    const double* mult = row_mult_[f].data() + static_cast<std::size_t>(l) * count;
    double carry = 0;
    for (std::size_t n = 0; n < count; ++n) {
      const double w = cover_.mass_kg_m2 * side_[f].length[n] * u[n] + carry;
      u[n] = w * inverse[n];
      carry = mult[n] * w;
    }
    carry = 0;
    for (std::size_t n = count; n-- > 0;) {
      carry = u[n] + mult[n] * carry;
      u[n] = c[n] * carry;
    }
  }
}

void HeatOperator::set_linear_solver(LinearSolver which) {
  band_.reset();
  if (which == LinearSolver::band)
    band_ = std::make_unique<SymmetricBand>(body_, static_cast<std::size_t>(mesh_.ny) + 1);
}

void HeatOperator::factorise_band() {
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  const double g = gamma_dt_;
  SymmetricBand& a = *band_;
  a.clear();
  const auto couple = [&](std::size_t p, std::size_t q, double conductance) { // rows in band order
    a.add(p, p, g * conductance);
    a.add(q, q, g * conductance);
    a.add(p, q, -g * conductance);
  };
  for (std::size_t i = 0; i < nx; ++i)
    for (std::size_t j = 0; j < ny; ++j) {
      const std::size_t n = j * nx + i, row = i * ny + j;
      a.add(row, row, mc_[n]);
      if (i + 1 < nx)
        couple(row, row + ny, kx_[n]);
      if (j + 1 < ny)
        couple(row, row + 1, ky_[n]);
      if (i + 1 < nx && j + 1 < ny && mesh_.skewed) {
        const double c = mesh_.diagonal[n] * 0.25 * (k_[n] + k_[n + 1] + k_[n + nx] + k_[n + nx + 1]);
        couple(row, row + ny + 1, -c);
        couple(row + 1, row + ny, c);
      }
    }
  for (int f = 0; f < faces; ++f)
    for (std::size_t n = 0; n < side_[f].length.size(); ++n) {
      const std::size_t b = side_[f].body(n), row = (b % nx) * ny + b / nx;
      a.add(row, row, g * foil_add_[f][n]);
    }
  a.factorise();
}

void HeatOperator::solve_band(State& b) {
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  double* u = b.data();
  double* uf = u + body_;
  for (int f = 0; f < faces; ++f) {
    solve_foil_rows(f, uf);
    fold_foil(f, uf, inverse_mass_.data(), u);
  }
  for (std::size_t j = 0; j < ny; ++j)
    for (std::size_t i = 0; i < nx; ++i)
      work_[i * ny + j] = mass_[j * nx + i] * u[j * nx + i];
  band_->solve(work_.data());
  for (std::size_t j = 0; j < ny; ++j)
    for (std::size_t i = 0; i < nx; ++i)
      u[j * nx + i] = c_[j * nx + i] * work_[i * ny + j];
  double heat = 0;
  for (int f = 0; f < faces; ++f)
    heat += unfold_foil(f, uf, c_.data(), u);
  b[static_cast<Eigen::Index>(heat_out_index())] += gamma_dt_ * heat;
}

void HeatOperator::fold_foil(int f, const double* uf, const double* scale, double* rhs_of_body) {
  const Side& side = side_[f];
  const std::size_t count = side.length.size();
  for (int l = cover_.layers - 1; l >= 0; --l)
    for (std::size_t n = 0; n < count; ++n) {
      const std::size_t at = static_cast<std::size_t>(l) * count + n;
      double rhs = cover_.mass_kg_m2 * side.length[n] * uf[foil_offset_[f] + at];
      if (l + 1 < cover_.layers)
        rhs += foil_mult_[f][at + count] * foil_rhs_[f][at + count];
      foil_rhs_[f][at] = rhs;
      if (l == 0) {
        const std::size_t b = side.body(n);
        rhs_of_body[b] += foil_mult_[f][at] * rhs * (scale ? scale[b] : 1.0);
      }
    }
}

double HeatOperator::unfold_foil(int f, double* uf, const double* scale, const double* scaled_z) {
  const Side& side = side_[f];
  const std::size_t count = side.length.size();
  double heat = 0;
  for (std::size_t n = 0; n < count; ++n) {
    const std::size_t b = side.body(n);
    double z = scaled_z[b] / scale[b];
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
  const double* e = error.data();
  double worst = kernels::largest_weighted(body_, e, error_weight_.data());
  if (clock_count_ > 0)
    worst = std::max(worst, kernels::largest_weighted(clock_count_, e + clock_offset(), clock_heat_.data()));
  // the foil only matters through what it passes on
  constexpr double foil_weight = 0.3;
  for (std::size_t n = 0; n < foil_; ++n) {
    const double v = foil_weight * std::abs(e[body_ + n]) / cf_[n];
    worst = std::isfinite(v) ? std::max(worst, v) : std::numeric_limits<double>::infinity();
  }
  return std::isfinite(e[heat_out_index()]) ? worst / tolerance_K_ : std::numeric_limits<double>::infinity();
}

double HeatOperator::outer_surface_max() const {
  double most = -1e300;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size();
    for (std::size_t n = 0; n < count; ++n)
      most =
          std::max(most, cover_.layers > 0
                             ? Tf_[foil_offset_[f] + static_cast<std::size_t>(cover_.layers - 1) * count + n]
                             : T_[side_[f].body(n)]);
  }
  return most;
}

double HeatOperator::energy(const State& x) const {
  double sum = x[static_cast<Eigen::Index>(heat_out_index())];
  for (std::size_t n = 0; n < body_; ++n)
    sum += mass_[n] * x[static_cast<Eigen::Index>(n)];
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size();
    for (int l = 0; l < cover_.layers; ++l)
      for (std::size_t n = 0; n < count; ++n)
        sum +=
            cover_.mass_kg_m2 * side_[f].length[n] *
            x[static_cast<Eigen::Index>(body_ + foil_offset_[f] + static_cast<std::size_t>(l) * count + n)];
  }
  return sum;
}

} // namespace tq::conduction
