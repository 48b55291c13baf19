#include "conduction/heat_operator.hpp"

#include "conduction/kernels.hpp"
#include "units/temperature.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace tq::conduction {

namespace {
constexpr int flank_a = 0, flank_b = 1, spine = 2, edge = 3;
constexpr double pi = 3.14159265358979323846;
/// A step is long with gamma dt above so many times (thickness / pi)^2 / diffusivity. The whole matrix is the
/// surer way and cheap while few nodes lie across; with many and no cover it waits until lines need it: one
/// of 10 000 random cases let its foil swing at 8, none its bare steel.
constexpr double long_step_few = 1, long_step_many = 8;
constexpr int few_across = 15; ///< nodes of a whole section, so that half of one goes the same way

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
  const auto scaled = [this](const std::vector<double>& of, double factor) {
    std::vector<double> v(body_);
    kernels::combine(body_, of.data(), factor, {}, {}, 0, v.data());
    return v;
  };
  half_along_ = scaled(mesh_.along, 0.5);
  half_across_ = scaled(mesh_.across, 0.5);
  quarter_diagonal_ = scaled(mesh_.diagonal, 0.25);
  clock_count_ = static_cast<std::size_t>(material_.clocks()) * body_;
  T_.assign(body_, 20);
  for (auto* v : {&k_, &c_, &error_weight_, &kx_, &ky_, &inv_y_, &mult_y_, &mc_, &work_})
    v->assign(body_, 0);
  clock_heat_.assign(clock_count_, 0);
  buffer_.assign(3 * static_cast<std::size_t>(mesh_.nx), 0);
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  face_work_.assign(std::max(nx, ny), 0);
  side_[flank_a] = {(ny - 1) * nx, 1, mesh_.top_length, mesh_.top_spacing};
  side_[flank_b] = {0, 1, mesh_.half ? std::vector<double>{} : mesh_.bottom_length, mesh_.bottom_spacing};
  side_[spine] = {0, nx, mesh_.spine_length, mesh_.spine_spacing};
  side_[edge] = {nx - 1, nx, mesh_.edge_length, mesh_.edge_spacing};
  for (auto* v : {&inv_x_, &mult_x_})
    v->assign(kernels::along_size(nx, ny), 0);
  along_work_.assign(8 * nx, 0);
  from_first_.assign(nx, 0);
  into_last_.assign(nx, 0);
  for (std::size_t i = 0; i < nx; ++i) {
    double area = 0, resistance = 0;
    for (std::size_t j = 0; j < ny; ++j)
      area += mesh_.area[j * nx + i];
    for (std::size_t j = 0; j + 1 < ny; ++j)
      resistance += 1 / mesh_.across[j * nx + i];
    const double squared = (mesh_.half ? 4 : 1) * area * resistance / (pi * pi);
    if (squared > thickest_m2_) {
      thickest_m2_ = squared;
      thickest_ = (mesh_.half ? 0 : ny / 2) * nx + i;
    }
  }
  flanks_ = {mesh_.bottom_storage.area, mesh_.top_storage.area, from_first_.data(), into_last_.data()};
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

Cover cover_of(const FoilCover& foil) {
  Cover cover(static_cast<std::size_t>(foil.layers));
  for (std::size_t l = 0; l < cover.size(); ++l) {
    CoverLayer& layer = cover[l];
    layer.mass_kg_m2 = foil.mass_kg_m2;
    layer.c0 = foil.c0;
    layer.c1 = foil.c1;
    layer.along_W_K = foil.along_W_K;
    layer.exchange = l == 0 ? foil.exchange_steel : foil.exchange_layers;
    layer.conductance = foil.gap_conductance;
  }
  return cover;
}

void HeatOperator::set_cover(const Cover& cover) {
  cover_ = cover;
  const std::size_t layers = cover.size();
  foil_ = 0;
  for (int f = 0; f < faces; ++f) {
    foil_offset_[f] = foil_;
    foil_ += side_[f].length.size() * layers;
  }
  for (auto* v : {&foil_mass_, &foil_inverse_areal_, &foil_c0_, &foil_c1_})
    v->assign(foil_, 1);
  for (int f = 0; f < faces; ++f) {
    const std::vector<double>& length = side_[f].length;
    const std::size_t count = length.size();
    for (auto* v : {&gap_slope_[f], &foil_inv_[f], &foil_mult_[f], &foil_rhs_[f], &row_inv_[f], &row_mult_[f],
                    &foil_along_[f], &gap_factor_[f]})
      v->assign(count * layers, 0);
    for (auto* v : {&outer_slope_[f], &outer_used_[f], &foil_add_[f]})
      v->assign(count, 0);
    depth_[f].assign(count, 0);
    for (std::size_t l = 0; l < layers; ++l) {
      const CoverLayer& layer = cover[l];
      const std::vector<double>&thickness = layer.thickness[f], &factor = layer.factor[f];
      for (const auto* list : {&thickness, &factor})
        if (!list->empty() && list->size() != count)
          throw std::invalid_argument("a cover needs one value per node of the face");
      const auto thick = [&](std::size_t n) { return thickness.empty() ? 1.0 : thickness[n]; };
      for (std::size_t n = 0; n < count; ++n) {
        const std::size_t at = l * count + n, node = foil_offset_[f] + at;
        const bool here = depth_[f][n] == static_cast<int>(l) && thick(n) > 0 && layer.conductance[f];
        if (here)
          ++depth_[f][n];
        const double areal = here ? layer.mass_kg_m2 * thick(n) : 1.0; // a missing node only needs some mass
        foil_mass_[node] = areal * length[n];
        foil_inverse_areal_[node] = 1 / areal;
        foil_c0_[node] = layer.c0;
        foil_c1_[node] = layer.c1;
        gap_factor_[f][at] = factor.empty() ? 1.0 : factor[n];
      }
      for (std::size_t n = 0; n + 1 < count; ++n) {
        const bool both = depth_[f][n] > static_cast<int>(l) && depth_[f][n + 1] > static_cast<int>(l);
        foil_along_[f][l * count + n] =
            both ? layer.along_W_K * 0.5 * (thick(n) + thick(n + 1)) / side_[f].spacing[n] : 0.0;
      }
    }
  }
  Tf_.assign(foil_, 20);
  cf_ = foil_c0_;
  band_.reset();
}

void HeatOperator::set_surround(const Surround& surround) { surround_ = surround; }

State HeatOperator::make_state(const double* body_enthalpy, const double* clocks, double foil_degC,
                               double heat_out) const {
  State x(state_size());
  std::copy(body_enthalpy, body_enthalpy + body_, x.data());
  for (std::size_t l = 0; l < cover_.size(); ++l) {
    const CoverLayer& layer = cover_[l];
    const double T = std::isnan(layer.start_degC) ? foil_degC : layer.start_degC;
    for (int f = 0; f < faces; ++f) {
      const std::size_t count = side_[f].length.size();
      std::fill_n(x.data() + body_ + foil_offset_[f] + l * count, count, T * (layer.c0 + 0.5 * layer.c1 * T));
    }
  }
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
  const double* uf = x.data() + body_;
  for (std::size_t n = 0; n < foil_; ++n) {
    const double c0 = foil_c0_[n], c1 = foil_c1_[n];
    Tf_[n] = 2 * uf[n] / (c0 + std::sqrt(std::max(c0 * c0 + 2 * c1 * uf[n], 1.0)));
  }
}

void HeatOperator::refresh(const State& x) {
  scratch_rates_.resize(clock_count_);
  evaluate_nodes(x, scratch_rates_.data());
}

double HeatOperator::second_share(int f, std::size_t n, double t) const {
  const SecondExchange& second = surround_.second;
  double share = second.share[f].empty() ? 0.0 : second.share[f][n];
  if (!second.until_s[f].empty()) {
    const double past = t - second.until_s[f][n];
    const double covered = past <= 0 ? 1.0 : past < second.fade_s ? 1.0 - past / second.fade_s : 0.0;
    share = std::max(share, covered);
  }
  return share;
}

namespace {
double flux(const FaceExchange& face, double emissivity, double T, double T_env, double env_fourth) {
  const double h = face.htc ? face.htc->value(T) : face.htc_constant_W_m2K;
  double q = h * (T - T_env);
  if (emissivity > 0)
    q += emissivity * stefan_boltzmann_W_m2K4 * (fourth(T) - env_fourth);
  return q;
}
double flux_slope(const FaceExchange& face, double emissivity, double T, double T_env) {
  const double K = kelvin(T);
  return (face.htc ? face.htc->value(T) + face.htc->slope(T) * (T - T_env) : face.htc_constant_W_m2K) +
         4 * emissivity * stefan_boltzmann_W_m2K4 * K * K * K;
}
} // namespace

double HeatOperator::boundary_fluxes(double t, double env, double* d) {
  double out = 0;
  double* foil_rate = d + body_;
  std::fill(foil_rate, foil_rate + foil_, 0.0);
  const double env_fourth = fourth(env);
  const double env_second = surround_.second.temperature ? surround_.second.temperature(t) : env;
  const double second_fourth = fourth(env_second);
  for (int f = 0; f < faces; ++f) {
    const Side& side = side_[f];
    const std::size_t count = side.length.size();
    const FaceExchange &face = surround_.face[f], &second = surround_.second.face[f];
    const auto& factor = surround_.emissivity_factor[f];
    const double emissivity = face.emissivity * (factor ? factor(t) : 1.0);
    const bool two = has_second(f);
    if (only_convects(f, emissivity)) {
      out +=
          kernels::convect({count, side.stride}, *face.htc, env, T_.data() + side.first, side.length.data(),
                           inverse_mass_.data() + side.first, face_work_.data(), d + side.first);
      continue;
    }
    for (std::size_t n = 0; n < count; ++n) {
      const std::size_t b = side.body(n);
      double T_inner = T_[b];
      double* inner = &d[b];
      double per_mass = inverse_mass_[b] * side.length[n];
      const auto depth = static_cast<std::size_t>(depth_[f][n]);
      for (std::size_t l = 0; l < depth; ++l) {
        const std::size_t at = l * count + n, fn = foil_offset_[f] + at;
        const double T_outer = Tf_[fn];
        const double g = gap_factor_[f][at] * cover_[l].conductance[f]->value(0.5 * (T_inner + T_outer));
        const double q = g * (T_inner - T_outer) +
                         cover_[l].exchange * stefan_boltzmann_W_m2K4 * (fourth(T_inner) - fourth(T_outer));
        *inner -= q * per_mass;
        per_mass = foil_inverse_areal_[fn]; // lengths cancel
        foil_rate[fn] += q * per_mass;
        inner = &foil_rate[fn];
        T_inner = T_outer;
      }
      const double extra = extra_at(f, n), T_env = env + extra;
      double q = flux(face, emissivity, T_inner, T_env, extra == 0 ? env_fourth : fourth(T_env));
      if (two) {
        const double share = second_share(f, n, t);
        if (share > 0)
          q = (1 - share) * q + share * flux(second, second.emissivity, T_inner, env_second, second_fourth);
      }
      *inner -= q * per_mass;
      out += q * side.length[n];
    }
  }
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size();
    for (std::size_t l = 0; l < cover_.size(); ++l) {
      const std::size_t first = foil_offset_[f] + l * count;
      const double* T = Tf_.data() + first;
      const double* mass = foil_mass_.data() + first;
      const double* along = foil_along_[f].data() + l * count;
      double* rate = foil_rate + first;
      for (std::size_t n = 0; n + 1 < count; ++n) {
        const double q = along[n] * (T[n + 1] - T[n]);
        rate[n] += q / mass[n];
        rate[n + 1] -= q / mass[n + 1];
      }
    }
  }
  return out;
}

