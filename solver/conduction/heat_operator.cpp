#include "conduction/heat_operator.hpp"

#include "conduction/kernels.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tq::conduction {

using namespace side;

namespace {
constexpr double pi = 3.14159265358979323846;
/// A step is long with gamma dt above so many times (thickness / pi)^2 / diffusivity. The whole matrix is the
/// surer way and cheap while few nodes lie across; with many and no cover it waits until lines need it: one
/// of 10 000 random cases let its foil swing at 8, none its bare steel.
constexpr double long_step_few = 1, long_step_many = 8;
constexpr int few_across = 15; ///< nodes of a whole section, so that half of one goes the same way
} // namespace

HeatOperator::HeatOperator(const Mesh& mesh, double density_kg_m3, Material& material)
    : mesh_(mesh), material_(material), body_(mesh.area.size()), envelope_(mesh) {
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
}

Eigen::Index HeatOperator::state_size() const {
  return static_cast<Eigen::Index>(clock_offset() + clock_count_);
}

State HeatOperator::make_state(const double* body_enthalpy, const double* clocks, double foil_degC,
                               double heat_out) const {
  State x(state_size());
  std::copy(body_enthalpy, body_enthalpy + body_, x.data());
  envelope_.start(foil_degC, x.data() + body_);
  if (clock_count_ > 0)
    std::copy(clocks, clocks + clock_count_, x.data() + clock_offset());
  x[static_cast<Eigen::Index>(heat_out_index())] = heat_out;
  return x;
}

double HeatOperator::environment(double t, const State& x) const {
  double env = surround().temperature(t);
  if (surround().bath_capacity_J_mK > 0) {
    const double given = x[static_cast<Eigen::Index>(heat_out_index())] - heat_out_at_start_;
    env += (mesh_.half ? 2.0 : 1.0) * given / surround().bath_capacity_J_mK;
  }
  return env;
}

void HeatOperator::evaluate_nodes(const State& x, double* clock_rates) {
  keeps_ = false;
  // conductivities stay in work_ until a solve needs it: those of the linearisation (k_) are not to change
  // with the stages, one of which may lie so far off that they are no numbers
  material_.evaluate(x.data(), x.data() + clock_offset(), body_, T_.data(), work_.data(), clock_rates);
  envelope_.evaluate(x.data() + body_);
}

void HeatOperator::refresh(const State& x) {
  scratch_rates_.resize(clock_count_);
  evaluate_nodes(x, scratch_rates_.data());
}

void HeatOperator::operator()(const State& x, State& dxdt, double t) {
  dxdt.resize(x.size());
  double* d = dxdt.data();
  if (keeps_ && kept_ == x)
    std::copy_n(scratch_rates_.begin(), moving_clocks(), d + clock_offset());
  else
    evaluate_nodes(x, d + clock_offset());
  keeps_ = false;
  kernels::conduct(static_cast<std::size_t>(mesh_.nx), static_cast<std::size_t>(mesh_.ny), T_.data(),
                   work_.data(), half_along_.data(), half_across_.data(),
                   mesh_.skewed ? quarter_diagonal_.data() : nullptr, inverse_mass_.data(),
                   mesh_.bottom_storage.heat, mesh_.top_storage.heat, buffer_.data(), d);
  d[heat_out_index()] = envelope_.fluxes(t, environment(t, x), T_.data(), inverse_mass_.data(), d, d + body_);
}

void HeatOperator::linearise(const State& x, double t) {
  // the temperatures in T_ and the envelope and the conductivities are those of the right-hand side at (x,
  // t), asked just before
  k_.swap(work_);
  material_.capacity(x.data(), x.data() + clock_offset(), T_.data(), body_, c_.data(), clock_heat_.data());
  kernels::face_conductances(static_cast<std::size_t>(mesh_.nx), static_cast<std::size_t>(mesh_.ny),
                             k_.data(), half_along_.data(), half_across_.data(), kx_.data(), ky_.data());
  kernels::multiply(body_, mass_.data(), c_.data(), mc_.data());
  for (std::size_t n = 0; n < body_; ++n)
    error_weight_[n] = 1.0 / c_[n];
  across_s_ = thickest_m2_ * mc_[thickest_] / (mesh_.area[thickest_] * k_[thickest_]);
  envelope_.linearise(t, environment(t, x), T_.data());
  choice_.begin_step();
}

