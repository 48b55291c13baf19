#include "treatment/fin.hpp"

#include "conduction/fin_mesh.hpp"

#include <algorithm>
#include <cmath>

namespace tq::treatment {

using conduction::State;

namespace {

bool alike(const conduction::FaceExchange& a, const conduction::FaceExchange& b) {
  return a.htc == b.htc && a.htc_constant_W_m2K == b.htc_constant_W_m2K && a.emissivity == b.emissivity;
}

/// Whether both flanks see the same, unshared.
bool plain(const conduction::Surround& s) {
  using namespace conduction::side;
  for (int f : {flank_a, flank_b, spine, edge})
    if (conduction::has_second(s, f) || s.emissivity_factor[static_cast<std::size_t>(f)])
      return false;
  return s.bath_capacity_J_mK == 0 && alike(s.face[flank_a], s.face[flank_b]);
}

} // namespace

Fin::Fin(const conduction::HeatOperator& section, double density_kg_m3,
         const steel::TransformingMaterial& steel)
    : columns_(static_cast<std::size_t>(section.mesh().nx)), half_thickness_(columns_),
      steel_(steel.column_means(columns_)), op_(conduction::make_fin(section.mesh()), density_kg_m3, steel_) {
  const conduction::Mesh& mesh = op_.mesh();
  for (std::size_t i = 0; i < columns_; ++i)
    half_thickness_[i] = mesh.area[i] / (mesh.top_length[i] + (mesh.half ? 0.0 : mesh.bottom_length[i]));
}

std::optional<double> Fin::across_K(const conduction::HeatOperator& op,
                                    const steel::TransformingMaterial& steel, const State& x,
                                    double t) const {
  const conduction::Surround& surround = op.surround();
  if (op.foil_nodes() > 0 || !plain(surround))
    return {};
  const std::vector<double>& T = op.temperature();
  const double env = op.environment(t, x);
  const conduction::FaceExchange& flank = surround.face[conduction::side::flank_a];
  const std::size_t last = T.size() - columns_; // first node of flank A
  const steel::TransformingMaterial& material = &op == &op_ ? steel_ : steel;
  double most = 0;
  for (std::size_t i = 0; i < columns_; ++i) {
    const double T_env = env + conduction::extra_at(surround, conduction::side::flank_a, i),
                 T_flank = T[last + i];
    const double q = conduction::flux(flank, flank.emissivity, T_flank, T_env, conduction::fourth(T_env));
    most = std::max(most, std::abs(q) * half_thickness_[i] / (3 * material.conductivity(last + i, T_flank)));
    for (std::size_t n = i; n < last; n += columns_)
      most = std::max(most, std::abs(T[n] - T_flank));
  }
  return most;
}

State Fin::gather(const conduction::HeatOperator& section, const State& x,
                  const steel::TransformingMaterial& steel) {
  const std::vector<double>& mass = section.mass();
  steel_.take_means(steel, mass);
  std::vector<double> enthalpy(columns_, 0.0), clocks(2 * columns_, 0.0);
  for (std::size_t n = 0; n < mass.size(); ++n)
    enthalpy[n % columns_] += mass[n] * x[static_cast<Eigen::Index>(n)];
  for (std::size_t i = 0; i < columns_; ++i)
    enthalpy[i] /= op_.mass()[i];
  steel_.begin(steel::TransformMode::tempering, clocks.data());
  op_.set_surround(section.surround());
  State own = op_.make_state(enthalpy.data(), clocks.data(), 0,
                             x[static_cast<Eigen::Index>(section.heat_out_index())]);
  op_.refresh(own);
  return own;
}

void Fin::commit(const State& x, double dt, steel::TransformingMaterial& steel) {
  const std::vector<double> austenite = steel_.austenite(), decay = steel_.decay();
  const double* T = op_.temperature().data();
  steel_.commit(x.data() + op_.clock_offset(), T, T, columns_, dt);
  op_.keep_evaluation(x);
  steel.follow(steel_, austenite, decay);
}

State Fin::spread(const conduction::HeatOperator& section, const State& x,
                  steel::TransformingMaterial& steel) const {
  const std::vector<double>& mass = section.mass();
  const std::size_t nodes = mass.size();
  steel.take_mixtures();
  std::vector<double> enthalpy(nodes), clocks(2 * nodes, 0.0), left(x.data(), x.data() + columns_);
  for (std::size_t n = 0; n < nodes; ++n) {
    enthalpy[n] = steel.enthalpy(n, op_.temperature()[n % columns_]);
    left[n % columns_] -= mass[n] / op_.mass()[n % columns_] * enthalpy[n];
    clocks[n] = steel.decay()[n];
  }
  for (std::size_t n = 0; n < nodes; ++n) // what rounding has left
    enthalpy[n] += left[n % columns_];
  return section.make_state(enthalpy.data(), clocks.data(), 0,
                            x[static_cast<Eigen::Index>(op_.heat_out_index())]);
}

void Fin::temperatures(std::vector<double>& nodes) const {
  for (std::size_t n = 0; n < nodes.size(); n += columns_)
    std::copy(op_.temperature().begin(), op_.temperature().end(),
              nodes.begin() + static_cast<std::ptrdiff_t>(n));
}

} // namespace tq::treatment