double HeatOperator::second_heat_rate(double t) const {
  if (!surround_.second.temperature)
    return 0;
  const double env = surround_.second.temperature(t), env_fourth = fourth(env);
  double out = 0;
  for (int f = 0; f < faces; ++f) {
    if (!has_second(f))
      continue;
    const FaceExchange& second = surround_.second.face[f];
    const std::size_t count = side_[f].length.size();
    for (std::size_t n = 0; n < count; ++n) {
      const auto depth = static_cast<std::size_t>(depth_[f][n]);
      const double T = depth > 0 ? Tf_[foil_offset_[f] + (depth - 1) * count + n] : T_[side_[f].body(n)];
      out += second_share(f, n, t) * side_[f].length[n] * flux(second, second.emissivity, T, env, env_fourth);
    }
  }
  return out;
}

void HeatOperator::operator()(const State& x, State& dxdt, double t) {
  dxdt.resize(x.size());
  double* d = dxdt.data();
  evaluate_nodes(x, d + clock_offset());
  kernels::conduct(static_cast<std::size_t>(mesh_.nx), static_cast<std::size_t>(mesh_.ny), T_.data(),
                   k_.data(), half_along_.data(), half_across_.data(),
                   mesh_.skewed ? quarter_diagonal_.data() : nullptr, inverse_mass_.data(),
                   mesh_.bottom_storage.heat, mesh_.top_storage.heat, buffer_.data(), d);
  d[heat_out_index()] = boundary_fluxes(t, environment(t, x), d);
}