double HeatOperator::long_step() const {
  const int across = mesh_.half ? 2 * mesh_.ny - 1 : mesh_.ny;
  return slow_ || across <= few_across || !envelope_.bare() ? long_step_few : long_step_many;
}

WholeMatrix::Body HeatOperator::body() const {
  return {mesh_,     mass_.data(), c_.data(),  mc_.data(),
          k_.data(), kx_.data(),   ky_.data(), quarter_diagonal_.data(),
          flanks_};
}

void HeatOperator::factorise(double gamma_dt) {
  gamma_dt_ = gamma_dt;
  choice_.leave_to_lines(long_step());
  whole_ = solver_ == LinearSolver::band ||
           (solver_ == LinearSolver::by_step && choice_.whole(gamma_dt, across_s_));
  const double g = gamma_dt;
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  envelope_.eliminate(g, mc_.data(), whole_);
  if (whole_) {
    whole_matrix_.factorise(body(), envelope_, g);
    return;
  }
  envelope_.factorise_rows(g);
  kernels::factorise_across(nx, ny, g, mc_.data(), ky_.data(),
                            mesh_.half ? nullptr : envelope_.on_body(flank_b), envelope_.on_body(flank_a),
                            flanks_, inv_y_.data(), mult_y_.data());
  kernels::factorise_along(nx, ny, g, mc_.data(), kx_.data(), envelope_.on_body(spine),
                           envelope_.on_body(edge), inv_x_.data(), mult_x_.data());
}

void HeatOperator::solve(State& b) {
  if (whole_) {
    b[static_cast<Eigen::Index>(heat_out_index())] +=
        gamma_dt_ * whole_matrix_.solve(body(), envelope_, b.data());
    return;
  }
  const auto nx = static_cast<std::size_t>(mesh_.nx), ny = static_cast<std::size_t>(mesh_.ny);
  double* u = b.data();
  double* uf = u + body_;
  double* z = work_.data();
  double heat = 0;
  for (int f : {spine, edge}) // right-hand sides as enthalpy
    envelope_.fold(f, uf, inverse_mass_.data(), u);
  kernels::solve_along(nx, ny, inv_x_.data(), mult_x_.data(), mass_.data(), mc_.data(), u, z,
                       along_work_.data());
  for (int f : {spine, edge})
    heat += envelope_.unfold(f, uf, mc_.data(), z);
  for (int f : {flank_a, flank_b})
    envelope_.solve_rows(f, uf);
  for (int f : {flank_a, flank_b}) // right-hand sides times mass
    envelope_.fold(f, uf, nullptr, z);
  kernels::solve_across(nx, ny, inv_y_.data(), mult_y_.data(), flanks_, z, c_.data(), u);
  for (int f : {flank_a, flank_b})
    heat += envelope_.unfold(f, uf, c_.data(), u);
  for (int f : {spine, edge})
    envelope_.solve_rows(f, uf);
  b[static_cast<Eigen::Index>(heat_out_index())] += gamma_dt_ * heat;
}

double HeatOperator::error_norm(const State& error, const State&) {
  const double* e = error.data();
  double worst = kernels::largest_weighted(body_, e, error_weight_.data());
  if (const std::size_t moving = moving_clocks(); moving > 0)
    worst = std::max(worst, kernels::largest_weighted(moving, e + clock_offset(), clock_heat_.data()));
  worst = envelope_.largest_error(e + body_, worst);
  const double norm =
      std::isfinite(e[heat_out_index()]) ? worst / tolerance_K_ : std::numeric_limits<double>::infinity();
  choice_.judged(norm);
  return norm;
}

double HeatOperator::energy(const State& x) const {
  double sum = x[static_cast<Eigen::Index>(heat_out_index())];
  for (std::size_t n = 0; n < body_; ++n)
    sum += mass_[n] * x[static_cast<Eigen::Index>(n)];
  return envelope_.energy(x.data() + body_, sum);
}

} // namespace tq::conduction