void HeatOperator::linearise_boundaries(double t, double env) {
  const double env_second = surround_.second.temperature ? surround_.second.temperature(t) : env;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size();
    const FaceExchange &face = surround_.face[f], &second = surround_.second.face[f];
    const auto& factor = surround_.emissivity_factor[f];
    const double emissivity = face.emissivity * (factor ? factor(t) : 1.0);
    const bool two = has_second(f);
    if (only_convects(f, emissivity)) {
      kernels::convection_slopes({count, side_[f].stride}, *face.htc, env, T_.data() + side_[f].first,
                                 side_[f].length.data(), outer_slope_[f].data());
      continue;
    }
    for (std::size_t n = 0; n < count; ++n) {
      const double length = side_[f].length[n];
      double T_inner = T_[side_[f].body(n)];
      const auto depth = static_cast<std::size_t>(depth_[f][n]);
      for (std::size_t l = 0; l < depth; ++l) {
        const std::size_t at = l * count + n;
        const double T_outer = Tf_[foil_offset_[f] + at];
        const double mean = 0.5 * (T_inner + T_outer), K = kelvin(mean);
        gap_slope_[f][at] = length * (gap_factor_[f][at] * cover_[l].conductance[f]->value(mean) +
                                      4 * cover_[l].exchange * stefan_boltzmann_W_m2K4 * K * K * K);
        T_inner = T_outer;
      }
      double slope = flux_slope(face, emissivity, T_inner, env + extra_at(f, n));
      if (two) {
        const double share = second_share(f, n, t);
        if (share > 0)
          slope = (1 - share) * slope + share * flux_slope(second, second.emissivity, T_inner, env_second);
      }
      outer_slope_[f][n] = length * slope;
    }
  }
}

void HeatOperator::linearise(const State& x, double t) {
  // the temperatures in T_ and Tf_ are those of the right-hand side at (x, t)
  material_.capacity(x.data(), x.data() + clock_offset(), T_.data(), body_, c_.data(), clock_heat_.data());
  for (std::size_t n = 0; n < foil_; ++n)
    cf_[n] = foil_c0_[n] + foil_c1_[n] * Tf_[n];
  kernels::face_conductances(static_cast<std::size_t>(mesh_.nx), static_cast<std::size_t>(mesh_.ny),
                             k_.data(), half_along_.data(), half_across_.data(), kx_.data(), ky_.data());
  kernels::multiply(body_, mass_.data(), c_.data(), mc_.data());
  for (std::size_t n = 0; n < body_; ++n)
    error_weight_[n] = 1.0 / c_[n];
  across_s_ = thickest_m2_ * mc_[thickest_] / (mesh_.area[thickest_] * k_[thickest_]);
  linearise_boundaries(t, environment(t, x));
  choice_.begin_step();
}

double HeatOperator::long_step() const {
  const int across = mesh_.half ? 2 * mesh_.ny - 1 : mesh_.ny;
  return slow_ || across <= few_across || !cover_.empty() ? long_step_few : long_step_many;
}

void HeatOperator::factorise(double gamma_dt) {
  gamma_dt_ = gamma_dt;
  choice_.leave_to_lines(long_step());
  whole_ = solver_ == LinearSolver::band ||
           (solver_ == LinearSolver::by_step && choice_.whole(gamma_dt, across_s_));
  const double g = gamma_dt;
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  // what each face adds to the diagonal of its body node, foil layers eliminated from outside in; a falling
  // h(T) makes the slope negative, which must not use up more than half the diagonal
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size();
    if (cover_.empty()) {
      for (std::size_t n = 0; n < count; ++n)
        outer_used_[f][n] = foil_add_[f][n] = std::max(outer_slope_[f][n], -0.5 * mc_[side_[f].body(n)] / g);
      continue;
    }
    for (std::size_t n = 0; n < count; ++n) {
      const auto depth = static_cast<std::size_t>(depth_[f][n]);
      const std::size_t last = foil_offset_[f] + (depth - 1) * count + n;
      const double capacity = depth > 0 ? foil_mass_[last] * cf_[last] : mc_[side_[f].body(n)];
      const double outer = std::max(outer_slope_[f][n], -0.5 * capacity / g);
      outer_used_[f][n] = outer;
      if (whole_)
        continue;
      double add = outer;
      for (std::size_t l = cover_.size(); l-- > depth;) {
        const std::size_t at = l * count + n, node = foil_offset_[f] + at;
        foil_inv_[f][at] = 1.0 / (foil_mass_[node] * cf_[node]);
        foil_mult_[f][at] = 0;
      }
      for (std::size_t l = depth; l-- > 0;) {
        const std::size_t at = l * count + n, node = foil_offset_[f] + at;
        const double couple = gap_slope_[f][at];
        const double diag = foil_mass_[node] * cf_[node] + g * (couple + add);
        foil_inv_[f][at] = 1.0 / diag;
        foil_mult_[f][at] = g * couple / diag;
        add = couple * (1.0 - foil_mult_[f][at]);
      }
      foil_add_[f][n] = add;
    }
  }
  if (whole_) {
    factorise_band();
    return;
  }
  factorise_foil_rows();
  kernels::factorise_across(nx, ny, g, mc_.data(), ky_.data(),
                            mesh_.half ? nullptr : foil_add_[flank_b].data(), foil_add_[flank_a].data(),
                            flanks_, inv_y_.data(), mult_y_.data());
  kernels::factorise_along(nx, ny, g, mc_.data(), kx_.data(), foil_add_[spine].data(), foil_add_[edge].data(),
                           inv_x_.data(), mult_x_.data());
}

void HeatOperator::solve(State& b) {
  if (whole_) {
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
  kernels::solve_along(nx, ny, inv_x_.data(), mult_x_.data(), mass_.data(), mc_.data(), u, z,
                       along_work_.data());
  for (int f : {spine, edge})
    heat += unfold_foil(f, uf, mc_.data(), z);
  for (int f : {flank_a, flank_b})
    solve_foil_rows(f, uf);
  for (int f : {flank_a, flank_b}) // right-hand sides times mass
    fold_foil(f, uf, nullptr, z);
  kernels::solve_across(nx, ny, inv_y_.data(), mult_y_.data(), flanks_, z, c_.data(), u);
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
    for (std::size_t l = 0; l < cover_.size(); ++l) {
      double before = 0, mult = 0;
      for (std::size_t n = 0; n < count; ++n) {
        const std::size_t at = l * count + n, node = foil_offset_[f] + at;
        const double couple = g * foil_along_[f][at];
        const double d = foil_mass_[node] * cf_[node] + couple + before * (1 - mult);
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
  for (std::size_t l = 0; l < cover_.size(); ++l) {
    const std::size_t first = foil_offset_[f] + l * count;
    double* u = uf + first;
    const double* c = cf_.data() + first;
    const double* mass = foil_mass_.data() + first;
    const double* inverse = row_inv_[f].data() + l * count;
    const double* mult = row_mult_[f].data() + l * count;
    double carry = 0;
    for (std::size_t n = 0; n < count; ++n) {
      const double w = mass[n] * u[n] + carry;
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

void HeatOperator::set_linear_solver(LinearSolver which) { solver_ = which; }

std::size_t HeatOperator::layers_on(int f) const {
  return depth_[f].empty() ? 0
                           : static_cast<std::size_t>(*std::max_element(depth_[f].begin(), depth_[f].end()));
}

void HeatOperator::lay_out_band() {
  // column by column with its layers on both flanks; those of spine and edge are columns of their own
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  const std::size_t under = layers_on(flank_b), stride = under + ny + layers_on(flank_a);
  const std::size_t first = layers_on(spine) * ny, behind = first + nx * stride;
  band_row_.assign(body_ + foil_, 0);
  for (std::size_t i = 0; i < nx; ++i)
    for (std::size_t j = 0; j < ny; ++j)
      band_row_[j * nx + i] = first + i * stride + under + j;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size(), layers = layers_on(f);
    for (std::size_t l = 0; l < layers; ++l)
      for (std::size_t n = 0; n < count; ++n) {
        std::size_t& row = band_row_[body_ + foil_offset_[f] + l * count + n];
        if (f == spine)
          row = (layers - 1 - l) * ny + n;
        else if (f == edge)
          row = behind + l * ny + n;
        else
          row = first + n * stride + (f == flank_b ? under - 1 - l : under + ny + l);
      }
  }
  const std::size_t rows = behind + layers_on(edge) * ny;
  band_ = std::make_unique<BandMatrix>(rows, stride + 1);
  band_work_.assign(rows + stride + 1, 0);
}

void HeatOperator::factorise_band() {
  if (!band_)
    lay_out_band();
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  const double g = gamma_dt_;
  BandMatrix& a = *band_;
  a.clear();
  const auto couple = [&](std::size_t p, std::size_t q, double conductance) {
    a.add(p, p, g * conductance);
    a.add(q, q, g * conductance);
    a.add(p, q, -g * conductance);
    a.add(q, p, -g * conductance);
  };
  const auto face = [&](int f) {
    const std::size_t count = side_[f].length.size(), layers = layers_on(f);
    for (std::size_t n = 0; n < count; ++n) {
      std::size_t row = band_row_[side_[f].body(n)];
      for (std::size_t l = 0; l < layers; ++l) {
        const std::size_t at = l * count + n, node = foil_offset_[f] + at, outer = band_row_[body_ + node];
        a.add(outer, outer, foil_mass_[node] * cf_[node]);
        if (n + 1 < count)
          couple(outer, band_row_[body_ + node + 1], foil_along_[f][at]);
        if (static_cast<int>(l) < depth_[f][n]) {
          couple(row, outer, gap_slope_[f][at]);
          row = outer;
        }
      }
      a.add(row, row, g * outer_used_[f][n]);
    }
  };
  for (std::size_t n = 0; n < body_; ++n) {
    const std::size_t row = band_row_[n];
    a.add(row, row, mc_[n]);
    if (n % nx + 1 < nx)
      couple(row, band_row_[n + 1], kx_[n]);
  }
  face(spine);
  face(edge);
  // storage at the flanks: of what is along a row, before what comes from across
  for (std::size_t i = 0; i < nx; ++i) {
    if (!mesh_.half)
      a.hand_over(band_row_[nx + i], band_row_[i], flanks_.area_first);
    a.hand_over(band_row_[(ny - 2) * nx + i], band_row_[(ny - 1) * nx + i], last_share_left());
  }
  for (std::size_t n = 0; n + nx < body_; ++n) {
    const std::size_t row = band_row_[n], next = band_row_[n + nx];
    couple(row, next, ky_[n]);
    if (n % nx + 1 < nx && mesh_.skewed) {
      const double c = quarter_diagonal_[n] * (k_[n] + k_[n + 1] + k_[n + nx] + k_[n + nx + 1]);
      couple(row, band_row_[n + nx + 1], -c);
      couple(next, band_row_[n + 1], c);
    }
  }
  face(flank_a);
  face(flank_b);
  a.factorise();
}

double HeatOperator::last_share_left() const {
  return mesh_.ny == 3 && !mesh_.half ? flanks_.area_last / (1.0 - flanks_.area_first) : flanks_.area_last;
}

void HeatOperator::solve_band(State& b) {
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  double* u = b.data();
  double* uf = u + body_;
  double* z = band_work_.data();
  const auto hand_over = [&](std::size_t from, std::size_t to, double share) {
    for (std::size_t i = 0; i < nx; ++i) {
      const double moved = share * z[band_row_[from * nx + i]];
      z[band_row_[from * nx + i]] -= moved;
      z[band_row_[to * nx + i]] += moved;
    }
  };
  const auto each_layer_node = [&](auto&& work) {
    for (int f = 0; f < faces; ++f) {
      const std::size_t from = foil_offset_[f], to = from + layers_on(f) * side_[f].length.size();
      for (std::size_t n = from; n < to; ++n)
        work(n, z[band_row_[body_ + n]]);
    }
  };
  for (std::size_t n = 0; n < body_; ++n)
    z[band_row_[n]] = mass_[n] * u[n];
  each_layer_node([&](std::size_t n, double& at) { at = foil_mass_[n] * uf[n]; });
  if (!mesh_.half)
    hand_over(1, 0, flanks_.area_first);
  hand_over(ny - 2, ny - 1, last_share_left());
  std::fill(band_work_.begin() + static_cast<std::ptrdiff_t>(band_->size()), band_work_.end(),
            0.0); // after a NaN
  band_->solve(z);
  for (std::size_t n = 0; n < body_; ++n)
    u[n] = c_[n] * z[band_row_[n]];
  each_layer_node([&](std::size_t n, double at) { uf[n] = cf_[n] * at; });
  double heat = 0;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size();
    for (std::size_t n = 0; n < count; ++n) {
      const auto depth = static_cast<std::size_t>(depth_[f][n]);
      const std::size_t outer =
          depth > 0 ? body_ + foil_offset_[f] + (depth - 1) * count + n : side_[f].body(n);
      heat += outer_used_[f][n] * z[band_row_[outer]];
    }
  }
  b[static_cast<Eigen::Index>(heat_out_index())] += gamma_dt_ * heat;
}

void HeatOperator::fold_foil(int f, const double* uf, const double* scale, double* rhs_of_body) {
  const Side& side = side_[f];
  const std::size_t count = side.length.size();
  const std::size_t layers = cover_.size();
  for (std::size_t l = layers; l-- > 0;)
    for (std::size_t n = 0; n < count; ++n) {
      const std::size_t at = l * count + n;
      double rhs = foil_mass_[foil_offset_[f] + at] * uf[foil_offset_[f] + at];
      if (l + 1 < layers)
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
  if (cover_.empty())
    return kernels::sum_over_face({count, side.stride}, outer_used_[f].data(), scaled_z + side.first,
                                  scale + side.first);
  double heat = 0;
  for (std::size_t n = 0; n < count; ++n) {
    const std::size_t b = side.body(n);
    double z = scaled_z[b] / scale[b], z_outer = z;
    for (std::size_t l = 0; l < cover_.size(); ++l) {
      const std::size_t at = l * count + n;
      z = foil_inv_[f][at] * foil_rhs_[f][at] + foil_mult_[f][at] * z;
      uf[foil_offset_[f] + at] = cf_[foil_offset_[f] + at] * z;
      if (static_cast<int>(l) < depth_[f][n])
        z_outer = z;
    }
    heat += outer_used_[f][n] * z_outer;
  }
  return heat;
}

double HeatOperator::error_norm(const State& error, const State&) {
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
  const double norm =
      std::isfinite(e[heat_out_index()]) ? worst / tolerance_K_ : std::numeric_limits<double>::infinity();
  choice_.judged(norm);
  return norm;
}

double HeatOperator::outer_surface_max() const {
  double most = -1e300;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size();
    for (std::size_t n = 0; n < count; ++n) {
      const auto depth = static_cast<std::size_t>(depth_[f][n]);
      most =
          std::max(most, depth > 0 ? Tf_[foil_offset_[f] + (depth - 1) * count + n] : T_[side_[f].body(n)]);
    }
  }
  return most;
}

double HeatOperator::cover_mean_degC(std::size_t first) const {
  double heat = 0, capacity = 0;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = side_[f].length.size();
    for (std::size_t l = first; l < cover_.size(); ++l)
      for (std::size_t n = 0; n < count; ++n)
        if (static_cast<int>(l) < depth_[f][n]) {
          const std::size_t node = foil_offset_[f] + l * count + n;
          heat += foil_mass_[node] * foil_c0_[node] * Tf_[node];
          capacity += foil_mass_[node] * foil_c0_[node];
        }
  }
  return capacity > 0 ? heat / capacity : std::numeric_limits<double>::quiet_NaN();
}

double HeatOperator::energy(const State& x) const {
  double sum = x[static_cast<Eigen::Index>(heat_out_index())];
  for (std::size_t n = 0; n < body_; ++n)
    sum += mass_[n] * x[static_cast<Eigen::Index>(n)];
  for (std::size_t n = 0; n < foil_; ++n)
    sum += foil_mass_[n] * x[static_cast<Eigen::Index>(body_ + n)];
  return sum;
}

} // namespace tq::conduction
